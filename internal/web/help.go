package web

import (
	"regexp"
	"strings"

	"tripsim/internal/scenario"
)

// The schema explains columns to people who write tables: by the names of
// columns, files and commands. The page says the same by what it shows.
var (
	commandHint = regexp.MustCompile(" \\(`[^`]*`\\)")
	rangeTail   = regexp.MustCompile(`; (-?[\d.]+) to (-?[\d.]+)$`)
	columnName  = regexp.MustCompile(`\b[a-z]+(?:_[a-z0-9]+)+\b`)

	fromCatalogue = strings.NewReplacer(
		"the preset's name", "the name in the catalogue", "no preset", "nothing from the catalogue",
		"; without one needed, but for fridges", ", else needed (not for a fridge)",
		"the preset's", "from the catalogue", "; without one ", ", else ", "in proportion to watts", "in proportion to the power", " as watts", " the power",
		"A preset fills the row from the catalogue; any cell that is given overrides it", "A row from the catalogue has its figures from there; what you write into a cell goes before",
	)
	tableNames = strings.NewReplacer(
		"from systems.csv", "from Systems", "as in loads.csv", "as for appliances", "from chargers.csv", "from Chargers",
		"currency of job.csv", "currency of the job", "the loads that are", "the appliances that are", "with ; or blanks between", "with ; between",
	)
)

// plainly rewrites a text of the schema for the page.
func plainly(text string) string {
	text = commandHint.ReplaceAllString(text, "")
	text = tableNames.Replace(fromCatalogue.Replace(text))
	return columnName.ReplaceAllStringFunc(text, func(name string) string {
		if l, ok := labels[name]; ok {
			return "“" + l + "”"
		}
		return strings.ReplaceAll(name, "_", " ") // a choice, as its list shows it
	})
}

// helpOf is a column's explanation with choices and range.
func helpOf(c *scenario.Column) string {
	text := plainly(c.Meaning())
	text = strings.Replace(text, "; HH:MM", ", e.g. "+c.Example, 1)
	return rangeTail.ReplaceAllStringFunc(text, func(s string) string {
		m := rangeTail.FindStringSubmatch(s)
		return ". From " + grouped(m[1]) + " to " + grouped(m[2])
	})
}

// grouped writes a large figure with its thousands apart.
func grouped(figure string) string {
	whole, rest, _ := strings.Cut(figure, ".")
	if rest != "" || len(whole) < 5 {
		return figure
	}
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "\u202f" + whole[i:]
	}
	return whole
}
