package main

import (
	"tripsim/internal/gazetteer"
	"tripsim/internal/scenario"
)

// reader reads scenarios with the positions of places by their names.
func reader() scenario.Reader {
	return scenario.Reader{Places: scenario.Gazetteer{
		Source: gazetteer.Attribution,
		Find: func(name string) ([]scenario.NamedPlace, bool) {
			found, sure := gazetteer.Meant(name)
			return namedPlaces(found), sure
		},
		Suggest: func(name string) []scenario.NamedPlace { return namedPlaces(gazetteer.Suggest(name, 3)) },
	}}
}

func namedPlaces(places []gazetteer.Place) []scenario.NamedPlace {
	out := make([]scenario.NamedPlace, len(places))
	for i, p := range places {
		out[i] = scenario.NamedPlace{Label: p.Label(), LatDeg: p.LatDeg, LonDeg: p.LonDeg}
	}
	return out
}
