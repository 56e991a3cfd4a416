package scenario

import (
	"strings"

	"tripsim/internal/profiles"
)

// Parts of the catalogue that fill a row. A name that the catalogue does not
// have is reported, with the nearest that it has.

func (k *checker) appliance(c *cell) (profiles.Appliance, bool) {
	return fromCatalogue(k, c, "appliances", profiles.ApplianceByID, profiles.Appliances(), func(a profiles.Appliance) string { return a.ID })
}

func (k *checker) chargerPreset(c *cell) (profiles.Charger, bool) {
	return fromCatalogue(k, c, "chargers", profiles.ChargerByID, profiles.Chargers(), func(u profiles.Charger) string { return u.ID })
}

func (k *checker) panelPreset(c *cell) (profiles.Panel, bool) {
	return fromCatalogue(k, c, "panels", profiles.PanelByID, profiles.Panels(), func(p profiles.Panel) string { return p.ID })
}

func (k *checker) inverterPreset(c *cell) (profiles.InverterPreset, bool) {
	return fromCatalogue(k, c, "inverters", profiles.InverterByID, profiles.Inverters(), func(v profiles.InverterPreset) string { return v.ID })
}

func fromCatalogue[P any](k *checker, c *cell, kind string, byID func(string) (P, bool), all []P, id func(P) string) (found P, ok bool) {
	if !c.given() {
		return found, false
	}
	if found, ok = byID(strings.ToLower(c.text)); ok {
		return found, true
	}
	ids := make([]string, len(all))
	for i := range all {
		ids[i] = id(all[i])
	}
	k.report(c, "%s is not in the catalogue of %s; %s", quoted(c.text), kind, didYouMean(c.text, ids))
	return found, false
}
