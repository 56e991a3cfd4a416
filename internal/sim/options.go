package sim

import (
	"time"

	"tripsim/internal/solar"
)

// Options are the choices of a run that are not part of trip or system.
type Options struct {
	Step      time.Duration // divides an hour; default 15 minutes
	Seed      uint64
	Sky       solar.SkyModel // of diffuse light on a panel; default Hay & Davies
	Albedo    float64        // ground reflectance; default 0.2
	Linke     float64        // turbidity of the clear sky, which shapes the days and caps clear ones; 0 = rule by place and month
	UseSpread float64        // relative spread of use between draws; 0 = use as planned
}

// DefaultOptions returns the documented defaults.
func DefaultOptions() Options {
	return Options{Step: 15 * time.Minute, Seed: 1, Albedo: 0.2}
}
