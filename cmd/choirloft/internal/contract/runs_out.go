package contract

import "slices"

// RunsOut are banks that are too small while voices of other banks are free: all notes that are cut short or
// dropped are on them, and none of their parts may play elsewhere.
type RunsOut struct {
	Banks []string `json:"banks"`
	Free  int      `json:"free"` // voices of other banks at any time, at the least
	// Part is the only one that plays there, where its notes alone want more than there is: Wanted at the peak,
	// pedal included, and Has. Empty and zeros else.
	Part   string `json:"part,omitempty"`
	Wanted int    `json:"wanted,omitempty"`
	Has    int    `json:"has,omitempty"`
}

// runsOut looks at parts that share all of their banks with others, or none: of one that has some of them and
// others besides, nobody can tell how many voices it leaves. What is elsewhere is free as far as the parts there
// never sound together, tails included.
func runsOut(parts []Part, voices int) *RunsOut {
	first := slices.IndexFunc(parts, func(p Part) bool { return p.Damaged > 0 })
	if first < 0 {
		return nil
	}
	short := &parts[first]
	out, playing := &RunsOut{Banks: short.Banks, Free: voices - short.Demand.Voices}, 0
	for i := range parts {
		p := &parts[i]
		within, beyond := false, false
		for _, bank := range p.Banks {
			if slices.Contains(short.Banks, bank) {
				within = true
			} else {
				beyond = true
			}
		}
		switch {
		case !within && p.Damaged == 0:
			out.Free -= p.Demand.Audible
		case !within, beyond, p.Damaged > 0 && (p.Limit != nil || !slices.Equal(p.Banks, short.Banks)):
			return nil // or its limit is what runs out
		case p.Notes > 0:
			playing++
		}
	}
	if out.Free < 1 {
		return nil
	}
	if d := &short.Demand; playing == 1 && d.Pedal > d.Voices {
		out.Part, out.Wanted, out.Has = short.Name, d.Pedal, d.Voices
	}
	return out
}
