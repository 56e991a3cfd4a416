package sim

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

// spreadTrip is benchTrip with a spread in use, an appliance that is too big for
// the inverter and a fridge on it.
func spreadTrip(t testing.TB) (*Study, *System) {
	trip, loads, sys := benchTrip(t)
	loads = append(loads,
		Load{Name: "hob", Kind: Uses, Supply: AC, Watts: 3000, Duty: 1, TimesH: []float64{12}, Minutes: 20},
		Load{Name: "cooler", Kind: Fridge, Supply: AC, Watts: 60, Essential: true, Fridge: &profiles.Fridge{Litres: 30, SetpointC: 6, CompressorW: 60}})
	opt := DefaultOptions()
	opt.UseSpread = .2
	s, err := NewStudy(trip, loads, opt)
	require.NoError(t, err)
	sys.ShedSoC = .3
	return s, sys
}

func TestADrawWithASpreadInUseAllocatesNothing(t *testing.T) {
	s, sys := spreadTrip(t)
	plans, err := s.plansFor([]*System{sys})
	require.NoError(t, err)
	w, err := s.newWorker(plans)
	require.NoError(t, err)
	for k := range uint64(30) { // the buffers find their size
		w.draw(k)
	}
	k := uint64(0)
	assert.Zero(t, testing.AllocsPerRun(29, func() { w.draw(k); k++ }))
}

// A worker's buffers carry nothing from one draw to the next.
func TestASpreadInUseIsTheSameInAnyOrderOfDraws(t *testing.T) {
	s, sys := spreadTrip(t)
	plans, err := s.plansFor([]*System{sys})
	require.NoError(t, err)
	used, err := s.newWorker(plans)
	require.NoError(t, err)
	for k := range uint64(10) {
		used.draw(9 - k)
		fresh, err := s.newWorker(plans)
		require.NoError(t, err)
		fresh.draw(9 - k)
		require.Equal(t, fresh.lanes[0].k.drives, used.lanes[0].k.drives, "draw %d", 9-k)
		require.Equal(t, fresh.lanes[0].k.shed, used.lanes[0].k.shed, "draw %d", 9-k)
	}
}

// A thousand steady AC appliances start at every midnight: they are one stretch
// a slot, and laying them out takes time in proportion to their number.
func TestAppliancesThatStartTogetherAreOneStretch(t *testing.T) {
	stop := mild(t, 30)
	it, err := layOut(&Trip{Stops: []Stop{stop}}, 15*time.Minute)
	require.NoError(t, err)
	var loads []Load
	for i := range 1000 {
		l := steady(fmt.Sprint("load ", i), 1)
		l.Supply = AC
		loads = append(loads, l)
	}
	began := time.Now()
	d := newDemand(it, loads)
	t.Logf("1,000 appliances over 30 days: %v", time.Since(began))
	require.Len(t, d.planned.ac[1].runs, len(it.slots))
	for _, r := range d.planned.ac[1].runs {
		require.InDelta(t, 1000, r.meanW, 1e-9)
		require.InDelta(t, 1, r.share, 1e-12)
	}
}

// BenchmarkDrawSpread is BenchmarkDraw with a spread in use of 20 %.
func BenchmarkDrawSpread(b *testing.B) {
	s, sys := spreadTrip(b)
	plans, err := s.plansFor([]*System{sys})
	require.NoError(b, err)
	w, err := s.newWorker(plans)
	require.NoError(b, err)
	b.ReportAllocs()
	k := uint64(0)
	for b.Loop() {
		w.draw(k % 64)
		k++
	}
	perStep(b, len(w.soc)-1)
}
