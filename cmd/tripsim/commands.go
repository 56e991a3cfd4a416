package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/pflag"
)

// command is one row of the table of commands.
type command struct {
	name  string
	args  string // as in the usage line
	least int    // fewest arguments
	most  int    // most arguments; -1 = any number
	short string // one line for the list of commands
	long  string // help text, with examples
	// words are what the first argument can be; nil = a folder.
	words []string
	// setup defines flags and returns what the command does.
	setup func(fs *pflag.FlagSet) action
}

// action does the work of a command; args are the arguments without flags.
type action func(ctx context.Context, c *console, args []string) error

// commands lists the commands in the order of the help.
func commands() []*command {
	return []*command{
		runCommand(),
		checkCommand(),
		newCommand(),
		partsCommand(),
		completionCommand(),
		helpCommand(),
	}
}

func commandNamed(name string) *command {
	for _, c := range commands() {
		if c.name == name {
			return c
		}
	}
	return nil
}

func commandNames() []string {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	return names
}

// mainHelp is what --help prints.
func mainHelp() string {
	var b strings.Builder
	b.WriteString(`Usage: tripsim COMMAND [ARGUMENTS]

Says whether a vehicle's electrical system carries a planned trip, hour by hour
and over many kinds of weather.

Commands:
`)
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %-12s %s\n", c.name, c.short)
	}
	b.WriteString(`
  -h, --help     this help; 'tripsim COMMAND --help' for one command
  -V, --version  the version

Exit status: 0 done, 1 failed, 2 bad input or usage, 3 a system runs flat (only
with --fail-if-flat), 130 interrupted.

Start with:
  tripsim new mytrip     a folder of tables to fill in
  tripsim run mytrip     the answer
`)
	return b.String()
}

// help is what COMMAND --help prints.
func (cmd *command) help() string {
	fs, _ := cmd.flags()
	var b strings.Builder
	line := program + " " + cmd.name
	if fs.HasFlags() {
		line += " [FLAGS]"
	}
	if cmd.args != "" {
		line += " " + cmd.args
	}
	fmt.Fprintf(&b, "Usage: %s\n\n%s\n", line, strings.Trim(cmd.long, "\n"))
	if fs.HasFlags() {
		fmt.Fprintf(&b, "\nFlags:\n%s", fs.FlagUsagesWrapped(80))
	}
	fmt.Fprintf(&b, "  -h, --help%sthis help\n", strings.Repeat(" ", 8))
	return b.String()
}
