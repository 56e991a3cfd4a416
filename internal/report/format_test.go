package report

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Forms of numbers and dates: Unicode Common Locale Data Repository, release 44
// (from memory for the dates; the numbers come from the library's own copy).
func TestNumbersAndDatesFollowTheLocale(t *testing.T) {
	at := time.Date(2025, 3, 4, 14, 5, 0, 0, time.UTC)
	for _, c := range []struct{ locale, number, day, date, clock, percent string }{
		{"en-GB", "1,234.5", "Tue 4 Mar", "4 March 2025", "14:05", "34 %"},
		{"en-US", "1,234.5", "Tue, Mar 4", "March 4, 2025", "2:05 pm", "34 %"},
		{"de", "1.234,5", "Di 4. März", "4. März 2025", "14:05", "34 %"},
		{"fr", "1 234,5", "mar. 4 mars", "4 mars 2025", "14:05", "34 %"},
		{"es-MX", "1,234.5", "mar 4 mar", "4 de marzo de 2025", "14:05", "34 %"},
		{"de_CH", "1’234.5", "Di 4. März", "4. März 2025", "14:05", "34 %"},
	} {
		f, err := NewFormat(c.locale, "")
		require.NoError(t, err, c.locale)
		assert.Equal(t, c.number, plain(f.Number(1234.5, 1)), c.locale)
		assert.Equal(t, c.day, plain(f.Day(at)), c.locale)
		assert.Equal(t, c.date, plain(f.Date(at)), c.locale)
		assert.Equal(t, c.clock, plain(f.Clock(at)), c.locale)
		assert.Equal(t, c.percent, plain(f.Percent(0.335)), c.locale)
	}
	for _, bad := range []string{"", "xx", "tlh", "ja", "en-", "not a locale", "../de"} {
		_, err := NewFormat(bad, "")
		assert.ErrorContains(t, err, "is not a known locale; use e.g.", "%q", bad)
	}
}

// The definition of the Fahrenheit scale: 0 C is 32 F, 100 C is 212 F.
func TestTemperaturesInEitherUnit(t *testing.T) {
	celsius := DefaultFormat()
	assert.Equal(t, "−7 °C", plain(celsius.Temperature(-7.2)))
	assert.Equal(t, "0 °C", plain(celsius.Temperature(-0.2)))
	assert.Empty(t, celsius.Temperature(math.NaN()))
	american, err := NewFormat("en-US", "")
	require.NoError(t, err)
	assert.Equal(t, "32 °F", plain(american.Temperature(0)))
	assert.Equal(t, "212 °F", plain(american.Temperature(100)))
	metric, err := NewFormat("en-US", "C")
	require.NoError(t, err)
	assert.Equal(t, "100 °C", plain(metric.Temperature(100)))
	german, err := NewFormat("de", "f")
	require.NoError(t, err)
	assert.Equal(t, "212 °F", plain(german.Temperature(100)))
	_, err = NewFormat("de", "k")
	assert.ErrorContains(t, err, `"k" is not a unit of temperature`)
}

// Half away from zero (ISO 80000-1:2022, annex B, rule B; from memory), of the decimal value
// that is meant: 0.285 and 0.145 are less than that in binary.
func TestHalvesAreRoundedAwayFromZero(t *testing.T) {
	f := DefaultFormat()
	for share, want := range map[float64]string{
		0.325: "33 %", 0.285: "29 %", 0.145: "15 %", 0.005: "1 %", 0.0049: "0 %", 0.995: "100 %", 0.335: "34 %",
	} {
		assert.Equal(t, want, plain(f.Percent(share)), "%v", share)
	}
	for k := range 1001 {
		want := (k + 5) / 10 // in whole numbers
		assert.Equal(t, fmt.Sprint(want), f.Number(100*float64(k)/1000, 0), "%d of 1000", k)
	}
	assert.Equal(t, "29 %", plain(f.Share(0.285)))
	assert.Equal(t, "4.4 %", plain(f.Share(0.0435)))
	assert.Equal(t, "−3", f.Number(-2.5, 0))
	assert.Equal(t, "0.4", f.Number(0.35, 1))
}

func TestSharesAreNotRoundedToNothingOrEverything(t *testing.T) {
	f := DefaultFormat()
	for share, want := range map[float64]string{
		0: "0 %", 1: "100 %", 0.0004: "< 0.1 %", 0.0006: "0.1 %", 0.9996: "> 99.9 %", 0.9994: "99.9 %",
		0.05: "5 %", 0.0512: "5.1 %", 0.0996: "10 %", 0.1234: "12 %", 0.5: "50 %", 0.9: "90 %", 0.911: "91.1 %",
	} {
		assert.Equal(t, want, plain(f.Share(share)), "%v", share)
	}
	assert.Empty(t, f.Share(math.NaN()))
}

func TestNumbersThatAreNone(t *testing.T) {
	f := DefaultFormat()
	assert.Empty(t, f.Number(math.NaN(), 1))
	assert.Equal(t, textUnlimited, f.Number(math.Inf(1), 1))
	assert.Equal(t, "0.0", f.Number(-0.01, 1), "no minus zero")
	assert.Equal(t, "−0.1", f.Number(-0.06, 1))
	assert.Equal(t, "1 day", plain(f.Count(1, "day", "days")))
	assert.Equal(t, "1,000 days", plain(f.Count(1000, "day", "days")))
	assert.Equal(t, "5.5 h", plain(f.Hours(5.5)))
	assert.Equal(t, "5 h", plain(f.Hours(5)))
	assert.Equal(t, "26 h", plain(f.Hours(25.7)))
	assert.Equal(t, "3 min", plain(f.Hours(.05)))
	assert.Equal(t, "0.1 h", plain(f.Hours(.1)))
	assert.Equal(t, "0 h", plain(f.Hours(0)))
}

// ISO 8601-1:2019, 5.4.2.1: local time with the shift from UTC.
func TestMomentsCarryTheirOffset(t *testing.T) {
	at := time.Date(2025, 10, 26, 1, 30, 0, 0, time.UTC)
	assert.Equal(t, "2025-10-26T02:30:00+01:00", isoLocal(at.In(zone(t, "Europe/Oslo"))))
	assert.Equal(t, "2025-10-26T02:30:00+02:00", isoLocal(at.Add(-time.Hour).In(zone(t, "Europe/Oslo"))))
	assert.Equal(t, "2025-10-26T07:15:00+05:45", isoLocal(at.In(zone(t, "Asia/Kathmandu"))))
}
