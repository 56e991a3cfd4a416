package scenario

import (
	"fmt"
	"math"
	"strings"

	"tripsim/internal/sim"
	"tripsim/internal/solar"
)

// Gazetteer finds places by name, for rows of trip.csv without coordinates. The
// zero value knows none.
type Gazetteer struct {
	// Find lists the places of a name, the likeliest first. It is sure when the
	// first one is meant beyond reasonable doubt.
	Find func(name string) (places []NamedPlace, sure bool)
	// Suggest lists places of similar names.
	Suggest func(name string) []NamedPlace
	Source  string // attribution
}

// NamedPlace is a place that can be told from its namesakes.
type NamedPlace struct {
	Label          string // "Zagora, Drâa-Tafilalet, Morocco"
	LatDeg, LonDeg float64
}

func (p NamedPlace) String() string {
	return fmt.Sprintf("%s (%.2f, %.2f)", p.Label, p.LatDeg, p.LonDeg)
}

func (p NamedPlace) place() solar.Place { return solar.Place{LatDeg: p.LatDeg, LonDeg: p.LonDeg} }

// Reader reads scenarios, with a gazetteer for places that have no coordinates.
type Reader struct{ Places Gazetteer }

// listedPlaces is how many namesakes an error lists.
const listedPlaces = 5

// named finds the position of row i by the name of its place: of the first row, and
// of a later one that a drive leads to, when its name is another than above and one
// place of that name lies within reach. Not found is no mistake in a later row.
func (k *checker) named(rows []tripRow, i int, above []sim.Stop) (NamedPlace, bool) {
	r := &rows[i]
	if k.places.Find == nil || !r.Place.given() {
		return NamedPlace{}, false
	}
	if i == 0 {
		return k.firstNamed(r)
	}
	hours, _ := r.DriveHours.at.table.Number(r.DriveHours.text)
	from := above[i-1].Position
	if !(hours > 0) || math.IsNaN(from.LatDeg) || strings.EqualFold(r.Place.text, rows[i-1].Place.text) {
		return NamedPlace{}, false
	}
	found, _ := k.places.Find(r.Place.text)
	var near []NamedPlace
	for _, p := range found {
		if from.DistanceKM(p.place()) <= ferryKm+maxKmH*hours {
			near = append(near, p)
		}
	}
	switch len(near) {
	case 0:
		return NamedPlace{}, false
	case 1:
		return k.take(r, near[0]), true
	}
	k.report(&r.Latitude, "is blank, and there are %d places called %s within reach: %s; write which in place, or give latitude and longitude",
		len(near), quoted(r.Place.text), placeList(near))
	return NamedPlace{}, false
}

// firstNamed is the place of the first row, which has to be known.
func (k *checker) firstNamed(r *tripRow) (NamedPlace, bool) {
	if k.strayStops {
		return NamedPlace{}, false // rows above may be missing
	}
	found, sure := k.places.Find(r.Place.text)
	switch {
	case sure:
		return k.take(r, found[0]), true
	case len(found) > 0:
		k.report(&r.Latitude, "is blank, and there are %d places called %s: %s; write which in place, or give latitude and longitude",
			len(found), quoted(r.Place.text), placeList(found))
		return NamedPlace{}, false
	}
	hint := ""
	if near := k.places.Suggest(r.Place.text); len(near) > 0 {
		hint = " (did you mean " + placeList(near) + "?)"
	}
	k.report(&r.Latitude, "is blank, and no place called %s is known%s; give latitude and longitude, e.g. 30.92 and -6.91", quoted(r.Place.text), hint)
	return NamedPlace{}, false
}

// take notes that a position was found by name.
func (k *checker) take(r *tripRow, p NamedPlace) NamedPlace {
	k.taken = append(k.taken, fmt.Sprintf("line %d %s", r.Place.at.line, p))
	return p
}

// warnOfNames tells which positions were found by name, in one warning.
func (k *checker) warnOfNames() {
	if len(k.taken) > 0 {
		k.warn("trip.csv: coordinates that are blank were found by name; check them: %s", strings.Join(k.taken, "; "))
	}
}

func placeList(places []NamedPlace) string {
	var parts []string
	for _, p := range places[:min(len(places), listedPlaces)] {
		parts = append(parts, p.String())
	}
	if more := len(places) - listedPlaces; more > 0 {
		parts = append(parts, fmt.Sprintf("%d more", more))
	}
	return strings.Join(parts, "; ")
}
