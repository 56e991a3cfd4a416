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
)

// inventedEPW is ten October days of an invented weather file (EPW), made at
// a latitude and height.
func inventedEPW(t *testing.T, latDeg, elevationM float64) string {
	t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b, "LOCATION,Invented,-,-,Invented,0,%g,-9.6,0,%g\n", latDeg, elevationM)
	b.WriteString(strings.Repeat("COMMENTS 1,\n", 6) + "DATA PERIODS,1,1,Data,Sunday,10/1,10/10\n")
	for h := range 240 {
		at := time.Date(2025, 10, 1, h, 0, 0, 0, time.UTC)
		ghi := max(0, 600*math.Cos((float64(at.Hour())+0.5-12.4)*math.Pi/12))
		row := make([]string, 35)
		for i := range row {
			row[i] = "0"
		}
		row[0], row[1], row[2], row[3], row[4] = "2025", "10", fmt.Sprint(at.Day()), fmt.Sprint(at.Hour()+1), "60"
		row[6], row[13], row[14], row[15] = "18", fmt.Sprintf("%.0f", ghi), "9999", "9999"
		b.WriteString(strings.Join(row, ",") + "\n")
	}
	path := filepath.Join(t.TempDir(), "harbour.epw")
	require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o600))
	return path
}

func runProgram(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	require.Equal(t, statusDone, run(args, strings.NewReader(""), &out, &errs), errs.String())
	return out.String()
}

// runOneLine is what the program prints, without its line ends.
func runOneLine(t *testing.T, args ...string) string {
	t.Helper()
	return strings.Join(strings.Fields(runProgram(t, args...)), " ")
}

func TestARecordedTripIsToldWithoutARisk(t *testing.T) {
	t.Setenv("COLUMNS", "120")
	near := runOneLine(t, "run", "testdata/trips/holds", "--no-files", "--weather", inventedEPW(t, 30.5, 50))
	assert.Contains(t, near, "Recorded weather of harbour.epw (1 October 2025 to 10 October 2025), on the days of the trip's own dates.")
	assert.Contains(t, near, "Weather: harbour.epw, 1 October 2025 to 10 October 2025; made at 30.50° N, 9.60° W, 50 m.")
	for _, wrong := range []string{"simulated trip", "recorded trip", "interval", "draw 0", "Climate:"} {
		assert.NotContains(t, near, wrong)
	}
	compared := runProgram(t, "compare", "testdata/trips/holds", "--no-files", "--weather", inventedEPW(t, 30.5, 50))
	assert.Contains(t, compared, "1 recorded trip: weather file harbour.epw")
	assert.Contains(t, compared, "One recorded trip says how it would have gone then, not how often it goes wrong")
	assert.NotContains(t, compared, "No telling apart")
}

// 14.1 to 14.6 degrees of latitude, of 111.2 km each, are 1,570 to 1,620 km.
func TestAFileFromFarAwayIsRemarkedOn(t *testing.T) {
	t.Setenv("COLUMNS", "120")
	far := runOneLine(t, "run", "testdata/trips/holds", "--no-files", "--weather", inventedEPW(t, 45, 2500))
	assert.Contains(t, far, "? harbour.epw was made more than 100 km from 3 stops of 3, up to 16")
	assert.Contains(t, far, "was made more than 300 m above or below 3 stops of 3, up to 2")
}
