package quote

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// builder makes the sections of one document.
type builder struct {
	in            *Input
	f             report.Format
	run           *report.Run
	best          int // recommended system; -1 = none carries the trip
	shown         int // the system that the document speaks of
	r             *sim.Result
	k             *sim.Risk // nil without simulated trips
	judge         report.Judgement
	numbers       map[string]int // of sections, by id
	figure, table int
	titled        bool // pictures bear their own titles
	err           error
}

// Build makes the document. It fails when the input holds no result or a
// picture cannot be drawn.
func Build(in *Input) (*Document, error) {
	if in.Run == nil || len(in.Run.Results) == 0 {
		return nil, errors.New(textNoResult)
	}
	if err := CheckSections(in.Sections); err != nil {
		return nil, err
	}
	if in.Paper.WidthMM == 0 {
		in.Paper = A4
	}
	return newBuilder(in).document()
}

// Pictures draws the pictures of the document, each with its own title, for use
// elsewhere.
func Pictures(in *Input) ([]*chart.Picture, error) {
	if in.Run == nil || len(in.Run.Results) == 0 {
		return nil, errors.New(textNoResult)
	}
	b := newBuilder(in)
	b.titled = true
	d, err := b.document()
	if err != nil {
		return nil, err
	}
	var out []*chart.Picture
	for _, s := range d.Sections {
		for _, block := range s.Blocks {
			if p, ok := block.(Picture); ok {
				out = append(out, p.Drawing)
			}
		}
	}
	return out, nil
}

func newBuilder(in *Input) *builder {
	b := &builder{in: in, f: in.Format, run: in.Run, numbers: map[string]int{}}
	b.best, b.shown = report.Recommend(in.Run.Results, in.Run.Risks, in.Run.Goal)
	b.r = in.Run.Results[b.shown]
	if k := in.Run.Risk(b.shown); k != nil && k.Draws > 0 {
		b.k = k
	}
	b.judge = report.Judge(b.r, b.k, in.Run.Goal)
	return b
}

func (b *builder) document() (*Document, error) {
	d := b.head()
	chosen := b.chosen()
	d.Sections = append(d.Sections, Section{ID: "recommendation", Blocks: b.recommendation()})
	for _, s := range chosen {
		blocks := s.build(b)
		if b.err != nil {
			return nil, fmt.Errorf("section %s: %w", s.id, b.err)
		}
		d.Sections = append(d.Sections, Section{s.id, b.numbers[s.id], s.title, blocks})
	}
	d.Colophon = b.colophon()
	if words := b.recordedWords(); words != nil {
		d.reword(words.Replace)
	}
	return d, nil
}

// chosen lists the sections that are wanted and have something to say, and
// gives them their numbers, so that texts can point to one another.
func (b *builder) chosen() []sectionSpec {
	var out []sectionSpec
	for _, s := range sectionSpecs() {
		if !s.always && !b.in.Wants(s.id) || !b.has(s.id) {
			continue
		}
		out = append(out, s)
		b.numbers[s.id] = len(out)
	}
	return out
}

// has reports whether the results that a section needs are there.
func (b *builder) has(id string) bool {
	a := &b.in.Answers
	switch id {
	case "fixes":
		return b.hasFixes()
	case "chargers":
		return a.Chargers != nil && len(a.Chargers.Points) > 0 || len(a.DrivingH) == len(b.run.Results)
	case "season":
		return b.hasSeason()
	case "sizing":
		return a.Map != nil && len(a.Map.Ah) > 0
	case "appliances":
		return len(b.in.Loads) > 0
	}
	return true
}

// seeSection points to another section, or says nothing when it is left out.
func (b *builder) seeSection(text, id string) Text {
	n := b.numbers[id]
	if n == 0 {
		return nil
	}
	return say(text, fmt.Sprint(n))
}

// picture is a numbered picture with its caption.
func (b *builder) picture(caption Text, draw func(...chart.Option) (*chart.Picture, error)) []Block {
	opts := b.in.chartOptions()
	if !b.titled {
		opts = append(opts, chart.Untitled())
	}
	p, err := draw(opts...)
	if err != nil {
		if b.err == nil {
			b.err = err
		}
		return nil
	}
	b.figure++
	return []Block{Picture{b.figure, caption, p}}
}

// head is the letterhead: who, for whom, what and when.
func (b *builder) head() *Document {
	in, f := b.in, b.f
	title := in.Run.Title
	if title == "" {
		title = in.Run.Scenario
	}
	d := &Document{
		Language: "en", Title: report.Clean(title), Kind: textKind, Business: name(in.Job.Business),
		Contact: name(in.Job.Contact), Logo: in.Job.Logo, Paper: in.Paper,
	}
	fact := func(label string, value Text) {
		if len(value) > 0 {
			d.Facts = append(d.Facts, Fact{label, value})
		}
	}
	fact(labelCustomer, name(in.Job.Customer))
	fact(labelReference, name(in.Job.Reference))
	fact(labelDate, plain(f.Date(in.Date)))
	fact(labelPreparedBy, name(in.Job.PreparedBy))
	fact(labelTrip, b.tripLine())
	fact(labelWeather, b.recordLine())
	fact(labelRemarks, name(in.Job.Notes))

	running := []Text{plain(f.Date(in.Date))} // first, so that long names cannot push it out
	if ref := shortName(in.Job.Reference); ref != nil {
		running = append(running, say(textRunningRef, ref))
	}
	if who := shortName(in.Job.Business); who != nil {
		running = append(running, who)
	}
	d.Running = join(running, textDot)
	d.Stamp = Stamp{
		Date: civil(in.Date), Program: in.Run.Program, Hash: in.Run.Hash, Title: d.Title,
		Author: report.Clean(in.Job.Business), Subject: strings.TrimSpace(textKind + " " + report.Clean(in.Job.Reference)),
	}
	return d
}

// tripLine says when the trip is and where it leads.
func (b *builder) tripLine() Text {
	days := b.r.Days
	if len(days) == 0 {
		return nil
	}
	first, last := &days[0], &days[len(days)-1]
	count := b.f.Count(len(days), wordDay, wordDays)
	when := say(textTripWhen, b.f.Date(first.Date), b.f.Date(last.Date), count)
	if len(days) == 1 {
		when = say(textTripDay, b.f.Date(first.Date), count)
	}
	from, to := shortName(first.Place), shortName(last.Place)
	if from == nil || to == nil || len(days) == 1 {
		return when
	}
	return sentences(when, say(textTripWhere, from, to))
}

// civil is a moment's date as UTC midnight.
func civil(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// systemName is how a sentence names a system.
func systemName(s *sim.System) Text {
	if t := shortName(s.Name); t != nil {
		return t
	}
	return plain(wordUnnamed)
}

// system names the system that the document speaks of, and what it is made of.
func (b *builder) system() Text {
	return say(textNameMakeUp, strong(systemName(b.r.System)), report.MakeUp(b.r.System, b.f))
}

// dayPlace names a day and where the traveller is: "Mon 12 Oct at Todra Gorge".
func (b *builder) dayPlace(date time.Time, where string) Text {
	place := shortName(where)
	if place == nil {
		return plain(b.day(date))
	}
	return say(textDayAt, b.day(date), place)
}

// money writes a price; blank when there is none.
func (b *builder) money(x float64) Text {
	if math.IsNaN(x) || math.IsInf(x, 0) || x <= 0 {
		return nil
	}
	decimals := 0
	if x != math.Trunc(x) {
		decimals = 2
	}
	amount := b.f.Number(x, decimals)
	if currency := name(b.run.Currency); currency != nil {
		return say(textMoney, amount, currency)
	}
	return plain(amount)
}

// day writes a date that is not to be torn at the end of a line.
func (b *builder) day(t time.Time) string { return unbroken(b.f.Day(t)) }

// unbroken puts no-break spaces in a text.
func unbroken(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }

func (b *builder) wh(x float64) string { return b.f.With(x, 0, "Wh") }

// interval writes a share's 95 % interval.
func (b *builder) interval(p sim.Proportion) string {
	return fmt.Sprintf(textInterval, b.f.Share(p.Low), b.f.Share(p.High))
}

// draws is the number of simulated trips, written.
func (b *builder) draws(n int) string { return b.f.Number(float64(n), 0) }

// local puts a moment of the trip on the clock of the place where the traveller
// is then.
func local(r *sim.Result, t time.Time) time.Time {
	if len(r.Slots) == 0 || r.Step <= 0 {
		return t
	}
	i := int(t.Sub(r.Slots[0].Start) / r.Step)
	slot := &r.Slots[min(max(i, 0), len(r.Slots)-1)]
	if zone := r.Trip.Stops[slot.Stop].Zone; zone != nil {
		return t.In(zone)
	}
	return t
}
