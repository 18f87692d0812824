package plan

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
)

// rig returns the rig with what an override changes of the rack and of who
// plays where. That comes before anything is worked out, since the channel map,
// stacks and detunes follow from it.
func (o *Overrides) rig(rig *profiles.Rig) (*profiles.Rig, error) {
	for _, change := range []func(*profiles.Rig) (*profiles.Rig, error){o.fail, o.grow, o.seat, o.reserve, o.unison} {
		changed, err := change(rig)
		if err != nil {
			return nil, err
		}
		rig = changed
	}
	return rig, nil
}

// fail takes voices out of service. A voice that is out already stays so.
func (o *Overrides) fail(rig *profiles.Rig) (*profiles.Rig, error) {
	if len(o.Without) == 0 {
		return rig, nil
	}
	changed := *rig
	changed.Voices = slices.Clone(rig.Voices)
	var names []string
	for _, v := range rig.Voices {
		names = append(names, v.Name)
	}
	for _, typed := range o.Without {
		for _, name := range strings.Split(typed, ",") {
			at := slices.Index(names, strings.TrimSpace(name))
			if at < 0 {
				return nil, &OverrideError{"--without", typed, fmt.Sprintf("no voice %q, the voices are %s", name, span(names)), unit.DidYouMean(name, names)}
			}
			changed.Voices[at].State = alloc.Out
		}
	}
	return &changed, nil
}

// span names the first and the last of a list.
func span(names []string) string {
	if len(names) == 1 {
		return names[0]
	}
	return names[0] + " to " + names[len(names)-1]
}

// grow adds a bank for every part, or one for each part that wants its own.
func (o *Overrides) grow(rig *profiles.Rig) (*profiles.Rig, error) {
	more, err := resolve(partNames(rig), "--more", o.More, parseMore)
	if err != nil || len(o.More) == 0 {
		return rig, err
	}
	var every []int
	for i, n := range more.byPart {
		switch {
		case n == nil:
		case more.aimed[i]:
			rig = rig.Grown(*n, []int{i})
		default:
			every = append(every, i)
		}
	}
	if len(every) > 0 {
		rig = rig.Grown(*more.every, every)
	}
	if n := len(rig.Voices); n > alloc.MaxVoices {
		return nil, &OverrideError{"--more", strings.Join(o.More, " "), fmt.Sprintf("that makes %d voices, at most %d", n, alloc.MaxVoices), ""}
	}
	return rig, nil
}

// seat says on which banks parts play.
func (o *Overrides) seat(rig *profiles.Rig) (*profiles.Rig, error) {
	banks, err := resolve(partNames(rig), "--banks", o.Banks, banksParser(rig))
	if err != nil || len(o.Banks) == 0 {
		return rig, err
	}
	return withParts(rig, func(i int, p *profiles.Part) error {
		if names := banks.byPart[i]; names != nil {
			p.Banks = bankNumbers(rig, *names)
		}
		return nil
	})
}

// banksParser reads names of banks with commas between them, and returns them
// in the order of the rig.
func banksParser(rig *profiles.Rig) parser[string] {
	var names []string
	for _, b := range rig.Banks {
		names = append(names, b.Name)
	}
	return func(text string) (string, string, string) {
		var found []string
		for _, name := range strings.Split(text, ",") {
			name = strings.TrimSpace(name)
			if !slices.Contains(names, name) {
				return "", unknown("bank", name, names), unit.DidYouMean(name, names)
			}
			found = append(found, name)
		}
		inOrder := slices.DeleteFunc(slices.Clone(names), func(s string) bool { return !slices.Contains(found, s) })
		return strings.Join(inOrder, ","), "", ""
	}
}

func bankNumbers(rig *profiles.Rig, names string) []int {
	var list []int
	for i, b := range rig.Banks {
		if slices.Contains(strings.Split(names, ","), b.Name) {
			list = append(list, i)
		}
	}
	return list
}

// reserve keeps voices for parts.
func (o *Overrides) reserve(rig *profiles.Rig) (*profiles.Rig, error) {
	reserve, err := resolve(partNames(rig), "--reserve", o.Reserve, parseReserve)
	if err != nil || len(o.Reserve) == 0 {
		return rig, err
	}
	changed, err := withParts(rig, func(i int, p *profiles.Part) error {
		set(&p.Reserve, reserve.byPart[i])
		if p.Limit > 0 && p.Reserve > p.Limit {
			return &OverrideError{"--reserve", reserve.typed[i], fmt.Sprintf("part %s may hold %d voices at most", p.Name, p.Limit), ""}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	if short := changed.Overbooked(); short != nil {
		keep := 0
		for _, i := range short {
			keep += changed.Parts[i].Reserve
		}
		return nil, &OverrideError{"--reserve", strings.Join(o.Reserve, " "),
			fmt.Sprintf("%d voices are kept together, more than are in service in the banks of %s", keep, partsOf(changed, short)),
			"lower a reserve, or give one of them more banks"}
	}
	return changed, nil
}

func partsOf(rig *profiles.Rig, parts []int) string {
	var names []string
	for _, i := range parts {
		names = append(names, rig.Parts[i].Name)
	}
	return strings.Join(names, ", ")
}

// unison sets how many voices play a note.
func (o *Overrides) unison(rig *profiles.Rig) (*profiles.Rig, error) {
	unison, err := resolve(partNames(rig), "--unison", o.Unison, parseUnison)
	if err != nil || len(o.Unison) == 0 {
		return rig, err
	}
	return withParts(rig, func(i int, p *profiles.Part) error {
		set(&p.Unison.Voices, unison.byPart[i])
		if n := voicesOf(rig, p); p.Unison.Voices > n {
			return &OverrideError{"--unison", unison.typed[i],
				fmt.Sprintf("part %s has %d voices in its banks", p.Name, n), "give it more banks, or a smaller unison"}
		}
		if _, err := routing.Detunes(p); err != nil {
			return &OverrideError{"--unison", unison.typed[i], err.Error(), ""}
		}
		return nil
	})
}

// withParts returns the rig with its parts changed.
func withParts(rig *profiles.Rig, change func(i int, p *profiles.Part) error) (*profiles.Rig, error) {
	changed := *rig
	changed.Parts = slices.Clone(rig.Parts)
	for i := range changed.Parts {
		if err := change(i, &changed.Parts[i]); err != nil {
			return nil, err
		}
	}
	return &changed, nil
}

func partNames(rig *profiles.Rig) *alloc.Config {
	cfg := &alloc.Config{}
	for i := range rig.Parts {
		cfg.Parts = append(cfg.Parts, alloc.Part{Name: rig.Parts[i].Name})
	}
	return cfg
}

func voicesOf(rig *profiles.Rig, p *profiles.Part) int {
	n := 0
	for _, v := range rig.Voices {
		if slices.Contains(p.Banks, v.Bank) {
			n++
		}
	}
	return n
}
