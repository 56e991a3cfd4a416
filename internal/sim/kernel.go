package sim

import (
	"math"

	"tripsim/internal/profiles"
)

// unit is a charger as the kernel sees it.
type unit struct {
	solarA, altA, mainsA, totalA float64 // output limits, A
	eff, invEff                  float64
}

// drive is what the itinerary and the weather give to a slot.
type drive struct {
	loadW    float64 // everything the bus asks for, mean W
	peakW    float64 // bus power while AC uses run; 0 = nothing heavy is on
	acInW    float64 // part of loadW that goes into the inverter
	acOutW   float64 // what of it reaches the appliances
	dcW      float64 // part of loadW that is DC appliances
	siteW    float64 // AC appliances fed straight by the site, outside the bus
	clipW    float64 // AC asked for beyond the inverter's rating
	heaterW  float64 // part of loadW that warms the battery; runs while flat too
	drv, mns float64 // shares of the slot with alternator and mains at the chargers
	altW     float64 // most that the alternator can spare, W at System.AlternatorV
	mainsW   float64 // most that the site can spare for chargers, W
	sourced  bool    // some source has something to give
}

// flow is what happened in a slot, before it is written to a ledger.
type flow struct {
	iA, voltV              float64
	busW                   [3]float64 // solar, alternator, mains behind the chargers
	inW                    [3]float64 // the same before the chargers
	loadW                  float64    // drawn by the bus loads, mean
	served                 float64    // share of the slot with the loads on
	flat                   float64    // share of the slot disconnected at the cut-off
	heated                 float64    // share of the slot in which the battery's heater is fed
	coulombAh, selfAh      float64
	peakA                  float64
	cut                    cut // what a tripped inverter does not give
	tripped, refused, shed bool
}

// kernel advances one battery through the slots. It is the only place that
// decides how sources, loads and battery share the bus.
type kernel struct {
	pack    *profiles.Pack
	units   []unit
	stepH   float64
	cutV    float64 // inverter's low-voltage trip
	shedSoC float64

	drives []drive
	shed   []drive // without the appliances that may be shed; nil = no shedding
	air    []profiles.PackAir
	pvBusW [][]float64 // per unit and slot, panel power behind the regulator
	trips  *tripping

	bat  profiles.PackState
	soc  float64
	volt float64
	flat bool
	back float64 // connects again here after a disconnection on voltage; else 0

	offer offer // scratch of step
}

// start resets the battery to a state of charge.
func (k *kernel) start(soc float64) {
	k.bat = k.pack.Start(soc)
	k.soc = k.pack.SoC(k.bat)
	k.volt = k.pack.InternalV(k.bat)
	k.flat, k.back = soc <= k.pack.MinSoC, 0
}

// offer is what the chargers could give to the bus: some of it limited in
// current (it grows with the voltage), some in power.
type offer struct {
	ampA  [3]float64 // current-limited part by source, A
	powW  [3]float64 // power-limited part by source, W
	ampIn [3]float64 // the current-limited part before the charger, A at bus voltage
	powIn [3]float64 // the power-limited part before the charger, W
}

const (
	solarSrc = iota
	altSrc
	mainsSrc
)

// gather adds up what the units can give in slot t at about volt. A unit's
// shared limit is taken by the sun first. Engine and site are there one after
// the other (laySlots), so each of them has all that the sun leaves.
func (k *kernel) gather(t int, d *drive, volt float64, o *offer) {
	altLeft, mainsLeft := d.altW, d.mainsW
	for u := range k.units {
		c := &k.units[u]
		left := c.totalA
		if pv := k.pvBusW[u]; pv != nil && pv[t] > 0 {
			most := min(c.solarA, left)
			if w := pv[t]; w < most*volt {
				o.powW[solarSrc] += w
				o.powIn[solarSrc] += w * c.invEff
				left -= w / volt
			} else {
				o.ampA[solarSrc] += most
				o.ampIn[solarSrc] += most * c.invEff
				left -= most
			}
		}
		if d.drv > 0 && c.altA > 0 {
			o.take(altSrc, min(c.altA, left)*d.drv, volt, c, &altLeft)
		}
		if d.mns > 0 && c.mainsA > 0 {
			o.take(mainsSrc, min(c.mainsA, left)*d.mns, volt, c, &mainsLeft)
		}
	}
}

// partial holds alternator and mains, which are there for a part of the slot
// only, to what the battery's protection and the loads take in that part; room
// and taper are means over the slot and are met by ChargeLimitA.
func (k *kernel) partial(d *drive, air *profiles.PackAir, load float64, o *offer) {
	mostW := k.pack.MaxChargeA*air.ChargeFactor*k.volt + load
	for src, share := range [3]float64{1, d.drv, d.mns} {
		offered := o.ampA[src]*k.volt + o.powW[src]
		if most := share * mostW; share < 1 && offered > max(most, 0) {
			f := most / offered
			o.ampA[src] *= f
			o.powW[src] *= f
			o.ampIn[src] *= f
			o.powIn[src] *= f
		}
	}
}

// take draws up to amps from a source with leftW to spare.
func (o *offer) take(src int, amps, volt float64, c *unit, leftW *float64) {
	if amps <= 0 {
		return
	}
	in := amps * volt * c.invEff
	if in <= *leftW {
		*leftW -= in
		o.ampA[src] += amps
		o.ampIn[src] += amps * c.invEff
		return
	}
	in = max(0, *leftW)
	*leftW = 0
	o.powW[src] += in * c.eff
	o.powIn[src] += in
}

// busCurrent solves the bus for the battery current, charging positive:
//
//	(E + I R)(I - ampA) = powW - loadW
//
// Constant-power loads hang on a battery of internal voltage E and resistance
// R, beside sources of constant current and constant power. ok is false when
// the loads ask for more than the battery can give at any voltage.
func busCurrent(e, r, ampA, netW float64) (iA float64, ok bool) {
	b := e - r*ampA
	c := e*ampA + netW
	root := 4 * r * c
	disc := b*b + root
	if c < 0 && (disc < 0 || b <= 0) {
		return 0, false
	}
	// Two forms of one root: the first waits for no division that depends on
	// the battery, the second keeps its digits where the current is tiny.
	if max(root, -root) > 1e-5*b*b {
		return (math.Sqrt(disc) - b) * (0.5 / r), true
	}
	return 2 * c / (b + math.Sqrt(disc)), true
}

// step advances the battery by slot t and tells what flowed.
func (k *kernel) step(t int, f *flow) {
	d, air := &k.drives[t], &k.air[t]
	*f = flow{served: 1, heated: 1}
	e := k.pack.InternalV(k.bat)
	r := k.pack.ROhm * air.RFactor
	if k.shed != nil && k.soc < k.shedSoC {
		d, f.shed = &k.shed[t], true
	}
	load := d.loadW
	if k.flat {
		if k.soc < k.reconnect(t) {
			load, f.served, f.flat = d.heaterW, 0, 1
		} else {
			k.flat, k.back = false, 0
		}
	}
	o := &k.offer
	var ampA, powW float64
	if d.sourced {
		*o = offer{}
		k.gather(t, d, k.volt, o)
		if part := d.drv + d.mns; part > 0 && part < 1 {
			k.partial(d, air, load, o)
		}
		ampA = o.ampA[0] + o.ampA[1] + o.ampA[2]
		powW = o.powW[0] + o.powW[1] + o.powW[2]
	}
	if d.peakW > 0 && f.served > 0 {
		load = k.peak(t, d, e, r, ampA, powW, load, f)
	}
	if e*ampA+powW > load { // the sign of the current does not depend on r
		r = k.pack.ChargeROhm(k.bat, air)
	}
	i, ok := busCurrent(e, r, ampA, powW-load)
	if !ok { // more than the battery can give at any voltage
		i, load = k.overwhelmed(d, e, r, ampA, powW, load, f)
	}
	use := 1.0 // share of the offer that is used, when the loads are cut off
share:
	switch {
	case i >= 0 && d.sourced:
		if most := k.pack.ChargeLimitA(k.bat, e, air); i > most {
			f.refused = air.ChargeFactor == 0
			i = most
			f.curtail(o, e+i*r, i, load)
			break
		}
		f.all(o, e+i*r)
	case i < 0:
		if e+i*r < k.pack.CutoffV {
			i, load = k.disconnected(e, r, ampA, powW, f)
			goto share // with what the sources give
		}
		if most := k.pack.DischargeLimitA(k.bat, air); -i > most {
			use = most / -i
			// Its protection cuts the loads off for a while; its floor until
			// it has been charged again.
			if most < k.pack.TripA {
				k.flat, f.flat = true, 1-f.served*use
			}
		}
		if d.sourced {
			f.all(o, e+i*r)
		}
	}
	f.voltV = e + i*r
	f.loadW = load
	if use < 1 {
		f.cutOff(use)
		i *= use
	}
	f.iA = i
	f.coulombAh, f.selfAh = k.pack.Advance(&k.bat, i, air)
	k.soc = k.pack.SoC(k.bat)
	k.volt = f.voltV
}

// all books the whole offer at the bus voltage.
func (f *flow) all(o *offer, volt float64) {
	for s := range 3 {
		f.busW[s] = o.ampA[s]*volt + o.powW[s]
		f.inW[s] = o.ampIn[s]*volt + o.powIn[s]
	}
}

// curtail books what the battery takes and the loads draw: solar first, then
// the alternator, then mains.
func (f *flow) curtail(o *offer, volt, iA, load float64) {
	need := volt*iA + load
	for s := range 3 {
		bus := o.ampA[s]*volt + o.powW[s]
		if bus <= 0 || need <= 0 {
			continue
		}
		in := o.ampIn[s]*volt + o.powIn[s]
		if bus <= need {
			f.busW[s], f.inW[s] = bus, in
			need -= bus
			continue
		}
		f.busW[s], f.inW[s] = need, in*(need/bus)
		need = 0
	}
}

// cutOff scales the slot down to the share before the disconnection.
func (f *flow) cutOff(share float64) {
	f.served *= share
	f.heated = share
	f.loadW *= share
	for s := range 3 {
		f.busW[s] *= share
		f.inW[s] *= share
	}
}

// peak looks at the moment when the AC uses of the slot run: the highest
// current, and whether the inverter trips on low voltage or the battery's
// protection on current. It returns the load that is left, see cut.
func (k *kernel) peak(t int, d *drive, e, r, ampA, powW, load float64, f *flow) float64 {
	i, ok := busCurrent(e, r, ampA, powW-d.peakW)
	f.peakA = max(0, -i)
	if ok && e+i*r >= k.cutV && -i <= k.pack.TripA {
		return load
	}
	last := 1
	if f.shed {
		last = 0
	}
	f.tripped, f.cut = true, k.trips.lost(t, last, k.mostInW(d, e, r, ampA, powW))
	return max(0, load-f.cut.inW)
}

// overwhelmed handles a mean load that no voltage can carry: the inverter drops
// out for the whole slot; if that is not enough, so does everything else.
func (k *kernel) overwhelmed(d *drive, e, r, ampA, powW, load float64, f *flow) (iA, leftW float64) {
	if acInW := d.acInW - f.cut.inW; acInW > 0 && f.served > 0 { // while flat only the heater asks
		left := max(0, load-acInW)
		if i, ok := busCurrent(e, r, ampA, powW-left); ok {
			f.tripped, f.cut = true, cut{inW: d.acInW, outW: d.acOutW, share: 1, mostW: math.Inf(-1)}
			return i, left
		}
	}
	k.flat, f.served, f.flat, f.heated = true, 0, 1, 0
	i, _ := busCurrent(e, r, ampA, powW)
	return i, 0
}

// disconnected handles a voltage under load below the one at which the bank is
// disconnected: nothing is fed in this slot, nor until the bank has been charged
// by as much as after a disconnection at the cut-off.
func (k *kernel) disconnected(e, r, ampA, powW float64, f *flow) (iA, leftW float64) {
	k.flat, f.served, f.flat, f.heated = true, 0, 1, 0
	k.back = k.soc + k.pack.ReconnectSoC - k.pack.MinSoC
	i, _ := busCurrent(e, r, ampA, powW)
	return i, 0
}

// mostBackSoC is the highest state of charge that a flat bank waits for:
// chargers taper before 1.
const mostBackSoC = 0.95

// reconnect is the state of charge at which a flat bank is connected again: as
// far above its cut-off of slot t as at 25 C, but not above mostBackSoC or, with
// a cut-off near that, half of what is left above it.
func (k *kernel) reconnect(t int) float64 {
	floor := k.floor(t)
	return min(max(k.back, floor+k.pack.ReconnectSoC-k.pack.MinSoC), max(mostBackSoC, (1+floor)/2))
}

// unservedW is what the appliances asked for and did not get, mean W: beyond the
// inverter's rating, disconnected, or with a tripped inverter. A run, an ensemble
// and a search for a size all mean this by what a trip lacks.
func (d *drive) unservedW(f *flow) float64 {
	return d.clipW + (d.dcW+d.acOutW)*(1-f.served) + f.cut.outW*f.served
}

// floor is the state of charge at which the bank cuts off at its temperature
// of slot t: the cut-off that was set or, in a hard cold, the point below which
// nothing more can be drawn.
func (k *kernel) floor(t int) float64 {
	return max(k.pack.MinSoC, 1-k.air[t].CapacityFactor)
}
