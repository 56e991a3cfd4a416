package main

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"tripsim/internal/scenario"
)

const newHelp = `
Makes a folder with the tables of a scenario: an invented trip that runs as it is,
with every column explained in comment lines. Change it in any spreadsheet or text
editor. An existing table is never touched.

Examples:
  tripsim new mytrip
  tripsim run mytrip

What the columns mean: tripsim help scenario.
`

func newCommand() *command {
	return &command{
		name: "new", args: "FOLDER", least: 1, most: 1,
		short: "make a scenario folder to fill in",
		long:  newHelp,
		setup: func(*pflag.FlagSet) action {
			return func(_ context.Context, c *console, args []string) error {
				if err := scenario.Starter(args[0]); err != nil {
					return failure{statusFailed, err, "-"}
				}
				dir := clean(args[0])
				return c.print(fmt.Sprintf("%s: a scenario to change as you need.\n\nNext:\n  tripsim check %s\n  tripsim run %s\n", dir, dir, dir))
			}
		},
	}
}
