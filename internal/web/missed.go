package web

import "tripsim/internal/report"

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
