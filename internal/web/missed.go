package web

import (
	"fmt"
	"math"

	"tripsim/internal/report"
)

// missedText says when a simulated trip is not carried; see sim.Goal.
func missedText(reserve float64, f report.Format) string {
	if reserve <= 0 {
		return "Not carried: the battery runs flat or something is not supplied."
	}
	pct, decimals := 100*reserve, 0
	if math.Abs(pct-math.Round(pct)) > 0.05 {
		decimals = 1
	}
	return fmt.Sprintf("Not carried: the battery runs flat, something is not supplied, or less than the wanted reserve of %s is left above the cut-off.",
		f.With(pct, decimals, "%"))
}

// showsMissed reports whether a system's flat risk is not the share of trips not
// carried, so that the command line's table has a column for each.
func showsMissed(run *report.Run, f report.Format) bool {
	for _, c := range run.Systems(f).Columns {
		if c.Key == "not_carried_pct" {
			return c.Head != ""
		}
	}
	return false
}
