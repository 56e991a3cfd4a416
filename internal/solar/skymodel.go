package solar

import "strings"

// SkyModel is how diffuse light is spread over the sky.
type SkyModel uint8

// The sky models.
const (
	HayDavies SkyModel = iota // isotropic and circumsolar: [PlaneOfArrayWm2]
	Perez                     // brightness classes, circumsolar and horizon: [PlaneOfArrayPerezWm2]
)

var skyModels = []struct{ name, source string }{
	HayDavies: {"hay-davies", "Hay & Davies 1980"},
	Perez:     {"perez", "Perez et al. 1990"},
}

// SkyModelNames lists the names of the sky models.
func SkyModelNames() []string {
	names := make([]string, len(skyModels))
	for i := range skyModels {
		names[i] = skyModels[i].name
	}
	return names
}

// SkyModelNamed is the sky model of a name, in any case; false where there is none.
func SkyModelNamed(name string) (SkyModel, bool) {
	for i := range skyModels {
		if strings.EqualFold(skyModels[i].name, strings.TrimSpace(name)) {
			return SkyModel(i), true
		}
	}
	return HayDavies, false
}

// String is the model's name.
func (m SkyModel) String() string { return skyModels[m].name }

// Source is the publication of the model: authors and year.
func (m SkyModel) Source() string { return skyModels[m].source }

// PlaneOfArrayWm2 is the effective irradiance on a plane under this sky from
// the means of a step: ghi and its diffuse part dhi (W/m2, 0 <= dhi <= ghi), the
// step's sun and the plane's factors over the step, albedo 0..1. Never negative;
// allocates nothing.
func (m SkyModel) PlaneOfArrayWm2(ghiWm2, dhiWm2 float64, iv *Interval, f *PlaneFactors, albedo float64) float64 {
	if m == Perez {
		return PlaneOfArrayPerezWm2(ghiWm2, dhiWm2, *iv, *f, albedo)
	}
	return PlaneOfArrayWm2(ghiWm2, dhiWm2, iv.I0HorizWm2, *f, albedo)
}
