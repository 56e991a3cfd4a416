package report

import (
	"fmt"
	"math"
	"strings"
	"time"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"
)

// Format writes numbers, dates and units the way the reader's country does.
// The zero value is not useful; see NewFormat and DefaultFormat.
type Format struct {
	tag        language.Tag
	printer    *message.Printer
	dates      *dateForms
	fahrenheit bool
}

// DefaultFormat is English with degrees Celsius, day before month.
func DefaultFormat() Format {
	f, err := NewFormat("en-GB", "")
	if err != nil {
		panic(err) // the default is known to be good
	}
	return f
}

// NewFormat returns the number and date forms of locale, a BCP 47 tag such as
// "en-US", "de", "fr-CA" or "es"; an underscore is accepted for the hyphen. The
// languages English, German, French and Spanish are known. degrees is "c", "f"
// or blank (the locale's own). The texts themselves stay English.
func NewFormat(locale, degrees string) (Format, error) {
	tag, err := language.Parse(strings.ReplaceAll(strings.TrimSpace(locale), "_", "-"))
	if err != nil {
		return Format{}, fmt.Errorf(textBadLocale, locale)
	}
	base, _ := tag.Base()
	region, _ := tag.Region()
	forms, ok := dateFormsOf(base.String(), region.String())
	if !ok {
		return Format{}, fmt.Errorf(textBadLocale, locale)
	}
	f := Format{tag: tag, printer: message.NewPrinter(tag), dates: forms}
	switch strings.ToLower(degrees) {
	case "":
		f.fahrenheit = region.String() == "US" && strings.Contains(locale, "US")
	case "c":
	case "f":
		f.fahrenheit = true
	default:
		return Format{}, fmt.Errorf(textBadDegrees, degrees)
	}
	return f, nil
}

// Locale returns the tag that the format was made for.
func (f Format) Locale() string { return f.tag.String() }

// Text is Sprintf over a text of texts.go; arguments are finished strings.
func (f Format) Text(text string, args ...any) string { return fmt.Sprintf(text, args...) }

// Number writes x with the given decimals and grouped thousands; blank for a
// value that is not there (NaN) and a word for the infinite.
func (f Format) Number(x float64, decimals int) string {
	switch {
	case math.IsNaN(x):
		return ""
	case math.IsInf(x, 0):
		return textUnlimited
	}
	text := f.printer.Sprint(number.Decimal(rounded(math.Abs(x), decimals),
		number.MinFractionDigits(decimals), number.MaxFractionDigits(decimals)))
	if x < 0 && strings.ContainsAny(text, "123456789") { // no minus zero
		text = "−" + text
	}
	return text
}

// rounded rounds half away from zero by the decimal value that is meant: 28.5 may
// be a hair less in binary.
func rounded(x float64, decimals int) float64 {
	scale := math.Pow(10, float64(decimals))
	return math.Round((x+math.Copysign(nudge, x))*scale) / scale
}

// nudge is less than any digit that is shown, and more than what reckoning with
// shares loses.
const nudge = 1e-9

// Percent writes a share 0..1 as a whole percentage with its sign.
func (f Format) Percent(share float64) string {
	if math.IsNaN(share) {
		return ""
	}
	return f.Number(100*share, 0) + f.percentSign()
}

// Share writes a share 0..1 in per cent with one decimal below ten and above
// ninety, where whole per cents are coarse; what is neither nothing nor
// everything is not rounded to it.
func (f Format) Share(share float64) string {
	pct := 100 * share
	tenths := rounded(pct*10, 0)
	switch {
	case math.IsNaN(share):
		return ""
	case pct > 0 && tenths == 0:
		return "<\u00a0" + f.Number(0.1, 1) + f.percentSign()
	case pct < 100 && tenths == 1000:
		return ">\u00a0" + f.Number(99.9, 1) + f.percentSign()
	case tenths >= 100 && tenths <= 900 || math.Mod(tenths, 10) == 0:
		return f.Number(pct, 0) + f.percentSign()
	}
	return f.Number(pct, 1) + f.percentSign()
}

func (f Format) percentSign() string { return "\u00a0%" }

// With writes x with decimals and a unit behind a no-break space.
func (f Format) With(x float64, decimals int, unit string) string {
	return f.Number(x, decimals) + "\u00a0" + unit
}

// Temperature writes degrees Celsius in the reader's unit, e.g. "23 °C".
func (f Format) Temperature(c float64) string {
	if math.IsNaN(c) {
		return ""
	}
	value, unit := f.Degrees(c)
	return f.Number(value, 0) + "\u00a0" + unit
}

// Degrees converts degrees Celsius to the reader's unit and names it.
func (f Format) Degrees(c float64) (float64, string) {
	if f.fahrenheit {
		return c*9/5 + 32, "°F"
	}
	return c, "°C"
}

// Warmer writes a difference of temperature, K, in the reader's unit: "2 °C".
func (f Format) Warmer(k float64) string {
	zero, unit := f.Degrees(0)
	value, _ := f.Degrees(k)
	return f.Number(value-zero, 0) + "\u00a0" + unit
}

// degree writes degrees Celsius in the reader's unit without naming it.
func (f Format) degree(c float64) string {
	value, _ := f.Degrees(c)
	return f.Number(value, 0)
}

// Day writes a date with its weekday and without its year: "Tue 14 Oct".
func (f Format) Day(t time.Time) string {
	return strings.NewReplacer(
		"{w}", f.dates.weekdays[t.Weekday()],
		"{d}", fmt.Sprint(t.Day()),
		"{m}", f.dates.months[t.Month()-1],
	).Replace(f.dates.day)
}

// Date writes a date in full: "14 October 2025".
func (f Format) Date(t time.Time) string {
	return strings.NewReplacer(
		"{d}", fmt.Sprint(t.Day()),
		"{m}", f.dates.longMonths[t.Month()-1],
		"{y}", fmt.Sprintf("%04d", t.Year()),
	).Replace(f.dates.long)
}

// Month names a month shortly, 1 = January.
func (f Format) Month(m time.Month) string { return f.dates.months[m-1] }

// Clock writes the time of day: "14:30", or "2:30 pm" where that is the custom.
func (f Format) Clock(t time.Time) string {
	if f.dates.twelveHours {
		return strings.ToLower(t.Format("3:04\u00a0PM"))
	}
	return t.Format("15:04")
}

// DayClock writes a moment: "Tue 14 Oct, 14:30".
func (f Format) DayClock(t time.Time) string { return f.Day(t) + ", " + f.Clock(t) }

// Count writes a number of things: "1 day", "3 days".
func (f Format) Count(n int, one, many string) string {
	if n == 1 {
		return f.Number(1, 0) + "\u00a0" + one
	}
	return f.Number(float64(n), 0) + "\u00a0" + many
}

// Hours writes a length of time in hours: "5.5 h", "26 h"; less than a tenth of
// an hour in minutes: "3 min".
func (f Format) Hours(h float64) string {
	if h > 0 && h < 0.1 {
		return f.With(max(1, 60*h), 0, "min")
	}
	if h >= 10 || h == math.Trunc(h) {
		return f.With(h, 0, "h")
	}
	return f.With(h, 1, "h")
}

// isoLocal is a moment on the local clock with its offset, ISO 8601.
func isoLocal(t time.Time) string { return t.Format("2006-01-02T15:04:05-07:00") }

// isoDate is a civil date, ISO 8601.
func isoDate(t time.Time) string { return t.Format(time.DateOnly) }
