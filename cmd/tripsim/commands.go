package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
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
	words func() []string
	// setup defines flags and returns what the command does.
	setup func(fs *pflag.FlagSet) action
}

// action does the work of a command; args are the arguments without flags.
type action func(ctx context.Context, c *console, args []string) error

// commands lists the commands in the order of the help.
func commands() []*command {
	return []*command{
		runCommand(),
		sizeCommand(),
		compareCommand(),
		seasonCommand(),
		fixCommand(),
		calibrateCommand(),
		quoteCommand(),
		checkCommand(),
		serveCommand(),
		newCommand(),
		fittingCommand(),
		sunCommand(),
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
	b.WriteString("\nFlags:\n" + flagHelp(fs))
	return b.String()
}

// flagHelp lists flags with their values, meaning and default.
func flagHelp(fs *pflag.FlagSet) string {
	type line struct{ flag, text string }
	var lines []line
	fs.VisitAll(func(f *pflag.Flag) {
		value, text := pflag.UnquoteUsage(f)
		flag := "    --" + f.Name
		if f.Value.Type() != "bool" {
			if f.NoOptDefVal != "" {
				flag += "[=" + valueName(f, value) + "]"
			} else {
				flag += " " + valueName(f, value)
			}
			if d := defaultText(f); d != "" {
				text += " (default " + d + ")"
			}
		}
		lines = append(lines, line{flag, text})
	})
	lines = append(lines, line{"-h, --help", "this help"})
	wide := 0
	for _, l := range lines {
		wide = max(wide, len(l.flag))
	}
	s := report.Screen{Width: 80}
	var b strings.Builder
	for _, l := range lines {
		b.WriteString(s.Paragraph(fmt.Sprintf("  %-*s  ", wide, l.flag), strings.Repeat(" ", wide+4), l.text))
	}
	return b.String()
}

// valueName is what stands for a flag's value in the help.
func valueName(f *pflag.Flag, quoted string) string {
	switch f.Value.Type() {
	case "int", "uint64":
		return "N"
	case "float64":
		return "X"
	case "duration":
		return "TIME"
	}
	if quoted == f.Value.Type() {
		quoted = f.Name
	}
	if strings.Contains(quoted, "|") { // the words themselves
		return quoted
	}
	return strings.ToUpper(quoted)
}

// defaultText is a flag's default where it says something.
func defaultText(f *pflag.Flag) string {
	switch d := strings.Trim(f.DefValue, "[]"); {
	case d == "0" || d == "":
		return ""
	case f.Value.Type() == "duration":
		return strings.TrimSuffix(strings.TrimSuffix(d, "0s"), "0m")
	default:
		return d
	}
}
