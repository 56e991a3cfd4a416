package web

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tripsim/internal/profiles"
	"tripsim/internal/scenario"
)

// columnInfo is a column of the schema as the page needs it.
type columnInfo struct {
	Name     string   `json:"name"`
	Label    string   `json:"label"`
	Unit     string   `json:"unit"`
	Kind     string   `json:"kind"`
	Default  string   `json:"default"`
	Blank    string   `json:"blank"` // what a blank cell means
	Required bool     `json:"required"`
	Choices  []string `json:"choices"`
	About    string   `json:"about"` // with range and choices
	Example  string   `json:"example"`
	Common   bool     `json:"common"` // shown without asking for more
}

type tableInfo struct {
	File    string       `json:"file"`
	Row     string       `json:"row"` // what one row is
	About   string       `json:"about"`
	MaxRows int          `json:"max_rows"`
	Order   []string     `json:"order"`   // of the columns in a file
	Columns []columnInfo `json:"columns"` // common ones first
}

var kindNames = map[scenario.Kind]string{
	scenario.Text: "text", scenario.Number: "number", scenario.Integer: "integer", scenario.YesNo: "yesno",
	scenario.Clock: "clock", scenario.ClockList: "clocks", scenario.Date: "date", scenario.Choice: "choice",
	scenario.ZoneName: "zone", scenario.Operation: "operation",
}

// commonColumns are shown at once; the others under "more".
var commonColumns = map[string][]string{
	"trip.csv":     {"place", "days", "drive_start", "drive_hours", "mains_start", "mains_hours", "shade_pct"},
	"loads.csv":    {"name", "supply", "watts", "start", "hours", "days"}, // of uses the page shows times and minutes instead
	"systems.csv":  {"system", "chemistry", "battery_ah", "batteries", "min_soc_pct", "start_soc_pct", "inverter_w", "inverter_on", "alternator_spare_a", "price"},
	"chargers.csv": {"charger", "alternator_a", "solar_a", "mains_a", "total_a"},
	"panels.csv":   {"panel", "watts", "mount", "charger", "shade_pct"},
	"job.csv":      {"title", "customer", "reference", "currency", "target_flat_risk_pct", "reserve_pct", "notes"},
}

// labels of the columns, without unit; a test holds that none is missing.
var labels = map[string]string{
	"date": "Date", "place": "Place", "latitude": "Latitude", "longitude": "Longitude", "time_zone": "Time zone",
	"generator_start": "Generator from", "generator_hours": "Generator for", "note": "Note",
	"preset": "From the catalogue", "kind": "Kind", "supply": "Supply", "power_factor": "Power factor", "essential": "Essential", "medical": "Medical",
	"litres": "Volume", "openings_per_day": "Openings per day", "chemistry": "Chemistry", "batteries": "Batteries",
	"battery_offset_c": "Battery place warmer by", "battery_min_c": "Battery never colder than",
	"inverter_preset": "Inverter from the catalogue", "docked_start": "Docked from", "docked_hours": "Docked for", "price": "Price",
	"priority": "Priority", "panel": "Panel", "deployed": "Set out", "key": "Fact", "value": "Value",
	"title": "Title", "customer": "Customer", "reference": "Reference", "prepared_by": "Prepared by", "business": "Business", "contact": "Contact",
	"logo": "Logo", "currency": "Currency", "notes": "Notes",
	"elevation_m": "Elevation", "sun_kwh_m2": "Sun per day", "temp_min_c": "Coldest", "temp_max_c": "Warmest",
	"shade_pct": "Shade", "mains_limit_a": "Site limit", "generator_w": "Generator power", "duty_pct": "Duty",
	"ua_w_per_k": "Heat leak", "warm_kg_per_day": "Warm food per day", "battery_ah": "Capacity each",
	"min_soc_pct": "Cut-off", "cutoff_v": "Cut-off voltage", "reconnect_soc_pct": "Reconnect at", "start_soc_pct": "Charge at start",
	"max_charge_a": "Charge limit", "max_discharge_a": "Discharge limit", "charge_v": "Charging voltage",
	"inverter_w": "Inverter", "inverter_surge_w": "Inverter surge", "inverter_idle_w": "Inverter idle draw",
	"inverter_on": "Inverter on", "ac_transfer": "Mains feeds AC", "alternator_spare_a": "Alternator spare", "vehicle_v": "Vehicle voltage",
	"shed_soc_pct": "Shed below", "docked_days": "Docked on", "health_pct": "Health", "temp_coeff_pct_per_k": "Temperature coefficient",
	"noct_c": "Cell temperature", "soiling_pct": "Dust", "target_flat_risk_pct": "Accepted risk",
	"reserve_pct": "Wanted reserve", "nominal_v": "System voltage", "total_a": "Shared limit", "alternator_a": "Alternator",
	"solar_a": "Solar", "mains_a": "Mains", "efficiency_pct": "Efficiency", "setpoint_c": "Set point",
	"ambient_offset_c": "Warmer around by", "driving_offset_c": "More while driving", "ambient_min_c": "Air around never colder than", "night_setback_c": "Warmer at night by",
	"standby_w": "Standby", "surge_w": "Start peak", "heater_w": "Battery heater", "watts": "Power", "tilt_deg": "Tilt",
	"azimuth_deg": "Azimuth", "hours": "For", "minutes": "Each", "start": "From", "name": "Appliance", "system": "System",
	"idle_start": "Idle from", "idle_hours": "Idle for", "drive_hours": "Drive", "drive_start": "Leave", "mains_hours": "Mains", "mains_start": "Plug in", "times": "Times",
	"turns_per_day": "Turns per day", "mount": "Mount", "charger": "Unit", "days": "Days",
}

// label reads a column name: "drive_start" becomes "Drive start".
func label(name string) string {
	if l, ok := labels[name]; ok {
		return l
	}
	words := strings.ReplaceAll(name, "_", " ")
	return strings.ToUpper(words[:1]) + words[1:]
}

// units as people write them.
var units = strings.NewReplacer("deg C", "°C", "degrees", "°", "kWh/m2", "kWh/m²", "hours", "h", "minutes", "min", "days", "")

func infoOf(c *scenario.Column, common []string) columnInfo {
	info := columnInfo{
		Name: c.Name, Label: label(c.Name), Unit: units.Replace(c.Unit), Kind: kindNames[c.Kind], Default: c.Default,
		Blank: plainly(c.BlankMeans()), Required: c.Required, Choices: c.Choices, About: helpOf(c), Example: c.Example,
	}
	for _, name := range common {
		info.Common = info.Common || name == c.Name
	}
	return info
}

// schema is the scenario's schema; the columns of job.csv are its keys.
func schema() []tableInfo {
	var out []tableInfo
	for _, spec := range scenario.Specs() {
		t := tableInfo{File: spec.File, Row: spec.Row, About: plainly(spec.About), MaxRows: spec.MaxRows}
		columns := spec.Columns
		if spec.File == "job.csv" {
			columns = scenario.JobKeys()
		}
		common := commonColumns[spec.File]
		for i := range columns {
			t.Columns = append(t.Columns, infoOf(&columns[i], common))
		}
		slices.SortStableFunc(t.Columns, func(a, b columnInfo) int { return place(common, a.Name) - place(common, b.Name) })
		t.Order = spec.Names()
		out = append(out, t)
	}
	return out
}

// place is where a column stands among the common ones, behind them if not one.
func place(common []string, name string) int {
	if i := slices.Index(common, name); i >= 0 {
		return i
	}
	return len(common)
}

// part is an entry of the catalogue: cells that it fills in.
type part struct {
	ID     string            `json:"id"`
	Name   string            `json:"name"`
	Group  string            `json:"group"`
	Note   string            `json:"note"`
	Source string            `json:"source"`
	Cells  map[string]string `json:"cells"`
}

// catalogue holds the generic parts by the table that they fill.
func catalogue() map[string][]part {
	return map[string][]part{
		"loads.csv": applianceParts(), "chargers.csv": chargerParts(), "panels.csv": panelParts(),
		"inverters": inverterParts(), "batteries": batteryParts(),
	}
}

// plainNumber writes a figure as a cell; what is not there or nothing is blank.
func plainNumber(v float64) string {
	if math.IsNaN(v) || v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// applianceParts name their figures so that the page can show what a blank cell
// of a row with this preset stands for; only name and preset go into the row.
func applianceParts() (out []part) {
	for _, a := range profiles.Appliances() {
		cells := map[string]string{
			"name": a.Name, "preset": a.ID, "kind": a.Kind, "supply": a.Supply, "watts": plainNumber(a.Watts),
			"standby_w": plainNumber(a.StandbyW), "duty_pct": plainNumber(a.DutyPct), "start": a.Start, "hours": plainNumber(a.Hours),
			"times": a.Times, "minutes": plainNumber(a.Minutes), "days": a.Days, "surge_w": plainNumber(a.SurgeW),
			"power_factor": plainNumber(a.PowerFactor), "essential": yes(a.Essential),
		}
		if a.Kind == "fridge" {
			cells["litres"], cells["setpoint_c"] = plainNumber(a.Fridge.Litres), plainNumber(a.Fridge.SetpointC)
			cells["openings_per_day"], cells["warm_kg_per_day"] = plainNumber(a.Fridge.OpeningsPerDay), plainNumber(a.Fridge.WarmKgPerDay)
		}
		note := a.Note
		if wh := a.DailyWh(); wh > 0 {
			note = strings.TrimSpace(strconv.FormatFloat(math.Round(wh), 'f', -1, 64) + " Wh a day. " + note)
		}
		out = append(out, part{a.ID, a.Name, a.Group, note, a.Source, cells})
	}
	return out
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func chargerParts() (out []part) {
	for _, c := range profiles.Chargers() {
		cells := map[string]string{
			"charger": c.Name, "alternator_a": plainNumber(c.AlternatorA), "solar_a": plainNumber(c.SolarA),
			"mains_a": plainNumber(c.MainsA), "efficiency_pct": plainNumber(math.Round(1000*c.Efficiency) / 10),
		}
		if c.TotalA > 0 && c.TotalA < c.AlternatorA+c.SolarA+c.MainsA {
			cells["total_a"] = plainNumber(c.TotalA)
		}
		out = append(out, part{c.ID, c.Name, plainNumber(c.NominalV) + " V", "", c.Source, cells})
	}
	return out
}

func panelParts() (out []part) {
	for _, p := range profiles.Panels() {
		cells := map[string]string{
			"panel": p.Name, "watts": plainNumber(p.Watts), "mount": p.Mount,
			"temp_coeff_pct_per_k": plainNumber(p.TempCoeffPctPerK), "noct_c": plainNumber(p.NOCTC), "soiling_pct": plainNumber(p.SoilingPct),
		}
		out = append(out, part{p.ID, p.Name, p.Mount, "", p.Source, cells})
	}
	return out
}

func inverterParts() (out []part) {
	for _, v := range profiles.Inverters() {
		out = append(out, part{v.ID, v.Name, "", "", v.Source, map[string]string{
			"inverter_w":       plainNumber(v.RatedW),
			"inverter_surge_w": plainNumber(v.SurgeW), "inverter_idle_w": plainNumber(v.IdleW),
		}})
	}
	return out
}

func batteryParts() (out []part) {
	for _, b := range profiles.BatterySizes() {
		size := plainNumber(b.CapacityAh)
		out = append(out, part{
			b.ChemistryID + "_" + size, size + " Ah " + b.ChemistryID, b.ChemistryID, "", b.Source,
			map[string]string{"chemistry": b.ChemistryID, "battery_ah": size, "nominal_v": plainNumber(b.NominalV)},
		})
	}
	return out
}
