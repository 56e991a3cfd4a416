package chart

import "strings"

// settingWords name in words what a variation varies, by table and column.
var settingWords = map[string]string{
	"system.battery_ah": "battery capacity", "system.batteries": "number of batteries", "system.health_pct": "health of the battery",
	"system.min_soc_pct": "cut-off", "system.reconnect_soc_pct": "state of charge of reconnection", "system.start_soc_pct": "state of charge at the start",
	"system.max_charge_a": "charge limit of the battery", "system.max_discharge_a": "discharge limit of the battery", "system.charge_v": "charging voltage",
	"system.heater_w": "battery heater", "system.cutoff_v": "low-voltage cut-off of the inverter", "system.battery_min_c": "lowest temperature around the battery", "system.battery_offset_c": "warmth around the battery", "system.inverter_w": "inverter power",
	"system.inverter_surge_w": "surge power of the inverter", "system.inverter_idle_w": "idle draw of the inverter",
	"system.alternator_spare_a": "spare current of the alternator", "system.shed_soc_pct": "state of charge of load shedding", "system.standby_w": "standby draw",
	"system.docked_hours": "hours that the battery is docked", "system.price": "price",

	"charger.alternator_a": "alternator current of the charger", "charger.solar_a": "solar current of the charger", "charger.mains_a": "mains current of the charger",
	"charger.total_a": "shared limit of the charger", "charger.efficiency_pct": "efficiency of the charger", "charger.priority": "priority of the charger",

	"panel.watts": "rated power of the panel", "panel.tilt_deg": "tilt of the panel", "panel.azimuth_deg": "heading of the panel",
	"panel.turns_per_day": "turns a day of the panel", "panel.shade_pct": "own shade of the panel", "panel.soiling_pct": "dirt on the panel",
	"panel.temp_coeff_pct_per_k": "change of the panel with temperature", "panel.noct_c": "operating temperature of the panel",
}

// SettingInWords writes a setting given as table.column or table[row].column in
// words; anything else stays as it is.
func SettingInWords(setting string) string {
	table, rest, named := strings.Cut(setting, "[")
	row, column := "", ""
	if named {
		i := strings.LastIndex(rest, "].")
		if i < 0 {
			return setting
		}
		row, column = strings.TrimSpace(rest[:i]), rest[i+2:]
	} else if table, column, named = strings.Cut(setting, "."); !named {
		return setting
	}
	table = strings.TrimSuffix(strings.ToLower(strings.TrimSpace(table)), "s")
	words, ok := settingWords[table+"."+strings.ToLower(strings.TrimSpace(column))]
	if !ok {
		return setting
	}
	if row != "" {
		if words, ok := strings.CutSuffix(words, " the "+table); ok {
			return words + " " + row
		}
		return words + " of " + row
	}
	return words
}
