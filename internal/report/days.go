package report

import (
	"math"
	"strings"

	"tripsim/internal/sim"
)

// Days is the account of a result by local day: on a terminal what an adviser
// reads, in CSV and JSON every figure. risk may be nil.
func Days(r *sim.Result, risk *sim.Risk, f Format) *Table {
	t := &Table{Columns: dayColumns(r, risk, f)}
	for i := range r.Days {
		t.Rows = append(t.Rows, dayRow(r, risk, i, f))
	}
	t.Total = dayTotal(r, f)
	return t
}

// dayColumns lists the columns in the order of dayCells.
func dayColumns(r *sim.Result, risk *sim.Risk, f Format) []Column {
	unserved, dayRisk := "", ""
	if r != nil && r.Total.UnservedWh > negligibleWh {
		unserved = headUnserved
	}
	if risk != nil && risk.Draws > 0 && risk.FlatDraws > 0 {
		dayRisk = headDayRisk
	}
	_, degrees := f.Degrees(0)
	return []Column{
		{Key: "system", Doc: "name of the system"},
		{Key: "day", Doc: "number of the day, from 1"},
		{Key: "date", Head: headDate, Doc: "local date, ISO 8601"},
		{Key: "weekday", Doc: "day of the week, 1 = Monday to 7 = Sunday"},
		{Key: "place", Head: headPlace, Wrap: true, Doc: "place of the stop"},
		{Key: "hours", Decimals: 2, Doc: "length of the local day, h (23 or 25 when the clock changes)"},
		{Key: "drive_h", Head: headDrive, Decimals: 1, Drop: 4, Doc: "driving, h"},
		{Key: "mains_h", Head: headMainsH, Decimals: 1, Drop: 5, Doc: "hours at a powered site, h"},
		{Key: "sun_kwh_m2", Head: headSun, Decimals: 1, Drop: 6, Doc: "global horizontal irradiation, kWh/m²"},
		{Key: "air_min_c", Head: f.Text(headAirMin, degrees), Drop: 7, Doc: "lowest air temperature, °C"},
		{Key: "air_max_c", Head: f.Text(headAirMax, degrees), Drop: 7, Doc: "highest air temperature, °C"},
		{Key: "solar_wh", Head: headSolar, Legend: []string{legendWh}, Drop: 1, Doc: "from panels, after the regulator, Wh"},
		{Key: "alternator_wh", Head: headAltern, Legend: []string{legendWh, legendAltern}, Drop: 1, Doc: "from the alternator, after the charger, Wh"},
		{Key: "mains_wh", Head: headMains, Legend: []string{legendWh, legendMains}, Drop: 1, Doc: "from a powered site: after the charger, and straight to AC appliances, Wh"},
		{Key: "loads_wh", Head: headLoads, Legend: []string{legendServed}, Doc: "served to appliances, Wh"},
		{Key: "unserved_wh", Head: unserved, Doc: "unserved: asked for by appliances while flat, tripped or overloaded, Wh"},
		{Key: "spilled_wh", Head: headSpilled, Legend: []string{legendSpilled}, Drop: 3, Doc: "panel power that nothing could take, Wh"},
		{Key: "loss_wh", Doc: "lost in chargers, inverter and battery, Wh"},
		{Key: "store_change_wh", Doc: "rise of the energy in the battery, Wh"},
		{Key: "low_soc_pct", Head: headLow, Legend: []string{legendCharge}, Percent: true, Doc: "lowest state of charge of the day, %"},
		{Key: "low_at", Doc: "end of the step with the lowest state of charge, local time, ISO 8601"},
		{Key: "end_soc_pct", Head: headEnd, Legend: []string{legendCharge}, Percent: true, Drop: 1, Doc: "state of charge at the end of the day, %"},
		{Key: "flat_h", Doc: "disconnected at the cut-off, h"},
		{Key: "current_cut_h", Doc: "appliances cut off because they asked for more current than the battery allows, h"},
		{Key: "inverter_off_h", Doc: "inverter off on low voltage, h"},
		{Key: "charge_refused", Doc: "yes if the battery refused charge because of its temperature"},
		{Key: "flat_risk_pct", Head: dayRisk, Percent: true, Drop: 2, Doc: "share of simulated trips that are flat on this day, %; blank without simulated trips"},
		{Key: "flat_risk_low_pct", Doc: "lower end of its 95 % Wilson interval, %"},
		{Key: "flat_risk_high_pct", Doc: "upper end of its 95 % Wilson interval, %"},
		{Key: "remark", Head: headRemark, Wrap: true, Doc: "what stands out, in words"},
	}
}

func dayRow(r *sim.Result, risk *sim.Risk, i int, f Format) Row {
	d := &r.Days[i]
	zone := zoneOfStop(r, d.Stop)
	share := sim.Proportion{Share: math.NaN(), Low: math.NaN(), High: math.NaN()}
	if risk != nil && i < len(risk.ByDay) {
		share = risk.ByDay[i].Flat
	}
	remark := dayRemark(d, f)
	row := Row{Cells: []Cell{
		Text(r.System.Name),
		Number(float64(i + 1)),
		Text(isoDate(d.Date)).Shown(f.Day(d.Date)),
		Number(float64((int(d.Date.Weekday())+6)%7 + 1)),
		Text(d.Place),
		Number(d.Hours),
		Number(d.DriveH),
		Number(d.MainsH),
		Number(d.SunKWhM2),
		Number(d.TempMinC).Shown(f.degree(d.TempMinC)),
		Number(d.TempMaxC).Shown(f.degree(d.TempMaxC)),
		Number(d.SolarBusWh),
		Number(d.AlternatorBusWh),
		Number(d.MainsBusWh + d.TransferWh),
		Number(d.ServedWh()),
		Number(d.UnservedWh),
		Number(d.SpilledWh),
		Number(d.LossWh()),
		Number(d.StoreChangeWh),
		Number(100 * d.LowSoC),
		Text(isoLocal(d.LowAt.In(zone))),
		Number(100 * d.EndSoC),
		Number(d.FlatH),
		Number(cutHours(r, d.FirstRow, d.EndRow)),
		Number(d.TripH),
		Yes(d.Refused),
		Number(100 * share.Share).Shown(f.Share(share.Share)),
		Number(100 * share.Low),
		Number(100 * share.High),
		Text(plainSpaces.Replace(remark)).Shown(remark),
	}}
	switch {
	case d.Flat():
		row.Mark = BadMark
	case remark != "":
		row.Mark = WarnMark
	}
	return row
}

// dayRemark says in words what stands out on a day.
func dayRemark(d *sim.Day, f Format) string {
	var remarks []string
	if d.Flat() {
		remarks = append(remarks, f.Text(remarkFlat, f.Hours(d.FlatH)))
	}
	if d.TripH > 0 {
		remarks = append(remarks, f.Text(remarkTripped, f.Hours(d.TripH)))
	}
	if d.Refused {
		remarks = append(remarks, remarkRefused)
	}
	return strings.Join(remarks, ", ")
}

// dayTotal is the row of sums. Shares of the sums of several days make no
// sense; the lowest and the last state of charge do.
func dayTotal(r *sim.Result, f Format) *Row {
	blank := Cell{}
	driveH, mainsH, flatH := 0.0, 0.0, 0.0
	for i := range r.Days {
		driveH += r.Days[i].DriveH
		mainsH += r.Days[i].MainsH
		flatH += r.Days[i].FlatH
	}
	t := &r.Total
	remark := blank
	if flatH > 0 {
		remark = Text(f.Text(remarkFlat, f.Hours(flatH)))
	}
	return &Row{Cells: []Cell{
		blank, blank, Text(f.Count(len(r.Days), textDay, textDays)), blank, blank,
		blank, Number(driveH), Number(mainsH), blank, blank, blank,
		Number(t.SolarBusWh), Number(t.AlternatorBusWh), Number(t.MainsBusWh + t.TransferWh),
		Number(t.ServedWh()), Number(t.UnservedWh), Number(t.SpilledWh), Number(t.LossWh()),
		Number(t.StoreChangeWh), Number(100 * r.LowSoC), blank, Number(100 * r.EndSoC),
		Number(r.FlatH), Number(cutHours(r, 0, len(r.Rows))), blank, blank, blank, blank, blank, remark,
	}}
}

// cutHours is how long the loads were off in the steps [from, to) because they
// asked for more current than the battery allows, h.
func cutHours(r *sim.Result, from, to int) float64 {
	sum := 0.0
	for i := from; i < min(to, len(r.Rows)); i++ {
		sum += r.Rows[i].CutH()
	}
	return sum
}

// DaysOf joins the day tables of several systems, for CSV and JSON.
func DaysOf(results []*sim.Result, risks []*sim.Risk, f Format) *Table {
	all := &Table{Columns: dayColumns(nil, nil, f)}
	for i, r := range results {
		all.Rows = append(all.Rows, Days(r, riskOf(risks, i), f).Rows...)
	}
	return all
}
