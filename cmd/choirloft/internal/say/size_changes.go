package say

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// changesText says what to do.
func changesText(f *contract.Fix) string { return changesOf(f.Changes, f.Purchase) }

// changesOf says what to do, the same for several parts together, and what is bought.
func changesOf(changes []contract.FixChange, buy *contract.Purchase) string {
	var words []string
	for len(changes) > 0 {
		c, n := &changes[0], 1
		parts := []string{}
		if c.Part != nil {
			parts = append(parts, *c.Part)
		}
		for n < len(changes) && c.Part != nil && sameChange(&changes[n], c) {
			parts = append(parts, *changes[n].Part)
			n++
		}
		text := changeText(c, parts)
		if c.Kind == "voices" && buy != nil {
			text = purchaseText(buy)
		}
		words, changes = append(words, text), changes[n:]
	}
	return strings.Join(words, ", and ")
}

// sameChange tells whether two differ in their parts alone.
func sameChange(a, b *contract.FixChange) bool {
	return a.Part != nil && a.Kind == b.Kind && a.Value == b.Value && a.Number == b.Number && len(a.Banks)+len(b.Banks) == 0
}

// changeText says one change, for parts, or all where none is named.
func changeText(c *contract.FixChange, parts []string) string {
	part, whose := "all", "all parts'"
	if len(parts) > 0 {
		part = unit.List(parts)
		whose = part + "'s"
	}
	switch c.Kind {
	case "pick", "steal":
		if len(parts) == 0 {
			return c.Kind + " " + c.Value
		}
		return c.Kind + " " + c.Value + " for " + part
	case "same-key":
		return "the same key again for " + part + ": " + c.Value
	case "tails":
		return "export it with write, which hears tails"
	case "reserve":
		return fmt.Sprintf("keep %s for %s", unit.Count(c.Number, "voice"), part)
	case "limit":
		return fmt.Sprintf("at most %s for %s", unit.Count(c.Number, "voice"), part)
	case "priority":
		return fmt.Sprintf("priority %d for %s", c.Number, part)
	case "mode":
		return c.Value + " for " + part
	case "when-short":
		return whose + " unison " + c.Value + " when short"
	case "banks":
		if len(c.Banks) == 1 && c.Banks[0].Part == "" {
			return "all parts on " + strings.Join(c.Banks[0].Banks, " ")
		}
		return "give " + banksText(c.Banks)
	case "transpose":
		return "transpose " + part + " " + interval(c.Semitones)
	case "zero-key":
		return fmt.Sprintf("tune %s and its voices to %s (%d) at 0 V", c.Interface, c.Value, c.Number)
	case "unison":
		return fmt.Sprintf("a unison of %d for %s", c.Number, part)
	case "release":
		return "release " + c.Value + " for " + part
	case "trim":
		by, short := sooner(c.Value)
		return fmt.Sprintf("end %s notes at the next where they overlap it by up to %s%s", whose, by, short)
	case "lift":
		by, short := sooner(c.Value)
		return fmt.Sprintf("lift %s pedal %s earlier%s", whose, by, short)
	case "shorten":
		by, short := sooner(c.Value)
		return fmt.Sprintf("end %s notes %s earlier%s", whose, by, short)
	case "doubles":
		return fmt.Sprintf("drop %s doubled octaves", whose)
	case "passes":
		if len(c.Recordings) > 0 {
			var each []string
			for _, names := range c.Recordings {
				each = append(each, unit.List(names))
			}
			return "record " + strings.Join(each, ", then ") + ", and mix"
		}
		return unit.Count(c.Number, "recording") + " to mix"
	case "voices":
		return fmt.Sprintf("%s more (%d)", unit.Count(c.More, "voice"), c.Number)
	}
	return c.Kind
}

// sooner takes a time from where it holds.
func sooner(value string) (by, where string) {
	by, short := strings.CutSuffix(value, " when short")
	if short {
		where = ", only where voices are short"
	}
	return by, where
}

// interval says how far semitones are, and which way: whole octaves as such.
func interval(semitones int) string {
	way, n, what := "up ", semitones, "semitone"
	if n < 0 {
		way, n = "down ", -n
	}
	if n%12 == 0 {
		n, what = n/12, "octave"
	}
	return way + unit.Count(n, what)
}

// beyond are the changes of a fix that another one has not.
func beyond(f, on *contract.Fix) (rest []contract.FixChange) {
	for _, c := range f.Changes {
		if !slices.ContainsFunc(on.Changes, func(d contract.FixChange) bool { return reflect.DeepEqual(c, d) }) {
			rest = append(rest, c)
		}
	}
	return rest
}

// banksText says who plays where, parts on the same banks together, and whose keys are split.
func banksText(list []contract.PartBanks) string {
	var order []string
	parts := map[string][]string{}
	for len(list) > 0 {
		p, n := list[0], 1
		for n < len(list) && list[n].FromKey > 0 {
			n++
		}
		where := "banks " + strings.Join(p.Banks, " ")
		if n > 1 {
			where = seatsText(list[:n])
		}
		if parts[where] == nil {
			order = append(order, where)
		}
		if list = list[n:]; p.Part == "" {
			p.Part = "all parts"
		}
		parts[where] = append(parts[where], p.Part)
	}
	var words []string
	for _, where := range order {
		words = append(words, unit.List(parts[where])+" "+where)
	}
	return strings.Join(words, "; ")
}

// seatsText says which keys of a part play on which banks.
func seatsText(seats []contract.PartBanks) string {
	var words []string
	for i, s := range seats {
		text := "from " + keyText(s)
		if i == 0 {
			text = "below " + keyText(seats[1])
		}
		words = append(words, "banks "+strings.Join(s.Banks, " ")+" "+text)
	}
	return strings.Join(words, ", ")
}

func keyText(s contract.PartBanks) string { return fmt.Sprintf("%s (%d)", s.FromKeyName, s.FromKey) }
