// Package gazetteer finds the position of a place by its name, without a
// network: some 90,000 towns and villages are embedded.
//
// It knows names, countries and positions, nothing of trips or weather, and
// imports only the tables of names of countries. Names are compared without
// regard to case, diacritics and punctuation ("tromso" finds "Tromsø"); several
// places of one name are all returned, the largest first, and may be narrowed
// down by country or region ("Sutherland, South Africa"). Positions are good to
// a hundredth of a degree, about a kilometre; heights are not known.
//
// Data: GeoNames (CC BY 4.0), by way of two packages (README.md); [Attribution] goes
// with every use. Which, why and how they are condensed: README.md.
package gazetteer

import (
	_ "embed"
	"slices"
	"sort"
	"strings"
	"sync"

	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
)

// Attribution is the sentence that the licence asks for.
const Attribution = "Place names and positions: GeoNames (CC BY 4.0), condensed"

// Place is a populated place.
type Place struct {
	Name           string
	Region         string // first-level division; may be blank
	Country        string // ISO 3166-1 alpha-2
	LatDeg, LonDeg float64
	People         int // order of magnitude, good to 30 %; 0 = not known
}

//go:embed places.bin
var placesBin []byte

// gazetteer is the list with its folded names in order.
type gazetteer struct {
	places []Place
	folded []string // sorted, in step with at
	at     []int32
}

var loaded = sync.OnceValue(func() *gazetteer {
	places, err := decode(placesBin)
	if err != nil {
		panic("gazetteer: embedded places.bin: " + err.Error()) // a test reads it whole
	}
	g := &gazetteer{places: places, folded: make([]string, len(places)), at: make([]int32, len(places))}
	keys := make([]string, len(places))
	for i := range places {
		keys[i], g.at[i] = Fold(places[i].Name), int32(i)
	}
	sort.SliceStable(g.at, func(i, j int) bool { return keys[g.at[i]] < keys[g.at[j]] })
	for i, p := range g.at {
		g.folded[i] = keys[p]
	}
	return g
})

// CountryName is the English name of a country; the code itself if it has none.
func CountryName(code string) string {
	region, err := language.ParseRegion(code)
	if err != nil {
		return code
	}
	if name := display.English.Regions().Name(region); name != "" {
		return name
	}
	return code
}

// Label names a place so that it can be told from its namesakes: "Zagora,
// Drâa-Tafilalet, Morocco".
func (p Place) Label() string {
	parts := []string{p.Name}
	if p.Region != "" && p.Region != p.Name {
		parts = append(parts, p.Region)
	}
	return strings.Join(append(parts, CountryName(p.Country)), ", ")
}

// Find returns every place of a name, the largest first. After commas the query
// may name region or country, in any order: "Springfield, Illinois, US".
// Some large towns are also found by their local name, letters with an umlaut by
// the pair of letters that stands for one, and å by aa and aa by å. Without a place
// of just that name it returns nil; see Suggest.
func Find(query string) []Place {
	name, within := split(query)
	found := called(name, within)
	if plain := umlauts.Replace(name); found == nil && plain != name {
		found = called(plain, within)
	}
	if found == nil {
		found = ringed(query, name, within)
	}
	bySize(found)
	return found
}

// called lists the places of a folded name, or of the name that the list has for it.
func called(name string, within []string) []Place {
	g := loaded()
	var found []Place
	for i := sort.SearchStrings(g.folded, name); name != "" && i < len(g.folded) && g.folded[i] == name; i++ {
		if p := g.places[g.at[i]]; p.inside(within) {
			found = append(found, p)
		}
	}
	if listed, country, ok := strings.Cut(localNames[name], ","); ok && listed != name {
		found = append(found, called(listed, append([]string{country}, within...))...)
	}
	return found
}

// muchLarger: a namesake this much larger than the next needs no asking.
const muchLarger = 8

// Meant lists the places that a query may mean, the likeliest first. It is sure of
// the first when no other has the name or one is by far the largest; a country's
// name stands for the town there whose name begins so.
func Meant(query string) (places []Place, sure bool) {
	found, longer := Find(query), Longer(query)
	inCountry := func(p Place) bool { return p.NamesCountry(query) }
	if i := slices.IndexFunc(longer, inCountry); i >= 0 && !slices.ContainsFunc(found, inCountry) {
		return append([]Place{longer[i]}, found...), true
	}
	if len(found) == 0 {
		return nil, false
	}
	if len(found) > 1 && (found[0].People == 0 || found[0].People < muchLarger*max(1, found[1].People)) {
		return found, false
	}
	for _, p := range longer {
		if p.People > found[0].People {
			found = append(found, p)
		}
	}
	return found, true
}

// Longer returns the places whose name goes on after the query's, the largest
// first: "Andorra" finds Andorra la Vella.
func Longer(query string) []Place {
	name, within := split(query)
	g := loaded()
	var found []Place
	for i := sort.SearchStrings(g.folded, name+" "); name != "" && i < len(g.folded) && strings.HasPrefix(g.folded[i], name+" "); i++ {
		if p := g.places[g.at[i]]; p.inside(within) {
			found = append(found, p)
		}
	}
	bySize(found)
	return found
}

// NamesCountry reports whether a query is the name of the country that the
// place lies in.
func (p Place) NamesCountry(query string) bool { return Fold(query) == Fold(CountryName(p.Country)) }

func bySize(p []Place) {
	sort.SliceStable(p, func(i, j int) bool { return p[i].People > p[j].People })
}

// split takes a query apart: the name and what follows its commas, folded.
func split(query string) (name string, within []string) {
	parts := strings.Split(query, ",")
	for _, w := range parts[1:] {
		if w = Fold(w); w != "" {
			within = append(within, w)
		}
	}
	return Fold(parts[0]), within
}

// inside reports whether a place lies in all of the regions or countries named.
func (p Place) inside(within []string) bool {
	for _, w := range within {
		if w != Fold(p.Country) && w != Fold(CountryName(p.Country)) && !strings.HasPrefix(Fold(p.Region), w) {
			return false
		}
	}
	return true
}
