package profiles

import (
	"slices"

	"choirloft/alloc"
	"choirloft/profiles/unit"
)

// What the parts ask of their banks must be there.

// Replaced tells which voice of a bank a spare stands in for: the first spare
// for the first voice that is out, by position, where the bank says use_spare.
// Both are indexes into Rig.Voices; ok is false where no spare plays. The spare
// plays under its own name and jacks, and within its own limits.
func (r *Rig) Replaced(bank int) (spare, out int, ok bool) {
	b := &r.Banks[bank]
	if !b.UseSpare {
		return 0, 0, false
	}
	spare, out = r.first(b, alloc.Spare), r.first(b, alloc.Out)
	return spare, out, spare >= 0 && out >= 0
}

// first returns the first voice of a bank in that state, or −1.
func (r *Rig) first(b *Bank, state alloc.VoiceState) int {
	for i := b.First; i < b.First+b.Size; i++ {
		if r.Voices[i].State == state {
			return i
		}
	}
	return -1
}

// InService counts the voices of a bank that play: those that are in or
// limited, and a spare that stands in for a voice.
func (r *Rig) InService(bank int) int {
	b, n := &r.Banks[bank], 0
	for _, v := range r.Voices[b.First : b.First+b.Size] {
		if v.InService() {
			n++
		}
	}
	if _, _, ok := r.Replaced(bank); ok {
		n++
	}
	return n
}

// checkFit looks whether parts ask for more than their banks have. It leaves
// out what has faults of its own.
func (x *resolver) checkFit() {
	room := make([]int, len(x.rig.Banks))
	for i := range room {
		room[i] = x.rig.InService(i)
	}
	s := seats{left: slices.Clone(room)}
	for i, e := range x.draft.parts {
		if e.broken || !x.soundBanks(e.value.banks, x.rig.Parts[i].Banks) {
			s.add(nil)
			continue
		}
		x.checkWidth(e, &x.rig.Parts[i], room)
		s.add(x.rig.Parts[i].Banks)
		if short := s.seat(i, e.value.Reserve); short != nil {
			x.reserveFault(i, short, room)
		}
	}
	x.checkZones()
}

// soundBanks tells whether all banks of a part were found and have voices.
func (x *resolver) soundBanks(named []spot[string], found []int) bool {
	if len(found) < len(named) {
		return false
	}
	return !slices.ContainsFunc(found, func(b int) bool {
		return x.draft.banks[b].broken || x.rig.Banks[b].Size == 0
	})
}

// place returns where a value of a part was written, with its path.
func (x *resolver) place(e entry[string, partDraft], key string) (Pos, string) {
	at := e.at + "." + key
	if pos, ok := x.given[at]; ok {
		return pos, at
	}
	return e.pos, e.at
}

// checkWidth complains of a unison wider than the banks of its part. Voices
// that are out count: a block plays thinned without them. They do not for a
// unison that waits, which would then wait for ever.
func (x *resolver) checkWidth(e entry[string, partDraft], p *Part, room []int) {
	width, have, what := p.Unison.Voices, 0, ""
	for _, bank := range p.Banks {
		b := &x.rig.Banks[bank]
		if p.Unison.Short == Wait {
			have += room[bank]
			what = " in service"
			continue
		}
		for _, v := range x.rig.Voices[b.First : b.First+b.Size] {
			if v.State != alloc.Spare {
				have++
			}
		}
	}
	if width < 2 || width <= have {
		return
	}
	pos, at := x.place(e, "unison.voices")
	x.faultAt(pos, at, complain("found a unison of %d voices, and %s %d%s", width, x.bankList(p.Banks), have, what).
		advise("write voices: %d at most, or give the part more banks", max(have, 1)))
}

// bankList names banks as the subject of what they have.
func (x *resolver) bankList(banks []int) string {
	names := make([]string, len(banks))
	for i, b := range banks {
		names[i] = x.rig.Banks[b].Name
	}
	verb := " have"
	if len(names) == 1 {
		verb = " has"
	}
	return unit.Named("bank", names, 12) + verb
}
