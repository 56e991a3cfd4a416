package profiles

// gridSteps is the number of equal steps of the packs' tables. At 200 the
// LiFePO4 rest voltage is within 2 mV per cell between 5 and 100 %, 4 mV below.
const gridSteps = 200

// grid is a function of 0..1 on a uniform grid, linear in between: value and
// rise to the next point.
type grid [gridSteps + 1]struct{ v, dv float64 }

func (g *grid) fill(f func(x float64) float64) {
	for i := range g {
		g[i].v = f(float64(i) / gridSteps)
	}
	for i := range gridSteps {
		g[i].dv = g[i+1].v - g[i].v
	}
}

// scale makes g a multiple of another grid.
func (g *grid) scale(of *grid, factor float64) {
	for i := range g {
		g[i].v, g[i].dv = of[i].v*factor, of[i].dv*factor
	}
}

// at looks up x in grid steps (0..gridSteps).
func (g *grid) at(x float64) float64 {
	i := int(x)
	if uint(i) > gridSteps {
		return g.outside(x)
	}
	return g[i].v + (x-float64(i))*g[i].dv
}

func (g *grid) outside(x float64) float64 {
	if x < 0 {
		return g[0].v
	}
	return g[gridSteps].v
}

// inverse gives the largest x (0..1) at which a rising grid is not above v.
func (g *grid) inverse(v float64) float64 {
	if v >= g[gridSteps].v {
		return 1
	}
	for i := gridSteps - 1; i >= 0; i-- {
		if g[i].v <= v {
			if g[i].dv == 0 {
				return float64(i) / gridSteps
			}
			return (float64(i) + (v-g[i].v)/g[i].dv) / gridSteps
		}
	}
	return 0
}

// PackState is the charge of a bank: the two wells of the kinetic battery
// model (Manwell & McGowan 1993). Lithium keeps all in AvailableAh.
type PackState struct{ AvailableAh, BoundAh float64 }

// Pack is a bank made ready for steps of a fixed length. Its methods trust
// their arguments: currents within the limits they give, states made by Start
// and Advance, air made by PackAirs for the same bank.
type Pack struct {
	CapacityAh float64 // at the 20 h rate, today's health
	ROhm       float64 // resistance at 25 C on discharge, leads included; times PackAir.RFactor
	ChargeV    float64 // absorption or constant voltage at 25 C
	FloatV     float64 // for the charger's setting; no float stage is modelled: the bank is full by then
	MaxChargeA, MaxDischargeA,
	MinSoC, ReconnectSoC float64
	TripA   float64 // current at which the bank's own protection acts: MaxDischargeA, +Inf for lead, which has none
	CutoffV float64 // the loads are disconnected below this voltage; 0 = never

	kinetic               bool
	stepH, invStepH, invC float64
	usableAh              float64 // CapacityAh (1-MinSoC)
	bothAh, residualAh    float64 // both wells; what stays in them at SoC 0
	selfDischargeStep     float64 // share per step at 20 C
	bulkLoss, roomGain    float64 // lithium: coulombic loss; 1/(efficiency x step)
	topAh                 float64 // lithium: charge at rest at ChargeV
	headScale             float64 // table steps per Ah of the available well
	slopeStep             float64 // lithium: rise of a table step x this / R = step over the taper's time constant
	taper                 float64 // lead: mean over start of an accepted current in a step
	keep, share           float64 // lead: available' = keep available + share both + gain current
	gain, invGain         float64
	availableShare        float64 // the kinetic model's c
	availableMaxAh        float64
	cells                 float64
	internal, ocv         grid
	efficiency, chargeR   grid
	chemistry             Chemistry
}

// Start is a rested bank at a state of charge 0..1.
func (p *Pack) Start(soc float64) PackState {
	both := p.bothAh - p.CapacityAh*(1-soc)
	available := both * p.availableShare
	return PackState{available, both - available}
}

// SoC is the state of charge: 1 less the charge removed over CapacityAh.
func (p *Pack) SoC(st PackState) float64 {
	return (st.AvailableAh + st.BoundAh - p.residualAh) * p.invC
}

// OCV is the bank's rest voltage (V) at 25 C and a state of charge.
func (p *Pack) OCV(soc float64) float64 { return p.ocv.at(soc * gridSteps) }

// InternalV is the voltage (V) behind the resistance: of the head of the
// available well for lead, so that it sags under load and recovers at rest;
// the rest voltage for lithium.
func (p *Pack) InternalV(st PackState) float64 { return p.internal.at(st.AvailableAh * p.headScale) }

// ChargeROhm is the resistance that a charging current sees: for lithium ROhm
// times RFactor; for lead much more and rising as the bank fills, such that
// at the absorption voltage the bank takes what it accepts (Mas 1967). The bus
// stands at internalV + current x ChargeROhm.
func (p *Pack) ChargeROhm(st PackState, air *PackAir) float64 {
	if !p.kinetic {
		return p.ROhm * air.RFactor
	}
	return p.chargeR.at(p.SoC(st)*gridSteps) * air.RFactor
}

// ChargeLimitA is the largest mean current (A) that the bank takes at its
// terminals over one step: its protection and C-rate limit by temperature, the
// taper at the charge voltage, the acceptance and the room left. Never
// negative, never such that the bank passes 100 %.
func (p *Pack) ChargeLimitA(st PackState, internalV float64, air *PackAir) float64 {
	limit := p.MaxChargeA * air.ChargeFactor
	headroom := p.ChargeV + air.ChargeShiftV - internalV
	if limit <= 0 || headroom <= 0 {
		return 0
	}
	if p.kinetic {
		return p.leadChargeLimitA(st, headroom, air, limit)
	}
	selfAh := st.AvailableAh * p.selfDischargeStep * air.SelfDischargeFactor
	if room := (p.topAh - st.AvailableAh + selfAh) * p.roomGain; room < limit {
		limit = room
	}

	// Constant voltage: headroom/R at the step's start; over the step the
	// current decays with the time constant R dQ/dV. The mean of an
	// exponential, (1-e^-x)/x, by its Pade form 1/(1+x/2+x^2/12); divided only
	// where it matters.
	i := int(st.AvailableAh * p.headScale)
	if uint(i) <= gridSteps {
		r := p.ROhm * air.RFactor
		rise := p.internal[i].dv * p.slopeStep
		if taper := 12*r*r + 6*r*rise + rise*rise; 12*r*headroom < limit*taper {
			if i < gridSteps/2 { // a nearly empty bank rises steeply at first and then hardly
				rise = min(rise, p.riseOver(st, internalV, limit))
				taper = 12*r*r + 6*r*rise + rise*rise
			}
			if 12*r*headroom < limit*taper {
				limit = 12 * r * headroom / taper
			}
		}
	}
	if limit < 0 {
		return 0
	}
	return limit
}

// riseOver is by how much a step at a current (A, above 0) raises lithium's rest
// voltage, V per A.
func (p *Pack) riseOver(st PackState, internalV, chargeA float64) float64 {
	st.AvailableAh += chargeA * p.stepH * (1 - p.bulkLoss)
	return (p.InternalV(st) - internalV) / chargeA
}

func (p *Pack) leadChargeLimitA(st PackState, headroomV float64, air *PackAir, limit float64) float64 {
	both := st.AvailableAh + st.BoundAh
	stored := both - p.residualAh
	x := stored * p.invC * gridSteps

	if r := p.chargeR.at(x) * air.RFactor; headroomV*p.taper < limit*r {
		limit = headroomV * p.taper / r
	}
	roomA := (p.availableMaxAh - p.keep*st.AvailableAh - p.share*both) * p.invGain
	if a := (p.bothAh - both) * p.invStepH; a < roomA {
		roomA = a
	}
	roomA += stored * p.selfDischargeStep * air.SelfDischargeFactor * p.invStepH
	if eta := p.efficiency.at(x); roomA < limit*eta {
		limit = roomA / eta
	}
	if limit < 0 {
		return 0
	}
	return limit
}

// DischargeLimitA is the largest mean current (A) that the bank gives over one
// step: that of its protection, and what takes it exactly to its floor, which is the
// cut-off state of charge (higher in the cold, where less can be drawn) or,
// for lead, the empty available well. May be 0.
func (p *Pack) DischargeLimitA(st PackState, air *PackAir) float64 {
	both := st.AvailableAh + st.BoundAh
	stored := both - p.residualAh
	self := stored * p.selfDischargeStep * air.SelfDischargeFactor
	aboveFloor := stored - self - p.CapacityAh + min(p.usableAh, p.CapacityAh*air.CapacityFactor)
	limit := p.TripA
	if a := aboveFloor * p.invStepH; a < limit {
		limit = a
	}
	if p.kinetic {
		emptyAh := p.availableMaxAh * (1 - air.CapacityFactor)
		wells := (p.keep*st.AvailableAh+p.share*both-emptyAh)*p.invGain - self*p.invStepH
		if wells < limit {
			limit = wells
		}
	}
	if limit < 0 {
		return 0
	}
	return limit
}

// Advance moves the bank through one step at a mean current (A, above 0 for
// charging) and returns the charge lost in conversion and by self-discharge
// (Ah): the change of AvailableAh+BoundAh is chargeA x step - both losses.
func (p *Pack) Advance(st *PackState, chargeA float64, air *PackAir) (coulombLossAh, selfDischargeAh float64) {
	both := st.AvailableAh + st.BoundAh
	stored := both - p.residualAh
	selfDischargeAh = stored * p.selfDischargeStep * air.SelfDischargeFactor
	chargeAh := chargeA * p.stepH
	if chargeA > 0 {
		lost := p.bulkLoss
		if p.kinetic {
			lost = 1 - p.efficiency.at(stored*p.invC*gridSteps)
		}
		coulombLossAh = chargeAh * lost
		chargeAh -= coulombLossAh
	}
	if !p.kinetic { // what does not wait for the current comes first
		st.AvailableAh = st.AvailableAh - selfDischargeAh + chargeAh
		return coulombLossAh, selfDischargeAh
	}
	netAh := chargeAh - selfDischargeAh
	after := both + netAh
	st.AvailableAh = p.keep*st.AvailableAh + p.share*both + p.gain*netAh*p.invStepH
	st.BoundAh = after - st.AvailableAh
	return coulombLossAh, selfDischargeAh
}
