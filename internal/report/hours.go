package report

import (
	"time"

	"tripsim/internal/sim"
)

// hourColumns lists the columns in the order of hourRow.
func hourColumns() []Column {
	return []Column{
		{Key: "system", Doc: "name of the system"},
		{Key: "start", Doc: "start of the hour, local time with offset, ISO 8601"},
		{Key: "day", Doc: "number of the day, from 1"},
		{Key: "place", Doc: "place of the stop"},
		{Key: "hours", Doc: "length of the row, h (1, or less at the end of a day whose clock is shifted)"},
		{Key: "drive_h", Doc: "driving, h"},
		{Key: "mains_h", Doc: "at a powered site, h"},
		{Key: "generator_h", Doc: "generator running, h"},
		{Key: "ghi_w_m2", Doc: "mean global horizontal irradiance, W/m²"},
		{Key: "air_c", Doc: "mean air temperature, °C"},
		{Key: "battery_c", Doc: "mean battery temperature, °C"},
		{Key: "panel_w", Doc: "mean power of the panels at their power point, W"},
		{Key: "asked_wh", Doc: "asked for by appliances, Wh"},
		{Key: "dc_load_wh", Doc: "served to DC appliances, Wh"},
		{Key: "ac_load_wh", Doc: "served to AC appliances, Wh"},
		{Key: "unserved_wh", Doc: "unserved: asked for while flat, tripped or overloaded, Wh"},
		{Key: "heater_wh", Doc: "battery heater, Wh"},
		{Key: "solar_wh", Doc: "from panels into regulators, Wh"},
		{Key: "alternator_wh", Doc: "from the alternator into chargers, Wh"},
		{Key: "mains_wh", Doc: "from the site into chargers, Wh"},
		{Key: "transfer_wh", Doc: "from the site straight to AC appliances, Wh"},
		{Key: "solar_bus_wh", Doc: "solar after its regulator, Wh"},
		{Key: "alternator_bus_wh", Doc: "alternator after its charger, Wh"},
		{Key: "mains_bus_wh", Doc: "mains after its charger, Wh"},
		{Key: "spilled_wh", Doc: "panel power that nothing could take, Wh"},
		{Key: "charger_loss_wh", Doc: "lost in chargers, Wh"},
		{Key: "inverter_loss_wh", Doc: "lost in the inverter, idle included, Wh"},
		{Key: "battery_loss_wh", Doc: "lost in the battery, Wh"},
		{Key: "self_discharge_wh", Doc: "self-discharge, Wh"},
		{Key: "store_change_wh", Doc: "rise of the energy in the battery, Wh"},
		{Key: "charged_wh", Doc: "into the battery's terminals, Wh"},
		{Key: "discharged_wh", Doc: "out of the battery's terminals, Wh"},
		{Key: "end_soc_pct", Doc: "state of charge at the end of the hour, %"},
		{Key: "cut_off_soc_pct", Doc: "state of charge at which the battery is disconnected, at the end of the hour, %"},
		{Key: "voltage_v", Doc: "mean battery terminal voltage, V"},
		{Key: "battery_a", Doc: "mean battery current, charging positive, A"},
		{Key: "peak_a", Doc: "highest discharge current, A"},
		{Key: "alternator_peak_a", Doc: "highest current that the chargers drew on the alternator's side, A"},
		{Key: "flat_h", Doc: "disconnected at the cut-off, h"},
		{Key: "current_cut_h", Doc: "appliances cut off because they asked for more current than the battery allows, h"},
		{Key: "inverter_off_h", Doc: "inverter off on low voltage, h"},
		{Key: "charge_refused", Doc: "yes if the battery refused charge because of its temperature"},
		{Key: "shed", Doc: "yes if non-essential appliances were off"},
	}
}

// Hours is the account of results by hour, for CSV and JSON. Hours are counted
// from the start of each local day; rows never cross midnight.
func Hours(results []*sim.Result) *Table {
	t := &Table{Columns: hourColumns()}
	for _, r := range results {
		perHour := 1
		if r.Step > 0 {
			perHour = max(1, int(time.Hour/r.Step))
		}
		for d := range r.Days {
			for from := r.Days[d].FirstRow; from < r.Days[d].EndRow; from += perHour {
				t.Rows = append(t.Rows, hourRow(r, d, from, min(from+perHour, r.Days[d].EndRow)))
			}
		}
	}
	return t
}

// hourRow adds up the steps [from, to).
func hourRow(r *sim.Result, day, from, to int) Row {
	var l sim.Ledger
	var drive, mains, gen, ghi, air, batteryC, panel, asked, volts, amps, peak, input, flat, cut, off float64
	refused, shed := false, false
	n := float64(to - from)
	stepH := r.Step.Hours()
	for i := from; i < to; i++ {
		row, slot := &r.Rows[i], &r.Slots[i]
		l.Add(&row.Ledger)
		drive += slot.DriveH
		mains += slot.MainsH
		gen += slot.GenH
		ghi += at(r.Traces.GHIWm2, i) / n
		air += at(r.Traces.AirC, i) / n
		panel += at(r.Traces.PanelW, i) / n
		asked += at(r.Traces.DemandW, i) * stepH
		batteryC += row.BatteryC / n
		volts += row.VoltageV / n
		amps += row.BatteryA / n
		peak = max(peak, row.PeakA)
		input = max(input, row.InputA)
		flat += row.FlatH
		cut += row.CutH()
		off += row.TripH
		refused = refused || row.Refused
		shed = shed || row.Shed
	}
	first := &r.Slots[from]
	return Row{Cells: []Cell{
		Text(r.System.Name), Text(isoLocal(first.Start.In(zoneAt(r, from)))),
		Number(float64(day + 1)), Text(r.Days[day].Place), Number(n * stepH),
		Number(drive), Number(mains), Number(gen),
		Number(ghi), Number(air), Number(batteryC), Number(panel),
		Number(asked), Number(l.DCLoadWh), Number(l.ACLoadWh), Number(l.UnservedWh), Number(l.HeaterWh),
		Number(l.SolarWh), Number(l.AlternatorWh), Number(l.MainsWh), Number(l.TransferWh),
		Number(l.SolarBusWh), Number(l.AlternatorBusWh), Number(l.MainsBusWh), Number(l.SpilledWh),
		Number(l.ChargerLossWh), Number(l.InverterLossWh), Number(l.BatteryLossWh), Number(l.SelfDischargeWh),
		Number(l.StoreChangeWh), Number(l.ChargedWh), Number(l.DischargedWh),
		Number(100 * r.Rows[to-1].SoC), Number(100 * r.Rows[to-1].FloorSoC), Number(volts), Number(amps), Number(peak), Number(input),
		Number(flat), Number(cut), Number(off), Yes(refused), Yes(shed),
	}}
}

// at is x[i], or zero where a trace was not kept.
func at(x []float64, i int) float64 {
	if i < len(x) {
		return x[i]
	}
	return 0
}
