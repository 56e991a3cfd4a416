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

// listedPlaces is how many namesakes an error lists, and rows a warning.
const listedPlaces = 5

// nearbyH is the longest drive that may end at a place without coordinates that no
// one knows, h: the sun and the air there are about those of the stop above.
const nearbyH = 1

// named finds the position of row i by the name of its place: of the first row, and
// of a later one that a drive leads to, when its name is another than above. A later
// row that is not found keeps the position above; after a longer drive, where that
// can hardly be right, it gets a warning of its own.
func (k *checker) named(rows []tripRow, i int, above []sim.Stop) (NamedPlace, bool) {
	r := &rows[i]
	if !r.Place.given() || r.Place.bad {
		return NamedPlace{}, false
	}
	if i == 0 {
		return k.firstNamed(r)
	}
	if strings.EqualFold(r.Place.text, rows[i-1].Place.text) {
		return NamedPlace{}, false
	}
	hours, _ := r.DriveHours.at.table.Number(r.DriveHours.text)
	from := above[i-1].Position
	if hours > 0 && k.places.Find != nil {
		p, ok, doubt := k.reached(r, hours, from)
		if ok {
			return p, true
		}
		if doubt != "" && !math.IsNaN(from.LatDeg) {
			k.warn("%s:%d: latitude: is blank, and %s; until then the row has the position of %s (%.2f, %.2f)", r.Place.at.table.File, r.Place.at.line,
				doubt, quoted(rows[i-1].Place.text), from.LatDeg, from.LonDeg)
			return NamedPlace{}, false
		}
	}
	if !math.IsNaN(from.LatDeg) {
		k.stayed = append(k.stayed, fmt.Sprintf("line %d %s has that of %s (%.2f, %.2f)",
			r.Place.at.line, quoted(r.Place.text), quoted(rows[i-1].Place.text), from.LatDeg, from.LonDeg))
	}
	return NamedPlace{}, false
}

// reached is the one place of the row's name that a drive of so many hours reaches;
// else doubt says why there is none, where somebody should know.
func (k *checker) reached(r *tripRow, hours float64, from solar.Place) (p NamedPlace, ok bool, doubt string) {
	found, _ := k.places.Find(r.Place.text)
	if k.strayStops || math.IsNaN(from.LatDeg) && len(found) > 0 { // it is not known where the drive begins
		return NamedPlace{}, false, ""
	}
	var near []NamedPlace
	for _, p := range found {
		if from.DistanceKM(p.place()) <= ferryKm+maxKmH*hours {
			near = append(near, p)
		}
	}
	const ways = "give latitude and longitude, or as place that of the row above if the drive comes back there"
	switch {
	case len(near) == 1:
		return k.take(r, near[0]), true, ""
	case len(near) > 1:
		doubt = fmt.Sprintf("there are %d places called %s within reach: %s; write which in place, or give latitude and longitude",
			len(near), quoted(r.Place.text), placeList(near))
	case hours <= nearbyH:
	case len(found) > 0:
		p, km := nearestOf(found, from)
		doubt = fmt.Sprintf("no place called %s can be reached in %g h of driving: %s is %.0f km from the stop above; %s",
			quoted(r.Place.text), hours, p, km, ways)
	default:
		doubt = fmt.Sprintf("no place called %s is known%s; %s", quoted(r.Place.text), k.meant(r.Place.text), ways)
	}
	return NamedPlace{}, false, doubt
}

// nearestOf is the place nearest to a position, and how far it is.
func nearestOf(places []NamedPlace, to solar.Place) (best NamedPlace, km float64) {
	km = math.Inf(1)
	for _, p := range places {
		if d := to.DistanceKM(p.place()); d < km {
			best, km = p, d
		}
	}
	return best, km
}

// meant asks for places of similar names; "" if there are none.
func (k *checker) meant(name string) string {
	if near := k.places.Suggest(name); len(near) > 0 {
		return " (did you mean " + placeList(near) + "?)"
	}
	return ""
}

// firstNamed is the place of the first row, which has to be known.
func (k *checker) firstNamed(r *tripRow) (NamedPlace, bool) {
	if k.places.Find == nil || k.strayStops { // rows above may be missing
		return NamedPlace{}, false
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
	k.report(&r.Latitude, "is blank, and no place called %s is known%s; give latitude and longitude, e.g. 30.92 and -6.91", quoted(r.Place.text), k.meant(r.Place.text))
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

// warnOfPlaces tells which rows have the position of another place, and which have
// coordinates that look swapped, in one warning each.
func (k *checker) warnOfPlaces() {
	if len(k.stayed) > 0 {
		k.warn("trip.csv: coordinates that are blank were taken from the row above though the place is another; check them: %s", someRows(k.stayed))
	}
	if len(k.swapped) > 0 {
		k.warn("trip.csv: latitude and longitude swapped? %s", someRows(k.swapped))
	}
}

// someRows lists the first few.
func someRows(rows []string) string {
	list := strings.Join(rows[:min(len(rows), listedPlaces)], "; ")
	if more := len(rows) - listedPlaces; more > 0 {
		list += fmt.Sprintf("; %d more", more)
	}
	return list
}

// Coordinates look swapped when every place of the row's name lies farther off than
// swapFarKm but one lies within swapNearKm of them the other way round.
const swapFarKm, swapNearKm = 300, 100

// checkSwapped finds latitude and longitude in each other's column.
func (k *checker) checkSwapped(r *tripRow, p solar.Place) {
	if k.places.Find == nil || !r.Latitude.given() || !r.Place.given() || math.Abs(p.LonDeg) > 90 {
		return
	}
	found, _ := k.places.Find(r.Place.text)
	_, km := nearestOf(found, p)
	meant, kmSwapped := nearestOf(found, solar.Place{LatDeg: p.LonDeg, LonDeg: p.LatDeg})
	if km > swapFarKm && kmSwapped < swapNearKm {
		k.swapped = append(k.swapped, fmt.Sprintf("line %d %s at %.2f, %.2f is %.0f km from %s",
			r.Place.at.line, quoted(r.Place.text), p.LatDeg, p.LonDeg, km, meant))
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
