package sim

import (
	"time"

	"tripsim/internal/solar"
)

// Trip is the itinerary: consecutive stops, each some local days long.
type Trip struct {
	Name  string
	Stops []Stop
}

// Stop is one row of the itinerary: a place and what happens there on each of
// its Days. On the first day the drive leads from the previous stop to this
// one; on further days (a row of several days is the same as so many rows of
// one day) a drive starts and ends here.
type Stop struct {
	Row       int       // line in the input table; 0 when not from a file
	Date      time.Time // first local day, as UTC midnight of the civil date
	Days      int       // 1 or more
	Place     string
	Position  solar.Place
	Zone      *time.Location // IANA zone of the local clock
	Drive     Span           // engine running, vehicle moving
	Idle      Span           // engine idling at the stop: the alternator gives less; not beside a drive or mains
	Mains     Span           // powered site; may run past midnight
	MainsA    float64        // the site's AC limit at 230 V, A; 0 = not limited
	Generator Span           // a mains source with GeneratorW behind it
	GenW      float64        // W; used only with Generator
	Shade     float64        // 0..1, share of sun lost to shade on panels while parked
	SunKWhM2  float64        // daily global horizontal irradiation; NaN = climate
	TempMinC  float64        // NaN = climate
	TempMaxC  float64        // NaN = climate
	Note      string
}

// Span is a window of the local day: from StartH (0..24, clock hours) for Hours
// of elapsed time. It may run past midnight. Zero hours = never.
type Span struct{ StartH, Hours float64 }

// Days returns the number of local days of the trip.
func (t *Trip) Days() int {
	n := 0
	for _, s := range t.Stops {
		n += s.Days
	}
	return n
}

// Start returns the first local day (UTC midnight of the civil date).
func (t *Trip) Start() time.Time { return t.Stops[0].Date }

// Shifted returns the trip moved by whole days, for the season sweep.
func (t *Trip) Shifted(days int) *Trip {
	moved := &Trip{Name: t.Name, Stops: append([]Stop(nil), t.Stops...)}
	for i := range moved.Stops {
		moved.Stops[i].Date = moved.Stops[i].Date.AddDate(0, 0, days)
	}
	return moved
}
