package scenario

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/sim"
)

// A line that cannot be read is reported, the other lines are checked, and the
// text is written back as it was.
func TestBrokenLinesDoNotHideTheRest(t *testing.T) {
	text := "date,days,place,latitude,longitude,drive_hours\n" +
		"2026-10-03,1,Co\"ast,30.54,-9.71,3\n,1,Desert,30.09,-6.87,9h\n,1,\"Town\"x,1,1,1\n,1,Pass,31.7,-5.9,5\n"
	table, problems := ParseTable("trip.csv", []byte(text), 100)
	require.Len(t, problems, 2)
	assert.Equal(t, text, string(table.Bytes()))
	files := baseFiles(t)
	files["trip.csv"] = []byte(text)
	_, err := FromFiles("x", files)
	assert.EqualError(t, err, `trip.csv:2: a quotation mark inside a cell; put the whole cell in quotes and double the mark: "5"" pipe"`+"\n"+
		`trip.csv:3: drive_hours: "9h" is not a number of hours; use e.g. 9 or 9.5`+"\n"+
		`trip.csv:4: a quoted cell is not closed, or text follows its closing quotation mark`)
}

func TestManyProblemsAreCutShort(t *testing.T) {
	rows := "name,kind,watts\n"
	for i := range 300 {
		rows += "load " + string(rune('A'+i%26)) + strings.Repeat("x", i/26) + ",steady,-1\n"
	}
	files := baseFiles(t)
	files["loads.csv"] = []byte(rows)
	_, err := FromFiles("x", files)
	problems := err.(Problems)
	require.Len(t, problems, maxProblems+1)
	assert.Equal(t, "loads.csv: 100 more problems are not shown; mend these first", problems[maxProblems].Error())
}

func TestLongTextIsShortenedInMessages(t *testing.T) {
	assert.Equal(t, `"abc\n"`, quoted("abc\n"))
	assert.Equal(t, 42, len([]rune(quoted(strings.Repeat("ü", 1000)))))
}

func TestNearestName(t *testing.T) {
	known := tripSpec.Names()
	for name, want := range map[string]string{
		"Latitude": "latitude", "lattitude": "latitude", "driving_hours": "drive_hours", "DRIVE HOURS": "drive_hours",
		"drvie_hours": "drive_hours", "lat": "latitude", "elevation": "elevation_m", "hours_drive": "drive_hours",
		"notes": "note", "xyz": "", "": "", "temperature": "",
	} {
		assert.Equal(t, want, nearest(name, known), name)
	}
}

func TestYesAndNoInManyWords(t *testing.T) {
	c := loadsSpec.Column("essential")
	for text, want := range map[string]bool{"yes": true, "Y": true, "TRUE": true, "1": true, "no": false, "N": false, "False": false, "0": false, "": true} {
		var k checker
		assert.Equal(t, want, k.yesNo(&cell{text: text, col: c}), text)
		assert.Empty(t, k.problems)
	}
}

func TestInverterWindowOverMidnight(t *testing.T) {
	var k checker
	mode, span := k.operation(&cell{text: "18:00-02:30", col: systemsSpec.Column("inverter_on")})
	assert.Equal(t, sim.InverterWindow, mode)
	assert.Equal(t, sim.Span{StartH: 18, Hours: 8.5}, span)
	mode, _ = k.operation(&cell{text: "Always", col: systemsSpec.Column("inverter_on")})
	assert.Equal(t, sim.InverterAlways, mode)
	assert.Empty(t, k.problems)
}

func TestNauticalZones(t *testing.T) {
	for lon, want := range map[float64]string{0: "Etc/GMT", 7.4: "Etc/GMT", 22: "Etc/GMT-1", -179: "Etc/GMT+12", 180: "Etc/GMT-12"} {
		assert.Equal(t, want, nauticalZone(lon))
		_, err := time.LoadLocation(want)
		assert.NoError(t, err)
	}
}

func TestJobKeepsToItsFolder(t *testing.T) {
	for _, logo := range []string{"/etc/passwd.png", `..\x.png`, "C:x.png", ".png", "sub/x.png"} {
		files := baseFiles(t)
		files["job.csv"] = []byte("key,value\nlogo," + logo + "\n")
		_, err := FromFiles("x", files)
		assert.ErrorContains(t, err, "is not the name of a file in the scenario folder", logo)
	}
	files := baseFiles(t)
	files["job.csv"] = []byte("key,value\nLogo,Our Logo.PNG\nnotes,\"two\nlines\"\n")
	s, err := FromFiles("x", files)
	require.NoError(t, err)
	assert.Equal(t, "Our Logo.PNG", s.Job.Logo)
	assert.Equal(t, "two\nlines", s.Job.Notes)
}

// Names that would be dangerous in a document are data here: kept as they are.
func TestHostileNamesAreKept(t *testing.T) {
	for _, name := range []string{`<script>alert(1)</script>`, "=cmd()", "שלום", "🚐", strings.Repeat("long ", 60), "#5", `a "quoted", name`} {
		files := baseFiles(t)
		table, problems := ParseTable("trip.csv", files["trip.csv"], 100)
		require.Empty(t, problems)
		table.Rows[1].Cells[table.Column("place")] = name
		files["trip.csv"] = table.Bytes()
		s, err := FromFiles("x", files)
		require.NoError(t, err, name)
		assert.Equal(t, trim(name), s.Trip.Stops[1].Place)
	}
}

func TestFailedWriteLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	assert.Error(t, writeFile(filepath.Join(dir, "nowhere", "x.csv"), []byte("x"), true))
	require.NoError(t, os.Mkdir(filepath.Join(dir, "x.csv"), 0o777))
	assert.Error(t, writeFile(filepath.Join(dir, "x.csv"), []byte("x"), true), "a folder is in the way")
	assert.Error(t, writeFile(filepath.Join(dir, "x.csv"), []byte("x"), false))
	assert.Error(t, Save(filepath.Join(dir, "nowhere"), map[string][]byte{"trip.csv": []byte("y")}))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 1)
}

func TestShortRowsAreBlankAtTheEnd(t *testing.T) {
	files := baseFiles(t)
	files["trip.csv"] = []byte("date,place,latitude,longitude,drive_hours\n2026-10-03,A,1,1\n,B\n,C,95\n")
	_, err := FromFiles("x", files)
	assert.EqualError(t, err, `trip.csv:4: latitude: "95" is not from -90 to 90 degrees; use e.g. 30.92 or -33.9`)
}

func BenchmarkLoad(b *testing.B) {
	files := baseFiles(b)
	for b.Loop() {
		if _, err := FromFiles("x", files); err != nil {
			b.Fatal(err)
		}
	}
}

// A trip that drives every day has no parked day: what is used on those alone
// never runs, whether the row or its preset says so.
func TestAnApplianceWithoutItsDaysIsWarnedOf(t *testing.T) {
	trip := "date,days,place,latitude,longitude,drive_hours,mains_hours\n2026-10-03,2,Camp,31,-6,1,0\n"
	s := mustLoad(t, map[string][]byte{
		"trip.csv":    []byte(trip),
		"loads.csv":   []byte("name,preset,watts,kind,days\nLamp,,5,steady,parked\n,washing_machine,,,\n,induction_hob,,,\nRadio,,5,steady,driving\n,diesel_heater,,,\n"),
		"systems.csv": []byte("system,battery_ah,docked_days,inverter_w\nA,100,mains,3000\nB,100,driving,3000\n"),
	})
	var never []string
	for _, w := range s.Warnings {
		if strings.Contains(w, "this trip has none") {
			never = append(never, w)
		}
	}
	assert.Equal(t, []string{
		"loads.csv:2: Lamp is used on parked days and this trip has none: it never runs; write days, e.g. all",
		"loads.csv:3: Small washing machine is used on mains days (from its preset) and this trip has none: it never runs; write days, e.g. all",
		"systems.csv:2: system \"A\" is docked on mains days and this trip has none: nothing ever charges it",
	}, never)
}

func TestIdlingFollowsTheDrive(t *testing.T) {
	s := mustLoad(t, with(t, "trip.csv", string(baseFiles(t)["trip.csv"]), "date,place,latitude,longitude,drive_start,drive_hours,idle_start,idle_hours\n"+
		"2026-10-03,A,31,-6,09:00,2.5,,1\n,B,31,-6,,,,0.5\n,C,31,-6,10:00,1,18:30,0.25\n,D,31,-6,,,,\n"))
	var got []sim.Span
	for _, stop := range s.Trip.Stops {
		got = append(got, stop.Idle)
	}
	assert.Equal(t, []sim.Span{{StartH: 11.5, Hours: 1}, {StartH: 9, Hours: .5}, {StartH: 18.5, Hours: .25}, {}}, got)
}

// In mountains a height that is not given is asked for, once; on a plain, or
// given, it is not.
func TestHeightsOfPlacesInMountainsAreAskedFor(t *testing.T) {
	warnings := func(rows string) (out []string) {
		s := mustLoad(t, with(t, "trip.csv", string(baseFiles(t)["trip.csv"]), "date,place,latitude,longitude,elevation_m,drive_hours\n"+rows))
		for _, w := range s.Warnings {
			if strings.Contains(w, "elevation_m") {
				out = append(out, w)
			}
		}
		return out
	}
	got := warnings("2026-10-03,Chicago,41.9,-87.6,,\n,Ordino,42.56,1.53,,10\n,Soldeu,42.58,1.67,1800,1\n,Encamp,42.54,1.58,,1\n")
	require.Len(t, got, 1)
	assert.Regexp(t, `^trip\.csv:3: elevation_m is blank; the climate data say \d+ m, and around "Ordino" their heights differ by \d+ m; give the place's height \(1 more row likewise\)$`, got[0])
	assert.Empty(t, warnings("2026-10-03,Chicago,41.9,-87.6,,\n,Ordino,42.56,1.53,1300,10\n"))
}
