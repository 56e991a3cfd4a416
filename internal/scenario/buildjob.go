package scenario

import (
	"path/filepath"
	"slices"
	"strings"
)

// Job is who the answer is for. Shares are 0..1.
type Job struct {
	Title, Customer, Reference, PreparedBy, Business, Contact string
	Logo                                                      string // file in the scenario folder
	Currency                                                  string
	TargetFlatRisk                                            float64 // accepted share of trips with a flat battery
	Reserve                                                   float64 // wanted state of charge above the cut-off
	Notes                                                     string
}

// job converts the rows of job.csv; keys that are not given have their defaults.
func (k *checker) job(rows []jobRow, name string) Job {
	cells := map[string]*cell{}
	known := jobKeys.Names()
	for i := range rows {
		r := &rows[i]
		key, ok := k.value(&r.Key)
		col := jobKeys.Column(strings.ToLower(key))
		switch {
		case !ok:
		case col == nil:
			k.report(&r.Key, "%s is not a key of job.csv; %s", quoted(key), didYouMean(key, known))
		case cells[col.Name] != nil:
			k.report(&r.Key, "%s stands here twice; delete one", col.Name)
		default:
			c := r.Value
			c.col = col
			cells[col.Name] = &c
		}
	}
	at := func(key string) *cell {
		if c := cells[key]; c != nil {
			return c
		}
		return &cell{col: jobKeys.Column(key)}
	}
	value := func(key string) string {
		s, _ := k.value(at(key))
		return s
	}
	j := Job{
		Title: value("title"), Customer: value("customer"), Reference: value("reference"),
		PreparedBy: value("prepared_by"), Business: value("business"), Contact: value("contact"),
		Logo: k.logo(at("logo")), Currency: value("currency"), Notes: value("notes"),
		TargetFlatRisk: k.share(at("target_flat_risk_pct")), Reserve: k.share(at("reserve_pct")),
	}
	if j.Title == "" {
		j.Title = name
	}
	return j
}

var logoTypes = []string{".png", ".jpg", ".jpeg", ".svg"}

// logo accepts only the name of a picture in the folder itself.
func (k *checker) logo(c *cell) string {
	switch s := c.text; {
	case s == "":
	case strings.ContainsAny(s, `/\:`) || strings.HasPrefix(s, ".") || filepath.IsAbs(s):
		k.report(c, "%s is not the name of a file in the scenario folder; use e.g. %s", quoted(s), c.col.Example)
	case !slices.Contains(logoTypes, strings.ToLower(filepath.Ext(s))):
		k.report(c, "%s is not a PNG, JPEG or SVG file; use e.g. %s", quoted(s), c.col.Example)
	default:
		return s
	}
	return ""
}
