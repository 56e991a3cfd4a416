package sim

import (
	"fmt"
	"sort"
	"strings"
	"time"
)

// flatSpells finds the unbroken times of disconnection and says why. skip marks
// the appliances that the system cannot run at all.
func flatSpells(r *Result, loads []Load, skip []bool) []FlatSpell {
	var out []FlatSpell
	for t := 0; t < len(r.Rows); t++ {
		if r.Rows[t].FlatH <= 0 {
			continue
		}
		from := t
		sp := FlatSpell{Start: r.Slots[t].Start.Add(r.Step - hours(r.Rows[t].FlatH))}
		for t < len(r.Rows) && r.Rows[t].FlatH > 0 {
			sp.UnservedWh += r.Rows[t].UnservedWh
			t++
		}
		last := t - 1
		sp.End = r.Slots[last].Start.Add(r.Step)
		if from == 0 {
			sp.Cause = flatAtOnce(r)
		} else {
			sp.Drew = drewBefore(r, loads, skip, from)
			sp.Missing = missingBefore(r, from)
			sp.Cause = causeOf(&sp)
		}
		out = append(out, sp)
	}
	return out
}

func hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }

// dayBefore returns the first slot of the 24 hours before slot t.
func dayBefore(r *Result, t int) int { return max(0, t-int(24*time.Hour/r.Step)) }

// drewBefore lists what the appliances asked for in the 24 h before, largest
// first; appliances that the system cannot run at all are skipped.
func drewBefore(r *Result, loads []Load, skip []bool, t int) []Share {
	shares := make([]Share, len(loads))
	for i := range loads {
		shares[i].Name = loads[i].Name
		if skip[i] {
			continue
		}
		for s := dayBefore(r, t); s < t; s++ {
			shares[i].Wh += r.Traces.LoadW[i][s] * r.Step.Hours()
		}
	}
	sort.SliceStable(shares, func(i, j int) bool { return shares[i].Wh > shares[j].Wh })
	for len(shares) > 0 && shares[len(shares)-1].Wh <= 0 {
		shares = shares[:len(shares)-1]
	}
	return shares
}

// missingBefore says which sources gave little or nothing in the 24 h before.
func missingBefore(r *Result, t int) []string {
	var solar, alt, mains, refused, driveH, idleH, siteH float64
	for s := dayBefore(r, t); s < t; s++ {
		row, slot := &r.Rows[s], &r.Slots[s]
		solar += row.SolarBusWh
		alt += row.AlternatorBusWh
		mains += row.MainsBusWh
		driveH += slot.DriveH
		idleH += slot.IdleH
		siteH += slot.MainsH + slot.GenH
		if row.Refused {
			refused += r.Step.Hours()
		}
	}
	var out []string
	sys := r.System
	switch {
	case len(sys.Panels) == 0:
		out = append(out, "no solar panel")
	default:
		out = append(out, fmt.Sprintf("sun gave %.0f Wh", solar))
	}
	switch {
	case !sys.has(func(c *Charger) bool { return c.AlternatorA > 0 }):
		out = append(out, "no charger from the alternator")
	case driveH+idleH == 0:
		out = append(out, "no driving")
	case idleH > 0:
		out = append(out, fmt.Sprintf("%.1f h of driving and %.1f h of idling gave %.0f Wh", driveH, idleH, alt))
	default:
		out = append(out, fmt.Sprintf("%.1f h of driving gave %.0f Wh", driveH, alt))
	}
	switch {
	case siteH > 0 && !sys.has(func(c *Charger) bool { return c.MainsA > 0 }):
		out = append(out, "no mains charger")
	case siteH == 0:
		out = append(out, "no mains")
	default:
		out = append(out, fmt.Sprintf("%.1f h of mains gave %.0f Wh", siteH, mains))
	}
	if refused > 0 {
		out = append(out, fmt.Sprintf("the battery refused charge for %.1f h because of its temperature", refused))
	}
	return out
}

func (s *System) has(f func(*Charger) bool) bool {
	for i := range s.Chargers {
		if f(&s.Chargers[i]) {
			return true
		}
	}
	return false
}

// flatAtOnce says why a battery is flat in the trip's first step, which has
// nothing before it.
func flatAtOnce(r *Result) string {
	if floor := r.Rows[0].FloorSoC; r.StartSoC <= floor {
		return fmt.Sprintf("The battery starts the trip at %.0f %%, at or below its cut-off of %.0f %%.", 100*r.StartSoC, 100*floor)
	}
	return fmt.Sprintf("Within the first step the appliances ask for more than the battery gives from %.0f %%: %.0f W.", 100*r.StartSoC, r.Traces.DemandW[0])
}

// causeOf makes one sentence.
func causeOf(sp *FlatSpell) string {
	total := 0.0
	for _, d := range sp.Drew {
		total += d.Wh
	}
	var b strings.Builder
	fmt.Fprintf(&b, "In the 24 h before, the appliances asked for %.0f Wh", total)
	for i, d := range sp.Drew {
		if i == 3 {
			break
		}
		b.WriteString([]string{" (", ", ", ", "}[i])
		fmt.Fprintf(&b, "%s %.0f", d.Name, d.Wh)
	}
	if len(sp.Drew) > 0 {
		b.WriteString(")")
	}
	b.WriteString("; " + strings.Join(sp.Missing, ", ") + ".")
	return b.String()
}
