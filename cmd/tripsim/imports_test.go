package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// imports says what the packages of the program may import, besides the
// standard library: packages of the program by name, modules by path. A package
// that is not listed may not exist: give it a row with as few entries as it can
// do with. Arrows point one way; nothing imports upward.
var imports = map[string][]string{
	"internal/solar":    {"gonum.org/v1/gonum"},
	"internal/profiles": {"gonum.org/v1/gonum", "github.com/gocarina/gocsv"},
	"internal/weather":  {"internal/solar", "gonum.org/v1/gonum", "github.com/gocarina/gocsv"},
	"internal/sim":      {"internal/solar", "internal/weather", "internal/profiles", "gonum.org/v1/gonum", "golang.org/x/sync"},
	"internal/scenario": {
		"internal/sim", "internal/profiles", "internal/weather", "internal/solar", "internal/spelling",
		"github.com/gocarina/gocsv", "golang.org/x/text",
		"github.com/ringsaturn/tzf", "github.com/ringsaturn/tzf-rel-lite", "google.golang.org/protobuf",
	},
	"internal/chart": {
		"internal/sim", "gonum.org/v1/gonum", "gonum.org/v1/plot", "codeberg.org/go-pdf/fpdf",
		"codeberg.org/go-fonts/liberation", "codeberg.org/go-fonts/dejavu", "golang.org/x/image", "golang.org/x/text",
	},
	"internal/report": {"internal/sim", "golang.org/x/text"},
	"internal/report/quote": {
		"internal/report", "internal/chart", "internal/sim", "internal/profiles", "codeberg.org/go-pdf/fpdf",
		"golang.org/x/text", "golang.org/x/image", "codeberg.org/go-fonts/liberation", "codeberg.org/go-fonts/dejavu",
		"github.com/srwiley/oksvg", "github.com/srwiley/rasterx",
	},
	"internal/web": {
		"internal/scenario", "internal/sim", "internal/chart", "internal/report", "internal/report/quote",
		"internal/profiles", "internal/weather", "internal/solar", "internal/web/atlas", "scenarios", "golang.org/x/text", "golang.org/x/sync",
	},
	"internal/web/atlas": {},
	"internal/gazetteer": {"internal/spelling", "golang.org/x/text"},
	"internal/spelling":  {},
	"scenarios":          {},
	"plots":              {},
	"cmd/tripsim": {
		"internal/scenario", "internal/sim", "internal/chart", "internal/report", "internal/report/quote", "internal/web",
		"internal/profiles", "internal/weather", "internal/solar", "internal/gazetteer", "internal/spelling", "scenarios",
		"github.com/spf13/pflag", "golang.org/x/term", "golang.org/x/text", "golang.org/x/sync",
	},
}

// forbidden are packages of the standard library that would let a pure room see
// files, the network or the user.
var forbidden = map[string][]string{
	"internal/solar":    {"os", "io/fs", "net", "net/http", "log", "path/filepath", "os/exec", "flag"},
	"internal/profiles": {"os", "net", "net/http", "log", "path/filepath", "os/exec", "flag"},
	"internal/sim":      {"os", "io/fs", "net", "net/http", "log", "path/filepath", "os/exec", "flag", "io", "bufio"},
}

// listed is a package as the go command knows it.
type listed struct {
	ImportPath string
	Imports    []string
	Standard   bool
	Module     *struct{ Path string }
}

const module = "tripsim/"

func TestImportsPointOneWay(t *testing.T) {
	cmd := exec.Command("go", "list", "-deps", "-json=ImportPath,Imports,Standard,Module", "./...")
	cmd.Dir = filepath.Join("..", "..")
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	require.NoError(t, err, stderr.String())
	var packages []listed
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		err := dec.Decode(&p)
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		packages = append(packages, p)
	}
	own := 0
	for _, p := range packages {
		if strings.HasPrefix(p.ImportPath, module) {
			own++
		}
	}
	require.GreaterOrEqual(t, own, 7, "go list found the program's packages")
	for _, v := range violations(packages) {
		t.Error(v)
	}
}

// violations compares packages with the table of imports.
func violations(packages []listed) []string {
	modules := map[string]string{}
	for _, p := range packages {
		if p.Module != nil {
			modules[p.ImportPath] = p.Module.Path
		}
	}
	var found []string
	for _, p := range packages {
		name, own := strings.CutPrefix(p.ImportPath, module)
		if !own {
			continue
		}
		allowed, known := imports[name]
		if !known {
			found = append(found, name+" is not in the table of imports")
			continue
		}
		for _, imported := range p.Imports {
			inner, isOwn := strings.CutPrefix(imported, module)
			switch mod := modules[imported]; {
			case isOwn && !slices.Contains(allowed, inner):
				found = append(found, name+" may not import "+inner)
			case !isOwn && mod != "" && !slices.Contains(allowed, mod):
				found = append(found, name+" may not import "+imported+" of module "+mod)
			case !isOwn && mod == "" && slices.Contains(forbidden[name], imported):
				found = append(found, name+" may not import "+imported)
			}
		}
	}
	return found
}

func TestTheImportRuleSeesWhatBreaksIt(t *testing.T) {
	outside := &struct{ Path string }{"example.org/other"}
	got := violations([]listed{
		{ImportPath: "example.org/other/pkg", Module: outside},
		{ImportPath: "tripsim/internal/sim", Imports: []string{"math", "os", "tripsim/internal/solar", "tripsim/internal/scenario"}},
		{ImportPath: "tripsim/internal/solar", Imports: []string{"math", "example.org/other/pkg"}},
		{ImportPath: "tripsim/internal/report", Imports: []string{"os", "tripsim/internal/sim", "tripsim/internal/scenario"}},
		{ImportPath: "tripsim/internal/extra"},
	})
	assert.Equal(t, []string{
		"internal/sim may not import os",
		"internal/sim may not import internal/scenario",
		"internal/solar may not import example.org/other/pkg of module example.org/other",
		"internal/report may not import internal/scenario",
		"internal/extra is not in the table of imports",
	}, got)
}

func TestTheTableOfImportsHasNoCycle(t *testing.T) {
	var visit func(name string, path []string)
	visit = func(name string, path []string) {
		require.NotContains(t, path, name, "the table lets %v import each other", append(path, name))
		for _, next := range imports[name] {
			if _, own := imports[next]; own {
				visit(next, append(slices.Clone(path), name))
			}
		}
	}
	for name := range imports {
		visit(name, nil)
	}
}

// The rooms of physics and simulation, and the report, never look at the clock:
// the same input gives the same answer on any day.
func TestNoRoomBelowTheCommandLooksAtTheClock(t *testing.T) {
	for _, room := range []string{"solar", "weather", "profiles", "sim", "scenario", "chart", "report"} {
		err := filepath.WalkDir(filepath.Join("..", "..", "internal", room), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			for _, name := range clockCalls(t, path) {
				t.Errorf("%s calls %s", path, name)
			}
			return nil
		})
		require.NoError(t, err)
	}
}

func clockCalls(t *testing.T, path string) []string {
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
	require.NoError(t, err)
	var calls []string
	ast.Inspect(file, func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok {
			if pkg, ok := sel.X.(*ast.Ident); ok && pkg.Name == "time" &&
				slices.Contains([]string{"Now", "Since", "Until", "Local"}, sel.Sel.Name) {
				calls = append(calls, "time."+sel.Sel.Name)
			}
		}
		return true
	})
	return calls
}
