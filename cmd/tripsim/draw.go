package main

import (
	"context"
	"fmt"

	"tripsim/internal/chart"
	"tripsim/internal/report"
)

// printDPI is the resolution of PNG pictures: print quality at A4 width.
const printDPI = 200

// drawRun draws the pictures of the systems shown, in every format.
func drawRun(ctx context.Context, answer *report.Run, formats []string, locale string) ([]report.File, error) {
	var opts []chart.Option
	if l, ok := chart.LocaleFor(locale); ok {
		opts = append(opts, chart.In(l))
	}
	if answer.Title != "" {
		opts = append(opts, chart.OfTrip(answer.Title))
	}
	if answer.Recorded != nil {
		opts = append(opts, chart.OnRecord())
	}
	var files []report.File
	names := map[string]int{}
	for _, i := range answer.Shown {
		r, risk := answer.Detailed(i), answer.Risk(i)
		slug := report.Slug(r.System.Name)
		if names[slug]++; names[slug] > 1 {
			slug += fmt.Sprintf("-%d", names[slug])
		}
		for _, draw := range []func() (*chart.Picture, error){
			func() (*chart.Picture, error) { return chart.StateOfCharge(r, risk, opts...) },
			func() (*chart.Picture, error) { return chart.EnergyByDay(r, opts...) },
			func() (*chart.Picture, error) { return chart.TypicalDay(r, opts...) },
		} {
			picture, err := draw()
			if err != nil {
				return nil, fmt.Errorf("picture of %q: %w", r.System.Name, err)
			}
			painted, err := paint(ctx, picture, slug+"-"+report.Slug(picture.Name), formats)
			if err != nil {
				return nil, err
			}
			files = append(files, painted...)
		}
	}
	return files, nil
}

// paint makes files of a picture, one per format.
func paint(ctx context.Context, p *chart.Picture, name string, formats []string) ([]report.File, error) {
	var files []report.File
	for _, format := range formats {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var data []byte
		var err error
		switch format {
		case "svg":
			data, err = p.SVG()
		case "png":
			data, err = p.PNG(printDPI)
		case "pdf":
			data, err = p.PDF()
		}
		if err != nil {
			return nil, fmt.Errorf("picture %s as %s: %w", p.Name, format, err)
		}
		files = append(files, report.File{Name: name + "." + format, Data: data})
	}
	return files, nil
}
