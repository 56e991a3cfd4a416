package main

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/chart"
)

// Pictures name in words whatever --vary can vary.
func TestEveryColumnThatCanBeVariedHasItsWords(t *testing.T) {
	for table, file := range variable {
		for _, column := range numericColumns(file[0]) {
			setting := table + "." + column
			assert.NotEqual(t, setting, chart.SettingInWords(setting), "give it words in chart/setting.go")
		}
	}
}

// inventedWeather writes two years of made-up hours.
func inventedWeather(t *testing.T) string {
	var b strings.Builder
	b.WriteString("time,ghi,temp\n")
	for at := time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2025; at = at.Add(time.Hour) {
		sun := 700 * max(0, math.Sin(float64(at.Hour()-6)/12*math.Pi))
		fmt.Fprintf(&b, "%s,%.0f,%.1f\n", at.Format(time.RFC3339), sun, 12+sun/70)
	}
	file := filepath.Join(t.TempDir(), "invented.csv")
	require.NoError(t, os.WriteFile(file, []byte(b.String()), 0o600))
	return file
}

func quoted(t *testing.T, args ...string) (page, stderr string) {
	dir := t.TempDir()
	var out, errs bytes.Buffer
	args = append([]string{"quote", filepath.Join("testdata", "trips", "holds"), "--date", "2026-05-31", "--format", "none", "--out", dir}, args...)
	require.Zero(t, run(args, strings.NewReader(""), &out, &errs), errs.String())
	data, err := os.ReadFile(filepath.Join(dir, "quote.html"))
	require.NoError(t, err)
	return strings.ReplaceAll(string(data), "\u00a0", " "), errs.String()
}

func TestQuoteOnAWeatherFileSaysSo(t *testing.T) {
	file := inventedWeather(t)
	page, errs := quoted(t, "--weather", file, "--draws", "10", "--option-draws", "4", "--sections", "systems,charge,season,sources")
	assert.Contains(t, page, "Of 2 trips on recorded weather, none ran flat")
	assert.Contains(t, page, "<bdi>invented.csv</bdi>")
	assert.NotContains(t, page, "typical of these places")
	assert.NotContains(t, page, "simulated trip")
	assert.NotContains(t, page, `id="season"`)
	assert.Contains(t, errs, "season is left out")
	assert.Contains(t, page, "--weather=", "the command that makes it again")

	page, errs = quoted(t, "--weather", file, "--weather-days", "month", "--draws", "10", "--option-draws", "4", "--sections", "systems")
	assert.Contains(t, page, "typical of these places")
	assert.Contains(t, page, "trips on recorded weather")
	assert.NotContains(t, errs, "season")
}

func TestQuoteTakesTheAcceptedRisk(t *testing.T) {
	page, _ := quoted(t, "--risk", "12.5", "--draws", "10", "--option-draws", "4", "--sections", "systems")
	assert.Contains(t, page, "all but the accepted 13 % of simulated trips")
	var out, errs bytes.Buffer
	assert.Equal(t, statusBadInput, run([]string{"quote", filepath.Join("testdata", "trips", "holds"), "--risk", "101"}, strings.NewReader(""), &out, &errs))
	assert.Contains(t, errs.String(), "--risk: 101 is not 0 to 100 %")
}
