package profiles

import (
	"slices"

	"choirloft/midi"
)

// resolveParts finds the banks and fixed voices of the parts, or makes the
// part all where the file has none.
func (x *resolver) resolveParts() {
	if x.draft.parts == nil {
		p := partShape.defaults()
		p.Name, p.Banks = "all", x.everyBank()
		x.rig.Parts = []Part{p.Part}
		return
	}
	for _, e := range x.draft.parts {
		p := e.value.Part
		p.Name, p.Pos = e.key, e.pos
		p.Banks = x.banksOf(e.value.banks)
		if len(e.value.banks) == 0 {
			p.Banks = x.everyBank()
		}
		p.Fixed = x.fixedVoices(p, e.value)
		x.rig.Parts = append(x.rig.Parts, p)
	}
}

func (x *resolver) everyBank() []int {
	all := make([]int, len(x.rig.Banks))
	for i := range all {
		all[i] = i
	}
	return all
}

// banksOf returns the indexes of banks in ascending order.
func (x *resolver) banksOf(names []spot[string]) []int {
	var banks []int
	for _, name := range names {
		if bank, ok := x.bank(name); ok {
			banks = append(banks, bank)
		}
	}
	slices.Sort(banks)
	return banks
}

func (x *resolver) fixedVoices(p Part, d partDraft) map[midi.Key]int {
	if d.fixed == nil {
		return nil
	}
	fixed := make(map[midi.Key]int, len(d.fixed))
	for _, e := range d.fixed {
		voice, ok := x.voice(e.value)
		if !ok {
			continue
		}
		allFound := len(p.Banks) >= len(d.banks)
		if v := x.rig.Voices[voice]; allFound && !slices.Contains(p.Banks, v.Bank) {
			x.faultAt(e.value.pos, e.value.at, complain("%s is not in the banks of part %s", v.Name, p.Name))
		}
		fixed[e.key] = voice
	}
	return fixed
}
