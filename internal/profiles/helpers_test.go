package profiles

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// readTestdata reads a table of testdata; its header names the source.
func readTestdata(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1)
	return rows[1:]
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

func chemistry(t testing.TB, id string) Chemistry {
	t.Helper()
	c, ok := ChemistryByID(id)
	require.True(t, ok, id)
	return c
}

func pack(t testing.TB, spec BatterySpec, stepH float64) *Pack {
	t.Helper()
	p, err := NewPack(spec, stepH)
	require.NoError(t, err)
	return p
}

// worst keeps the largest deviation and reports it when the test ends.
type worst struct {
	deviation float64
	at        string
}

func (w *worst) see(deviation float64, at string) {
	if d := math.Abs(deviation); d > w.deviation || w.at == "" {
		w.deviation, w.at = d, at
	}
}

func (w *worst) report(t testing.TB, what string) {
	t.Helper()
	t.Logf("%s: worst deviation %.3g at %s", what, w.deviation, w.at)
}

// ideal is lead-acid without loss, self-discharge or limits: the bare kinetic
// battery model.
func ideal(t testing.TB, c, kPerH float64) Chemistry {
	ch := chemistry(t, "flooded")
	ch.KineticC, ch.KineticKPerH = c, kPerH
	ch.BulkLoss, ch.GassingExponent, ch.SelfDischargePctMonth = 0, 0, 0
	ch.MinSoC, ch.MaxDischargeC, ch.MaxChargeC = 0, 1e9, 1e9
	ch.air = nil
	return ch
}
