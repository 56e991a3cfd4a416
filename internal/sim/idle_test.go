package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An alternator has about half of its spare current at idle (trade figure, from
// memory): 30 A of 60 A at 13.8 V, less what the starter battery takes after a
// start, 30 A falling with a time constant of 5 minutes: 2.5 Ah in all.
func TestAnIdlingEngineGivesHalf(t *testing.T) {
	run := func(drive, idle Span) *Result {
		stop := mild(t, 1)
		stop.Drive, stop.Idle = drive, idle
		sys := bareSystem(t, 400)
		sys.StartSoC, sys.AlternatorSpareA = .2, 60
		sys.Chargers = []Charger{{Name: "DC-DC", AlternatorA: 80, Efficiency: .9, Priority: 1}}
		return typical(t, stop, []Load{{Name: "on the road", Kind: Steady, Watts: 10, Duty: 1, Days: DrivingDays, Essential: true}}, sys)
	}
	parked := run(Span{}, Span{17, 1})
	assert.InDelta(t, (30-2.5)*13.8, parked.Total.AlternatorWh, 4)
	assert.Zero(t, parked.Total.DCLoadWh, "a day with the engine idling is still parked")
	assert.InDelta(t, 1, parked.Days[0].IdleH, 1e-9)
	assert.Zero(t, parked.Days[0].DriveH)

	driven := run(Span{9, 2}, Span{})
	both := run(Span{9, 2}, Span{11, 1})
	assert.InDelta(t, 30*13.8, both.Total.AlternatorWh-driven.Total.AlternatorWh, .1, "the starter battery is full after the drive")
	later := run(Span{9, 2}, Span{15, 1})
	assert.InDelta(t, (30-2.5)*13.8, later.Total.AlternatorWh-driven.Total.AlternatorWh, 4, "a start of its own")
}

func TestIdlingIsNotCountedBesideMains(t *testing.T) {
	stop := mild(t, 1)
	stop.Mains, stop.Idle = Span{17, 2}, Span{18, 2}
	s := mustStudy(t, &Trip{Stops: []Stop{stop}}, nil)
	r, err := s.Typical(bareSystem(t, 100))
	require.NoError(t, err)
	assert.InDelta(t, 1, r.Days[0].IdleH, 1e-9)
}
