package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"tripsim": main})
}

// The scripts in testdata/script are the program's user stories. Each runs in a
// folder of its own that holds copies of testdata/trips; $SCENARIOS has
// the shipped ones.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join("testdata", "script"),
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"exits": exits,
			"lines": lines,
		},
		Condition: func(cond string) (bool, error) {
			if cond == "root" { // may write anywhere
				return os.Geteuid() == 0, nil
			}
			return false, fmt.Errorf("unknown condition %q", cond)
		},
		Setup: func(env *testscript.Env) error {
			env.Setenv("COLUMNS", "")
			shipped, err := filepath.Abs(filepath.Join("..", "..", "scenarios"))
			if err != nil {
				return err
			}
			env.Setenv("SCENARIOS", shipped)
			return os.CopyFS(env.WorkDir, os.DirFS(filepath.Join("testdata", "trips")))
		},
	})
}

// exits runs a command and wants its exit status: exits STATUS COMMAND ARGS...
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS COMMAND [ARGS...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// lines counts the lines of a file: lines FILE COUNT; FILE may be stdout or
// stderr.
func lines(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: lines FILE COUNT")
	}
	want, err := strconv.Atoi(args[1])
	ts.Check(err)
	got := 0
	for _, c := range ts.ReadFile(args[0]) {
		if c == '\n' {
			got++
		}
	}
	if got != want {
		ts.Fatalf("%s has %d lines, want %d", args[0], got, want)
	}
}
