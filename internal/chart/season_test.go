package chart

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/sim"
)

// 5.3 % is not "5" where more than 5 % is marked.
func TestNumbersNearTheAcceptedRiskHaveADecimal(t *testing.T) {
	o, err := newOptions(nil)
	require.NoError(t, err)
	s := &SeasonTable{Target: 0.05}
	for share, want := range map[float64]string{0.053: "5.3", 0.048: "4.8", 0.05: "5", 0.06: "6", 0.043: "4", 0: "0", 0.004: "<1"} {
		assert.Equal(t, want, s.number(&o, share), "%v", share)
	}
	s.Target = 0.01
	assert.Equal(t, "0.8", s.number(&o, 0.008))
	s.Target = math.NaN()
	assert.Equal(t, "5", s.number(&o, 0.053))
	one := SeasonTable{Trip: "Road", Draws: 300, Target: 0.05, Starts: []time.Time{day(2026, time.January, 3)}, Systems: []string{"A"}, NotCarried: [][]sim.Proportion{{share(0.053)}}}
	_, err = Season(one)
	require.NoError(t, err)
}
