package profiles

import (
	"slices"
	"strings"
	"sync"
)

// Appliance is a generic consumer with the defaults of a row of loads.
type Appliance struct {
	ID, Name, Group string
	Kind            string  // steady, window, uses or fridge
	Supply          string  // dc or ac
	Watts           float64 // real power while on
	StandbyW        float64 // when off but connected
	SurgeW          float64 // for seconds at the start; not below Watts
	PowerFactor     float64 // 1 for dc and for heaters
	DutyPct         float64 // share of the on-time at Watts
	Start           string  // window: HH:MM local
	Hours           float64 // window: per day
	Times           string  // uses: HH:MM;HH:MM local
	Minutes         float64 // uses: each
	Days            string  // all, driving, parked, off_grid or mains
	Essential       bool
	Fridge          Fridge // kind fridge only
	Note, Source    string
}

// ApparentVA is the apparent power (VA), which an inverter is rated by.
func (a Appliance) ApparentVA() float64 { return a.Watts / a.PowerFactor }

// DailyWh is the energy (Wh) of a day that the preset's own pattern asks for;
// 0 for a fridge, whose use follows from the air.
func (a Appliance) DailyWh() float64 {
	onH := 0.0
	switch a.Kind {
	case "steady":
		onH = 24
	case "window":
		onH = a.Hours
	case "uses":
		onH = float64(len(strings.Split(a.Times, ";"))) * a.Minutes / 60
	default:
		return 0
	}
	duty := a.DutyPct / 100
	return onH*(duty*a.Watts+(1-duty)*a.StandbyW) + (24-onH)*a.StandbyW
}

var appliances = sync.OnceValue(func() []Appliance {
	t := readPresets("appliances.csv")
	out := make([]Appliance, len(t.rows))
	for i := range out {
		a := Appliance{
			ID: t.text(i, "id"), Name: t.text(i, "name"), Group: t.text(i, "group"),
			Kind: t.text(i, "kind"), Supply: t.text(i, "supply"),
			Watts: t.number(i, "watts"), StandbyW: t.numberOr(i, "standby_w", 0),
			PowerFactor: t.numberOr(i, "power_factor", 1), DutyPct: t.numberOr(i, "duty_pct", 100),
			Start: t.text(i, "start"), Hours: t.numberOr(i, "hours", 0),
			Times: t.text(i, "times"), Minutes: t.numberOr(i, "minutes", 0),
			Days: t.text(i, "days"), Essential: t.yes(i, "essential"),
			Note: t.text(i, "note"), Source: t.text(i, "source"),
		}
		a.SurgeW = t.numberOr(i, "surge_w", a.Watts)
		if a.Kind == "fridge" {
			a.Fridge = Fridge{
				Litres: t.number(i, "litres"), SetpointC: t.number(i, "setpoint_c"),
				OpeningsPerDay: t.numberOr(i, "openings_per_day", 0), WarmKgPerDay: t.numberOr(i, "warm_kg_per_day", 0),
				CompressorW: a.Watts, StandbyW: a.StandbyW, UAWPerK: t.numberOr(i, "ua_w_per_k", 0),
			}.WithDefaults()
		}
		out[i] = a
	}
	return out
})

// Appliances lists the generic presets (presets/appliances.csv).
func Appliances() []Appliance { return slices.Clone(appliances()) }

// ApplianceByID finds a preset.
func ApplianceByID(id string) (Appliance, bool) {
	for _, a := range appliances() {
		if a.ID == id {
			return a, true
		}
	}
	return Appliance{}, false
}
