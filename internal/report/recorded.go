package report

import (
	"math"
	"time"

	"tripsim/internal/sim"
)

// Recorded is a weather file that takes the place of simulated weather. A nil
// one stands for none.
type Recorded struct {
	Name        string
	First, Last time.Time // dates
	Typical     bool      // months of different years put together: the years mean nothing
	LatDeg      float64   // NaN where the file does not say
	LonDeg      float64
	ElevationM  float64
	// Dates: the results are on the file's own days of the trip's dates, of the
	// first year that has them. Else they are in typical weather of the built-in
	// climate, and only the simulated trips come from the file.
	Dates bool
	// Overlap: the trips start on one day after the other and share weather.
	Overlap bool
}

// replaces reports whether the results shown are on the file's weather.
func (w *Recorded) replaces() bool { return w != nil && w.Dates }

// One reports whether all that is simulated is the one trip on the file's days
// that the results show.
func (w *Recorded) One(trips int) bool { return w.replaces() && trips == 1 }

// kind is what one trip of many is called.
func (w *Recorded) kind() string {
	if w != nil {
		return textRecordedTrip
	}
	return textSimulatedTrip
}

// many is what the trips are called.
func (w *Recorded) many() string {
	if w != nil {
		return textRecordedTrips
	}
	return textSimulatedTrips
}

// trips counts trips: "1,000 simulated trips", "31 recorded trips".
func (w *Recorded) trips(n int, f Format) string {
	if w != nil {
		return f.Count(n, textRecordedTrip, textRecordedTrips)
	}
	return f.Count(n, textSimulatedTrip, textSimulatedTrips)
}

// when names the time that the file covers.
func (w *Recorded) when(f Format) string {
	switch {
	case w.Typical:
		return textTypicalYear
	case !w.wholeYears():
	case w.First.Year() == w.Last.Year():
		return f.Text(textRecordedYear, w.First.Format("2006"))
	default:
		return f.Text(textRecordedYears, w.First.Format("2006"), w.Last.Format("2006"))
	}
	return f.Text(textInterval, f.Date(w.First), f.Date(w.Last))
}

func (w *Recorded) wholeYears() bool {
	return w.First.YearDay() == 1 && w.Last.Month() == time.December && w.Last.Day() == 31
}

// sentence says that the file's weather is shown.
func (w *Recorded) sentence(f Format) string {
	first := ""
	if !w.Typical && w.First.Year() != w.Last.Year() {
		first = textRecordedFirst
	}
	return f.Text(textRecordedWeather, sentenceName(w.Name), w.when(f), first)
}

// note is the footnote in place of the climate's.
func (w *Recorded) note(f Format) string {
	text := f.Text(textRecordedNote, sentenceName(w.Name), w.when(f))
	if !math.IsNaN(w.LatDeg) && !math.IsNaN(w.LonDeg) {
		text += f.Text(textRecordedAt, placeText(w.LatDeg, w.LonDeg, f))
		if !math.IsNaN(w.ElevationM) {
			text += ", " + f.With(w.ElevationM, 0, "m")
		}
	}
	return text + "."
}

// placeText writes coordinates: "60.39° N, 5.32° E".
func placeText(lat, lon float64, f Format) string {
	side := func(x float64, positive, negative string) string {
		if x < 0 {
			positive = negative
		}
		return f.Number(math.Abs(x), 2) + "°\u00a0" + positive
	}
	return side(lat, "N", "S") + ", " + side(lon, "E", "W")
}

// footnotes are those of a result shown, with the file as their source where it
// is one.
func (run *Run) footnotes(r *sim.Result, f Format) []string {
	if !run.Recorded.replaces() {
		return Footnotes(r, f)
	}
	notes := append(accountNotes(r, f), run.Recorded.note(f))
	for i := range r.Climate {
		if r.Climate[i].Override {
			return append(notes, textOwnUnused)
		}
	}
	return notes
}
