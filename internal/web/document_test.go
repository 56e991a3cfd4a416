package web

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tripsim/internal/scenario"
	"tripsim/scenarios"
)

// copied is what a page has after a round trip over the wire.
func copied(t testing.TB, s sheets) sheets {
	t.Helper()
	text, err := json.Marshal(s)
	require.NoError(t, err)
	var out sheets
	require.NoError(t, json.Unmarshal(text, &out))
	return out
}

func open(t testing.TB, files map[string][]byte) *document {
	t.Helper()
	d, err := openDocument("test", files)
	require.NoError(t, err)
	return d
}

func TestUntouchedTablesComeBackByteForByte(t *testing.T) {
	sets := map[string]map[string][]byte{
		"starter": scenario.StarterFiles(),
		"odd": {
			"trip.csv":    []byte("\ufeff# a comment\r\ndate;days;place;latitude;longitude\r\n\r\n# before the row\r\n2026-05-01;2;\"Camp\";30,5;-7\r\n# the end\r\n"),
			"loads.csv":   []byte("name,kind,watts,hours\n\"LED \"\"x\"\"\",window,10,4\nshort,steady,5\n"),
			"systems.csv": []byte("battery_ah,system\n 100 ,\"A\""),
		},
	}
	for _, name := range scenarios.Names() {
		sets[name] = shipped(t, name)
	}
	for name, files := range sets {
		t.Run(name, func(t *testing.T) {
			d := open(t, files)
			again, err := d.edited(copied(t, d.now))
			require.NoError(t, err)
			assert.False(t, again.changedFrom(files))
			for file, data := range files {
				assert.Equal(t, string(data), string(again.files[file]), file)
			}
		})
	}
}

func TestAnEditChangesItsRowOnly(t *testing.T) {
	files := map[string][]byte{"systems.csv": []byte("# kept\nsystem,battery_ah,note\n\"A\",100,\n# about B\n\"B\", 200,\"x\"\n")}
	d := open(t, files)
	now := copied(t, d.now)
	now["systems.csv"].Rows[0].Cells[1] = "120"
	next, err := d.edited(now)
	require.NoError(t, err)
	assert.Equal(t, "# kept\nsystem,battery_ah,note\nA,120,\n# about B\n\"B\", 200,\"x\"\n", string(next.files["systems.csv"]))
	now["systems.csv"].Rows[0].Cells[1] = "100"
	back, err := next.edited(now)
	require.NoError(t, err)
	assert.False(t, back.changedFrom(files), "undo gives the old bytes")
}

func TestRowsMoveCopyAndGoWithTheirComments(t *testing.T) {
	d := open(t, map[string][]byte{"loads.csv": []byte("name,watts\n# first\na,1\n# second\nb,2\nc,3\n")})
	now := copied(t, d.now)
	rows := now["loads.csv"].Rows
	now["loads.csv"].Rows = []sheetRow{rows[1], rows[0], rows[0]}
	next, err := d.edited(now)
	require.NoError(t, err)
	assert.Equal(t, "name,watts\n# second\nb,2\n# first\na,1\na,1\n", string(next.files["loads.csv"]))
}

func TestAProblemPointsAtTheRowOfThePage(t *testing.T) {
	d := open(t, shipped(t, "morocco-october"))
	now := copied(t, d.now)
	trip := now["trip.csv"]
	days := 1
	trip.Rows = append([]sheetRow{{From: -1, Cells: []string{"# only a comment"}}}, trip.Rows...)
	trip.Rows[3].Cells[days] = "x"
	next, err := d.edited(now)
	require.NoError(t, err)
	_, problems := next.read()
	require.Len(t, problems, 1)
	assert.Equal(t, 3, problems[0].Row)
	assert.Equal(t, "days", problems[0].Column)
	assert.Equal(t, `"x" is not a whole number of days; use e.g. 1 or 3`, problems[0].Text)
}

func TestWhatNoPageSendsIsRefused(t *testing.T) {
	d := open(t, shipped(t, "morocco-october"))
	for name, bad := range map[string]*sheet{
		"many columns": {Columns: make([]string, maxColumns+1)},
		"wide row":     {Columns: []string{"place"}, Rows: []sheetRow{{Cells: make([]string, maxColumns+1)}}},
		"many rows":    {Columns: []string{"place"}, Rows: make([]sheetRow, 400)},
		"no columns":   {Rows: make([]sheetRow, 1)},
		"long cell":    {Columns: []string{strings.Repeat("x", maxCell+1)}},
		"NUL":          {Columns: []string{"place"}, Rows: []sheetRow{{Cells: []string{"a\x00b"}}}},
	} {
		_, err := d.edited(sheets{"trip.csv": bad})
		assert.Error(t, err, name)
	}
	_, err := openDocument("test", map[string][]byte{"trip.csv": []byte("a,\"b\nc")})
	assert.ErrorAs(t, err, &scenario.Problems{})
	_, err = openDocument("test", map[string][]byte{"other.csv": []byte("a\n")})
	assert.Error(t, err)
}

// Whatever is written into cells, the file reads back as the same cells.
func TestCellsSurviveTheFile(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		base := open(t, map[string][]byte{"loads.csv": []byte("name,watts,note\na,1,x\nb,2,\n")})
		cell := rapid.StringOf(rapid.RuneFrom([]rune("ab#,;\"' =\n-1é")))
		var rows []sheetRow
		for range rapid.IntRange(0, 5).Draw(rt, "rows") {
			rows = append(rows, sheetRow{
				From:  rapid.IntRange(-1, 3).Draw(rt, "from"),
				Cells: []string{"n" + cell.Draw(rt, "a"), cell.Draw(rt, "b"), cell.Draw(rt, "c")},
			})
		}
		d, err := base.edited(sheets{"loads.csv": {Columns: []string{"name", "watts", "note"}, Rows: rows}})
		require.NoError(rt, err)
		again, problems := scenario.Parse(d.files)
		require.Empty(rt, problems)
		require.Len(rt, again["loads.csv"].Rows, len(rows))
		for i := range rows {
			for j := range rows[i].Cells {
				require.Equal(rt, rows[i].Cells[j], again["loads.csv"].Rows[i].Cell(j))
			}
		}
	})
}

func TestSavingKeepsABackupOfTheStart(t *testing.T) {
	dir := t.TempDir()
	files := shipped(t, "morocco-october")
	for name, data := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), data, 0o644))
	}
	read := func(name string) string {
		data, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		return string(data)
	}
	known := map[string][]byte{}
	for name, data := range files {
		known[name] = data
	}
	s := newSaver(dir, known)
	change := func(text string) map[string][]byte {
		next := map[string][]byte{}
		for name, data := range files {
			next[name] = data
		}
		next["job.csv"] = []byte(text)
		return next
	}
	require.NoError(t, s.save(change("key,value\ntitle,one\n")))
	require.NoError(t, s.save(change("key,value\ntitle,two\n")))
	assert.Equal(t, "key,value\ntitle,two\n", read("job.csv"))
	assert.Equal(t, string(files["job.csv"]), read("job.csv.bak"), "the backup is from before the session")
	assert.NoFileExists(t, filepath.Join(dir, "trip.csv.bak"), "what did not change has none")

	require.NoError(t, os.WriteFile(filepath.Join(dir, "job.csv"), []byte("key,value\ntitle,other\n"), 0o644))
	err := s.save(change("key,value\ntitle,three\n"))
	require.ErrorContains(t, err, "changed by another program")
	assert.Equal(t, "key,value\ntitle,other\n", read("job.csv"), "the other's work stays")

	require.NoError(t, os.WriteFile(filepath.Join(dir, "job.csv"), []byte("key,value\ntitle,two\n"), 0o644))
	fewer := change("key,value\ntitle,two\n")
	delete(fewer, "job.csv")
	delete(fewer, "panels.csv")
	require.NoError(t, s.save(fewer))
	assert.NoFileExists(t, filepath.Join(dir, "panels.csv"), "a table that an import lacks goes")
	assert.Equal(t, string(files["panels.csv"]), read("panels.csv.bak"))
}
