package chart

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSettingsAreNamedInWords(t *testing.T) {
	for setting, want := range map[string]string{
		"charger.alternator_a":                 "alternator current of the charger",
		"chargers[Combined 30 A].alternator_a": "alternator current of Combined 30 A",
		"panel[Roof].soiling_pct":              "dirt on Roof",
		"system.battery_ah":                    "battery capacity",
		"Charger[odd].[name]. Total_A":         "shared limit of odd].[name",
		"charging current":                     "charging current",
		"charger.no_such":                      "charger.no_such",
		"charger[x.alternator_a":               "charger[x.alternator_a",
	} {
		assert.Equal(t, want, SettingInWords(setting), setting)
	}
	v := inventedVariation(1)
	v.Setting = "charger.alternator_a"
	p, err := Vary(v)
	require.NoError(t, err)
	assert.Equal(t, "Trips not carried as the alternator current of the charger varies", p.Title)
}
