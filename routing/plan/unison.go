package plan

import (
	"slices"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/detune"
)

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
