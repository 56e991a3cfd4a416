package web

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// savedFolder is a folder with tables, and a saver that has just read them.
func savedFolder(t *testing.T, files map[string][]byte) (dir string, s *saver) {
	t.Helper()
	dir = t.TempDir()
	for name, data := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), data, 0o644))
	}
	return dir, newSaver(dir, maps.Clone(files))
}

// inFolder reads what is in a folder.
func inFolder(t *testing.T, dir string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	out := map[string]string{}
	for _, e := range entries {
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		require.NoError(t, err)
		out[e.Name()] = string(data)
	}
	return out
}

// Before an import takes a table away or writes one, it looks at all of them.
func TestAnImportLeavesTheWorkOfAnotherProgramAlone(t *testing.T) {
	files := map[string][]byte{"trip.csv": []byte("place\na\n"), "job.csv": []byte("key,value\ntitle,a\n"), "panels.csv": []byte("system\na\n")}
	for name, edited := range map[string]bool{"edited before on the page": true, "as it was read": false} {
		t.Run(name, func(t *testing.T) {
			dir, s := savedFolder(t, files)
			if edited {
				next := maps.Clone(files)
				next["job.csv"] = []byte("key,value\ntitle,page\n")
				require.NoError(t, s.save(next))
			}
			require.NoError(t, os.WriteFile(filepath.Join(dir, "job.csv"), []byte("key,value\ntitle,editor\n"), 0o644))
			before := inFolder(t, dir)
			err := s.save(map[string][]byte{"trip.csv": []byte("place\nimported\n")})
			require.ErrorContains(t, err, "changed by another program: job.csv")
			assert.Equal(t, before, inFolder(t, dir), "nothing is written or taken away")
		})
	}
}

// A table that an import does not have goes, and comes back with its undoing; one
// that only the import has comes and goes.
func TestUndoingAnImportWritesTheEarlierTablesBack(t *testing.T) {
	files := map[string][]byte{"trip.csv": []byte("place\na\n"), "panels.csv": []byte("system\na\n")}
	dir, s := savedFolder(t, files)
	imported := map[string][]byte{"trip.csv": []byte("place\nb\n"), "job.csv": []byte("key,value\n")}
	for range 2 {
		require.NoError(t, s.save(imported))
		assert.Equal(t, []string{"job.csv", "panels.csv.bak", "trip.csv", "trip.csv.bak"}, slices.Sorted(maps.Keys(inFolder(t, dir))))
		require.NoError(t, s.save(files))
		now := inFolder(t, dir)
		assert.Equal(t, "place\na\n", now["trip.csv"])
		assert.Equal(t, "system\na\n", now["panels.csv"])
		assert.NotContains(t, now, "job.csv")
	}
	require.NoError(t, s.save(imported))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "panels.csv"), []byte("system\nsomebody's\n"), 0o644))
	require.ErrorContains(t, s.save(files), "panels.csv", "a table that another program made meanwhile stays")
	assert.Equal(t, "system\nsomebody's\n", inFolder(t, dir)["panels.csv"])
}
