package profiles

import (
	"slices"

	"choirloft/alloc"
	"choirloft/profiles/unit"
)

// resolveBanks numbers the voices and finds the kinds of the banks.
func (x *resolver) resolveBanks() {
	for i, e := range x.draft.banks {
		b := e.value.Bank
		b.Name, b.Pos = e.key, e.pos
		b.Kind = x.kind(e.value.kind)
		if b.Colour = colourAt(i); e.value.colour.at != "" {
			b.Colour = e.value.colour.value
		}
		b.First = len(x.rig.Voices)
		if b.First+b.Size > maxVoices {
			x.faultAt(e.pos, e.at, complain("with this bank there are %d voices, want at most %d", b.First+b.Size, maxVoices))
			b.Size = 0
		}
		x.addVoices(b, i)
		x.applyStates(b, e)
		x.resolveLanes(&b, e)
		x.rig.Banks = append(x.rig.Banks, b)
	}
}

func (x *resolver) addVoices(b Bank, bank int) {
	for p := 1; p <= b.Size; p++ {
		x.rig.Voices = append(x.rig.Voices, Voice{
			Name: VoiceName(b.Name, p), Bank: bank, Position: p, Keys: allKeys, Pos: b.Pos,
		})
	}
}

// kind returns the index of a kind of voice, which is added to the rig if it
// is built in; −1 where there is none of that name.
func (x *resolver) kind(name spot[string]) int {
	if i := slices.IndexFunc(x.rig.Kinds, func(k Kind) bool { return k.Name == name.value }); i >= 0 {
		return i
	}
	if k, ok := kindProfiles.builtin(name.value); ok {
		x.rig.Kinds = append(x.rig.Kinds, k)
		return len(x.rig.Kinds) - 1
	}
	if name.value != "" {
		names := append(keysOf(x.draft.kinds), kindProfiles.names()...)
		x.faultAt(name.pos, name.at, complain("no kind of voice %s, want one of %s", name.value, unit.First(names, 12)).
			didYouMean(name.value, names))
	}
	return -1
}

// applyStates says which voices of a bank are out, spare or limited. Out comes
// before the others, and a voice that is out keeps its limits.
func (x *resolver) applyStates(b Bank, e entry[string, bankDraft]) {
	for _, l := range e.value.limited {
		if v := x.position(b, spot[int]{l.key, l.pos, l.at}); v != nil && !l.broken {
			v.State, v.Keys, v.Pos = alloc.Limited, l.value, l.pos
		}
	}
	for _, s := range e.value.spare {
		if v := x.position(b, s); v != nil {
			v.State, v.Pos = alloc.Spare, s.pos
		}
	}
	for _, o := range e.value.out {
		v := x.position(b, o)
		if v == nil {
			continue
		}
		if v.State == alloc.Spare {
			x.faultAt(o.pos, o.at, complain("%s is spare too, want one of the two", v.Name))
		}
		v.State, v.Pos = alloc.Out, o.pos
	}
}

// position returns the voice at a position of a bank, or nil if there is none.
func (x *resolver) position(b Bank, p spot[int]) *Voice {
	switch {
	case b.Size == 0:
		return nil // the bank has other faults
	case p.value > b.Size:
		x.faultAt(p.pos, p.at, complain("no position %d, bank %s has %s", p.value, b.Name, b.span()))
		return nil
	}
	return &x.rig.Voices[b.First+p.value-1]
}

func (x *resolver) resolveLanes(b *Bank, e entry[string, bankDraft]) {
	for _, lane := range e.value.lanes {
		x.checkInput(*b, lane)
		b.Lanes = append(b.Lanes, lane.value)
	}
}

// checkInput complains if the voices of a bank have no such input.
func (x *resolver) checkInput(b Bank, input spot[string]) {
	if b.Kind < 0 || x.brokenKind(b.Kind) {
		return
	}
	k := x.rig.Kinds[b.Kind]
	if known := slices.Concat(k.Has, commonInputs); !slices.Contains(known, input.value) {
		x.faultAt(input.pos, input.at, complain("no input %s, voices of kind %s have %s", input.value, k.Name, unit.First(k.Has, 12)).
			didYouMean(input.value, known))
	}
}

func (x *resolver) brokenKind(kind int) bool {
	return kind < len(x.draft.kinds) && x.draft.kinds[kind].broken
}
