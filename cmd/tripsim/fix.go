package main

import (
	"context"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
)

const fixHelp = `
For systems that run flat on the trip, tries single changes on the same simulated
weather and ranks them by the flat risk that is left: an hour more of driving, a
powered night, a folding panel of 100 W, the next size of charger and battery, a
fridge 2 degrees warmer, the inverter off overnight or on only when needed, going
without an appliance that is not essential, starting with a full battery.

Without --system all systems are looked at whose risk is above the accepted one.

Examples:
  tripsim fix scenarios/norway-september
  tripsim fix mytrip --system weekend --draws 3000

Exit status: 0 done, 1 failed, 2 bad input.
`

func fixCommand() *command {
	return &command{
		name: "fix", args: "SCENARIO", least: 1, most: 1,
		short: "what would keep a system from running flat",
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
	systems := t.systems
	if len(a.systems) == 0 && len(systems) > 1 {
		risks, err := study.Ensemble(ctx, systems, a.draws, c.progress("simulated trips"))
		if err != nil {
			return err
		}
		systems = systems[:0:0]
		for i, k := range risks {
			if k.Flat.Share > t.goal.FlatRisk {
				systems = append(systems, t.systems[i])
			}
		}
	}
	adv := &report.FixAdvice{Basis: t.basis}
	if len(systems) == 0 {
		systems = t.systems
	}
	for _, sys := range systems {
		one, err := study.Advise(ctx, sys, a.draws, c.progress("changes for "+clean(sys.Name)))
		if err != nil {
			return err
		}
		t.basis.Weather, t.basis.Draws = one.Weather, one.Draws
		adv.Advice = append(adv.Advice, one)
	}
	return a.deliver(ctx, c, t, answer{name: "fix", text: adv.Text, json: adv.JSON, csv: adv.CSV})
}
