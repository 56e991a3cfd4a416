package report

import "strings"

// dateForms holds a language's names and orders of dates. The library behind
// the number forms has none for dates; these follow the Unicode Common Locale
// Data Repository's abbreviated and wide forms (release 44), with the dots that
// some languages put behind abbreviations.
type dateForms struct {
	weekdays    [7]string // Sunday first
	months      [12]string
	longMonths  [12]string
	day         string // {w} {d} {m}
	long        string // {d} {m} {y}
	twelveHours bool
}

// dateFormsOf returns the forms of a language in a region; false when the
// language is not known.
func dateFormsOf(base, region string) (*dateForms, bool) {
	forms, ok := languages[base]
	if !ok {
		return nil, false
	}
	if base == "en" && region == "US" {
		forms.day, forms.long, forms.twelveHours = "{w}, {m} {d}", "{m} {d}, {y}", true
	}
	return &forms, true
}

func twelve(s string) (out [12]string) { copy(out[:], strings.Fields(s)); return out }
func seven(s string) (out [7]string)   { copy(out[:], strings.Fields(s)); return out }

var languages = map[string]dateForms{
	"en": {
		weekdays:   seven("Sun Mon Tue Wed Thu Fri Sat"),
		months:     twelve("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec"),
		longMonths: twelve("January February March April May June July August September October November December"),
		day:        "{w} {d} {m}", long: "{d} {m} {y}",
	},
	"de": {
		weekdays:   seven("So Mo Di Mi Do Fr Sa"),
		months:     twelve("Jan. Feb. März Apr. Mai Juni Juli Aug. Sept. Okt. Nov. Dez."),
		longMonths: twelve("Januar Februar März April Mai Juni Juli August September Oktober November Dezember"),
		day:        "{w} {d}. {m}", long: "{d}. {m} {y}",
	},
	"fr": {
		weekdays:   seven("dim. lun. mar. mer. jeu. ven. sam."),
		months:     twelve("janv. févr. mars avr. mai juin juil. août sept. oct. nov. déc."),
		longMonths: twelve("janvier février mars avril mai juin juillet août septembre octobre novembre décembre"),
		day:        "{w} {d} {m}", long: "{d} {m} {y}",
	},
	"es": {
		weekdays:   seven("dom lun mar mié jue vie sáb"),
		months:     twelve("ene feb mar abr may jun jul ago sept oct nov dic"),
		longMonths: twelve("enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre"),
		day:        "{w} {d} {m}", long: "{d} de {m} de {y}",
	},
}
