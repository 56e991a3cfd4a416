package web

import (
	"archive/zip"
	"bytes"
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
