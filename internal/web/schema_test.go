package web

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"

	"tripsim/internal/scenario"
)

// Every column of every table has a label written for people, and no two of a
// table have the same.
func TestEveryColumnHasALabel(t *testing.T) {
	for _, spec := range scenario.Specs() {
		for i := range spec.Columns {
			assert.NotEmpty(t, labels[spec.Columns[i].Name], "%s: %s", spec.File, spec.Columns[i].Name)
		}
	}
	for _, table := range schema() {
		seen := map[string]string{}
		for _, c := range table.Columns {
			assert.NotEmpty(t, labels[c.Name], "%s: %s", table.File, c.Name)
			assert.Empty(t, seen[c.Label], "%s: %s is the label of %s too", table.File, c.Label, c.Name)
			seen[c.Label] = c.Name
		}
	}
}

// Help speaks of what the page shows: not of columns, files and commands.
func TestHelpIsWrittenForPeople(t *testing.T) {
	raw := regexp.MustCompile("`|\\.csv|[a-z]_[a-z]|preset|\\bloads\\b|HH:MM")
	for _, table := range schema() {
		assert.NotRegexp(t, raw, table.About, table.File)
		for _, c := range table.Columns {
			for _, text := range []string{c.Label, c.About, c.Blank} {
				assert.NotRegexp(t, raw, text, "%s: %s", table.File, c.Name)
			}
		}
	}
}

// The accepted risk is a share of trips not carried, which more than flat ones
// are; label and help say so as the schema does.
func TestTheAcceptedRiskIsNotOnlyOfFlatTrips(t *testing.T) {
	for _, table := range schema() {
		for _, c := range table.Columns {
			if c.Name == "target_flat_risk_pct" {
				assert.Equal(t, "Accepted risk", c.Label)
				assert.Equal(t, "%", c.Unit)
				assert.Equal(t, "accepted risk: share of simulated trips that may not be carried. From 0 to 100", c.About)
				return
			}
		}
	}
	t.Error("the job has no accepted risk")
}
