package scenario

import (
	"flag"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the errors that are found into testdata/bad, for review")

// baseFiles is a small valid scenario.
func baseFiles(t testing.TB) map[string][]byte {
	t.Helper()
	return archive(t, "testdata/base.txtar").files
}

type textArchive struct {
	comment string
	files   map[string][]byte
	raw     *txtar.Archive
}

func archive(t testing.TB, path string) textArchive {
	t.Helper()
	raw, err := txtar.ParseFile(path)
	require.NoError(t, err)
	a := textArchive{comment: strings.TrimSpace(string(raw.Comment)), files: map[string][]byte{}, raw: raw}
	for _, f := range raw.Files {
		a.files[f.Name] = f.Data
	}
	return a
}

func TestBaseScenarioIsValid(t *testing.T) {
	s, err := FromFiles("base", baseFiles(t))
	require.NoError(t, err)
	assert.Equal(t, []string{"trip.csv: a row's drive repeats on each of its days; split rows where it is driven on the first only: line 3 6.5 h on each of 2 days"}, s.Warnings)
}

// Each archive in testdata/bad replaces one table of the base scenario by one
// with a single mistake; its first line is the one error expected.
func TestBadScenariosGiveTheOneErrorExpected(t *testing.T) {
	paths, err := filepath.Glob("testdata/bad/*.txtar")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(paths), 120)
	base := baseFiles(t)
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar"), func(t *testing.T) {
			bad := archive(t, path)
			files := maps.Clone(base)
			maps.Copy(files, bad.files)
			s, err := FromFiles("bad", files)
			require.Error(t, err)
			assert.Nil(t, s)
			if *update {
				bad.raw.Comment = []byte(err.Error() + "\n")
				require.NoError(t, os.WriteFile(path, txtar.Format(bad.raw), 0o644))
				return
			}
			assert.Equal(t, bad.comment, err.Error())
			assert.Len(t, err, 1)
		})
	}
}
