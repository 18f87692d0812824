package text

import (
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// voices shows what each voice in service did, or for many what each bank did.
func voices(r *contract.Result) []string {
	serving := r.Serving()
	if len(serving) > mostVoices {
		return banks(r)
	}
	columns := min(3, (len(serving)+5)/6)
	g := newGrid(repeat([]string{"Voice", " Takes", " Held", " Sound", " Jump\n(st)"}, columns)...)
	rows := (len(serving) + columns - 1) / max(1, columns)
	for row := range rows {
		var cells []string
		for i := row; i < len(serving); i += rows {
			cells = append(cells, voice(serving[i])...)
		}
		g.add(cells...)
	}
	return g.lines()
}

// repeat returns the heads so many times.
func repeat(heads []string, n int) []string {
	var all []string
	for range n {
		all = append(all, heads...)
	}
	return all
}

func voice(v *contract.Voice) []string {
	return []string{v.Name, unit.Cell(v.Takes), unit.Percent(v.HeldShare),
		unit.Percent(v.SoundingShare), unit.Cell(v.MostSemitones)}
}

func banks(r *contract.Result) []string {
	g := newGrid("Bank", " Voices", " In service", " Takes", " Held", " Sound", " Jump\n(st)")
	for i := range r.Banks {
		b := &r.Banks[i]
		g.add(b.Name, unit.Cell(b.Voices), unit.Cell(b.InService), unit.Cell(b.Takes),
			unit.Percent(b.HeldShare), unit.Percent(b.SoundingShare), unit.Cell(b.MostSemitones))
	}
	return g.lines()
}
