package report

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tree lists every file below dir, temporary ones too.
func tree(t *testing.T, dir string) []string {
	t.Helper()
	names := []string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && path != dir {
			rel, _ := filepath.Rel(dir, path)
			names = append(names, filepath.ToSlash(rel))
		}
		return err
	}))
	return names
}

func TestASetOfFilesIsWrittenWhole(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	files := []File{{"one.csv", []byte("1")}, {"sub/two.svg", []byte("2")}, {"empty", nil}}
	require.NoError(t, WriteSet(dir, files))
	assert.Equal(t, []string{"empty", "one.csv", "sub", "sub/two.svg"}, tree(t, dir))
	data, err := os.ReadFile(filepath.Join(dir, "sub", "two.svg"))
	require.NoError(t, err)
	assert.Equal(t, "2", string(data))
	info, err := os.Stat(filepath.Join(dir, "one.csv"))
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o644), info.Mode().Perm())

	require.NoError(t, WriteSet(dir, []File{{"one.csv", []byte("new")}}))
	data, err = os.ReadFile(filepath.Join(dir, "one.csv"))
	require.NoError(t, err)
	assert.Equal(t, "new", string(data))
	assert.Len(t, tree(t, dir), 4, "what is not in the set stays")
}

func TestAFailedSetLeavesEverythingAsItWas(t *testing.T) {
	tooLong := strings.Repeat("x", 300) + ".csv" // no file system here takes the name
	root := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(root, "old.csv"), []byte("old"), 0o644))
	require.NoError(t, os.Mkdir(filepath.Join(root, "folder.csv"), 0o755))
	for name, files := range map[string][]File{
		"a write that fails half-way":     {{"old.csv", []byte("new")}, {"fresh/one.csv", nil}, {tooLong, []byte("x")}},
		"a folder in the way":             {{"old.csv", []byte("new")}, {"folder.csv", []byte("x")}},
		"a file where a folder has to be": {{"old.csv", []byte("new")}, {"old.csv/below", []byte("x")}},
		"a name that leads out":           {{"old.csv", []byte("new")}, {"../out.csv", []byte("x")}},
		"an absolute name":                {{"old.csv", []byte("new")}, {"/tmp/out.csv", []byte("x")}},
	} {
		require.Error(t, WriteSet(root, files), name)
		assert.Equal(t, []string{"folder.csv", "old.csv"}, tree(t, root), name)
		data, err := os.ReadFile(filepath.Join(root, "old.csv"))
		require.NoError(t, err)
		assert.Equal(t, "old", string(data), name)
	}
	assert.ErrorContains(t, WriteSet(filepath.Join(root, "old.csv"), []File{{"x", nil}}), "is not a folder")
	assert.ErrorContains(t, WriteSet(filepath.Join(root, "old.csv", "below"), []File{{"x", nil}}), "nothing was written")
	require.Error(t, WriteSet(filepath.Join(root, "made", "for", "it"), []File{{tooLong, nil}}))
	assert.Equal(t, []string{"folder.csv", "old.csv"}, tree(t, root), "folders made for nothing go again")
}

func TestTheFilesOfARun(t *testing.T) {
	files, err := inventedRun(t).Files()
	require.NoError(t, err)
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
		assert.NotEmpty(t, f.Data)
	}
	assert.Equal(t, []string{"days.csv", "hours.csv", "result.json"}, names)
	golden(t, "days.golden.csv", strings.ReplaceAll(string(files[0].Data), "\r\n", "\n"))
	for _, d := range FileColumns() {
		header, _, _ := strings.Cut(string(files[map[string]int{"days.csv": 0, "hours.csv": 1}[d.Name]].Data), "\r\n")
		var keys []string
		for _, c := range d.Columns {
			keys = append(keys, c.Key)
		}
		assert.Equal(t, strings.Join(keys, ","), header, "what is documented is what is written")
	}
}
