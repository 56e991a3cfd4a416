package main

import (
	"context"
	"fmt"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// draw makes the files of a picture in every format that the flags ask for.
func (a *adviceFlags) draw(ctx context.Context, name string, picture func(opts ...chart.Option) (*chart.Picture, error)) ([]report.File, error) {
	var opts []chart.Option
	if l, ok := chart.LocaleFor(a.locale); ok {
		opts = append(opts, chart.In(l))
	}
	if a.file != "" {
		opts = append(opts, chart.OnRecord())
	}
	p, err := picture(opts...)
	if err != nil {
		return nil, fmt.Errorf("picture %s: %w", name, err)
	}
	return paint(ctx, p, name, a.formats)
}

// tripName is what pictures call the trip.
func (t *task) tripName() string {
	if t.sc.Job.Title != "" {
		return t.sc.Job.Title
	}
	return t.sc.Name
}

// comparisonOf is a comparison as the chart takes it.
func comparisonOf(t *task, c *sim.Comparison) chart.Comparison {
	out := chart.Comparison{Trip: t.tripName(), Draws: c.Draws, Target: t.goal.FlatRisk, Currency: t.sc.Job.Currency}
	for i := range c.Systems {
		row := &c.Systems[i]
		out.Candidates = append(out.Candidates, chart.Candidate{
			Name: row.System.Name, Flat: row.Risk.Flat, Reserve: row.Risk.Reserve,
			SourceWh: row.Risk.SourceWh, Price: row.System.Price,
		})
	}
	return out
}

// variationOf is a variation as the chart takes it.
func variationOf(t *task, v *sim.Variation) chart.Variation {
	out := chart.Variation{Trip: t.tripName(), Draws: v.Draws, Setting: v.Column, Unit: v.Unit, Target: t.goal.FlatRisk}
	for i, sys := range v.Systems {
		line := chart.VariedSystem{Name: sys.Name}
		for j, x := range v.Values {
			line.Points = append(line.Points, chart.VariedPoint{Value: x, Flat: v.Rows[i][j].Risk.Flat})
		}
		out.Variations = append(out.Variations, line)
	}
	return out
}

// seasonOf is a season as the chart takes it.
func seasonOf(t *task, se *sim.Season) chart.SeasonTable {
	out := chart.SeasonTable{Trip: t.tripName(), Draws: se.Draws, Target: t.goal.FlatRisk}
	for _, st := range se.Starts {
		out.Starts = append(out.Starts, st.Date)
	}
	for i, sys := range se.Systems {
		out.Systems = append(out.Systems, sys.Name)
		var line []sim.Proportion
		for _, st := range se.Starts {
			line = append(line, st.Risks[i].Flat)
		}
		out.Flat = append(out.Flat, line)
	}
	return out
}

// calibrationOf is a system's calibration as the chart takes it.
func calibrationOf(t *task, c *sim.Calibration, i int) chart.Calibration {
	sys := &c.Systems[i]
	out := chart.Calibration{
		Trip: t.tripName() + ", " + sys.System.Name, Weather: c.Record, Trips: sys.Brier.N,
		Brier: sys.Brier.Score, BrierMean: sys.Brier.Uncertainty,
	}
	for _, b := range sys.Bins {
		out.Classes = append(out.Classes, chart.RiskClass{Forecast: b.Forecast, Observed: b.Observed, Trips: b.N})
	}
	return out
}
