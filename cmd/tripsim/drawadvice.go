package main

import (
	"context"
	"fmt"

	"tripsim/internal/chart"
	"tripsim/internal/report"
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
