package report

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"tripsim/internal/sim"
)

// Texts of the fitter's sheet.
const (
	fitTitle  = "Fitter's sheet: %s"
	fitSystem = "%s, %s V; charges at up to %s, gives up to %s, absorption at %s, float at %s."
	fitModes  = "What should flow while charging (A)"
	fitRuns   = "Cables and fuses"
	fitBench  = "Bench test with a clamp meter"
	fitWatch  = "To watch with this system"
	fitCare   = "Before anything is connected"

	fitModeNote = "Battery half charged, at 25 °C, nothing switched on. V and A of an input are at the unit, after the cable's drop; " +
		"mains at 230 V with a power factor of one (small chargers may draw half as much again: common practice). " +
		"Solar inputs are for panels of %s at their power point. Driving: the alternator gives %s when warm, and down to %s in a " +
		"voltage-controlled vehicle (common practice, no source). Noon is the median over the days of this trip: clear = %s."
	fitNoonText = "no cloud and no shade at the stop, panels set out; typical = the month's mean with the stop's shade"

	fitRunNote = "Continuous and peak (seconds) follow from the ratings, trip is the largest in the simulated trip in typical weather. " +
		"One-way lengths; drop at the continuous current, there and back, of the run's nominal voltage. Copper, class 5, 70 °C insulation: resistance after IEC 60228 " +
		"at the temperature of the conductor, ampacity after ISO 10133 (from memory), lowered to air of %s after IEC 60364-5-52. " +
		"The fuse is the next standard size above the continuous current and not above the cable's ampacity; slow enough for the peak. " +
		"Where it would work above 80 %% of its size for long, take the next size if the cable carries it (common practice, no source)."
	fitLengthNote = "Lengths without --run: battery 0.5, inverter 1, dc 2, charger 1.5, alternator 5, panel 4 m (common practice, no source)."
	fitWhyNote    = "Continuous currents: "
	fitPanelNote  = "Panels: fuse each string where three or more are in parallel; a means to disconnect in any case."

	fitBenchNote = "Clamp the run's plus cable; at the battery, charging counts positive. Let chargers run for ten minutes first. " +
		"The tolerances are common practice: some 5 % for a charger, 3 % for the meter."

	fitConfirm = "Everything here is to be confirmed against the local standard and the makers' papers by a licensed person before it is fitted."
)

// fitCautions hold for every system.
var fitCautions = []string{
	"Fuse every plus cable at its source, within 200 mm of the battery's terminal (ISO 10133, ABYC E-11; from memory). A run between two batteries, or from alternator to battery, has a source at both ends: fuse both.",
	"The main fuse must be able to interrupt the battery's short-circuit current: lithium gives several thousand amperes.",
	"A battery cannot be switched off at its terminals: cover them, insulate tools, take off rings, connect minus last.",
	"Inverter output and mains are lethal: earthing, residual-current device, transfer switch and everything on that side only by licensed people under local codes.",
	"Panels are live in daylight: cover them, and connect battery before panels.",
	"Crimp with the right die, protect cables from edges, heat and fuel; tighten to the maker's torque and look again after the first week.",
}

// FittingSheet is a fitter's sheet with what it belongs to.
type FittingSheet struct {
	Scenario string
	Program  string
	Hash     string
	Weather  string
	Fitting  *sim.Fitting
}

// Text lays the sheet out for a terminal.
func (sh *FittingSheet) Text(s Screen) string {
	f, fit := s.Format, sh.Fitting
	b := &fit.Battery
	text := s.Heading(f.Text(fitTitle, Describe(fit.System, f))) +
		s.Paragraph("", "", f.Text(fitSystem, BatteryText(fit.System, f), f.Number(fit.System.Battery.NominalV, 0),
			f.With(b.MaxChargeA, 0, "A"), f.With(b.MaxDischargeA, 0, "A"), f.With(b.ChargeV, 1, "V"), f.With(b.FloatV, 1, "V"))) +
		s.Paragraph("", "", fitConfirm) + "\n"
	for _, t := range []*Table{sh.Modes(f), sh.Runs(f), sh.Bench(f)} {
		text += t.Render(s) + "\n"
	}
	text += sh.list(s, fitWatch, fit.Cautions) + "\n" + sh.list(s, fitCare, fitCautions) + "\n"
	return text + s.Paragraph("", "", textEstimate)
}

func (sh *FittingSheet) list(s Screen, head string, lines []string) string {
	if len(lines) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString(s.Heading(head))
	for _, line := range lines {
		b.WriteString(s.Paragraph("  - ", "    ", Clean(line)))
	}
	return b.String()
}

// Modes is what should flow in every way of charging, input by input, with the
// battery as the last row of each.
func (sh *FittingSheet) Modes(f Format) *Table {
	fit := sh.Fitting
	t := &Table{Title: fitModes, Columns: []Column{
		{Key: "mode", Head: "mode", Wrap: true, Doc: "way of charging"},
		{Key: "unit", Head: "unit", Wrap: true, Doc: "charger, or the battery for the sum"},
		{Key: "source", Head: "from", Doc: "input of the charger"},
		{Key: "out_a", Head: "out A", Decimals: 0, Doc: "current at the battery's side, A"},
		{Key: "in_v", Head: "in V", Decimals: 1, Drop: 2, Doc: "voltage at the unit's input, V"},
		{Key: "in_a", Head: "in A", Decimals: 1, Doc: "current at the unit's input, A"},
		{Key: "limit", Head: "limited by", Wrap: true, Drop: 1, Doc: "what limits the current; blank = the unit's rating"},
	}}
	for i := range fit.Modes {
		sh.modeRows(t, &fit.Modes[i])
	}
	if len(fit.Modes) == 0 {
		t.Notes = []string{"No charger: nothing charges this battery."}
		return t
	}
	t.Notes = []string{f.Text(fitModeNote, f.With(fit.Options.PanelV, 0, "V"), f.With(fit.UsualAlternatorV(), 1, "V"), f.With(fit.LowAlternatorV(), 1, "V"), fitNoonText)}
	return t
}

func (sh *FittingSheet) modeRows(t *Table, m *sim.ChargeMode) {
	name := Text(m.Name)
	for i := range m.Inputs {
		in := &m.Inputs[i]
		t.Rows = append(t.Rows, Row{Cells: []Cell{
			name, Text(sh.Fitting.System.Chargers[in.Charger].Name), Text(in.Source),
			Number(in.OutA), Number(in.InV), Number(in.InA), Text(in.Limit),
		}})
		name = name.Shown(" ")
	}
	t.Rows = append(t.Rows, Row{Cells: []Cell{
		name, Text("= battery"), Text(""), Number(m.BatteryA),
		Number(m.BatteryV),
		{},
		Text(m.Limit),
	}})
}

// Runs are the cables and fuses.
func (sh *FittingSheet) Runs(f Format) *Table {
	fit := sh.Fitting
	t := &Table{Title: fitRuns, Columns: []Column{
		{Key: "run", Head: "run", Doc: "name of the run, for --run"},
		{Key: "part", Head: "part", Wrap: true, Drop: 1, Doc: "charger or panel at its end"},
		{Key: "one_way_m", Head: "m", Decimals: 1, Doc: "one-way length, m"},
		{Key: "design_a", Head: "contin. A", Decimals: 0, Doc: "continuous current, from ratings, A"},
		{Key: "peak_a", Head: "peak A", Decimals: 0, Doc: "for seconds, from ratings, A"},
		{Key: "trip_a", Head: "trip A", Decimals: 0, Drop: 2, Doc: "largest in the simulated trip, A"},
		{Key: "parallel", Doc: "conductors in parallel"},
		{Key: "mm2", Head: "mm²", Doc: "cross-section of each conductor, mm2"},
		{Key: "ampacity_a", Head: "carries A", Decimals: 0, Drop: 3, Doc: "ampacity of the run, A"},
		{Key: "fuse_a", Head: "fuse A", Decimals: 0, Doc: "next standard fuse, A"},
		{Key: "drop_v", Head: "drop V", Decimals: 2, Doc: "voltage drop there and back, V"},
		{Key: "drop_pct", Head: "drop %", Decimals: 1, Doc: "the same, % of the nominal voltage"},
		{Key: "nominal_v", Doc: "voltage that the drop is a share of, V"},
		{Key: "conductor_c", Doc: "temperature of the conductor at that current, °C"},
		{Key: "loss_w", Doc: "heat in the run at that current, W"},
		{Key: "inside", Doc: "yes for runs inside a portable pack"},
		{Key: "why", Doc: "how the continuous current comes about"},
		{Key: "problem", Doc: "why there is no cable for it"},
	}}
	for i := range fit.Runs {
		t.Rows = append(t.Rows, runRow(&fit.Runs[i], f))
	}
	t.Notes = []string{f.Text(fitRunNote, f.Temperature(fit.Options.AirC)) + " " + fitLengthNote}
	if len(fit.System.Panels) > 0 {
		t.Notes = append(t.Notes, fitPanelNote)
	}
	var why []string
	for i := range fit.Runs {
		why = append(why, fit.Runs[i].ID+": "+fit.Runs[i].Why)
	}
	t.Notes = append(t.Notes, fitWhyNote+strings.Join(why, "; ")+".")
	return t
}

func runRow(r *sim.FittingRun, f Format) Row {
	c := &r.Cable
	mm2 := Number(c.MM2).Shown(f.Number(c.MM2, sizeDecimals(c.MM2)))
	if c.Parallel > 1 {
		mm2 = Number(c.MM2).Shown(fmt.Sprintf("%d×%s", c.Parallel, f.Number(c.MM2, 0)))
	}
	row := Row{Cells: []Cell{
		Text(r.ID), Text(r.Part), Number(r.OneWayM), ampsCell(r.DesignA, f), ampsCell(r.PeakA, f), ampsCell(r.TripA, f),
		Number(float64(c.Parallel)), mm2, Number(c.AmpacityA), Number(c.FuseA).Shown(f.Number(c.FuseA, sizeDecimals(c.FuseA))), Number(c.DropV), Number(c.DropPct), Number(r.NominalV),
		Number(c.ConductC), Number(c.LossW), Yes(r.Inside), Text(r.Why), Text(r.NoCable),
	}}
	switch {
	case r.NoCable != "":
		row.Mark = WarnMark
		for _, i := range []int{6, 7, 8, 9, 10, 11, 13, 14} {
			row.Cells[i] = Cell{}
		}
	case r.Inside:
		row.Cells[1] = Text(strings.TrimSpace(r.Part + " (inside the pack)"))
	}
	return row
}

// ampsCell shows small currents with a decimal.
func ampsCell(a float64, f Format) Cell {
	c := Number(a)
	if a < 10 && a > 0 {
		return c.Shown(f.Number(a, 1))
	}
	return c
}

// sizeDecimals is how many decimals a standard size is written with.
func sizeDecimals(x float64) int {
	switch {
	case x == math.Trunc(x):
		return 0
	case 10*x == math.Trunc(10*x):
		return 1
	}
	return 2
}

// Bench is the table for the clamp meter.
func (sh *FittingSheet) Bench(f Format) *Table {
	t := &Table{Title: fitBench, Columns: []Column{
		{Key: "test", Head: "test", Wrap: true, Doc: "what is switched on"},
		{Key: "run", Head: "clamp on", Doc: "run whose plus cable is clamped"},
		{Key: "expect_a", Head: "expect A", Decimals: 1, Doc: "expected current, A; at the battery charging is positive"},
		{Key: "low_a", Head: "from", Decimals: 1, Doc: "least that is right, A"},
		{Key: "high_a", Head: "to", Decimals: 1, Doc: "most that is right, A"},
		{Key: "note", Head: "note", Wrap: true, Drop: 1, Doc: "remark"},
	}, Notes: []string{fitBenchNote}}
	last := ""
	for i := range sh.Fitting.Bench {
		b := &sh.Fitting.Bench[i]
		test := Text(b.Test)
		if b.Test == last {
			test = test.Shown(" ")
		}
		last = b.Test
		t.Rows = append(t.Rows, Row{Cells: []Cell{
			test, Text(b.Run), Number(b.ExpectA), Number(b.ExpectA - b.MinusA),
			Number(b.ExpectA + b.PlusA), Text(b.Note),
		}})
	}
	return t
}

// Table finds a table of the sheet by name: runs, modes or bench; nil for
// another.
func (sh *FittingSheet) Table(name string, f Format) *Table {
	switch name {
	case "runs":
		return sh.Runs(f)
	case "modes":
		return sh.Modes(f)
	case "bench":
		return sh.Bench(f)
	}
	return nil
}

// Files are the sheet's tables and its machine-readable form, for WriteSet.
func (sh *FittingSheet) Files() ([]File, error) {
	doc, err := sh.JSON()
	if err != nil {
		return nil, err
	}
	f := DefaultFormat()
	return []File{
		{"fitting-modes.csv", sh.Modes(f).CSV()},
		{"fitting-runs.csv", sh.Runs(f).CSV()},
		{"fitting-bench.csv", sh.Bench(f).CSV()},
		{"fitting.json", doc},
	}, nil
}

// fittingJSON is the sheet for programs.
type fittingJSON struct {
	Schema    string          `json:"schema"`
	Program   string          `json:"program"`
	Scenario  string          `json:"scenario"`
	InputHash string          `json:"input_hash"`
	System    string          `json:"system"`
	Battery   fitBatteryJSON  `json:"battery"`
	Options   fitOptionsJSON  `json:"options"`
	Modes     json.RawMessage `json:"modes"`
	Runs      json.RawMessage `json:"runs"`
	Bench     json.RawMessage `json:"bench_test"`
	Watch     []string        `json:"to_watch"`
	Cautions  []string        `json:"cautions"`
}

type fitBatteryJSON struct {
	NominalV      num `json:"nominal_v"`
	MaxChargeA    num `json:"max_charge_a"`
	MaxDischargeA num `json:"max_discharge_a"`
	ChargeV       num `json:"charge_v"`
	FloatV        num `json:"float_v"`
	LoadV         num `json:"loaded_v"`
	BulkV         num `json:"bulk_v"`
	Ohm           num `json:"resistance_ohm"`
}

type fitOptionsJSON struct {
	DropPct  num `json:"drop_pct"`
	AirC     num `json:"air_c"`
	VehicleV num `json:"vehicle_v"`
	PanelV   num `json:"panel_v"`
}

// JSON writes the sheet for programs.
func (sh *FittingSheet) JSON() ([]byte, error) {
	fit, f := sh.Fitting, DefaultFormat()
	b, o := &fit.Battery, &fit.Options
	doc := fittingJSON{
		Schema: "tripsim-fitting/1", Program: sh.Program, Scenario: sh.Scenario, InputHash: sh.Hash, System: fit.System.Name,
		Battery: fitBatteryJSON{num(fit.System.Battery.NominalV), num(b.MaxChargeA), num(b.MaxDischargeA), num(b.ChargeV), num(b.FloatV), num(b.LoadV), num(b.BulkV), num(b.ROhm)},
		Options: fitOptionsJSON{num(o.DropPct), num(o.AirC), num(o.VehicleV), num(o.PanelV)},
		Modes:   sh.Modes(f).JSON(), Runs: sh.Runs(f).JSON(), Bench: sh.Bench(f).JSON(),
		Watch: append([]string{}, fit.Cautions...), Cautions: append([]string{fitConfirm}, fitCautions...),
	}
	return document(doc)
}
