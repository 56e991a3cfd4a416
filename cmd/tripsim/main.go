// Command tripsim says whether a vehicle's electrical system carries a planned
// trip: it reads a folder of tables (itinerary, appliances, candidate systems),
// simulates them hour by hour and prints a verdict, tables and pictures.
//
// main.go runs a command and turns its error into an exit status; commands.go
// holds the table of commands; every command has a file of its own, with its
// help text. A new command is one file and one row in that table.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/pflag"
)

// Exit statuses.
const (
	statusDone     = 0
	statusFailed   = 1
	statusBadInput = 2
	statusFlat     = 3   // only with --fail-if-flat
	statusStopped  = 130 // interrupted
)

const program = "tripsim"

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// run is the whole program: it reads nothing but its arguments, its streams, the
// environment and the files that are named, and returns the exit status.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	c := newConsole(stdin, stdout, stderr)
	defer c.clearProgress()
	return c.report(dispatch(ctx, c, args))
}

// dispatch finds the command and runs it.
func dispatch(ctx context.Context, c *console, args []string) error {
	if len(args) == 0 {
		c.errorText(mainHelp())
		return failure{status: statusBadInput}
	}
	name := args[0]
	switch name {
	case "-h", "--help":
		return c.print(mainHelp())
	case "-V", "--version":
		return c.print(versionText())
	}
	if strings.HasPrefix(name, "-") {
		return usage("", "unknown flag %s before a command%s", clean(name),
			didYouMean(strings.TrimLeft(name, "-"), []string{"help", "version"}, "--"))
	}
	cmd := commandNamed(name)
	if cmd == nil {
		return usage("", "unknown command %q%s", clean(name), didYouMean(name, commandNames(), ""))
	}
	return cmd.run(ctx, c, args[1:])
}

// run parses the command's flags and acts.
func (cmd *command) run(ctx context.Context, c *console, args []string) error {
	fs, act := cmd.flags()
	switch err := fs.Parse(args); {
	case errors.Is(err, pflag.ErrHelp):
		return c.print(cmd.help())
	case err != nil:
		return usage(cmd.name, "%s", flagMessage(err, fs))
	}
	if n := fs.NArg(); n < cmd.least || cmd.most >= 0 && n > cmd.most {
		return cmd.countError(fs.Args())
	}
	return cmd.own(act(ctx, c, fs.Args()))
}

// flags returns the command's flags and what it does once they are parsed.
func (cmd *command) flags() (*pflag.FlagSet, action) {
	fs := pflag.NewFlagSet(cmd.name, pflag.ContinueOnError)
	fs.SetOutput(io.Discard) // help is printed here, not there
	fs.Usage = func() {}
	fs.SortFlags = false
	act := cmd.setup(fs)
	return fs, act
}

// own points a mistake on the command line at this command's help, where the
// code that found it serves several commands.
func (cmd *command) own(err error) error {
	var f failure
	if errors.As(err, &f) && f.command == "" && f.err != nil {
		f.command = cmd.name
		return f
	}
	return err
}

func (cmd *command) countError(args []string) error {
	switch {
	case len(args) < cmd.least:
		return usage(cmd.name, "%s is missing", strings.Fields(strings.Trim(cmd.args, "[]."))[0])
	default:
		return usage(cmd.name, "too many arguments: %q is one more than it takes", clean(args[cmd.most]))
	}
}

// failure is an error with its exit status.
type failure struct {
	status  int
	err     error
	command string // whose help is pointed to; "" = of the command that runs; "-" = none
}

func (f failure) Error() string {
	if f.err == nil {
		return ""
	}
	return f.err.Error()
}

func (f failure) Unwrap() error { return f.err }

// usage is a mistake on the command line.
func usage(command, format string, args ...any) error {
	return failure{statusBadInput, fmt.Errorf(format, args...), command}
}

// badInput is a mistake in what was read.
func badInput(err error) error { return failure{statusBadInput, err, "-"} }

// report prints an error, if there is one, and returns the exit status.
func (c *console) report(err error) int {
	c.clearProgress()
	if err == nil {
		return statusDone
	}
	if errors.Is(err, context.Canceled) {
		c.errorText(program + ": stopped; nothing was written\n")
		return statusStopped
	}
	if errors.Is(err, syscall.EPIPE) {
		return statusFailed
	}
	var f failure
	if !errors.As(err, &f) {
		f = failure{statusFailed, err, "-"}
	}
	if f.err == nil {
		return f.status
	}
	for line := range strings.Lines(f.err.Error()) {
		c.errorText(program + ": " + clean(line) + "\n")
	}
	if f.command != "-" {
		c.errorText(strings.Join(strings.Fields("Try '"+program+" "+f.command), " ") + " --help' for more.\n")
	}
	return f.status
}
