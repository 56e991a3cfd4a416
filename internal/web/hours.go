package web

import (
	"math"
	"sort"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// hours is the trip hour by hour, for the reading under the curve. Powers are
// means of the hour, W, rounded.
type hours struct {
	Day     []int    `json:"day"`   // index into Days
	Clock   []string `json:"clock"` // local time at the start
	Days    []string `json:"days"`  // Sat 3 Oct
	Places  []string `json:"places"`
	SoC     []int    `json:"soc"` // at the end of the hour, %
	Solar   []int    `json:"solar"`
	Altern  []int    `json:"alternator"`
	Mains   []int    `json:"mains"`
	Asked   []int    `json:"asked"`
	Charge  []int    `json:"charge"`  // into the battery, W; negative out
	Loads   []string `json:"loads"`   // names
	Drawing [][]int  `json:"drawing"` // per hour: load, W, load, W ... largest first
	Flags   []int    `json:"flags"`   // flat 1, inverter off 2, charging refused 4, shed 8, driving 16, mains 32
}

// drawingMost is how many appliances of an hour are named.
const drawingMost = 4

func hoursOf(r *sim.Result, f report.Format) *hours {
	per := max(1, int(math.Round(1/r.Step.Hours())))
	h := &hours{}
	for i := range r.Days {
		h.Days = append(h.Days, f.Day(r.Days[i].Date))
		h.Places = append(h.Places, report.Clean(r.Days[i].Place))
	}
	for i := range r.Loads {
		h.Loads = append(h.Loads, report.Clean(r.Loads[i].Name))
	}
	for from := 0; from < len(r.Rows); from += per {
		to := min(from+per, len(r.Rows))
		h.add(r, from, to, f)
	}
	return h
}

func (h *hours) add(r *sim.Result, from, to int, f report.Format) {
	span := r.Step.Hours() * float64(to-from)
	watts := func(wh float64) int { return int(math.Round(wh / span)) }
	var l sim.Ledger
	flags := 0
	for t := from; t < to; t++ {
		row, s := &r.Rows[t], &r.Slots[t]
		l.Add(&row.Ledger)
		for bit, on := range [...]bool{row.FlatH > 0, row.TripH > 0, row.Refused, row.Shed, s.DriveH > 0, s.MainsH+s.GenH > 0} {
			if on {
				flags |= 1 << bit
			}
		}
	}
	s := &r.Slots[from]
	zone := r.Trip.Stops[s.Stop].Zone
	h.Day = append(h.Day, s.Day)
	h.Clock = append(h.Clock, f.Clock(s.Start.In(zone)))
	h.SoC = append(h.SoC, int(math.Round(100*r.Rows[to-1].SoC)))
	h.Solar = append(h.Solar, watts(l.SolarBusWh))
	h.Altern = append(h.Altern, watts(l.AlternatorBusWh))
	h.Mains = append(h.Mains, watts(l.MainsBusWh+l.TransferWh))
	h.Charge = append(h.Charge, watts(l.ChargedWh-l.DischargedWh))
	h.Flags = append(h.Flags, flags)
	asked := 0.0
	for t := from; t < to; t++ {
		asked += r.Traces.DemandW[t] / float64(to-from)
	}
	h.Asked = append(h.Asked, int(math.Round(asked)))
	h.Drawing = append(h.Drawing, drawing(r, from, to))
}

// drawing lists the appliances that ask for most in the hour.
func drawing(r *sim.Result, from, to int) []int {
	type share struct {
		load int
		w    float64
	}
	var shares []share
	for i, w := range r.Traces.LoadW {
		sum := 0.0
		for t := from; t < to; t++ {
			sum += w[t]
		}
		if mean := sum / float64(to-from); mean >= 0.5 {
			shares = append(shares, share{i, mean})
		}
	}
	sort.SliceStable(shares, func(a, b int) bool { return shares[a].w > shares[b].w })
	out := []int{}
	for k := 0; k < len(shares) && k < drawingMost; k++ {
		out = append(out, shares[k].load, int(math.Round(shares[k].w)))
	}
	return out
}
