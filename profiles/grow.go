package profiles

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"choirloft/alloc"
)

// Grown returns the rig with one bank more, of n voices like those of the last
// bank, on which the given parts play besides (by index). Width and currents
// are those of the last bank in proportion. The rig itself stays as it is; the
// bank gets a name that no other has, and no file says anything of it.
func (r *Rig) Grown(n int, parts []int) *Rig { return r.GrownLike(len(r.Banks)-1, n, parts) }

// GrownLike is [Rig.Grown] of a bank like any other one, by its index.
func (r *Rig) GrownLike(like, n int, parts []int) *Rig {
	grown := *r
	grown.Banks = slices.Clone(r.Banks)
	grown.Voices = slices.Clone(r.Voices)
	grown.addBank(&r.Banks[like], n)
	grown.Parts = slices.Clone(r.Parts)
	for _, p := range parts {
		grown.Parts[p].Banks = append(slices.Clone(r.Parts[p].Banks), len(r.Banks))
	}
	return &grown
}

// WithInterface returns the rig with an interface more, like one of its own, but in
// no row, and with nothing that somebody measured of that one.
func (r *Rig) WithInterface(like int) *Rig {
	with := *r
	f := r.Interfaces[like]
	f.Name, f.Pos, f.Row = r.FreeName(f.Name), Pos{}, 0
	f.GainError, f.OffsetError, f.Nonlinearity = nil, nil, nil
	with.Interfaces = append(slices.Clone(r.Interfaces), f)
	return &with
}

// WithJacks returns the rig with as many jacks on one of its interfaces as a built-in profile has.
func (r *Rig) WithJacks(at int, profile string) *Rig {
	from, ok := interfaceProfiles.builtin(profile)
	if !ok {
		return r
	}
	with := *r
	with.Interfaces = slices.Clone(r.Interfaces)
	f := &with.Interfaces[at]
	f.Profile, f.CV, f.Gates, f.Outputs, f.Connector, f.Ports = profile, from.CV, from.Gates, from.Outputs, from.Connector, from.Ports
	return &with
}

// WithSupply returns the rig with a supply more, like one of its own, that feeds nothing.
func (r *Rig) WithSupply(like int) *Rig {
	with := *r
	s := r.Supplies[like]
	s.Name, s.Pos, s.Feeds = r.FreeName(s.Name), Pos{}, nil
	with.Supplies = append(slices.Clone(r.Supplies), s)
	return &with
}

// Unmeasured returns the rig with the banks from one index on, all of one kind, of a kind
// that is like it, but of which nothing is measured. The new kind is nil where nothing was.
func (r *Rig) Unmeasured(from int) (*Rig, *Kind) {
	k := r.Kinds[r.Banks[from].Kind]
	if len(k.Measured) == 0 {
		return r, nil
	}
	rig := *r
	rig.Banks = slices.Clone(r.Banks)
	for i := from; i < len(rig.Banks); i++ {
		rig.Banks[i].Kind = len(r.Kinds)
	}
	k.Name, k.Pos, k.Measured = r.FreeName(k.Name), Pos{}, nil
	rig.Kinds = append(slices.Clone(r.Kinds), k)
	return &rig, &k
}

// FreeName is a name with the first number from 2 with which nothing has it.
func (r *Rig) FreeName(base string) string {
	for n := 2; ; n++ {
		if name := base + strconv.Itoa(n); !r.named(name) {
			return name
		}
	}
}

// IsFree tells whether nothing that is listed by name has a name.
func (r *Rig) IsFree(name string) bool { return !r.named(name) }

// named tells whether anything that is listed by name has a name.
func (r *Rig) named(name string) bool {
	return slices.ContainsFunc(r.Banks, func(b Bank) bool { return b.Name == name }) ||
		slices.ContainsFunc(r.Interfaces, func(f Interface) bool { return f.Name == name }) ||
		slices.ContainsFunc(r.Sequencers, func(s Sequencer) bool { return s.Name == name }) ||
		slices.ContainsFunc(r.Gear, func(g Gear) bool { return g.Name == name }) ||
		slices.ContainsFunc(r.Supplies, func(s Supply) bool { return s.Name == name }) ||
		slices.ContainsFunc(r.Kinds, func(k Kind) bool { return k.Name == name })
}

// Racked returns the rig with other banks: that many of n voices like those of
// the first bank, all in service, on all of which every part plays. What names
// a voice or a bank of today is left out: pins, wiring, macros, supplies,
// corrections and set-ups; a part with a fixed map picks the longest idle voice.
// It is for counting what a rack takes, before it is patched.
func (r *Rig) Racked(banks, n int) *Rig {
	racked := *r
	racked.Banks, racked.Voices = nil, nil
	racked.Pins, racked.Wiring, racked.Macros, racked.Supplies, racked.Corrections, racked.SetUps = nil, nil, nil, nil, nil, nil
	all := make([]int, banks)
	for i := range all {
		all[i] = i
		racked.addBank(&r.Banks[0], n)
	}
	racked.Parts = slices.Clone(r.Parts)
	for i := range racked.Parts {
		p := &racked.Parts[i]
		p.Banks, p.Fixed = all, nil
		if p.Pick == alloc.PickFixed {
			p.Pick = alloc.PickLongestIdle
		}
	}
	return &racked
}

// addBank appends a bank of n voices like those of another.
func (r *Rig) addBank(like *Bank, n int) {
	b := *like
	b.Name, b.Pos, b.Colour = r.FreeBank(), Pos{}, colourAt(len(r.Banks))
	b.First, b.Size, b.UseSpare, b.Row = len(r.Voices), n, false, 0
	b.HP = (like.HP*n + like.Size - 1) / like.Size
	b.Current = slices.Clone(like.Current)
	for i := range b.Current {
		b.Current[i].Amps *= Amperes(n) / Amperes(like.Size)
	}
	for p := 1; p <= n; p++ {
		r.Voices = append(r.Voices, Voice{Name: VoiceName(b.Name, p), Bank: len(r.Banks), Position: p, Keys: allKeys})
	}
	r.Banks = append(r.Banks, b)
}

// FreeBank is the first of [BankName] that no bank has, nor anything that shares its names.
func (r *Rig) FreeBank() string {
	for i := 0; ; i++ {
		if name := bankAt(i); !r.named(name) {
			return name
		}
	}
}

// Overbooked returns parts that keep more voices together than there are in
// service in their banks, by index; nil if every part can have its reserve.
func (r *Rig) Overbooked() []int {
	s := seats{}
	for i := range r.Banks {
		s.left = append(s.left, r.InService(i))
	}
	for i := range r.Parts {
		s.add(r.Parts[i].Banks)
		if short := s.seat(i, r.Parts[i].Reserve); short != nil {
			return short
		}
	}
	return nil
}

// WithSequencer returns the rig with one of its sequencers among the
// interfaces, as the last, with a CV and a gate for each part: what the
// sequencer drives can then be looked at as what an interface drives. The rig
// itself stays as it is.
func (r *Rig) WithSequencer(at int) *Rig {
	s := &r.Sequencers[at]
	with := *r
	with.Interfaces = append(slices.Clone(r.Interfaces), Interface{
		Name: s.Name, Profile: s.Profile, Pos: s.Pos, CV: s.Parts, Gates: s.Parts, Connector: max(1, s.Parts),
		Window: s.Window, ZeroKey: s.ZeroKey, Scale: s.Scale, Bits: 16, OutputResistance: s.OutputResistance,
		Gate: s.Gate, Active: s.Active, Trigger: s.Trigger, Link: Audio,
	})
	with.given = maps.Clone(r.given)
	for path, pos := range r.given {
		if rest, ok := strings.CutPrefix(path, "sequencers."+s.Name); ok && (rest == "" || rest[0] == '.') {
			with.given["interfaces."+s.Name+rest] = pos
		}
	}
	return &with
}
