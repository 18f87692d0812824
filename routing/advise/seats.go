package advise

import (
	"math/bits"
	"slices"

	"choirloft/profiles"
	"choirloft/routing/plan"
)

// Shared is a bank on which a part plays with a fix and did not before.
type Shared struct {
	Part, Bank int
	Effort     Effort
}

// moving is what it takes that a part of a plan plays on another bank. It is a setting between banks of one kind, with the
// same lanes and pitch jacks; where kinds differ by nothing but their sound it is that,
// else wiring.
func moving(p *plan.Plan, part, bank int) Effort {
	effort := Wiring
	for i := range p.Rig.Parts {
		if p.Origin[i] != part {
			continue
		}
		for _, b := range p.Rig.Parts[i].Banks {
			effort = min(effort, between(p, b, bank))
		}
	}
	return effort
}

func between(p *plan.Plan, a, b int) Effort {
	rig := p.Rig
	x, y := &rig.Banks[a], &rig.Banks[b]
	k, l := rig.Kinds[x.Kind], rig.Kinds[y.Kind]
	lanes := func(b *profiles.Bank) []string { return slices.Sorted(slices.Values(b.Lanes)) }
	switch {
	case !slices.Equal(lanes(x), lanes(y)) || window(p, a) != window(p, b):
		return Wiring
	case x.Kind == y.Kind:
		return Setting
	case k.GroupPitch != l.GroupPitch || k.GateInput != l.GateInput || !slices.Equal(k.Inputs, l.Inputs) || !slices.Equal(k.Has, l.Has):
		return Wiring
	}
	return Sound
}

// window is what the pitch jacks of a bank can be driven to.
func window(p *plan.Plan, bank int) any {
	return p.Rules.Config.Voices[p.Rig.Banks[bank].First].Window
}

// mostBanks is on how many banks parts are moved about; larger racks keep theirs.
const mostBanks = 64

// seats makes the slots of who plays where, and what it takes to move.
func (f *finder) seats() {
	rig := f.plan.Rig
	if len(rig.Banks) < 2 || len(rig.Banks) > mostBanks {
		return
	}
	f.moving = make([][]Effort, len(f.parts))
	for i := range f.parts {
		for b := range rig.Banks {
			f.moving[i] = append(f.moving[i], moving(f.plan, i, b))
		}
		f.slot(banksFlag, i, f.seated(i))
	}
	f.splits = make([][]value, len(f.parts))
	for i := range f.parts {
		f.splits[i] = f.splitsOf(i)
	}
}

// seated is where a part plays as things are.
func (f *finder) seated(part int) (v value) {
	var seats plan.Seats
	for i := range f.plan.Rig.Parts {
		p := &f.plan.Rig.Parts[i]
		if f.plan.Origin[i] != part {
			continue
		}
		banks := uint64(0)
		for _, b := range p.Banks {
			banks |= 1 << b
		}
		seats = append(seats, plan.Seat{From: p.Keys.Low, Banks: f.names(banks)})
		v.banks |= banks
	}
	v.text = seats.String()
	return v
}

// on is a part on some banks: what it takes are those on which it does not play yet.
func (f *finder) on(part int, text string, banks uint64, more int) value {
	v := value{text: text, banks: banks, more: more}
	for b := range f.banks {
		if banks&^f.slots[part].values[0].banks&(1<<b) != 0 { // seats come first
			v.effort = max(v.effort, f.moving[part][b])
		}
	}
	return v
}

// seat is the value of a part on some banks.
func (f *finder) seat(part int, banks uint64) int16 {
	return f.slots[part].intern(f.on(part, plan.On(f.names(banks)...).String(), banks, 0))
}

// playsOn are the banks of a part in a state.
func (f *finder) playsOn(s state, part int) uint64 {
	if f.moving == nil {
		return 0
	}
	return f.slots[part].values[s[part]].banks
}

// names are those of banks.
func (f *finder) names(banks uint64) (names []string) {
	for b, name := range f.banks {
		if banks&(1<<b) != 0 {
			names = append(names, name)
		}
	}
	return names
}

// shared lists the banks on which parts play in a state and did not before.
func (f *finder) shared(s state) (list []Shared) {
	for part := range f.parts {
		for new := f.playsOn(s, part) &^ f.playsOn(f.as(), part); new != 0; new &= new - 1 {
			b := bits.TrailingZeros64(new)
			list = append(list, Shared{part, b, f.moving[part][b]})
		}
	}
	return list
}

// mostSubsets is the number of banks up to which every choice of them is tried for a part.
const mostSubsets = 4

// seatMoves are the ways to seat parts otherwise: all on all, a bank or more for each, and
// each on all; alone on some, while the others leave these; then each on any banks, or with one more or
// one less.
func (f *finder) seatMoves() {
	if f.moving == nil {
		return
	}
	f.move(func(s state) (state, bool) { return f.everywhere(s), true })
	if deal := f.deal(); deal != nil {
		f.move(func(s state) (state, bool) {
			t := slices.Clone(s)
			for part, banks := range deal {
				t[part] = f.seat(part, banks)
			}
			return t, true
		})
	}
	f.seatOn(func(part int) []value { return f.unsplit(part, f.serving) })
	if len(f.parts) > 1 {
		for part := range f.parts {
			for _, banks := range f.runs(f.serving, 2) {
				f.move(func(s state) (state, bool) { return f.alone(s, part, banks) })
			}
		}
	}
	f.seatOn(func(part int) []value { return f.unsplit(part, f.choices(part)...) })
	if bits.OnesCount64(f.serving) > mostSubsets {
		f.toggles()
	}
}

// seatOn seats each part otherwise.
func (f *finder) seatOn(choices func(part int) []value) {
	if f.moving == nil {
		return
	}
	for part := range f.parts {
		for _, v := range choices(part) {
			f.move(func(s state) (state, bool) { return s.set(part, f.slots[part].intern(v)), true })
		}
	}
}

// unsplit are values of a part with all its keys on some banks.
func (f *finder) unsplit(part int, choices ...uint64) (list []value) {
	for _, banks := range choices {
		list = append(list, f.on(part, plan.On(f.names(banks)...).String(), banks, 0))
	}
	return list
}

// toggles seat each part on a bank more, or on one less.
func (f *finder) toggles() {
	for part := range f.parts {
		for rest := f.serving; rest != 0; rest &= rest - 1 {
			bank := rest & -rest
			f.move(func(s state) (state, bool) {
				to := f.playsOn(s, part) ^ bank
				if to&f.serving == 0 {
					return nil, false
				}
				return s.set(part, f.seat(part, to)), true
			})
		}
	}
}

// everywhere seats all parts on all banks.
func (f *finder) everywhere(s state) state {
	t := slices.Clone(s)
	for part := range f.parts {
		t[part] = f.seat(part, f.serving)
	}
	return t
}

// alone gives a part banks for itself: the others leave them, if they have more.
func (f *finder) alone(s state, part int, banks uint64) (state, bool) {
	t := s.set(part, f.seat(part, banks))
	for other := range f.parts {
		if other == part {
			continue
		}
		rest := f.playsOn(s, other) &^ banks
		if rest&f.serving == 0 {
			rest = f.serving &^ banks
		}
		if rest == 0 {
			return nil, false
		}
		t[other] = f.seat(other, rest)
	}
	return t, true
}

// choices are the banks that a part may be given.
func (f *finder) choices(part int) (list []uint64) {
	all := f.serving
	if bits.OnesCount64(all) > mostSubsets {
		return append(f.runs(all, 3), all, f.playsOn(f.as(), part)|all)
	}
	for banks := all; banks != 0; banks = (banks - 1) & all {
		list = append(list, banks)
	}
	return list
}

// runs are up to so many banks that stand beside each other, of some.
func (f *finder) runs(of uint64, most int) (list []uint64) {
	var banks []uint64
	for rest := of; rest != 0; rest &= rest - 1 {
		banks = append(banks, rest&-rest)
	}
	for n := 1; n <= most; n++ {
		for i := 0; i+n <= len(banks); i++ {
			run := uint64(0)
			for _, b := range banks[i : i+n] {
				run |= b
			}
			list = append(list, run)
		}
	}
	return list
}

// deal deals the banks out: one to each part, and each further one to the part that is
// shortest of voices for its peak. It is nil where there are not enough.
func (f *finder) deal() []uint64 {
	n := len(f.parts)
	if n < 2 || n > bits.OnesCount64(f.serving) {
		return nil
	}
	banks, voices := make([]uint64, n), make([]int, n)
	given := 0
	for rest := f.serving; rest != 0; rest &= rest - 1 {
		to := given
		if given++; given > n {
			to = 0
			for i := range n {
				if f.peaks[i]-voices[i] > f.peaks[to]-voices[to] {
					to = i
				}
			}
		}
		b := bits.TrailingZeros64(rest)
		banks[to], voices[to] = banks[to]|1<<b, voices[to]+f.count[b]
	}
	return banks
}
