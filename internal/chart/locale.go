package chart

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Locale is the manner of writing numbers and dates. Words stay English. Forms
// and abbreviations follow the Unicode Common Locale Data Repository.
type Locale struct {
	decimal, group string
	monthFirst     bool
	dayDot         string
	months         [12]string
}

// The locales that are known.
var (
	English  = Locale{".", ",", false, "", [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}}
	American = Locale{".", ",", true, "", English.months}
	German   = Locale{",", ".", false, ".", [12]string{"Jan.", "Feb.", "März", "Apr.", "Mai", "Juni", "Juli", "Aug.", "Sept.", "Okt.", "Nov.", "Dez."}}
	French   = Locale{",", nbsp, false, "", [12]string{"janv.", "févr.", "mars", "avr.", "mai", "juin", "juil.", "août", "sept.", "oct.", "nov.", "déc."}}
	Spanish  = Locale{",", ".", false, "", [12]string{"ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sept", "oct", "nov", "dic"}}
)

const nbsp = "\u00a0"

// LocaleFor returns the locale for a language tag (BCP 47) such as "en", "en-US",
// "de-AT", "fr" or "es"; ok is false for a language that is not known.
func LocaleFor(tag string) (l Locale, ok bool) {
	lower := strings.ToLower(strings.ReplaceAll(tag, "_", "-"))
	if lower == "en-us" {
		return American, true
	}
	language, _, _ := strings.Cut(lower, "-")
	l, ok = map[string]Locale{"en": English, "de": German, "fr": French, "es": Spanish}[language]
	return l, ok
}

func (l Locale) isZero() bool { return l.decimal == "" }

// number writes v with the given decimals, halves away from zero as in the
// texts beside a picture, and grouped thousands.
func (l Locale) number(v float64, decimals int) string {
	s := strconv.FormatFloat(rounded(math.Abs(v), decimals), 'f', decimals, 64)
	whole, frac, has := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + l.group + whole[i:]
	}
	if has {
		whole += l.decimal + frac
	}
	if v < 0 && strings.Trim(s, "0.") != "" {
		return "−" + whole
	}
	return whole
}

// rounded rounds half away from zero by the decimal value that is meant: 28.5 may
// be a hair less in binary.
func rounded(x float64, decimals int) float64 {
	const nudge = 1e-9 // less than any digit shown, more than what reckoning loses
	scale := math.Pow(10, float64(decimals))
	return math.Round((x+nudge)*scale) / scale
}

// percent writes a share 0..1 in per cent, as the texts beside a picture do:
// with one decimal below ten and above ninety, and never 0 or 100 for what only
// comes close.
func (l Locale) percent(share float64) string {
	p := share * 100
	switch tenths := rounded(p*10, 0); {
	case p > 0 && tenths == 0:
		return "<" + nbsp + l.number(0.1, 1) + nbsp + "%"
	case p < 100 && tenths == 1000:
		return ">" + nbsp + l.number(99.9, 1) + nbsp + "%"
	case tenths >= 100 && tenths <= 900 || math.Mod(tenths, 10) == 0:
		return l.number(p, 0) + nbsp + "%"
	}
	return l.number(p, 1) + nbsp + "%"
}

// whole writes a share 0..1 as a whole per cent.
func (l Locale) whole(share float64) string { return l.number(share*100, 0) + nbsp + "%" }

// day writes day and month.
func (l Locale) day(t time.Time) string {
	if l.monthFirst {
		return l.months[t.Month()-1] + nbsp + strconv.Itoa(t.Day())
	}
	return strconv.Itoa(t.Day()) + l.dayDot + nbsp + l.months[t.Month()-1]
}

func (l Locale) month(t time.Time) string { return l.months[t.Month()-1] }

// date writes day, month and year.
func (l Locale) date(t time.Time) string {
	if l.monthFirst {
		return l.day(t) + "," + nbsp + strconv.Itoa(t.Year())
	}
	return l.day(t) + nbsp + strconv.Itoa(t.Year())
}

// dates writes a span of days, both ends included.
func (l Locale) dates(from, to time.Time) string {
	switch {
	case from.Equal(to):
		return l.date(from)
	case from.Year() == to.Year():
		return l.day(from) + nbsp + "–" + nbsp + l.date(to)
	}
	return l.date(from) + nbsp + "–" + nbsp + l.date(to)
}

func clock(hours float64) string {
	m := int(math.Round(hours * 60))
	return fmt.Sprintf("%02d:%02d", (m/60)%24, m%60)
}

// energy writes watt-hours, in kWh from 10,000 on.
func (l Locale) energy(wh float64) string {
	if math.Abs(wh) >= 10000 {
		return l.number(wh/1000, 1) + nbsp + "kWh"
	}
	return l.number(wh, 0) + nbsp + "Wh"
}

// days counts days.
func (l Locale) days(n int) string {
	if n == 1 {
		return wordOneDay
	}
	return fmt.Sprintf(wordDays, l.number(float64(n), 0))
}

// hours writes a duration in hours.
func (l Locale) hours(h float64) string {
	if h >= 9.95 || h == math.Round(h) {
		return l.number(h, 0) + nbsp + "h"
	}
	return l.number(max(h, 0.1), 1) + nbsp + "h"
}
