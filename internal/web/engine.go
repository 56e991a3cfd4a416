package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"golang.org/x/sync/errgroup"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

// engine runs scenarios and remembers what it ran: the trip laid out, by what
// trip.csv and loads.csv say, and each system's run and risk, by its rows too.
// An edit of one system therefore runs that system only, and undo nothing.
type engine struct {
	opt     sim.Options
	draws   int // simulated trips of the refined answer; 0 = typical weather only
	program string
	seats   chan struct{} // computations at a time
	paceNS  atomic.Int64  // per system, step and draw on one core, as measured last
	studies *cache[*sim.Study]
	typical *cache[*sim.Result]
	risks   *cache[*sim.Risk]
	advice  *cache[*sim.Advice]
}

// Weights of the caches, bytes, roughly.
const (
	studyWeight  = 64 << 20
	resultWeight = 128 << 20
	riskWeight   = 32 << 20
	adviceWeight = 400 // changes
)

// firstDraws is how many simulated trips the first answer rests on where they
// fit into drawBudgetNS; leastDraws is what it rests on in any case.
const (
	firstDraws   = 96
	leastDraws   = 16
	drawBudgetNS = 32e6 // per core
	drawStepNS   = 75   // per system, step and draw on one core, before it is measured
)

func newEngine(opt sim.Options, draws int, program string) *engine {
	e := &engine{
		opt: opt, draws: draws, program: program, seats: make(chan struct{}, 2),
		studies: newCache[*sim.Study](studyWeight), typical: newCache[*sim.Result](resultWeight), risks: newCache[*sim.Risk](riskWeight),
		advice: newCache[*sim.Advice](adviceWeight),
	}
	e.paceNS.Store(drawStepNS)
	return e
}

// job is a scenario on its way through the engine.
type job struct {
	e       *engine
	sc      *scenario.Scenario
	study   *sim.Study
	keys    []string // per system
	results []*sim.Result
	risks   []*sim.Risk // entries may be nil
}

// begin lays the trip out and runs every system through typical weather.
func (e *engine) begin(ctx context.Context, sc *scenario.Scenario) (*job, error) {
	j := &job{e: e, sc: sc, results: make([]*sim.Result, len(sc.Systems)), risks: make([]*sim.Risk, len(sc.Systems))}
	trip := digest(sc.Name, tableText(sc.Tables["trip.csv"], ""), tableText(sc.Tables["loads.csv"], ""))
	var ok bool
	if j.study, ok = e.studies.get(trip); !ok {
		var err error
		if j.study, err = sim.NewStudy(&sc.Trip, sc.Loads, e.opt); err != nil {
			return nil, err
		}
		e.studies.put(trip, j.study, 600*j.steps()*(1+len(sc.Loads)/10))
	}
	if err := j.study.CheckMemory(len(sc.Systems)); err != nil {
		return nil, err
	}
	for i := range sc.Systems {
		j.keys = append(j.keys, trip+systemKey(sc, i))
	}
	g := errgroup.Group{}
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range sc.Systems {
		if r, ok := e.typical.get(j.keys[i]); ok {
			j.results[i] = r
			continue
		}
		g.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			r, err := j.study.Typical(&sc.Systems[i])
			if err != nil {
				return err
			}
			e.typical.put(j.keys[i], r, len(r.Rows)*(300+8*(len(r.Loads)+5)))
			j.results[i] = r
			return nil
		})
	}
	return j, g.Wait()
}

// steps is about how many steps the trip has.
func (j *job) steps() int { return int(float64(j.sc.Trip.Days()) * 24 / j.e.opt.Step.Hours()) }

// firstDraws is how many draws the first answer takes.
func (j *job) firstDraws() int {
	perDraw := float64(j.steps()*max(1, len(j.missing(leastDraws)))) * float64(j.e.paceNS.Load())
	n := int(drawBudgetNS * float64(runtime.GOMAXPROCS(0)) / perDraw)
	return min(j.e.draws, max(leastDraws, min(firstDraws, n)))
}

// missing lists the systems whose risk rests on fewer draws than wanted.
func (j *job) missing(draws int) (out []int) {
	for i := range j.risks {
		if j.risks[i] == nil {
			j.risks[i], _ = j.e.risks.get(j.keys[i])
		}
		if j.risks[i] == nil || j.risks[i].Draws < min(draws, j.most()) {
			out = append(out, i)
		}
	}
	return out
}

// timed notes from the progress of a computation how fast this machine is now,
// so that the first answer takes no more draws than it has time for. What comes
// before the first draws are done does not count.
func (e *engine) timed(progress func(done, total int), stepsPerDraw int) func(done, total int) {
	var since time.Time
	first := 0
	return func(done, total int) {
		switch {
		case first == 0:
			since, first = time.Now(), done
		case done-first >= leastDraws:
			now := float64(time.Since(since).Nanoseconds()) * float64(runtime.GOMAXPROCS(0)) / float64((done-first)*max(1, stepsPerDraw))
			old := float64(e.paceNS.Load())
			e.paceNS.Store(int64(max(1, old+(now-old)/8)))
		}
		if progress != nil {
			progress(done, total)
		}
	}
}

func (j *job) most() int {
	if n := j.study.Draws(); n > 0 {
		return n
	}
	return sim.MaxDraws
}

// draw makes every system's risk rest on at least so many simulated trips.
func (j *job) draw(ctx context.Context, draws int, progress func(done, total int)) error {
	todo := j.missing(draws)
	if draws == 0 || len(todo) == 0 {
		return nil
	}
	systems := make([]*sim.System, len(todo))
	for k, i := range todo {
		systems[k] = &j.sc.Systems[i]
	}
	risks, err := j.study.Ensemble(ctx, systems, draws, j.e.timed(progress, j.steps()*len(systems)))
	if err != nil {
		return err
	}
	for k, i := range todo {
		j.risks[i] = risks[k]
		j.e.risks.put(j.keys[i], risks[k], 4096+48*len(risks[k].Bands)+64*len(risks[k].ByDay))
	}
	return nil
}

// run is what has been found so far, as the command line would say it.
func (j *job) run() *report.Run {
	r := &report.Run{
		Scenario: j.sc.Name, Title: j.sc.Job.Title, Customer: j.sc.Job.Customer, Hash: j.sc.Hash, Program: j.e.program,
		Options: j.e.opt, Goal: report.Goal{FlatRisk: j.sc.Job.TargetFlatRisk, Reserve: j.sc.Job.Reserve}, Currency: j.sc.Job.Currency, Warnings: j.sc.Warnings,
		Sources: j.sc.Sources, Medical: report.MedicalOf(j.sc.Loads), Results: j.results,
	}
	if !slices.Contains(j.risks, nil) {
		r.Risks = j.risks
		for i, k := range j.risks {
			if i == 0 || k.Draws < r.Draws {
				r.Draws = k.Draws
			}
		}
	}
	r.ChooseShown()
	return r
}

var errBusy = errors.New("too many answers are being worked out at once; try again in a moment")

// sit waits for a free seat; the caller must call the returned function.
func (e *engine) sit(ctx context.Context) (stand func(), err error) {
	select {
	case e.seats <- struct{}{}:
		return func() { <-e.seats }, nil
	case <-time.After(sitTimeout):
		return nil, errBusy
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// sitTimeout is how long a request waits for others to be worked out.
const sitTimeout = 15 * time.Second

// systemKey digests the rows that make up a system.
func systemKey(sc *scenario.Scenario, i int) string {
	name := sc.Systems[i].Name
	return digest(tableText(sc.Tables["systems.csv"], name), tableText(sc.Tables["chargers.csv"], name),
		tableText(sc.Tables["panels.csv"], name))
}

// tableText is what the rows of a system say (all rows for a blank name),
// notes left out of nothing: equal texts mean equal input.
func tableText(t *scenario.Table, system string) string {
	if t == nil {
		return ""
	}
	at := t.Column("system")
	var b strings.Builder
	fmt.Fprintf(&b, "%q%v", t.Columns, t.Semicolon)
	for r := range t.Rows {
		if system == "" || strings.EqualFold(strings.TrimSpace(t.Rows[r].Cell(at)), system) {
			fmt.Fprintf(&b, "\n%q", t.Rows[r].Cells)
		}
	}
	return b.String()
}

func digest(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d\n", len(p))
		_, _ = io.WriteString(h, p) // a hash takes everything
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}
