package report

import (
	"math"
	"strings"

	"tripsim/internal/sim"
)

// CalibrationAdvice holds forecasts against a weather record.
type CalibrationAdvice struct {
	Basis       *Basis
	Calibration *sim.Calibration
}

// Text lays the calibration out for a terminal.
func (a *CalibrationAdvice) Text(s Screen) string {
	f, c := s.Format, a.Calibration
	var b strings.Builder
	basis := *a.Basis
	basis.Weather = ""
	b.WriteString(basis.heading(s, aboutCalibrate))
	around := textCalClimate
	if c.Own {
		around = textCalOwn
	}
	b.WriteString(s.Paragraph("", "", f.Text(textCalRecord, Clean(c.Record), Clean(c.Place), f.Number(float64(c.Draws), 0), around)))
	if c.Typical {
		b.WriteString(s.Paragraph("", "", textCalTypical))
	}
	if c.Dropped {
		b.WriteString(s.Paragraph("", "", textSeasonDropped))
	}
	for i := range c.Systems {
		b.WriteString("\n" + a.system(s, &c.Systems[i]))
	}
	b.WriteString("\n" + a.Basis.foot(s))
	return b.String()
}

func (a *CalibrationAdvice) system(s Screen, c *sim.CalibratedSystem) string {
	f := s.Format
	t := a.months([]*sim.CalibratedSystem{c}, f, true).pick("month", "starts", "flat_pct", "forecast_pct", "unserved_wh", "forecast_unserved_wh", "sun_kwh_m2", "forecast_sun_kwh_m2")
	t.Title = f.Text(textCalTitle, Describe(c.System, f))
	t.Notes = []string{f.Text(textCalNote, f.Count(a.Calibration.Days, textDay, textDays))}
	meets := 0
	for i := range c.Months {
		if c.Months[i].Meets() {
			meets++
		}
	}
	text := t.Render(s) + s.Paragraph("", "", f.Text(textCalMeets, f.Number(float64(meets), 0), f.Count(len(c.Months), headMonth, headMonth+"s"),
		f.Share(c.All.Forecast), f.Share(c.All.Observed.Share)))
	score := func(x float64) string { return f.Number(x, 4) }
	r := &c.Brier
	if math.IsNaN(r.Skill()) {
		return text + s.Paragraph("", "", f.Text(textCalNoSkill, score(r.Score)))
	}
	text += s.Paragraph("", "", f.Text(textCalBrier, score(r.Score), score(r.Reliability), score(r.Resolution), score(r.Uncertainty), score(r.Uncertainty), f.Number(r.Skill(), 2)))
	bins := a.bins([]*sim.CalibratedSystem{c}, f).pick("bin", "starts", "forecast_pct", "flat_pct")
	bins.Title = textCalBins
	return text + "\n" + bins.Render(s)
}

// months is one row per system and month; withAll, for people, names the months
// and adds the year.
func (a *CalibrationAdvice) months(systems []*sim.CalibratedSystem, f Format, withAll bool) *Table {
	t := &Table{Columns: []Column{
		{Key: "system", Head: headSystem, Doc: "name of the system"},
		{Key: "month", Head: headMonth, Doc: "month of the start, 1 to 12"},
		{Key: "starts", Head: headStarts, Doc: "starts of the trip in the record"},
		{Key: "flat_pct", Head: headFlat, Doc: "share of them on which the trip went flat, %"},
		{Key: "flat_low_pct", Doc: "lower end of its 95 % interval, counting one trip per trip length, %"},
		{Key: "flat_high_pct", Doc: "upper end of it, %"},
		{Key: "forecast_pct", Head: headForecast, Doc: "mean forecast flat risk, %"},
		{Key: "meets", Doc: "yes if the forecast lies within the interval"},
		{Key: "unserved_wh", Head: headMissed, Drop: 2, Doc: "mean unserved energy under the record's weather, Wh per trip"},
		{Key: "forecast_unserved_wh", Head: headMissedFc, Drop: 2, Doc: "mean unserved energy forecast, Wh per trip"},
		{Key: "sun_kwh_m2", Head: headRecordSun, Decimals: 2, Drop: 1, Doc: "the record's mean daily sun, kWh/m2"},
		{Key: "forecast_sun_kwh_m2", Head: headClimateSun, Decimals: 2, Drop: 1, Doc: "the forecast's mean daily sun, kWh/m2"},
		{Key: "air_min_c", Doc: "the record's mean daily minimum, °C"},
		{Key: "forecast_air_min_c", Doc: "the forecast's mean daily minimum, °C"},
		{Key: "air_max_c", Doc: "the record's mean daily maximum, °C"},
		{Key: "forecast_air_max_c", Doc: "the forecast's mean daily maximum, °C"},
	}}
	for _, c := range systems {
		for i := range c.Months {
			row := a.monthRow(c, &c.Months[i], f)
			if withAll {
				row.Cells[1] = Text(f.Month(c.Months[i].Month))
			}
			t.Rows = append(t.Rows, row)
		}
		if withAll {
			all := a.monthRow(c, &c.All, f)
			all.Cells[1] = Text(textCalAll)
			t.Rows = append(t.Rows, all)
		}
	}
	return t
}

func (a *CalibrationAdvice) monthRow(c *sim.CalibratedSystem, m *sim.CalibratedMonth, f Format) Row {
	r := Row{Cells: []Cell{
		Text(c.System.Name), Number(float64(m.Month)), Number(float64(m.Starts)),
		Number(100 * m.Observed.Share).Shown(f.Share(m.Observed.Share) + " (" + ShareInterval(m.Observed, f) + ")"),
		Number(100 * m.Observed.Low), Number(100 * m.Observed.High), shareCell(m.Forecast, f), Yes(m.Meets()),
		Number(m.UnservedWh), Number(m.ForecastUnservedWh),
	}}
	if m.Month > 0 {
		k := &a.Calibration.Climate[m.Month-1]
		r.Cells = append(r.Cells, Number(k.SunKWhM2), Number(k.ForecastSunKWhM2), Number(k.TempMinC), Number(k.ForecastTempMinC),
			Number(k.TempMaxC), Number(k.ForecastTempMC))
	}
	if !m.Meets() {
		r.Mark = WarnMark
	}
	return r
}

// bins is one row per system and class of forecasts.
func (a *CalibrationAdvice) bins(systems []*sim.CalibratedSystem, f Format) *Table {
	t := &Table{Columns: []Column{
		{Key: "system", Doc: "name of the system"},
		{Key: "from_pct", Doc: "lower edge of the class, %"},
		{Key: "to_pct", Doc: "upper edge of the class, %"},
		{Key: "bin", Head: headForecasts},
		{Key: "starts", Head: headStarts, Doc: "starts with such a forecast"},
		{Key: "forecast_pct", Head: headMean, Doc: "mean forecast, %"},
		{Key: "flat_pct", Head: headFlat, Doc: "share that went flat, %"},
		{Key: "flat_low_pct", Doc: "lower end of its 95 % interval, counting one trip per trip length, %"},
		{Key: "flat_high_pct", Doc: "upper end of it, %"},
	}}
	for _, c := range systems {
		for _, b := range c.Bins {
			t.Rows = append(t.Rows, Row{Cells: []Cell{
				Text(c.System.Name), Number(100 * b.From), Number(100 * b.To),
				Text(f.Text(textInterval, f.sharePart(b.From), f.Share(b.To))), Number(float64(b.N)), shareCell(b.Forecast, f),
				shareCell(b.Observed.Share, f), Number(100 * b.Observed.Low), Number(100 * b.Observed.High),
			}})
		}
	}
	return t
}

func (a *CalibrationAdvice) all() []*sim.CalibratedSystem {
	var out []*sim.CalibratedSystem
	for i := range a.Calibration.Systems {
		out = append(out, &a.Calibration.Systems[i])
	}
	return out
}

// CSV writes the months of all systems.
func (a *CalibrationAdvice) CSV() []byte { return a.months(a.all(), DefaultFormat(), false).CSV() }

// CalibrateSchema names the layout of calibrate.json.
const CalibrateSchema = "tripsim-calibrate/1"

// JSON writes the calibration.
func (a *CalibrationAdvice) JSON() ([]byte, error) {
	type brier struct {
		System      string `json:"system"`
		Starts      int    `json:"starts"`
		Score       num    `json:"score"`
		Reliability num    `json:"reliability"`
		Resolution  num    `json:"resolution"`
		Uncertainty num    `json:"uncertainty"`
		WithinVar   num    `json:"within_bin_variance"`
		WithinCov   num    `json:"within_bin_covariance"`
		Skill       num    `json:"skill"`
	}
	var scores []brier
	for _, c := range a.all() {
		r := &c.Brier
		scores = append(scores, brier{
			c.System.Name, r.N, num(r.Score), num(r.Reliability), num(r.Resolution), num(r.Uncertainty),
			num(r.WithinVariance), num(r.WithinCovariance), num(r.Skill()),
		})
	}
	f := DefaultFormat()
	return a.Basis.document(CalibrateSchema, part{"record", a.Calibration.Record}, part{"place", a.Calibration.Place},
		part{"own_means", a.Calibration.Own}, part{"months", a.months(a.all(), f, false)}, part{"brier", scores},
		part{"reliability", a.bins(a.all(), f).without("bin")})
}
