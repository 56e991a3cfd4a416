package report

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tripsim/internal/sim"
)

// figure matches a number with its unit in a sentence of package sim, which
// writes plain English numbers.
var figure = regexp.MustCompile(`(-?[0-9]+)(?:\.([0-9]+))?[ \x{a0}](%|°C|(?:Wh|Ah|VA|W|A|V|h)\b)`)

// localised writes the figures of a sentence the reader's way. The sentence holds
// no names: those are the writer's own.
func localised(sentence string, f Format) string {
	return figure.ReplaceAllStringFunc(sentence, func(s string) string {
		m := figure.FindStringSubmatch(s)
		x, err := strconv.ParseFloat(strings.TrimSuffix(m[1]+"."+m[2], "."), 64)
		switch {
		case err != nil:
			return s
		case m[3] == "°C":
			return f.Temperature(x)
		case m[3] == "%":
			return f.Number(x, len(m[2])) + f.percentSign()
		}
		return f.With(x, len(m[2]), m[3])
	})
}

// detailText is what is said of an event.
func detailText(e *sim.Event, f Format) string {
	name, rest := "", strings.TrimSuffix(e.Detail, ".")
	if after, ok := strings.CutPrefix(rest, e.Load); ok {
		name, rest = e.Load, after
	}
	return Clean(name) + localised(cleanRest(rest), f)
}

// cleanRest is Clean for what follows a name: a leading space stays.
func cleanRest(s string) string {
	if strings.HasPrefix(s, " ") {
		return " " + Clean(s)
	}
	return Clean(s)
}

// drewMost is how many appliances the cause of a flat spell names.
const drewMost = 3

// Cause says in a sentence why the battery went flat: what drew in the 24 hours
// before, and what did not charge.
func Cause(s *sim.FlatSpell, f Format) string {
	if len(s.Drew) == 0 && len(s.Missing) == 0 {
		return localised(Clean(s.Cause), f)
	}
	total := 0.0
	var drew []string
	for i, d := range s.Drew {
		total += d.Wh
		if i < drewMost {
			drew = append(drew, f.Text(textDrewOne, sentenceName(d.Name), f.Number(d.Wh, 0)))
		}
	}
	text := f.Text(textDrew, f.With(total, 0, "Wh"))
	if len(drew) > 0 {
		text += " (" + strings.Join(drew, ", ") + ")"
	}
	if missing := MissingSources(s, f); len(missing) > 0 {
		text += "; " + strings.Join(missing, ", ")
	}
	return text + "."
}

// MissingSources lists what the sources gave in the 24 hours before a flat spell.
func MissingSources(s *sim.FlatSpell, f Format) []string {
	out := slices.Clone(s.Missing)
	for i := range out {
		out[i] = localised(Clean(out[i]), f)
	}
	return out
}
