package report

import (
	"encoding/json"
	"math"
	"strings"
	"time"

	"tripsim/internal/sim"
)

// Texts of the sun at a place.
const (
	sunTitle   = "Sun and heat at %s"
	sunWhere   = "%s; %s; local clock %s."
	sunAt      = "%s, %s"
	sunAtLimit = "The climate data are %s away: the figures are a guess."
	sunOf      = "Best tilt over the year: %s; it gives %s a day from a panel of %s, a level one %s."

	sunNote = "Means per day. Sun on level ground, also under a clear sky (blank where the sun stays too low for that model); clearness = share of the " +
		"sun outside the air. Yield of a panel of %s at its power point, before regulator and battery: level, at the month's best tilt (from the horizontal, " +
		"facing north N or south S, in steps of 5°), and at the year's; 2 %% dirt, no shade."
	sunDullNote = "Days < ⅓ and < ½: share of days with less than a third and a half of the day's average sun; poor day: one in ten has less than that (%s simulated years, seed %s)."
	sunClimate  = "%s. Nearest data: %s away. Accuracy: %s."
)

// Sun is what is said about the sun at a place.
type Sun struct {
	Name    string // as the reader calls it; may be blank
	Found   string // attribution of the gazetteer, if the place was found by name
	Program string
	Options sim.PlaceOptions
	Year    *sim.PlaceYear
}

// guessKM is the distance to the climate data from which its figures are a
// guess (see package weather).
const guessKM = 300

// darkWh is a yield that no tilt is worth naming for, Wh a day.
const darkWh = 0.5

// Label names the place: its name, else its coordinates.
func (u *Sun) Label(f Format) string {
	if name := Clean(u.Name); name != "" {
		return name
	}
	return u.coordinates(f)
}

func (u *Sun) coordinates(f Format) string {
	p := &u.Year.Position
	side := func(x float64, positive, negative string) string {
		if x < 0 {
			positive = negative
		}
		return f.Number(math.Abs(x), 2) + "°\u00a0" + positive
	}
	return side(p.LatDeg, "N", "S") + ", " + side(p.LonDeg, "E", "W")
}

// Clock names the local clock of the hours: the zone, or its distance from UTC
// at sea and near the poles.
func (u *Sun) Clock() string {
	name := u.Year.Zone.String()
	if hours, nautical := strings.CutPrefix(name, "Etc/GMT"); nautical { // the sign of these names is reversed
		return "UTC" + strings.NewReplacer("+", "−", "-", "+").Replace(hours)
	}
	return Clean(name)
}

// tiltText is a tilt for people: "35° S", or "level".
func tiltText(t sim.Tilt, f Format) string {
	if t.Deg == 0 {
		return "level"
	}
	return f.Number(t.Deg, 0) + "°\u00a0" + facing(t)
}

func facing(t sim.Tilt) string {
	if t.South {
		return "S"
	}
	return "N"
}

// Text lays the answer out for a terminal.
func (u *Sun) Text(s Screen) string {
	f, y := s.Format, u.Year
	text := s.Heading(f.Text(sunTitle, u.Label(f))) +
		s.Paragraph("", "", f.Text(sunWhere, u.where(f), u.spread(f), u.Clock())) +
		s.Paragraph("", "", f.Text(sunOf, tiltText(y.BestTilt, f), f.With(y.Mean.YearTiltWh, 0, "Wh"), f.With(y.PanelW, 0, "W"), f.With(y.Mean.FlatWh, 0, "Wh")))
	if y.NearestKM > guessKM {
		text += s.Paragraph("", "", f.Text(sunAtLimit, f.With(y.NearestKM, 0, "km")))
	}
	return text + "\n" + u.Table(f).Render(s)
}

// where is the position with its height, or the height alone where the position
// serves as the name.
func (u *Sun) where(f Format) string {
	height := f.With(u.Year.Position.ElevationM, 0, "m")
	if Clean(u.Name) == "" {
		return height
	}
	return f.Text(sunAt, u.coordinates(f), height)
}

// spread is the year in one phrase.
func (u *Sun) spread(f Format) string {
	low, high := 0, 0
	for m := range 12 {
		if u.Year.Months[m].GHIKWhM2 < u.Year.Months[low].GHIKWhM2 {
			low = m
		}
		if u.Year.Months[m].GHIKWhM2 > u.Year.Months[high].GHIKWhM2 {
			high = m
		}
	}
	at := func(m int) string {
		return f.With(u.Year.Months[m].GHIKWhM2, 1, "kWh/m²") + " in " + f.Month(time.Month(m+1))
	}
	return at(low) + " to " + at(high)
}

// Table is the year month by month.
func (u *Sun) Table(f Format) *Table {
	y := u.Year
	_, unit := f.Degrees(0)
	t := &Table{Columns: []Column{
		{Key: "month", Head: "month", Doc: "month, 1 to 12"},
		{Key: "ghi_kwh_m2", Head: "sun kWh/m²", Decimals: 2, Doc: "mean daily global irradiation on level ground, kWh/m2"},
		{Key: "clear_ghi_kwh_m2", Head: "clear sky", Decimals: 2, Drop: 3, Doc: "the same under a clear sky, kWh/m2"},
		{Key: "clearness_index", Head: "clear\u00adness", Decimals: 2, Drop: 5, Doc: "irradiation over that outside the air"},
		{Key: "daylight_h", Head: "day h", Decimals: 1, Drop: 4, Doc: "time with the sun above the horizon, h"},
		{Key: "temp_min_c", Head: "min " + unit, Doc: "mean daily minimum of the air, °C"},
		{Key: "temp_max_c", Head: "max " + unit, Doc: "mean daily maximum of the air, °C"},
		{Key: "flat_wh", Head: "level Wh", Doc: "daily yield of the level panel, Wh"},
		{Key: "best_tilt_wh", Head: "best Wh", Doc: "daily yield at the month's best tilt, Wh"},
		{Key: "best_tilt_deg", Head: "best tilt", Doc: "that tilt from the horizontal, degrees"},
		{Key: "best_tilt_facing", Doc: "N or S: where that panel faces"},
		{Key: "year_tilt_wh", Head: "year's tilt Wh", Drop: 2, Doc: "daily yield at the year's best tilt, Wh"},
		{Key: "below_third_pct", Head: "days < ⅓", Doc: "share of days with less than a third of the average, %"},
		{Key: "below_half_pct", Head: "days < ½", Drop: 1, Doc: "share of days with less than a half of the average, %"},
		{Key: "poor_day_kwh_m2", Head: "poor day", Decimals: 1, Doc: "one day in ten has less, kWh/m2"},
	}}
	for m := range 12 {
		t.Rows = append(t.Rows, Row{Cells: u.cells(Number(float64(m+1)).Shown(f.Month(time.Month(m+1))), &y.Months[m], f)})
	}
	total := Row{Cells: u.cells(Text("year"), &y.Mean, f)}
	t.Total = &total
	t.Notes = []string{f.Text(sunNote, f.With(y.PanelW, 0, "W"))}
	if y.Draws > 0 {
		t.Notes = append(t.Notes, f.Text(sunDullNote, f.Number(float64(y.Draws), 0), f.Number(float64(u.Options.Seed), 0)))
	}
	source := f.Text(sunClimate, Clean(y.Source), f.With(y.NearestKM, 0, "km"), ClimateAccuracy)
	if u.Found != "" {
		source += " " + Clean(u.Found) + "."
	}
	t.Notes = append(t.Notes, source)
	return t
}

func (u *Sun) cells(first Cell, p *sim.PlaceMonth, f Format) []Cell {
	degrees := func(c float64) Cell {
		v, _ := f.Degrees(c)
		return Number(c).Shown(f.Number(v, 0))
	}
	share := func(x float64) Cell {
		c := Number(100 * x)
		if !math.IsNaN(x) {
			c = c.Shown(f.Share(x))
		}
		return c
	}
	tilt, side := Number(p.Best.Deg).Shown(tiltText(p.Best, f)), Text(facing(p.Best))
	if p.BestWh < darkWh {
		tilt, side = Cell{}, Cell{}
	}
	return []Cell{
		first, Number(p.GHIKWhM2), Number(p.ClearGHIKWhM2), Number(p.Clearness), Number(p.DaylightH),
		degrees(p.TempMinC), degrees(p.TempMaxC), Number(p.FlatWh), Number(p.BestWh),
		tilt, side, Number(p.YearTiltWh),
		share(p.DullShare), share(p.GreyShare), Number(p.PoorKWhM2),
	}
}

// sunJSON is the answer for programs.
type sunJSON struct {
	Schema     string          `json:"schema"`
	Program    string          `json:"program"`
	Place      string          `json:"place,omitempty"`
	LatDeg     num             `json:"latitude"`
	LonDeg     num             `json:"longitude"`
	ElevationM num             `json:"elevation_m"`
	Zone       string          `json:"time_zone"`
	PanelW     num             `json:"panel_w"`
	TiltDeg    num             `json:"year_tilt_deg"`
	TiltFacing string          `json:"year_tilt_facing"`
	Months     json.RawMessage `json:"months"`
	YearGHI    num             `json:"year_ghi_kwh_m2_day"`
	YearFlat   num             `json:"year_flat_wh_day"`
	YearTilt   num             `json:"year_tilt_wh_day"`
	Hourly     [12][24]num     `json:"ghi_w_m2_by_month_and_hour"`
	Draws      int             `json:"simulated_years"`
	Seed       uint64          `json:"seed"`
	Sky        string          `json:"sky_model"`
	Albedo     num             `json:"ground_reflectance"`
	NearestKM  num             `json:"climate_distance_km"`
	Source     string          `json:"climate_source"`
	Found      string          `json:"place_source,omitempty"`
}

// JSON writes the answer for programs.
func (u *Sun) JSON() ([]byte, error) {
	y := u.Year
	doc := sunJSON{
		Schema: "tripsim-sun/1", Program: u.Program, Place: u.Name, LatDeg: num(y.Position.LatDeg), LonDeg: num(y.Position.LonDeg),
		ElevationM: num(y.Position.ElevationM), Zone: y.Zone.String(), PanelW: num(y.PanelW), TiltDeg: num(y.BestTilt.Deg),
		TiltFacing: facing(y.BestTilt), Months: u.Table(DefaultFormat()).JSON(), YearGHI: num(y.Mean.GHIKWhM2),
		YearFlat: num(y.Mean.FlatWh), YearTilt: num(y.Mean.YearTiltWh), Draws: y.Draws, Seed: u.Options.Seed,
		Sky: u.Options.Sky.String(), Albedo: num(u.Options.Albedo),
		NearestKM: num(y.NearestKM), Source: y.Source, Found: u.Found,
	}
	for m := range 12 {
		for h := range 24 {
			doc.Hourly[m][h] = num(y.GHIWm2[m][h])
		}
	}
	return document(doc)
}

// Files are the table and the machine-readable form, for WriteSet.
func (u *Sun) Files() ([]File, error) {
	doc, err := u.JSON()
	if err != nil {
		return nil, err
	}
	return []File{{"sun.csv", u.Table(DefaultFormat()).CSV()}, {"sun.json", doc}}, nil
}
