package scenario

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"tripsim/internal/sim"
)

// dice turns bytes into choices; when they are used up all is zero.
type dice struct{ data []byte }

func (d *dice) next() int {
	if len(d.data) == 0 {
		return 0
	}
	b := d.data[0]
	d.data = d.data[1:]
	return int(b)
}

func (d *dice) share() float64 { return float64(d.next()*256+d.next()) / 65535 }

// cell is a cell that the column allows by itself.
func (d *dice) cell(c *Column) string {
	how := d.next()
	if how%3 == 0 && !c.Required {
		return ""
	}
	switch c.Kind {
	case Number, Integer:
		return d.number(c, how/3)
	case YesNo:
		return []string{"yes", "no"}[how/3%2]
	case Clock:
		return fmt.Sprintf("%02d:%02d", how/3%24, d.next()%60)
	case ClockList:
		return fmt.Sprintf("%02d:%02d;%02d:15", how/3%12, d.next()%60, 12+d.next()%12)
	case Choice:
		return c.Choices[how/3%len(c.Choices)]
	case ZoneName:
		return []string{"Africa/Casablanca", "Europe/Oslo", "Australia/Lord_Howe", "Pacific/Chatham", "America/Sao_Paulo", "UTC"}[how/3%6]
	case Date:
		return time.Date(firstYear+how/3*(lastYear-firstYear)/85, 1, 1+d.next(), 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
	case Operation:
		return []string{"always", "needed", "07:00-22:00", "20:00-06:30"}[how/3%4]
	}
	return ""
}

// number is an end of the range, the example, or a figure between that favours
// the low end.
func (d *dice) number(c *Column, how int) string {
	v := 0.0
	switch how % 6 {
	case 0:
		v = c.Min
	case 1:
		v = c.Max
	case 2:
		v, _ = strconv.ParseFloat(strings.Fields(c.Example)[0], 64)
	case 3:
		v = c.Min + (c.Max-c.Min)*d.share()
	default:
		v = c.Min + (c.Max-c.Min)*math.Pow(d.share(), 4)
	}
	if c.Kind == Integer {
		v = math.Round(v)
	}
	return plain(v)
}

// table writes rows of cells; fix changes what only goes with other cells.
func (d *dice) table(s *TableSpec, rows int, fix func(row int, cells map[string]string)) []byte {
	var b strings.Builder
	b.WriteString(strings.Join(s.Names(), ",") + "\n")
	for row := range rows {
		cells := map[string]string{}
		for i := range s.Columns {
			cells[s.Columns[i].Name] = d.cell(&s.Columns[i])
		}
		fix(row, cells)
		for i, name := range s.Names() {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(cells[name])
		}
		b.WriteByte('\n')
	}
	return []byte(b.String())
}

// scenario makes the tables of a small scenario, most of them valid.
func (d *dice) scenario() map[string][]byte {
	presets := []string{"", "fridge_40", "led_inside", "kettle", "air_con_ac", "coffee_pump"}
	systems := 1 + d.next()%2
	files := map[string][]byte{}
	files["trip.csv"] = d.table(&tripSpec, 1+d.next()%3, func(row int, c map[string]string) {
		c["place"] = fmt.Sprintf("Place %d", row)
		c["days"] = strconv.Itoa(1 + d.next()%2)
		if row > 0 {
			c["date"] = ""
			if d.next()%2 == 0 { // goes on near the first place
				c["latitude"], c["longitude"], c["time_zone"] = "", "", ""
			}
		} else if c["date"] == "" {
			c["date"] = "2026-03-28"
		}
		if c["latitude"] == "" != (c["longitude"] == "") || row == 0 {
			c["latitude"], c["longitude"] = plain(-90+180*d.share()), plain(-180+360*d.share())
		}
		if c["temp_min_c"] == "" || c["temp_max_c"] == "" {
			c["temp_min_c"], c["temp_max_c"] = "", ""
		}
		if h, err := strconv.ParseFloat(c["drive_hours"], 64); err == nil && h > 0 {
			start := d.next() % 24
			c["drive_start"], c["drive_hours"] = fmt.Sprintf("%02d:00", start), plain(min(h, float64(24-start)))
		}
	})
	files["loads.csv"] = d.table(&loadsSpec, 1+d.next()%4, func(row int, c map[string]string) {
		c["name"], c["preset"] = fmt.Sprintf("Load %d", row), presets[d.next()%len(presets)]
		if c["preset"] == "" {
			for name, value := range map[string]string{"kind": "steady", "watts": "12", "hours": "4", "times": "07:30", "minutes": "10"} {
				if c[name] == "" {
					c[name] = value
				}
			}
		}
	})
	files["systems.csv"] = d.table(&systemsSpec, systems, func(row int, c map[string]string) {
		c["system"], c["chemistry"] = fmt.Sprintf("System %d", row), []string{"lifepo4", "agm", "gel", "flooded"}[d.next()%4]
		if d.next()%4 > 0 { // these must stand in order with the chemistry's own
			c["reconnect_soc_pct"], c["start_soc_pct"], c["shed_soc_pct"], c["charge_v"] = "", "", "", ""
		}
		if d.next()%4 > 0 {
			c["inverter_surge_w"], c["inverter_idle_w"] = "", ""
		}
	})
	files["chargers.csv"] = d.table(&chargersSpec, d.next()%4, func(row int, c map[string]string) {
		c["system"], c["charger"] = fmt.Sprintf("System %d", row%systems), fmt.Sprintf("Unit %d", row)
	})
	files["panels.csv"] = d.table(&panelsSpec, d.next()%3, func(row int, c map[string]string) {
		c["system"], c["panel"], c["charger"] = fmt.Sprintf("System %d", row%systems), fmt.Sprintf("Panel %d", row), ""
	})
	return files
}

// mended reads a scenario and, where cells do not go together, blanks those
// that are named and reads it again: most dice end in a scenario that runs.
func mended(files map[string][]byte) (*Scenario, error) {
	for range 6 {
		s, err := FromFiles("fuzz", files)
		if err == nil {
			return s, nil
		}
		tables, _ := Parse(files)
		drop := map[string]map[int]bool{}
		for _, p := range err.(Problems) {
			t := tables[p.File]
			if t == nil || p.Row < 0 || t.Column(p.Column) < 0 {
				return nil, err
			}
			set := func(column, value string) { t.Rows[p.Row].Cells[t.Column(column)] = value }
			switch column := p.Column; column {
			case "panel", "charger":
				if drop[p.File] == nil {
					drop[p.File] = map[int]bool{}
				}
				drop[p.File][p.Row] = true
			case "generator_w":
				set("generator_hours", "")
			case "temp_min_c", "temp_max_c":
				set("temp_min_c", "")
				set("temp_max_c", "")
			case "hours", "minutes", "times":
				set("hours", "3.5")
				set("minutes", "7")
				set("times", "06:50;21:05")
			default:
				set(column, "")
			}
		}
		for file, t := range tables {
			row := -1
			t.Rows = slices.DeleteFunc(t.Rows, func(Row) bool { row++; return drop[file][row] })
		}
		files = tables.Files()
	}
	return FromFiles("fuzz", files)
}

// FuzzSimulate runs random scenarios: whatever the reader lets through can be
// simulated, the energy closes, and every figure is a number in its range.
func FuzzSimulate(f *testing.F) {
	for seed := range 8 {
		data := make([]byte, 400)
		x := uint32(seed + 1)
		for i := range data {
			x = x*1664525 + 1013904223
			data[i] = byte(x >> 24)
		}
		f.Add(data)
	}
	f.Add([]byte(nil))
	f.Fuzz(func(t *testing.T, data []byte) {
		d := &dice{data}
		opt := sim.DefaultOptions()
		opt.Step = []time.Duration{15 * time.Minute, time.Hour, 5 * time.Minute, 30 * time.Minute}[d.next()%4]
		opt.UseSpread = []float64{0, 0.2, 1}[d.next()%3]
		after := d.next()
		s, err := mended(d.scenario())
		if err != nil {
			return
		}
		study, err := sim.NewStudy(&s.Trip, s.Loads, opt)
		require.NoError(t, err)
		for i := range s.Systems {
			typical, err := study.Typical(&s.Systems[i])
			require.NoError(t, err)
			checkResult(t, typical)
			drawn, err := study.RunDraw(&s.Systems[i], uint64(after))
			require.NoError(t, err)
			checkResult(t, drawn)
		}
		simulateMore(t, study, &s.Systems[0], after)
	})
}

// simulateMore asks one of the larger questions about a system.
func simulateMore(t *testing.T, study *sim.Study, sys *sim.System, which int) {
	ctx := context.Background()
	switch which % 4 {
	case 1:
		risks, err := study.Ensemble(ctx, []*sim.System{sys}, 3, nil)
		require.NoError(t, err)
		require.True(t, risks[0].Flat.Share >= 0 && risks[0].Flat.Share <= 1)
	case 2:
		_, err := study.Advise(ctx, sys, sim.Goal{}, 2, nil)
		require.NoError(t, err)
	case 3:
		if _, err := study.Fitting(sys, sim.DefaultFittingOptions()); err != nil {
			require.NotEmpty(t, err.Error())
		}
	}
}

// checkResult holds for every run.
func checkResult(t *testing.T, r *sim.Result) {
	require.LessOrEqual(t, r.Residual, 1e-9)
	unserved, own := 0.0, 0.0 // own: what the system itself draws
	floor, asked := -1e-9*(1+r.Total.InWh()+r.Total.DischargedWh), 0.0
	l := &r.Total
	for i, wh := range []float64{
		l.SolarWh, l.AlternatorWh, l.MainsWh, l.TransferWh, l.DCLoadWh, l.ACLoadWh, l.HeaterWh, l.ChargerLossWh,
		l.InverterLossWh, l.SelfDischargeWh, l.ChargedWh, l.DischargedWh, l.SpilledWh, l.UnservedWh, l.ShedWh, l.NoOutletWh,
	} {
		require.True(t, wh >= floor && wh < 1e12, "ledger %d: %g Wh", i, wh)
	}
	for i := range r.Rows {
		row := &r.Rows[i]
		require.True(t, row.SoC >= -1e-9 && row.SoC <= 1+1e-9, "state of charge %g", row.SoC)
		require.True(t, row.VoltageV > 0 && row.VoltageV < 100, "%g V", row.VoltageV)
		require.True(t, row.FlatH >= 0 && row.OffH >= row.FlatH-1e-12 && row.OffH <= r.Step.Hours()+1e-12, "flat %g h, off %g h", row.FlatH, row.OffH)
		own += r.System.StandbyW * (r.Step.Hours() - row.OffH)
		require.False(t, math.IsNaN(row.BatteryA+row.PeakA+row.InputA+row.BatteryC+row.FloorSoC))
	}
	for i := range r.Loads {
		asked += r.Loads[i].AskedWh
		unserved += r.Loads[i].UnservedWh
	}
	require.InDelta(t, asked, l.ServedWh()-own+l.UnservedWh+l.ShedWh+l.NoOutletWh, 1e-6*(1+asked), "what is asked for is served or accounted for")
	require.InDelta(t, unserved, l.UnservedWh, 1e-6*(1+asked), "by appliance")
	require.True(t, r.WearShare >= 0 && r.AutonomyDays >= 0, "wear %g, autonomy %g", r.WearShare, r.AutonomyDays)
}
