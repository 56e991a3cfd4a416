package web

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func zipOf(t testing.TB, entries ...[2]string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, e := range entries {
		f, err := w.Create(e[0])
		require.NoError(t, err)
		_, err = f.Write([]byte(e[1]))
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.Bytes()
}

func TestExportAndImportGiveTheSameBytes(t *testing.T) {
	files := shipped(t, "karoo-july")
	data, err := pack("karoo-july", files)
	require.NoError(t, err)
	again, err := pack("karoo-july", files)
	require.NoError(t, err)
	assert.Equal(t, data, again, "equal tables make equal archives")
	back, folder, err := unpack(data)
	require.NoError(t, err)
	assert.Equal(t, files, back)
	assert.Equal(t, "karoo-july", folder)
}

func TestAnArchiveNeverNamesAPath(t *testing.T) {
	files, folder, err := unpack(zipOf(t, [2]string{"../../etc/trip.csv", "place\nx\n"}, [2]string{`C:\x\loads.csv`, "name\na\n"},
		[2]string{"../passwd", "root"}, [2]string{"__junk/systems.csv", "junk"}))
	require.NoError(t, err)
	assert.Len(t, files, 2)
	assert.NotContains(t, folder, "/")
	assert.NotContains(t, folder, "..")
}

func TestHostileArchivesAreRefused(t *testing.T) {
	bomb := strings.Repeat("0", maxUnpacked+1)
	for name, c := range map[string]struct {
		data []byte
		says string
	}{
		"no archive":  {[]byte("trip"), "not a zip archive"},
		"empty":       {zipOf(t), "holds no table"},
		"bomb":        {zipOf(t, [2]string{"trip.csv", bomb}), "unpacked"},
		"bomb of two": {zipOf(t, [2]string{"trip.csv", bomb[:maxUnpacked/2+1]}, [2]string{"loads.csv", bomb[:maxUnpacked/2+1]}), "unpacked"},
		"twice":       {zipOf(t, [2]string{"a/trip.csv", "x"}, [2]string{"b/trip.csv", "y"}), "twice"},
		"large":       {make([]byte, maxArchive+1), "larger than"},
	} {
		_, _, err := unpack(c.data)
		assert.ErrorContains(t, err, c.says, name)
	}
	many := make([][2]string, maxEntries+1)
	for i := range many {
		many[i] = [2]string{strings.Repeat("x", i+1), ""}
	}
	_, _, err := unpack(zipOf(t, many...))
	assert.ErrorContains(t, err, "six")
}

// postZip sends an archive and returns what the page gets.
func postZip(t testing.TB, url string, data []byte) (status int, got struct {
	Source int
	Name   string
	Tables sheets
},
) {
	t.Helper()
	r, err := http.Post(url+"api/import", "application/zip", bytes.NewReader(data))
	require.NoError(t, err)
	defer r.Body.Close()
	require.NoError(t, json.NewDecoder(r.Body).Decode(&got))
	return r.StatusCode, got
}

// An import is an edit: nothing changes before the page has taken the tables up,
// other pages are asked, and the earlier tables come back with their comments.
func TestAnImportIsAnEdit(t *testing.T) {
	dir := t.TempDir()
	files := shipped(t, "karoo-july")
	files["trip.csv"] = append([]byte("# a note of the customer's\n"), files["trip.csv"]...)
	for name, data := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), data, 0o644))
	}
	url, s := serve(t, "karoo-july", func(c *Config) { c.Files, c.Dir, c.Write, c.Draws = files, dir, true, 0 })
	first := copied(t, s.doc.now)
	other := shipped(t, "norway-september")
	delete(other, "job.csv")
	archive, err := pack("norway", other)
	require.NoError(t, err)

	status, read := postZip(t, url, archive)
	require.Equal(t, 200, status)
	assert.Equal(t, "norway", read.Name)
	assert.Equal(t, files, latest(s).files, "nothing has changed yet")
	status, _ = post(t, url, question{Client: "a", Tables: read.Tables, Source: read.Source})
	require.Equal(t, 200, status)
	assert.Equal(t, other, latest(s).files)
	assert.NoFileExists(t, filepath.Join(dir, "job.csv"))
	status, _ = post(t, url, question{Client: "b", Tables: first})
	assert.Equal(t, http.StatusConflict, status, "another window is asked")

	status, _ = post(t, url, question{Client: "a", Rev: 1, Tables: first})
	require.Equal(t, 200, status)
	assert.Equal(t, files, latest(s).files, "comments included")
	for name, data := range files {
		assert.Equal(t, string(data), inFolder(t, dir)[name], name)
	}
	_, again := postZip(t, url, archive)
	assert.Equal(t, read.Source, again.Source, "the same archive is kept once")
	status, _ = post(t, url, question{Client: "a", Rev: 2, Tables: read.Tables, Source: 99})
	require.Equal(t, 200, status)
	_, problems := latest(s).read()
	assert.Empty(t, problems, "tables of a source that is not known are written anew")
}

func TestSourcesAreKeptWithinLimits(t *testing.T) {
	s := sources{}
	for i := range 30 {
		d := &document{name: strconv.Itoa(i), files: map[string][]byte{"trip.csv": make([]byte, sourcesMost/8)}}
		s.add(d, 3)
		assert.Equal(t, i, d.source)
	}
	var kept []int
	for _, d := range s.kept {
		kept = append(kept, d.source)
	}
	assert.Equal(t, []int{3, 22, 23, 24, 25, 26, 27, 28, 29}, kept, "the latest, and the one in use")
}

func FuzzImport(f *testing.F) {
	good, err := pack("x", map[string][]byte{"trip.csv": []byte("place,latitude,longitude\na,1,2\n"), "loads.csv": []byte("name\na\n"), "systems.csv": []byte("system,battery_ah\na,1\n")})
	require.NoError(f, err)
	f.Add(good)
	f.Add(good[:len(good)-10])
	f.Add(zipOf(f, [2]string{"trip.csv", "a,\"b"}))
	f.Fuzz(func(t *testing.T, data []byte) {
		files, _, err := unpack(data)
		if err != nil {
			return
		}
		for name := range files {
			require.True(t, isTable(name))
		}
		if d, err := openDocument("x", files); err == nil {
			d.read()
			require.False(t, d.changedFrom(d.files))
		}
	})
}
