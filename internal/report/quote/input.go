package quote

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// Input is everything that a document is made of. Only Run with at least one
// result and Date are required: what is not there is left out.
type Input struct {
	Run      *report.Run
	Loads    []sim.Load // in the order of Result.Loads
	Job      Job
	Date     time.Time // of the document; only its civil date is used
	Format   report.Format
	Sections []string // ids of the optional sections; nil = all of them
	Paper    Paper
	Remake   string // command line that makes this document again
	Answers  Answers
}

// Job is who makes the document for whom. Logo may be nil.
type Job struct {
	Business, Contact, Customer, Reference, PreparedBy, Notes string
	Logo                                                      *Logo
}

// Paper is the format of the PDF's pages.
type Paper struct {
	Name              string
	WidthMM, HeightMM float64
}

// The formats of paper.
var (
	A4     = Paper{"a4", 210, 297}
	Letter = Paper{"letter", 215.9, 279.4}
)

// PaperNamed finds a format by name.
func PaperNamed(name string) (Paper, error) {
	for _, p := range []Paper{A4, Letter} {
		if strings.EqualFold(strings.TrimSpace(name), p.Name) {
			return p, nil
		}
	}
	return Paper{}, fmt.Errorf(textBadPaper, name)
}

// Stamp is what tells one document from another.
type Stamp struct {
	Date                   time.Time
	Program, Hash          string
	Title, Author, Subject string
}

// sectionSpec is a section that can be asked for, and its builder. A builder
// returns no block when its results are not there.
type sectionSpec struct {
	id, title, about string
	always           bool
	build            func(*builder) []Block
}

// sectionSpecs lists the sections in the order of the document.
func sectionSpecs() []sectionSpec {
	return []sectionSpec{
		{"systems", titleSystems, aboutSystems, false, (*builder).systems},
		{"fixes", titleFixes, aboutFixes, false, (*builder).fixes},
		{"charge", titleCharge, aboutCharge, false, (*builder).charge},
		{"energy", titleEnergy, aboutEnergy, false, (*builder).energy},
		{"chargers", titleChargers, aboutChargers, false, (*builder).chargers},
		{"season", titleSeason, aboutSeason, false, (*builder).season},
		{"sizing", titleSizing, aboutSizing, false, (*builder).sizing},
		{"days", titleDays, aboutDays, false, (*builder).days},
		{"trip", titleTrip, aboutTrip, false, (*builder).trip},
		{"appliances", titleAppliances, aboutAppliances, false, (*builder).appliances},
		{"wear", titleWear, aboutWear, false, (*builder).wear},
		{"sources", titleSources, aboutSources, false, (*builder).sources},
		{"cautions", titleCautions, aboutCautions, true, (*builder).cautions},
	}
}

// SectionDoc describes a section that can be chosen.
type SectionDoc struct{ ID, Title, About string }

// SectionDocs lists the sections that can be chosen, in the order of the
// document. Heading, recommendation, cautions and colophon are always there.
func SectionDocs() []SectionDoc {
	var out []SectionDoc
	for _, s := range sectionSpecs() {
		if !s.always {
			out = append(out, SectionDoc{s.id, s.title, s.about})
		}
	}
	return out
}

// SectionIDs lists the ids of the sections that can be chosen.
func SectionIDs() []string {
	var ids []string
	for _, s := range SectionDocs() {
		ids = append(ids, s.ID)
	}
	return ids
}

// CheckSections checks a choice of sections; every name must be known.
func CheckSections(ids []string) error {
	for _, id := range ids {
		if id != "cautions" && !slices.Contains(SectionIDs(), id) {
			return fmt.Errorf(textBadSection, id, strings.Join(SectionIDs(), ", "))
		}
	}
	return nil
}

// Wants reports whether a section is chosen.
func (in *Input) Wants(id string) bool {
	return in.Sections == nil || slices.Contains(in.Sections, id)
}

// chartOptions are the looks of every picture in the document.
func (in *Input) chartOptions() []chart.Option {
	var opts []chart.Option
	if l, ok := chart.LocaleFor(in.Format.Locale()); ok {
		opts = append(opts, chart.In(l))
	}
	if in.Run.Title != "" {
		opts = append(opts, chart.OfTrip(in.Run.Title))
	}
	if in.Run.Recorded != nil {
		opts = append(opts, chart.OnRecord())
	}
	return opts
}
