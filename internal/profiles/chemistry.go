package profiles

import (
	"fmt"
	"math"
	"slices"
	"sync"
)

// Chemistry holds the parameters of one battery chemistry. Voltages are per
// cell, resistances for a 12 V battery of 100 Ah at 25 C. The presets and the
// source of every value are in presets/chemistries.csv.
type Chemistry struct {
	ID, Name string

	Cells12V float64 // cells in series in a 12 V battery

	// Kinetic battery model; KineticC = 1 keeps all charge in one well.
	KineticC, KineticKPerH float64

	OCVEmptyV, OCVFullV float64 // lead: rest voltage is linear in SoC
	EndV                float64 // end of discharge under load

	CellMilliohm, LeadsMilliohm, ResistanceEaKJ float64

	BulkLoss, GassingExponent float64 // coulombic loss on charge
	AcceptancePerH            float64 // 0: no acceptance limit besides the voltage

	ChargeV, FloatV, ChargemVPerK float64
	SelfDischargePctMonth         float64
	MaxChargeC, MaxDischargeC     float64 // share of capacity per hour

	MinSoC, ReconnectMargin float64

	ChargeMinC, ChargeMinHystK, ChargeMaxC, ChargeMaxHystK float64
	ColdChargeCAt0, ColdChargeCAt10                        float64 // NaN: not reduced in the cold
	DischargeMinC, DischargeMaxC                           float64
	ColdCapacity                                           [6]float64 // at coldCapacityC

	WhPerKg, SpecificHeatJPerKgK, LagH float64

	CycleN1, CycleExponent float64 // cycles at depth D: CycleN1 D^-CycleExponent

	air *airTable // precomputed for the presets
}

// coldCapacityC are the temperatures (C) of Chemistry.ColdCapacity.
var coldCapacityC = [6]float64{-30, -20, -10, 0, 10, 25}

// Lithium tells whether the chemistry keeps all its charge in one well.
func (c Chemistry) Lithium() bool { return c.KineticKPerH == 0 }

var chemistryNames = []struct{ id, name string }{
	{"lifepo4", "Lithium iron phosphate"},
	{"agm", "Lead-acid, absorbed glass mat"},
	{"gel", "Lead-acid, gel"},
	{"flooded", "Lead-acid, flooded"},
}

var chemistries = sync.OnceValue(func() []Chemistry {
	t := readPresets("chemistries.csv")
	row := make(map[string]int, len(t.rows))
	for i := range t.rows {
		row[t.text(i, "parameter")] = i
	}
	out := make([]Chemistry, 0, len(chemistryNames))
	for _, n := range chemistryNames {
		v := func(parameter string) float64 {
			i, ok := row[parameter]
			if !ok {
				panic(fmt.Sprintf("presets/chemistries.csv: no row %q", parameter))
			}
			return t.number(i, n.id)
		}
		c := Chemistry{
			ID: n.id, Name: n.name,
			Cells12V: v("cells_12v"),
			KineticC: v("kibam_c"), KineticKPerH: v("kibam_k"),
			OCVEmptyV: v("ocv_empty"), OCVFullV: v("ocv_full"), EndV: v("end_v"),
			CellMilliohm: v("cell_mohm"), LeadsMilliohm: v("leads_mohm"), ResistanceEaKJ: v("resistance_ea"),
			BulkLoss: v("bulk_loss"), GassingExponent: v("gassing_exponent"), AcceptancePerH: v("acceptance"),
			ChargeV: v("charge_v"), FloatV: v("float_v"), ChargemVPerK: v("charge_mv_per_k"),
			SelfDischargePctMonth: v("self_discharge"),
			MaxChargeC:            v("max_charge_c"), MaxDischargeC: v("max_discharge_c"),
			MinSoC: v("min_soc"), ReconnectMargin: v("reconnect_margin"),
			ChargeMinC: v("charge_min_c"), ChargeMinHystK: v("charge_min_hyst_k"),
			ChargeMaxC: v("charge_max_c"), ChargeMaxHystK: v("charge_max_hyst_k"),
			ColdChargeCAt0: v("cold_charge_c_at_0"), ColdChargeCAt10: v("cold_charge_c_at_10"),
			DischargeMinC: v("discharge_min_c"), DischargeMaxC: v("discharge_max_c"),
			ColdCapacity: [6]float64{
				v("capacity_m30"), v("capacity_m20"), v("capacity_m10"),
				v("capacity_0"), v("capacity_10"), v("capacity_25"),
			},
			WhPerKg: v("wh_per_kg"), SpecificHeatJPerKgK: v("cp_j_kg_k"), LagH: v("lag_h"),
			CycleN1: v("cycle_n1"), CycleExponent: v("cycle_k"),
		}
		air := newAirTable(c)
		c.air = &air
		out = append(out, c)
	}
	return out
})

// Chemistries lists the preset chemistries.
func Chemistries() []Chemistry { return slices.Clone(chemistries()) }

// ChemistryByID finds a preset: lifepo4, agm, gel or flooded.
func ChemistryByID(id string) (Chemistry, bool) {
	for _, c := range chemistries() {
		if c.ID == id {
			return c, true
		}
	}
	return Chemistry{}, false
}

// capacityFactor is the share of the 25 C capacity that can be drawn at a
// battery temperature; 0 outside the range of discharge.
func (c Chemistry) capacityFactor(tempC float64) float64 {
	if tempC < c.DischargeMinC || tempC > c.DischargeMaxC {
		return 0
	}
	last := len(coldCapacityC) - 1
	if tempC >= coldCapacityC[last] {
		return c.ColdCapacity[last]
	}
	if tempC <= coldCapacityC[0] {
		return c.ColdCapacity[0]
	}
	i := 1
	for tempC > coldCapacityC[i] {
		i++
	}
	share := (tempC - coldCapacityC[i-1]) / (coldCapacityC[i] - coldCapacityC[i-1])
	return c.ColdCapacity[i-1] + share*(c.ColdCapacity[i]-c.ColdCapacity[i-1])
}

// resistanceFactor is the resistance at a battery temperature relative to
// 25 C: the cells' part follows Arrhenius, the leads' part stays.
func (c Chemistry) resistanceFactor(tempC float64) float64 {
	const gasConstant, kelvin = 8.314462618e-3, 273.15 // kJ/(mol K)
	cells := math.Exp(c.ResistanceEaKJ / gasConstant * (1/(tempC+kelvin) - 1/(25+kelvin)))
	return (c.CellMilliohm*cells + c.LeadsMilliohm) / (c.CellMilliohm + c.LeadsMilliohm)
}

// coulombicEfficiency is the share of a charging current that is stored.
func (c Chemistry) coulombicEfficiency(soc float64) float64 {
	eta := 1 - c.BulkLoss
	if c.GassingExponent > 0 {
		eta *= -math.Expm1(-c.GassingExponent * (1 - soc))
	}
	return max(eta, minCoulombicEfficiency)
}

// minCoulombicEfficiency bounds the efficiency of a full lead battery, where
// all current gasses, away from zero.
const minCoulombicEfficiency = 0.02
