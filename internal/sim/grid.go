package sim

import (
	"context"
	"math"
	"slices"
)

// A grid runs batteries (rows) against charging equipment (columns) on the same
// draws. The traces of a draw are filled once per row; for every column only
// the kernel runs again, with other units or with the panels' power scaled.
type grid struct {
	study   *Study
	rows    []*System
	columns []column
	reserve float64 // wanted above the cut-off, 0..1
	whole   bool    // run every draw to its end, for the unserved energy
}

// column is what the kernel changes from column to column.
type column struct {
	unit    int     // index into System.Chargers of the unit to resize; -1 = none
	ratingA float64 // its new rating
	panels  float64 // factor on the power of all panels
}

// gridCell is the count of a cell, in integers.
type gridCell struct {
	flat, failed int64 // draws flat; draws that are not carried
	unserved     int64 // mWh over all draws
	reserve      int64 // lowest state of charge above the cut-off, millionths, over all draws
}

func (c *gridCell) add(o *gridCell) {
	c.flat += o.flat
	c.failed += o.failed
	c.unserved += o.unserved
	c.reserve += o.reserve
}

// gridWorker is one worker's share of a grid.
type gridWorker struct {
	w     *worker
	units [][][]unit    // [row][column]; nil = the row's own
	pv    [][][]float64 // [column][unit][slot], scaled; nil = as traced
	cells [][]gridCell
}

func (g *grid) run(ctx context.Context, draws int, progress Progress) ([][]gridCell, error) {
	plans, err := g.study.plansFor(g.rows)
	if err != nil {
		return nil, err
	}
	units, err := g.unitsOf()
	if err != nil {
		return nil, err
	}
	workers := g.study.workersWith(draws, len(g.rows))
	teams := make([]*gridWorker, workers)
	for i := range teams {
		if teams[i], err = g.newWorker(plans, units); err != nil {
			return nil, err
		}
	}
	err = forEach(ctx, workers, draws, 4, progress, func(w, k int) error {
		g.draw(teams[w], uint64(k))
		return nil
	})
	if err != nil {
		return nil, err
	}
	sum := teams[0].cells
	for _, team := range teams[1:] {
		for r := range sum {
			for c := range sum[r] {
				sum[r][c].add(&team.cells[r][c])
			}
		}
	}
	return sum, nil
}

// unitsOf prepares the kernel's units for every row and column.
func (g *grid) unitsOf() ([][][]unit, error) {
	out := make([][][]unit, len(g.rows))
	for r, sys := range g.rows {
		out[r] = make([][]unit, len(g.columns))
		for c := range g.columns {
			col := &g.columns[c]
			if col.unit < 0 {
				continue
			}
			resized := WithChargerA(sys, col.unit, col.ratingA)
			if err := checkSystem(resized); err != nil {
				return nil, err
			}
			for _, i := range chargerOrder(resized.Chargers) {
				out[r][c] = append(out[r][c], newUnit(&resized.Chargers[i]))
			}
		}
	}
	return out, nil
}

func (g *grid) newWorker(plans []*plan, units [][][]unit) (*gridWorker, error) {
	w, err := g.study.newWorker(plans)
	if err != nil {
		return nil, err
	}
	gw := &gridWorker{w: w, units: units, pv: make([][][]float64, len(g.columns)), cells: make([][]gridCell, len(g.rows))}
	for r := range gw.cells {
		gw.cells[r] = make([]gridCell, len(g.columns))
	}
	for c := range g.columns {
		if g.columns[c].panels == 1 {
			continue
		}
		for _, src := range w.lanes[0].trace.pvBusW {
			gw.pv[c] = append(gw.pv[c], slices.Clone(src))
		}
	}
	return gw, nil
}

// draw runs draw k through all cells.
func (g *grid) draw(gw *gridWorker, k uint64) {
	gw.w.weatherOf(k)
	for r := range gw.w.lanes {
		l := &gw.w.lanes[r]
		gw.w.fillLane(l)
		if r == 0 {
			g.scalePanels(gw, l.trace)
		}
		own, panels := l.k.units, 1.0
		for c := range g.columns {
			if f := g.columns[c].panels; f != panels && l.plan.sys.Battery.HeaterW > 0 {
				gw.w.refillBus(l, f) // whether the heater runs depends on the sun it gets
				panels = f
			}
			if u := gw.units[r][c]; u != nil {
				l.k.units = u
			}
			l.k.pvBusW = l.trace.pvBusW
			if pv := gw.pv[c]; pv != nil {
				l.k.pvBusW = pv
			}
			l.k.probe(l.plan.sys.StartSoC, g.reserve, g.whole, &gw.cells[r][c])
			l.k.units, l.k.pvBusW = own, l.trace.pvBusW
		}
	}
}

// scalePanels makes the columns' panel power of a draw: it is proportional to
// the rated power (solar.PanelW).
func (g *grid) scalePanels(gw *gridWorker, tr *trace) {
	for c := range g.columns {
		for u, dst := range gw.pv[c] {
			for t, w := range tr.pvBusW[u] {
				dst[t] = w * g.columns[c].panels
			}
		}
	}
}

// probe runs the kernel over its traces and counts the draw in. Unless whole,
// it stops at the first flat moment: nothing that comes later can change that
// the draw was flat and left no reserve.
func (k *kernel) probe(soc, reserve float64, whole bool, cell *gridCell) {
	k.start(soc)
	above, unservedWh, flat := soc-k.floor(0), 0.0, false
	var f flow
	for t := range k.drives {
		k.step(t, &f)
		if a := k.soc - k.floor(t); a < above {
			above = a
		}
		d := &k.drives[t]
		if f.shed {
			d = &k.shed[t]
		}
		unservedWh += d.unservedW(&f) * k.stepH
		if f.flat > 0 {
			if flat = true; !whole {
				break
			}
		}
	}
	if flat || above < 0 {
		above = 0
	}
	if flat {
		cell.flat++
	}
	if !carried(flat, unservedWh, above, reserve) {
		cell.failed++
	}
	cell.unserved += int64(math.Round(unservedWh * 1e3))
	cell.reserve += int64(math.Round(above * 1e6))
}
