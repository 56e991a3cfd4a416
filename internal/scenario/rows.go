package scenario

import (
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"

	"github.com/gocarina/gocsv"
)

// The rows of the tables as text. gocsv binds them by the names in the tags;
// a test holds the tags against the schema.
type (
	tripRow struct {
		Date           cell `csv:"date"`
		Days           cell `csv:"days"`
		Place          cell `csv:"place"`
		Latitude       cell `csv:"latitude"`
		Longitude      cell `csv:"longitude"`
		ElevationM     cell `csv:"elevation_m"`
		TimeZone       cell `csv:"time_zone"`
		DriveStart     cell `csv:"drive_start"`
		DriveHours     cell `csv:"drive_hours"`
		IdleStart      cell `csv:"idle_start"`
		IdleHours      cell `csv:"idle_hours"`
		MainsStart     cell `csv:"mains_start"`
		MainsHours     cell `csv:"mains_hours"`
		MainsLimitA    cell `csv:"mains_limit_a"`
		GeneratorStart cell `csv:"generator_start"`
		GeneratorHours cell `csv:"generator_hours"`
		GeneratorW     cell `csv:"generator_w"`
		ShadePct       cell `csv:"shade_pct"`
		SunKWhM2       cell `csv:"sun_kwh_m2"`
		TempMinC       cell `csv:"temp_min_c"`
		TempMaxC       cell `csv:"temp_max_c"`
		Note           cell `csv:"note"`
	}

	loadRow struct {
		Name           cell `csv:"name"`
		Preset         cell `csv:"preset"`
		Kind           cell `csv:"kind"`
		Supply         cell `csv:"supply"`
		Watts          cell `csv:"watts"`
		StandbyW       cell `csv:"standby_w"`
		SurgeW         cell `csv:"surge_w"`
		PowerFactor    cell `csv:"power_factor"`
		DutyPct        cell `csv:"duty_pct"`
		Start          cell `csv:"start"`
		Hours          cell `csv:"hours"`
		Times          cell `csv:"times"`
		Minutes        cell `csv:"minutes"`
		Days           cell `csv:"days"`
		Essential      cell `csv:"essential"`
		Medical        cell `csv:"medical"`
		Litres         cell `csv:"litres"`
		SetpointC      cell `csv:"setpoint_c"`
		UAWPerK        cell `csv:"ua_w_per_k"`
		OpeningsPerDay cell `csv:"openings_per_day"`
		WarmKgPerDay   cell `csv:"warm_kg_per_day"`
		AmbientOffsetC cell `csv:"ambient_offset_c"`
		DrivingOffsetC cell `csv:"driving_offset_c"`
		AmbientMinC    cell `csv:"ambient_min_c"`
		NightSetbackC  cell `csv:"night_setback_c"`
		Note           cell `csv:"note"`
	}

	systemRow struct {
		System          cell `csv:"system"`
		Chemistry       cell `csv:"chemistry"`
		BatteryAh       cell `csv:"battery_ah"`
		Batteries       cell `csv:"batteries"`
		NominalV        cell `csv:"nominal_v"`
		HealthPct       cell `csv:"health_pct"`
		MinSoCPct       cell `csv:"min_soc_pct"`
		ReconnectSoCPct cell `csv:"reconnect_soc_pct"`
		CutoffV         cell `csv:"cutoff_v"`
		StartSoCPct     cell `csv:"start_soc_pct"`
		MaxChargeA      cell `csv:"max_charge_a"`
		MaxDischargeA   cell `csv:"max_discharge_a"`
		ChargeV         cell `csv:"charge_v"`
		HeaterW         cell `csv:"heater_w"`
		PlaceOffsetC    cell `csv:"battery_offset_c"`
		PlaceMinC       cell `csv:"battery_min_c"`
		InverterPreset  cell `csv:"inverter_preset"`
		InverterW       cell `csv:"inverter_w"`
		InverterSurgeW  cell `csv:"inverter_surge_w"`
		InverterIdleW   cell `csv:"inverter_idle_w"`
		InverterOn      cell `csv:"inverter_on"`
		ACTransfer      cell `csv:"ac_transfer"`
		AlternatorSpare cell `csv:"alternator_spare_a"`
		VehicleV        cell `csv:"vehicle_v"`
		ShedSoCPct      cell `csv:"shed_soc_pct"`
		StandbyW        cell `csv:"standby_w"`
		DockedDays      cell `csv:"docked_days"`
		DockedStart     cell `csv:"docked_start"`
		DockedHours     cell `csv:"docked_hours"`
		Price           cell `csv:"price"`
		Note            cell `csv:"note"`
	}

	chargerRow struct {
		System        cell `csv:"system"`
		Charger       cell `csv:"charger"`
		Preset        cell `csv:"preset"`
		AlternatorA   cell `csv:"alternator_a"`
		SolarA        cell `csv:"solar_a"`
		MainsA        cell `csv:"mains_a"`
		TotalA        cell `csv:"total_a"`
		EfficiencyPct cell `csv:"efficiency_pct"`
		Priority      cell `csv:"priority"`
	}

	panelRow struct {
		System        cell `csv:"system"`
		Panel         cell `csv:"panel"`
		Preset        cell `csv:"preset"`
		Watts         cell `csv:"watts"`
		Mount         cell `csv:"mount"`
		TiltDeg       cell `csv:"tilt_deg"`
		AzimuthDeg    cell `csv:"azimuth_deg"`
		TurnsPerDay   cell `csv:"turns_per_day"`
		Charger       cell `csv:"charger"`
		ShadePct      cell `csv:"shade_pct"`
		SoilingPct    cell `csv:"soiling_pct"`
		TempCoeffPctK cell `csv:"temp_coeff_pct_per_k"`
		NOCTC         cell `csv:"noct_c"`
		Deployed      cell `csv:"deployed"`
	}

	jobRow struct {
		Key   cell `csv:"key"`
		Value cell `csv:"value"`
	}
)

// recordReader hands the rows of a table to gocsv: header first, names trimmed,
// blank rows left out, every record as long as the header.
type recordReader struct {
	records [][]string
	rows    []int // index into Table.Rows of each record after the header
}

func newRecordReader(t *Table) *recordReader {
	head := make([]string, len(t.Columns))
	for j, c := range t.Columns {
		head[j] = trim(c)
	}
	r := &recordReader{records: [][]string{head}}
	for i := range t.Rows {
		row := &t.Rows[i]
		if row.blank() {
			continue
		}
		cells := make([]string, len(head))
		copy(cells, row.Cells)
		r.records, r.rows = append(r.records, cells), append(r.rows, i)
	}
	return r
}

func (r *recordReader) Read() ([]string, error) {
	if len(r.records) == 0 {
		return nil, io.EOF
	}
	next := r.records[0]
	r.records = r.records[1:]
	return next, nil
}

func (r *recordReader) ReadAll() ([][]string, error) { return r.records, nil }

// bind reads the rows of a table into structs of cells that know their place.
func bind[R any](k *checker, t *Table, spec *TableSpec) []R {
	if t == nil || t.refused || len(t.Columns) == 0 {
		return nil
	}
	strange := k.checkHeader(t, spec)
	k.checkLengths(t)
	reader := newRecordReader(t)
	if len(reader.rows) == 0 {
		return nil
	}
	var rows []R
	if err := gocsv.UnmarshalCSV(reader, &rows); err != nil && !errors.Is(err, gocsv.ErrEmptyCSVFile) {
		panic(fmt.Sprintf("scenario: binding %s: %v", t.File, err)) // cells take any text
	}
	for i := range rows {
		v := reflect.ValueOf(&rows[i]).Elem()
		for f := range v.NumField() {
			name := v.Type().Field(f).Tag.Get("csv")
			c := v.Field(f).Addr().Interface().(*cell)
			c.col = spec.Column(name)
			j := t.Column(name)
			c.at = t.position(reader.rows[i], j)
			// A column under a wrong name is one mistake, not one per row.
			c.bad = j < 0 && (c.col.Required || strange)
		}
	}
	return rows
}

// position finds where a cell stands; column -1 gives the place after the row.
func (t *Table) position(row, column int) position {
	p := position{table: t, row: row}
	r := &t.header
	if row >= 0 {
		r = &t.Rows[row]
	}
	p.line = r.line
	switch {
	case column >= 0 && column < len(r.cols):
		p.pos = r.cols[column]
	case len(r.cols) > 0:
		p.pos = r.cols[len(r.cols)-1] + len(r.was[len(r.was)-1]) + 1
	}
	return p
}

// checkHeader finds columns that are unknown, named twice or missing. It tells
// whether there was an unknown one, which may stand for one that is not there.
func (k *checker) checkHeader(t *Table, spec *TableSpec) (strange bool) {
	known := spec.Names()
	at := func(j int) *cell { return &cell{at: t.position(-1, j)} }
	seen := map[string]bool{}
	for j, raw := range t.Columns {
		name := trim(raw)
		switch {
		case name == "":
			if t.columnUsed(j) {
				k.report(at(j), "column %d has cells but no name; name it or delete it", j+1)
			}
		case !slices.Contains(known, name):
			k.report(at(j), "%s is not a column of this table; %s", quoted(name), didYouMean(name, known))
			seen[nearest(name, known)] = true
			strange = true
		case seen[name]:
			k.report(at(j), "column %s stands here twice; delete one", name)
		}
		seen[name] = true
	}
	for i, c := range spec.Columns {
		if c.Required && !seen[c.Name] {
			missing := at(-1)
			missing.at.pos += i // in the order of the schema
			k.report(missing, "column %s is missing; every row needs it, e.g. %s", c.Name, c.Example)
		}
	}
	return strange
}

// misses tells whether a column is not there that rows cannot do without.
func (t *Table) misses(spec *TableSpec) bool {
	return t != nil && slices.ContainsFunc(spec.Columns, func(c Column) bool { return c.Required && t.Column(c.Name) < 0 })
}

func (t *Table) columnUsed(j int) bool {
	return slices.ContainsFunc(t.Rows, func(r Row) bool { return trim(r.Cell(j)) != "" })
}

// checkLengths finds rows with more cells than the header has names.
func (k *checker) checkLengths(t *Table) {
	for i := range t.Rows {
		for j := len(t.Columns); j < len(t.Rows[i].Cells); j++ {
			if trim(t.Rows[i].Cells[j]) != "" {
				k.report(&cell{at: t.position(i, j)}, "the row has %d cells but the header names %d columns; put a cell that holds the separator in quotes", len(t.Rows[i].Cells), len(t.Columns))
				break
			}
		}
	}
}
