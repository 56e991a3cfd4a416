package main

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"tripsim/internal/gazetteer"
	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/weather"
)

const helpHelp = `
Prints the help of a command, or what the columns of the tables mean:

  tripsim help run         the command run
  tripsim help scenario    the tables of a scenario folder, column by column
  tripsim help results     the columns of the tables that are written
  tripsim help columns     every table and the names of its columns
  tripsim help trip        one table, read or written: trip, loads, days, ...
  tripsim help drive_hours one column, wherever it stands
  tripsim help sources     where the built-in data comes from

The source of every model stands beside its code: go doc tripsim/internal/solar,
weather, profiles and sim.
`

// topics are the help texts that are no command's.
func topics() map[string]func(report.Screen) string {
	return map[string]func(report.Screen) string{"scenario": scenarioHelp, "results": resultsHelp, "columns": columnsHelp, "sources": sourcesHelp}
}

func helpWords() []string {
	return append(commandNames(), slices.Sorted(maps.Keys(topics()))...)
}

func helpCommand() *command {
	return &command{
		name: "help", args: "[TOPIC]", most: 1,
		short: "help on a command, or on the columns of the tables",
		long:  helpHelp,
		words: helpWords,
		setup: func(fs *pflag.FlagSet) action {
			return func(_ context.Context, c *console, args []string) error {
				if len(args) == 0 {
					return c.print(mainHelp())
				}
				if topic := topics()[args[0]]; topic != nil {
					return c.print(topic(c.screen(report.DefaultFormat())))
				}
				if cmd := commandNamed(args[0]); cmd != nil {
					return c.print(cmd.help())
				}
				if text := tableHelp(args[0], c.screen(report.DefaultFormat())); text != "" {
					return c.print(text)
				}
				return usage("help", "no help on %q%s; there is help on %s, on tables (%s) and on their columns", clean(args[0]),
					didYouMean(args[0], append(helpWords(), documentedWords()...), ""), strings.Join(helpWords(), ", "), strings.Join(tableNames(), ", "))
			}
		},
	}
}

// resultJSONKeys documents result.json; two spaces in front of a key are a level.
var resultJSONKeys = [][2]string{
	{"schema, program, scenario, input_hash", "what made it, from what"},
	{"assumptions", "step, seed, simulated trips, goal, climate by place, weather_file"},
	{"trip", "the stops as understood"},
	{"recommended_system", "its name; null if none carries the trip"},
	{"systems", "one object per system:"},
	{"  verdict", "carries, in_part, thin_reserve, risky, falls_short, flat"},
	{"  sentence", "the verdict in words"},
	{"  makeup", "battery, chargers, panels, inverter"},
	{"  typical", "typical weather: totals, cut-off, days (as days.csv), flat_spells, appliances, events"},
	{"  shown_trip", "the same of the simulated trip that --worst or --draw shows"},
	{"  risk", "simulated trips: flat risk and its 95 % interval, distributions, state of charge by hour (soc_bands); null without them"},
	{"warnings", "what is odd in the tables"},
}

// resultJSONHelp documents result.json.
func resultJSONHelp(s report.Screen) string {
	const wide = 20 // longer keys stand on a line of their own
	text := s.Heading("result.json (also printed by run --json): everything, for programs")
	for _, k := range resultJSONKeys {
		lead := fmt.Sprintf("  %-*s  ", wide, k[0])
		if len(k[0]) > wide {
			text += s.Paragraph("  ", "  ", k[0])
			lead = strings.Repeat(" ", wide+4)
		}
		text += s.Paragraph(lead, strings.Repeat(" ", wide+4), k[1])
	}
	return text + s.Paragraph("  ", "  ", "Units are in the names of keys; null stands where there is no figure.")
}

// resultsHelp documents the files that run writes.
func resultsHelp(s report.Screen) string {
	var parts []string
	for _, d := range outputs() {
		parts = append(parts, d.Table().Render(s))
	}
	parts = append(parts, resultJSONHelp(s))
	return strings.Join(parts, "\n")
}

// sourcesHelp tells where the built-in data comes from, with the attributions
// that its licences ask for.
func sourcesHelp(s report.Screen) string {
	text := s.Heading("Built-in data")
	for _, source := range []string{
		weather.ClimateSource, scenario.ZoneSource, gazetteer.Attribution,
		"Coastlines and borders of the map: Natural Earth, public domain",
		"Parts of the catalogue: generic, not of any maker; each row of tripsim parts has its source",
	} {
		text += s.Paragraph("  ", "  ", source+".")
	}
	return text + "\n" + s.Paragraph("", "", "The trips in scenarios/ are invented; places and climate are real.")
}
