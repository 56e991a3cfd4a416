package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
)

// FuzzArgs runs whatever stands on the command line, one argument a line. The
// work behind it is called off before it begins, so that what is tried is how
// arguments and flags are read: the status is one of those documented, mistakes
// go to standard error in one form, and nothing that was typed reaches the
// terminal unclean. The page is left out, since it waits for a browser.
func FuzzArgs(f *testing.F) {
	for _, args := range []string{
		"", "--version", "-h", "help\nsources", "run\nholds", "run\nholds\n--system\nBig\n--draws=3\n--format\npdf,none",
		"size\nholds\n--map\ncharger\n--risk=2\n--sizes\n100,200", "compare\nholds\n--vary\ncharger.alternator_a=20,30\n--reference\nSmall",
		"season\nholds\n--by\nweek", "fix\nflat\n--use-spread\n20", "calibrate\nholds\n--weather\nw.csv",
		"quote\nholds\n--out\ndoc\n--direction=rtl", "check\nholds\nflat\n--json", "new\nfresh\n--gpx\nholds.gpx\n--start\n2026-10-03",
		"fitting\nholds\n--system\nSmall\n--drop=2", "sun\nZagora\n--panel\n200", "sun\n--at\n30.92,-6.91\n--elevation=9e9\n--csv",
		"parts\npanels\n--json", "completion\nbash", "run\n--step\n7m\nholds", "run\n--\n--holds", "run\n\x1b[31mred\n--seed=-1", "rnu\nholds", "run\n--albedo=NaN\nholds",
	} {
		f.Add(args)
	}
	trips, err := filepath.Abs(filepath.Join("testdata", "trips"))
	require.NoError(f, err)
	off, cancel := context.WithCancel(context.Background())
	cancel()
	f.Fuzz(func(t *testing.T, line string) {
		args := strings.Split(line, "\n")
		if args[0] == "serve" || strings.ContainsAny(line, "/\x00") || strings.Contains(line, "..") || len(line) > 2000 {
			return // waits, or might write outside the folder
		}
		if args[0] == "sun" {
			args = append(args, "--draws=2", "--format=svg")
		}
		t.Chdir(t.TempDir())
		require.NoError(t, os.CopyFS(".", os.DirFS(trips)))
		var out, errs bytes.Buffer
		c := newConsole(strings.NewReader(""), &out, &errs)
		status := c.report(dispatch(off, c, args))
		require.Contains(t, []int{statusDone, statusFailed, statusBadInput, statusFlat, statusStopped}, status)
		if status == statusBadInput && args[0] != "check" {
			require.Empty(t, out.String())
		}
		if status != statusDone {
			require.NotEmpty(t, errs.String())
		}
		for _, r := range errs.String() {
			require.False(t, unicode.IsControl(r) && r != '\n', "%q", errs.String())
		}
		if status == statusStopped {
			entries, err := os.ReadDir(".")
			require.NoError(t, err)
			names := []string{}
			for _, e := range entries {
				names = append(names, e.Name())
			}
			slices.Sort(names)
			require.Equal(t, []string{"flat", "holds"}, names, "nothing is written by what is stopped")
		}
	})
}
