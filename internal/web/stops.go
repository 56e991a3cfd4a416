package web

import (
	"math"
	"time"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
	"tripsim/internal/solar"
)

// stopAnswer says what the page shows beside a stop and on the map.
type stopAnswer struct {
	Place     string  `json:"place"`
	Date      string  `json:"date"` // Sat 3 Oct
	ISO       string  `json:"iso"`  // 2026-10-03
	Lat       float64 `json:"lat"`
	Lon       float64 `json:"lon"`
	Elevation float64 `json:"elevation_m"`
	Zone      string  `json:"zone"`
	Sun       string  `json:"sun"`
	Air       string  `json:"air"`
	Daylight  string  `json:"daylight"`
	Own       bool    `json:"own"` // the trip's own figures
}

func stopsOf(sc *scenario.Scenario, r *sim.Result, f report.Format) []stopAnswer {
	out := make([]stopAnswer, len(sc.Trip.Stops))
	for i := range out {
		s, c := &sc.Trip.Stops[i], &r.Climate[i]
		out[i] = stopAnswer{
			Place: report.Clean(s.Place), Date: f.Day(s.Date), ISO: s.Date.Format(time.DateOnly),
			Lat: s.Position.LatDeg, Lon: s.Position.LonDeg, Elevation: math.Round(s.Position.ElevationM),
			Zone: s.Zone.String(), Sun: f.With(c.GHIKWhM2, 1, "kWh/m²"), Own: c.Override,
			Air: airSpan(c.TempMinC, c.TempMaxC, f), Daylight: daylight(s, f),
		}
	}
	return out
}

func airSpan(low, high float64, f report.Format) string {
	l, unit := f.Degrees(low)
	h, _ := f.Degrees(high)
	return f.Number(l, 0) + " to " + f.With(h, 0, unit)
}

// daylight says when the sun rises and sets on the stop's first day.
func daylight(s *sim.Stop, f report.Format) string {
	y, m, d := s.Date.Date()
	e := solar.EventsAround(time.Date(y, m, d, 12, 0, 0, 0, s.Zone), s.Position)
	switch {
	case e.PolarDay:
		return "sun all day"
	case e.PolarNight:
		return "no sun"
	}
	return "light " + f.Clock(e.Sunrise.In(s.Zone)) + " to " + f.Clock(e.Sunset.In(s.Zone))
}
