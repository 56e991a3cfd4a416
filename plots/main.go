// Command plots makes the pictures of this folder anew from the shipped
// scenarios, by the same commands that a reader would type:
//
//	go run ./plots
//
// With an argument it writes them there instead. A test says when the pictures
// in this folder are stale.
package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
)

// shot is one picture: the command that makes it and the file to keep.
type shot struct {
	name string // of the picture here
	file string // that the command writes
	args []string
}

// shots are the pictures that README shows, and a few more of each kind.
var shots = []shot{
	{
		"state-of-charge.svg", "weekend-100-state-of-charge.svg",
		[]string{"run", "scenarios/morocco-october", "--system", "Weekend 100", "--format", "svg"},
	},
	{
		"state-of-charge-flat.svg", "portable-pack-100-state-of-charge.svg",
		[]string{"run", "scenarios/morocco-october", "--system", "Portable pack 100", "--format", "svg"},
	},
	{
		"state-of-charge-frost.svg", "touring-200-combined-state-of-charge.svg",
		[]string{"run", "scenarios/altiplano-june", "--system", "Touring 200 combined", "--format", "svg"},
	},
	{
		"lead-acid.svg", "weekend-100-agm-state-of-charge.svg",
		[]string{"run", "scenarios/karoo-july", "--system", "Weekend 100 AGM", "--format", "svg"},
	},
	{
		"lithium.svg", "weekend-100-lithium-state-of-charge.svg",
		[]string{"run", "scenarios/karoo-july", "--system", "Weekend 100 lithium", "--format", "svg"},
	},
	{
		"energy-by-day.svg", "touring-200-combined-energy-by-day.svg",
		[]string{"run", "scenarios/morocco-october", "--system", "Touring 200 combined", "--format", "svg"},
	},
	{
		"typical-day.svg", "touring-200-combined-typical-day.svg",
		[]string{"run", "scenarios/morocco-october", "--system", "Touring 200 combined", "--format", "svg"},
	},
	{
		"compare.svg", "compare.svg",
		[]string{"compare", "scenarios/morocco-october", "--format", "svg"},
	},
	{
		"vary-charger.svg", "vary.svg",
		[]string{"compare", "scenarios/morocco-october", "--system", "Weekend 100", "--vary", "charger.alternator_a=10,20,30,40,50", "--format", "svg"},
	},
	{
		"size-map.svg", "size-map.svg",
		[]string{"size", "scenarios/morocco-october", "--system", "Weekend 100 with inverter", "--map", "panel", "--draws", "300", "--format", "svg"},
	},
	{
		"season.svg", "season.svg",
		[]string{"season", "scenarios/morocco-october", "--draws", "300", "--format", "svg"},
	},
	{
		"sun-year.svg", "sun.svg",
		[]string{"sun", "--at", "30.92,-6.91", "--name", "Ouarzazate", "--format", "svg"},
	},
}

func main() {
	dir := "plots"
	if len(os.Args) > 1 {
		dir = os.Args[1]
	}
	if err := refresh(".", dir); err != nil {
		fmt.Fprintln(os.Stderr, "plots:", err)
		os.Exit(1)
	}
}

// refresh runs the commands from the module's root and keeps their pictures in
// dir.
func refresh(root, dir string) error {
	tmp, err := os.MkdirTemp("", "plots")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	program := filepath.Join(tmp, "tripsim")
	if err := run(root, "go", "build", "-o", program, "./cmd/tripsim"); err != nil {
		return err
	}
	for i, s := range shots {
		out := filepath.Join(tmp, fmt.Sprint(i))
		if err := run(root, program, append(s.args, "--out", out)...); err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
		data, err := os.ReadFile(filepath.Join(out, s.file))
		if err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
		if err := os.WriteFile(filepath.Join(dir, s.name), data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// run runs a command and keeps quiet unless it fails.
func run(dir, name string, args ...string) error {
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("%s: %w\n%s", cmd, err, out)
	}
	return nil
}
