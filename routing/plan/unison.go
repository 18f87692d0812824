package plan

import (
	"fmt"
	"slices"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/detune"
)

// rig returns the rig with the unisons of an override. That comes before
// anything is worked out, since stacks and detunes follow from it.
func (o *Overrides) rig(rig *profiles.Rig) (*profiles.Rig, error) {
	unison, err := resolve(partNames(rig), "--unison", o.Unison, parseUnison)
	if err != nil || len(o.Unison) == 0 {
		return rig, err
	}
	changed := *rig
	changed.Parts = slices.Clone(rig.Parts)
	for i := range changed.Parts {
		p := &changed.Parts[i]
		set(&p.Unison.Voices, unison.byPart[i])
		if n := voicesOf(rig, p); p.Unison.Voices > n {
			return nil, &OverrideError{"--unison", unison.typed[i],
				fmt.Sprintf("part %s has %d voices in its banks", p.Name, n), "give it more banks, or a smaller unison"}
		}
		if _, err := routing.Detunes(p); err != nil {
			return nil, &OverrideError{"--unison", unison.typed[i], err.Error(), ""}
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

// unison returns the unison of a part as the map has it: the same stacks and
// detunes that are printed are played.
func unison(m *routing.Map, part int) alloc.Unison {
	p := &m.Rig.Parts[part]
	u := alloc.Unison{Voices: p.Unison.Voices, WhenShort: alloc.WhenShort(p.Unison.Short), Regrow: p.Unison.Regrow}
	at := slices.IndexFunc(m.Unisons, func(w routing.Unison) bool { return w.Part == part })
	if at < 0 {
		return u
	}
	w := &m.Unisons[at]
	u.Blocks = w.Stacks
	if p.Unison.Detune == profiles.ByPosition {
		u.Detune = floats(w.Cents)
		return u
	}
	u.ByVoice = make([]float64, len(m.Voices))
	for i := range m.Voices {
		for _, seat := range m.Voices[i].Seats {
			if seat.Part == part && seat.Fixed {
				u.ByVoice[i] = float64(seat.Detune)
			}
		}
	}
	return u
}

func floats(cents []detune.Cents) []float64 {
	list := make([]float64, len(cents))
	for i, c := range cents {
		list[i] = float64(c)
	}
	return list
}
