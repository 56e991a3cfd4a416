package profiles

import (
	"fmt"
	"math"
)

// Fridge describes a compressor fridge or freezer. Zero values of the fields
// marked * take the defaults of WithDefaults.
type Fridge struct {
	Litres         float64 // *
	SetpointC      float64
	BandK          float64 // * thermostat: setpoint +/- BandK/2
	UAWPerK        float64 // * heat through the walls
	OpeningsPerDay float64
	WarmKgPerDay   float64 // food and drink put in at air temperature
	AmbientOffsetC float64 // air around the fridge over the outside air: a hot canopy
	DrivingOffsetC float64 // further offset while driving
	Sheltered      bool    // the air around is never colder than AmbientMinC: a heated room
	AmbientMinC    float64
	CompressorW    float64 // * electrical, running
	StandbyW       float64 // controls, always
	NightSetbackC  float64 // setpoint raised by this from 22:00 to 6:00
	CarnotShare    float64 // * coefficient of performance over Carnot's
	HeatWhPerK     float64 // * heat capacity of box and contents
}

// WithDefaults fills what is 0: 40 litres; UA .95 W/K at 50 litres by the
// surface (.6-1.0 W/K for 40-60 litres; handbook, from memory); compressor
// 35 W + .2 W/l (35-45 W for small ones; data sheets, from memory); heat
// capacity of a box a third full of water; 2 K band; Carnot share .35 (.35-.5
// is the compressor alone, here with fan and control): common practice.
func (f Fridge) WithDefaults() Fridge {
	orDefault := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	orDefault(&f.Litres, 40)
	orDefault(&f.BandK, 2)
	orDefault(&f.UAWPerK, 0.95*math.Pow(f.Litres/50, 2.0/3))
	orDefault(&f.CompressorW, 35+0.2*f.Litres)
	orDefault(&f.CarnotShare, 0.35)
	orDefault(&f.HeatWhPerK, f.Litres/3*waterWhPerKgK)
	return f
}

// Validate lists what is wrong with the fridge (defaults applied).
func (f Fridge) Validate() []error {
	f = f.WithDefaults()
	var errs []error
	check := func(name string, v, low, high float64) {
		if !(v >= low && v <= high) {
			errs = append(errs, fmt.Errorf("fridge: %s %g is not %g to %g", name, v, low, high))
		}
	}
	check("litres", f.Litres, 5, 1000)
	check("setpoint (C)", f.SetpointC, -30, 20)
	check("thermostat band (K)", f.BandK, 0.1, 10)
	check("heat loss (W/K)", f.UAWPerK, 0.05, 20)
	check("openings per day", f.OpeningsPerDay, 0, 1000)
	check("warm food (kg/day)", f.WarmKgPerDay, 0, 200)
	check("ambient offset (K)", f.AmbientOffsetC, -20, 40)
	check("driving offset (K)", f.DrivingOffsetC, -20, 40)
	if f.Sheltered {
		check("coldest air around (C)", f.AmbientMinC, -30, 40)
	}
	check("compressor (W)", f.CompressorW, 5, 2000)
	check("standby (W)", f.StandbyW, 0, 100)
	check("night set-back (K)", f.NightSetbackC, 0, 15)
	check("Carnot share", f.CarnotShare, 0.05, 0.8)
	check("heat capacity (Wh/K)", f.HeatWhPerK, 0.5, 5000)
	return errs
}

const (
	waterWhPerKgK   = 4.186 / 3.6
	fusionWhPerKg   = 334 * 0.7 / 3.6 // food is about 70 % water
	airWhPerLitreK  = 1.2 * 1.005 / 3600
	condenserOverK  = 12 // condensing over the air around: 10-15 K
	evaporatorDropK = 15 // evaporating under the box: 10-20 K, less for freezers
	freezerDropK    = 10 //
	airChanges      = 6  // box volumes of air, moisture counted, per opening: common practice, no source
	wakeH, bedH     = 7, 22
	foodH, foodEndH = 16, 19
	nightH, dawnH   = 22, 6
)

// FridgeModel is a fridge made ready for steps of a fixed length. Heat comes
// through the walls, with openings (spread over 7:00-22:00) and warm food
// (16:00-19:00); the compressor takes it out at a fixed share of Carnot's
// coefficient of performance between evaporator and condenser.
type FridgeModel struct {
	stepH, invHeat        float64
	walls, awake, food    inflow  // by time of day
	foodW                 float64 // latent heat of freezing while food cools
	carnotK, evaporatorC  float64
	lowC, highC, setback  float64
	compressorW, standbyW float64
	ambientC, drivingC    float64
	leastC                float64 // the air around is never colder
}

// inflow is a heat conductance into the box (W/K) and by how much the box's
// own change over a step slows the flow: the mean of an exponential,
// (1-e^-x)/x with x = ua step/heat capacity.
type inflow struct{ ua, fade float64 }

func newInflow(ua, stepH, heatWhPerK float64) inflow {
	x := ua * stepH / heatWhPerK
	return inflow{ua, -math.Expm1(-x) / x}
}

// NewFridgeModel prepares a valid fridge for steps of stepH hours.
func NewFridgeModel(f Fridge, stepH float64) FridgeModel {
	f = f.WithDefaults()
	drop := float64(evaporatorDropK)
	if f.SetpointC < -5 {
		drop = freezerDropK
	}
	opening := f.OpeningsPerDay * airChanges * f.Litres * airWhPerLitreK / (bedH - wakeH)
	warm := f.WarmKgPerDay * waterWhPerKgK / (foodEndH - foodH)
	m := FridgeModel{
		stepH: stepH, invHeat: 1 / f.HeatWhPerK,
		walls:       newInflow(f.UAWPerK, stepH, f.HeatWhPerK),
		awake:       newInflow(f.UAWPerK+opening, stepH, f.HeatWhPerK),
		food:        newInflow(f.UAWPerK+opening+warm, stepH, f.HeatWhPerK),
		carnotK:     f.CarnotShare * (f.SetpointC - drop + 273.15),
		evaporatorC: f.SetpointC - drop,
		lowC:        f.SetpointC - f.BandK/2, highC: f.SetpointC + f.BandK/2, setback: f.NightSetbackC,
		compressorW: f.CompressorW, standbyW: f.StandbyW,
		ambientC: f.AmbientOffsetC, drivingC: f.DrivingOffsetC, leastC: math.Inf(-1),
	}
	if f.Sheltered {
		m.leastC = f.AmbientMinC
	}
	if f.SetpointC < -1 {
		m.foodW = f.WarmKgPerDay * fusionWhPerKg / (foodEndH - foodH)
	}
	return m
}

// FridgeState is the box temperature and whether the compressor runs.
type FridgeState struct {
	BoxC    float64
	Running bool
}

// Start is a fridge at its setpoint.
func (m *FridgeModel) Start(airC float64) FridgeState {
	return FridgeState{BoxC: min((m.lowC+m.highC)/2, max(airC+m.ambientC, m.leastC, m.lowC))}
}

// StartOff is a fridge that has been off for long: as warm as the air around it.
func (m *FridgeModel) StartOff(airC float64) FridgeState {
	return FridgeState{BoxC: m.aroundC(airC, false)}
}

// aroundC is the air around the fridge at an outside temperature, C.
func (m *FridgeModel) aroundC(airC float64, driving bool) float64 {
	around := airC + m.ambientC
	if driving {
		around += m.drivingC
	}
	return max(around, m.leastC)
}

// Rest moves the box through one step switched off and shut: through its walls
// it drifts to the air around. What thaws in a freezer is not reckoned.
func (m *FridgeModel) Rest(st *FridgeState, airC float64, driving bool) {
	st.Running = false
	st.BoxC += (m.aroundC(airC, driving) - st.BoxC) * m.walls.ua * m.walls.fade * m.stepH * m.invHeat
}

// Step moves the box through one step at an outside temperature (C) and local
// hour (0..24) and returns the mean power (W) and the compressor's duty (0..1).
// At duty 1 the box warms: BoxC shows it.
func (m *FridgeModel) Step(st *FridgeState, airC, localHour float64, driving bool) (meanW, duty float64) {
	around := m.aroundC(airC, driving)
	inflow, extraW := m.walls, 0.0
	if localHour >= wakeH && localHour < bedH {
		inflow = m.awake
		if localHour >= foodH && localHour < foodEndH {
			inflow = m.food
			if around > 0 && st.BoxC < 0 {
				extraW = m.foodW
			}
		}
	}
	low, high := m.lowC, m.highC
	if localHour >= nightH || localHour < dawnH {
		low += m.setback
		high += m.setback
	}
	lift := max(around+condenserOverK-m.evaporatorC, minLiftK)
	coolW := m.compressorW * m.carnotK / lift

	// The compressor switches inside the step, at the edges of the band.
	boxC, left, ran := st.BoxC, m.stepH, 0.0
	perW := m.invHeat * inflow.fade // K/h
	for range maxSwitches {
		heatK := (inflow.ua*(around-boxC) + extraW) * perW
		if st.Running {
			fall := coolW*perW - heatK
			if boxC-fall*left > low {
				boxC -= fall * left
				ran += left
				left = 0
				break
			}
			if boxC > low {
				t := (boxC - low) / fall
				ran += t
				left -= t
				boxC = low
			}
			st.Running = false
			continue
		}
		if boxC+heatK*left < high {
			boxC += heatK * left
			left = 0
			break
		}
		if boxC < high {
			left -= (high - boxC) / heatK
			boxC = high
		}
		st.Running = true
	}
	st.BoxC = boxC
	duty = ran / m.stepH
	return duty*m.compressorW + m.standbyW, duty
}

const (
	minLiftK    = 15 // keeps the coefficient of performance finite in the cold
	maxSwitches = 200
)
