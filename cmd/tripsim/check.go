package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"tripsim/internal/scenario"
)

const checkHelp = `
Reads scenario folders and reports every mistake in them at once, with file, line
and column, and how to mend it. Nothing is simulated or written.

Examples:
  tripsim check mytrip
  tripsim check scenarios/*
  tripsim check --json mytrip

Exit status: 0 no mistakes (there may be warnings), 2 mistakes.
`

func checkCommand() *command {
	return &command{
		name: "check", args: "SCENARIO...", least: 1, most: -1,
		short: "find the mistakes in a scenario folder",
		long:  checkHelp,
		setup: func(fs *pflag.FlagSet) action {
			asJSON := fs.Bool("json", false, "print JSON")
			return func(ctx context.Context, c *console, args []string) error { return check(ctx, c, args, *asJSON) }
		},
	}
}

// checked is the outcome for one folder.
type checked struct {
	Scenario string             `json:"scenario"`
	OK       bool               `json:"ok"`
	Days     int                `json:"days"`
	Loads    int                `json:"appliances"`
	Systems  int                `json:"systems"`
	Hash     string             `json:"input_hash"`
	Problems []scenario.Problem `json:"problems"`
	Warnings []string           `json:"warnings"`
}

func check(ctx context.Context, c *console, dirs []string, asJSON bool) error {
	all := []checked{}
	bad := false
	for _, dir := range dirs {
		if err := ctx.Err(); err != nil {
			return err
		}
		r := checkOne(dir)
		bad = bad || !r.OK
		all = append(all, r)
		if !asJSON {
			if err := r.print(c); err != nil {
				return err
			}
		}
	}
	if asJSON {
		doc, err := json.MarshalIndent(all, "", "  ")
		if err != nil {
			return err
		}
		if err := c.print(string(doc) + "\n"); err != nil {
			return err
		}
	}
	if bad {
		return failure{status: statusBadInput}
	}
	return nil
}

func checkOne(dir string) checked {
	r := checked{Scenario: dir, Problems: []scenario.Problem{}, Warnings: []string{}}
	sc, err := open(dir)
	var problems scenario.Problems
	switch {
	case errors.As(err, &problems):
		r.Problems = problems
	case err != nil:
		r.Problems = append(r.Problems, scenario.Problem{Row: -1, Text: err.Error()})
	default:
		r.OK, r.Days, r.Loads, r.Systems, r.Hash = true, sc.Trip.Days(), len(sc.Loads), len(sc.Systems), sc.Hash
		r.Warnings = append(r.Warnings, sc.Warnings...)
	}
	return r
}

func (r *checked) print(c *console) error {
	for _, p := range r.Problems {
		c.errorText(strings.TrimPrefix(clean(p.Error()), ": ") + "\n")
	}
	for _, w := range r.Warnings {
		c.errorText("warning: " + clean(w) + "\n")
	}
	if !r.OK {
		return c.print(fmt.Sprintf("%s: %s\n", clean(r.Scenario), count(len(r.Problems), "mistake")))
	}
	parts := []string{count(r.Days, "day"), count(r.Loads, "appliance"), count(r.Systems, "system")}
	if n := len(r.Warnings); n > 0 {
		parts = append(parts, count(n, "warning"))
	}
	return c.print(fmt.Sprintf("%s: no mistakes (%s)\n", clean(r.Scenario), strings.Join(parts, ", ")))
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
