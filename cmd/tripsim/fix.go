package main

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

const fixHelp = `
For systems that do not carry the trip, tries single changes on the same simulated
weather and ranks them by the trips still not carried: an hour more of driving, a
powered night, a folding panel of 100 W, the next size of charger and battery, a
fridge 2 degrees warmer, the inverter off overnight or on only when needed, going
without an appliance that is not essential, starting with a full battery.

Without --system the systems are looked at that do not carry the trip as they are,
one after the other.

Examples:
  tripsim fix scenarios/norway-september
  tripsim fix mytrip --system weekend --draws 3000

Exit status: 0 done, 1 failed, 2 bad input.
`

func fixCommand() *command {
	return &command{
		name: "fix", args: "SCENARIO", least: 1, most: 1,
		short: "what would make a system carry the trip",
		long:  fixHelp,
		setup: func(fs *pflag.FlagSet) action {
			var f adviceFlags
			f.add(fs, "fix", 1000)
			return f.fix
		},
	}
}

func (a *adviceFlags) fix(ctx context.Context, c *console, args []string) error {
	t, err := a.start(c, args[0])
	if err != nil {
		return err
	}
	study, err := t.study()
	if err != nil {
		return err
	}
	adv := &report.FixAdvice{Basis: t.basis}
	systems := t.systems
	if len(a.systems) == 0 && len(systems) > 1 {
		if systems, adv.Carried, err = a.notCarried(ctx, c, t, study); err != nil {
			return err
		}
	}
	for i, sys := range systems {
		what := "changes for " + clean(sys.Name)
		if len(systems) > 1 {
			what += fmt.Sprintf(" (%d of %d)", i+1, len(systems))
		}
		one, err := study.Advise(ctx, sys, t.goal, a.draws, c.progress(what))
		if err != nil {
			return err
		}
		t.basis.Weather, t.basis.Draws = one.Weather, one.Draws
		adv.Advice = append(adv.Advice, one)
	}
	return a.deliver(ctx, c, t, answer{name: "fix", text: adv.Text, json: adv.JSON, csv: adv.CSV})
}

// notCarried sorts out the systems that do not carry the trip, and names the others.
func (a *adviceFlags) notCarried(ctx context.Context, c *console, t *task, study *sim.Study) (not []*sim.System, carried []string, err error) {
	risks, err := study.Ensemble(ctx, t.systems, a.draws, c.progress("simulated trips"))
	if err != nil {
		return nil, nil, err
	}
	t.basis.Weather, t.basis.Draws = risks[0].Weather, risks[0].Draws
	for i, sys := range t.systems {
		r, err := a.main(study, sys)
		if err != nil {
			return nil, nil, err
		}
		if report.Judge(r, risks[i], report.Goal(t.goal)) <= report.InPart {
			carried = append(carried, sys.Name)
		} else {
			not = append(not, sys)
		}
	}
	return not, carried, nil
}
