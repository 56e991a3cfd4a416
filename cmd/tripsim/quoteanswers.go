package main

import (
	"context"
	"math"
	"slices"

	"tripsim/internal/report"
	"tripsim/internal/report/quote"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

// answer asks the further questions about the systems, as far as sections and
// simulated trips are wanted.
func (f *quoteFlags) answer(ctx context.Context, c *console, sc *scenario.Scenario, in *quote.Input) error {
	defer c.clearProgress()
	var err error
	run, answers := in.Run, &in.Answers
	var systems []*sim.System
	for _, r := range run.Results {
		systems = append(systems, r.System)
		if in.Wants("chargers") {
			hours, err := sim.DrivingTime(r.System, 0.2, 0.8)
			if err != nil {
				return err
			}
			answers.DrivingH = append(answers.DrivingH, hours)
		}
	}
	if run.Draws == 0 {
		return nil
	}
	best, shown := report.Recommend(run.Results, run.Risks, run.Goal)
	sys := systems[shown]
	study, err := sim.NewStudy(&sc.Trip, sc.Loads, run.Options)
	if err != nil {
		return err
	}
	if f.file != "" {
		if _, _, err := f.replay("quote", study); err != nil {
			return err
		}
	}
	goal := sim.Goal(run.Goal)
	if in.Wants("fixes") && best < 0 {
		if answers.Advice, err = study.Advise(ctx, sys, goal, f.draws, c.progress("single changes")); err != nil {
			return err
		}
	}
	if in.Wants("chargers") {
		if sizes := sizesAround(sim.ChargerSizes(sys), sim.ChargerSize.Size(sys)); sim.ChargerOf(sys) >= 0 && len(sizes) > 1 {
			answers.Chargers, err = study.SizeFor(ctx, sys, sim.ChargerSize, sim.Sizes(sizes), goal, f.draws, c.progress("sizes of charger"))
			if err != nil {
				return err
			}
		}
	}
	if in.Wants("season") && f.file == "" {
		answers.Season, err = sim.RunSeason(ctx, &sc.Trip, sc.Loads, run.Options, fewSystems(systems, shown), sim.MonthlyStarts(&sc.Trip),
			f.optionRuns, c.progress("starts in other months"))
		if err != nil {
			return err
		}
	}
	if in.Wants("sizing") {
		answers.Map, err = f.sizeMap(ctx, c, study, sys, goal, systems)
	}
	return err
}

// fewSystems are the system shown and others beside it, at most six, in their
// order.
func fewSystems(systems []*sim.System, shown int) []*sim.System {
	const most = 6
	from := max(0, min(shown-most/2, len(systems)-most))
	return systems[from:min(len(systems), from+most)]
}

// sizeMap maps battery sizes against charging current or, where the system has
// panels and no other charger, panels.
func (f *quoteFlags) sizeMap(ctx context.Context, c *console, study *sim.Study, sys *sim.System, goal sim.Goal, systems []*sim.System) (*sim.SizeMap, error) {
	var banks []float64
	for _, b := range sim.BankSizes(sys) {
		banks = append(banks, b.Ah)
	}
	across, sizes := sim.PanelSize, sim.PanelSizes()
	if sim.ChargerOf(sys) >= 0 && sys.PanelW() == 0 {
		across, sizes = sim.ChargerSize, sim.ChargerSizes(sys)
	}
	return study.SizeMap(ctx, sys, across, sizesAround(banks, sys.BankAh()), sizesAround(sizes, across.Size(sys)), goal,
		sim.PricesFrom(systems), f.optionRuns, c.progress("map of sizes"))
}

// sizesAround adds the own size to those that are sold, and keeps what is
// within a quarter and four times of it, at most nine.
func sizesAround(sizes []float64, own float64) []float64 {
	sizes = append(slices.Clone(sizes), own)
	slices.Sort(sizes)
	sizes = slices.CompactFunc(sizes, func(a, b float64) bool { return math.Abs(a-b) < 0.5 })
	if own > 0 {
		sizes = slices.DeleteFunc(sizes, func(v float64) bool { return v < own/4 || v > own*4 })
	}
	const most = 9
	for len(sizes) > most { // thin out the far end first
		at := slices.IndexFunc(sizes, func(v float64) bool { return math.Abs(v-own) < 0.5 })
		if at > most/2 {
			sizes = slices.Delete(sizes, 0, 1)
		} else {
			sizes = slices.Delete(sizes, len(sizes)-1, len(sizes))
		}
	}
	return sizes
}
