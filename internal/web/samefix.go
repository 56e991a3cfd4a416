package web

import (
	"math"
	"reflect"
	"slices"
	"time"

	"tripsim/internal/profiles"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

// saysFix reports whether a scenario, as read from edited tables, is the trip
// with a change made, as it was tried.
func saysFix(read *scenario.Scenario, at int, x *sim.Fix) bool {
	trip, loads, system := x.Changed()
	if x.Kind == sim.WithoutLoad { // tried with an appliance that draws nothing in its place
		loads = slices.DeleteFunc(slices.Clone(loads), func(l sim.Load) bool { return l.Name == x.What })
	}
	return at < len(read.Systems) && same(trip.Stops, read.Trip.Stops) && same(loads, read.Loads) && same(system, &read.Systems[at])
}

// notSame are the fields that no simulation looks at.
var notSame = map[string]bool{"Row": true, "Note": true, "Name": true}

// same compares two values field by field: figures to within rounding, clocks by
// name, and no list is as good as an empty one.
func same[T any](a, b T) bool { return alike(reflect.ValueOf(a), reflect.ValueOf(b)) }

func alike(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.Float64:
		x, y := a.Float(), b.Float()
		return x == y || math.IsNaN(x) && math.IsNaN(y) || math.Abs(x-y) <= 1e-9*math.Max(1, math.Abs(x))
	case reflect.Pointer:
		if a.IsNil() || b.IsNil() {
			return a.IsNil() == b.IsNil()
		}
		if zone, ok := a.Interface().(*time.Location); ok {
			return zone.String() == b.Interface().(*time.Location).String()
		}
		return alike(a.Elem(), b.Elem())
	case reflect.Slice:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !alike(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Struct:
		return alikeStructs(a, b)
	}
	return reflect.DeepEqual(a.Interface(), b.Interface())
}

func alikeStructs(a, b reflect.Value) bool {
	switch x := a.Interface().(type) {
	case time.Time:
		return x.Equal(b.Interface().(time.Time))
	case profiles.Chemistry:
		return x.ID == b.Interface().(profiles.Chemistry).ID
	case sim.Charger: // no shared limit is not given or 0
		y := b.Interface().(sim.Charger)
		if !(x.TotalA > 0) && !(y.TotalA > 0) {
			x.TotalA, y.TotalA = 0, 0
		}
		a, b = reflect.ValueOf(x), reflect.ValueOf(y)
	}
	for i := range a.NumField() {
		if f := a.Type().Field(i); !notSame[f.Name] && (!f.IsExported() || !alike(a.Field(i), b.Field(i))) {
			return false
		}
	}
	return true
}
