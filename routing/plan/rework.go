package plan

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/purchase"
)

// rig returns the rig with what an override changes of the rack and of who
// plays where, and what is bought. That comes before anything is worked out, since the
// channel map, stacks and detunes follow from it.
func (o *Overrides) rig(rig *profiles.Rig) (changed *profiles.Rig, bought *purchase.Purchase, err error) {
	buy := func(rig *profiles.Rig) (*profiles.Rig, error) {
		if bought, err = o.buy(rig); bought == nil {
			return rig, err
		}
		return bought.Rig, nil
	}
	for _, change := range []func(*profiles.Rig) (*profiles.Rig, error){o.fail, o.grow, buy, o.seat, o.modes, o.transpose, o.zeroKeys, o.shares, o.unison} {
		if rig, err = change(rig); err != nil {
			return nil, nil, err
		}
	}
	return rig, bought, nil
}

// fail takes voices out of service. A voice that is out already stays so.
func (o *Overrides) fail(rig *profiles.Rig) (*profiles.Rig, error) {
	if len(o.Without) == 0 {
		return rig, nil
	}
	changed := *rig
	changed.Voices = slices.Clone(rig.Voices)
	for _, name := range o.Without {
		at, err := voiceNamed(rig, outKind{}.name(), name)
		if err != nil {
			return nil, err
		}
		changed.Voices[at].State = alloc.Out
	}
	return &changed, nil
}

// voiceNamed is the index of a voice that a flag names. The error is an *[OverrideError].
func voiceNamed(rig *profiles.Rig, flag, name string) (int, error) {
	var names []string
	for i := range rig.Voices {
		names = append(names, rig.Voices[i].Name)
	}
	at := slices.Index(names, name)
	if at < 0 {
		return 0, &OverrideError{flag, name, fmt.Sprintf("no voice %q, the voices are %s", name, span(names)), unit.DidYouMean(name, names), true}
	}
	return at, nil
}

// Voice is the index of a voice that a flag names. The error is an *[OverrideError].
func (p *Plan) Voice(flag, name string) (int, error) { return voiceNamed(p.Rig, flag, name) }

// span names the first and the last of a list.
func span(names []string) string {
	if len(names) == 1 {
		return names[0]
	}
	return names[0] + " to " + names[len(names)-1]
}

// grow adds a bank for every part, or one for each part that wants its own.
func (o *Overrides) grow(rig *profiles.Rig) (*profiles.Rig, error) {
	more, err := resolve(partNames(rig), &moreKind, o)
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
		return nil, moreKind.refuse(fmt.Sprintf("that makes %d voices, at most %d", n, alloc.MaxVoices), "", o.More...)
	}
	return rig, nil
}

// buy is what is bought for a rig; nil for nothing. What the rack cannot hold is an
// *[OverrideError].
func (o *Overrides) buy(rig *profiles.Rig) (*purchase.Purchase, error) {
	if len(o.Buy) == 0 {
		return nil, nil
	}
	buy := o.Buy[0]
	switch {
	case len(o.Buy) > 1:
		return nil, buyKind.refuse("banks are bought by one flag", "leave one of them out", o.Buy...)
	case buy.Part != "":
		return nil, buyKind.refuse("banks are for all parts that play on the one that they are like", "leave the part out", buy)
	}
	var names []string
	for _, b := range rig.Banks {
		names = append(names, b.Name)
	}
	like := slices.Index(names, buy.Value.Like)
	if like < 0 {
		return nil, buyKind.unknown(unknown("bank", buy.Value.Like, names), unit.DidYouMean(buy.Value.Like, names), buy)
	}
	p := purchase.New(routing.NewMap(rig), like, buy.Value.Banks)
	if len(p.Refused) > 0 {
		var short []string
		for _, s := range p.Refused {
			short = append(short, s.String())
		}
		return nil, buyKind.refuse("the rack cannot hold that: "+unit.List(short), "", buy)
	}
	return p, nil
}

// Buying is what banks like the one at an index take, on top of the rig as the plan has it
// without anything that it buys.
func (p *Plan) Buying(like, banks int) *purchase.Purchase {
	rig := p.Unchanged
	for _, change := range []func(*profiles.Rig) (*profiles.Rig, error){p.Overrides.fail, p.Overrides.grow} {
		rig, _ = change(rig) // which the plan did
	}
	return purchase.New(routing.NewMap(rig), like, banks)
}

// modes says which parts play chords, and which one note at a time.
func (o *Overrides) modes(rig *profiles.Rig) (*profiles.Rig, error) {
	modes, err := resolve(partNames(rig), &modeKind, o)
	if err != nil || len(o.Mode) == 0 {
		return rig, err
	}
	return withParts(rig, func(i int, p *profiles.Part) error {
		if set(&p.Mode, modes.byPart[i]); p.Mode == profiles.Poly {
			p.Reattack = profiles.ReattackNone // every note has its own attack
		}
		return nil
	})
}

// transpose says by how much parts play higher than their keys.
func (o *Overrides) transpose(rig *profiles.Rig) (*profiles.Rig, error) {
	shifts, err := resolve(partNames(rig), &shiftKind, o)
	if err != nil || len(o.Transpose) == 0 {
		return rig, err
	}
	return withParts(rig, func(i int, p *profiles.Part) error {
		set(&p.Transpose, shifts.byPart[i])
		return nil
	})
}

// zeroKeys says which keys interfaces have at 0 V.
func (o *Overrides) zeroKeys(rig *profiles.Rig) (*profiles.Rig, error) {
	if len(o.ZeroKey) == 0 {
		return rig, nil
	}
	if len(rig.Interfaces) == 0 {
		return nil, zeroKind.refuse("the rig has no interface", "name the interface under interfaces", o.ZeroKey...)
	}
	names := &alloc.Config{}
	for i := range rig.Interfaces {
		names.Parts = append(names.Parts, alloc.Part{Name: rig.Interfaces[i].Name})
	}
	keys, err := resolve(names, &zeroKind, o)
	if err != nil {
		return nil, err
	}
	changed := *rig
	changed.Interfaces = slices.Clone(rig.Interfaces)
	for i, key := range keys.byPart {
		f := &changed.Interfaces[i]
		if key != nil && f.Scale.HertzPerVolt() {
			return nil, zeroKind.refuse(fmt.Sprintf("interface %s goes by hertz a volt, and no key is at 0 V", f.Name), "", keys.from[i])
		}
		set(&f.ZeroKey, key)
	}
	return &changed, nil
}

// shares says what each part has of the voices that it shares: how many are kept for
// it, how many it may hold, and whose notes it may take them from.
func (o *Overrides) shares(rig *profiles.Rig) (*profiles.Rig, error) {
	reserve, err := resolve(partNames(rig), &reserveKind, o)
	if err != nil {
		return nil, err
	}
	limit, err := resolve(partNames(rig), &limitKind, o)
	if err != nil {
		return nil, err
	}
	rank, err := resolve(partNames(rig), &rankKind, o)
	if err != nil || len(o.Reserve)+len(o.Limit)+len(o.Priority) == 0 {
		return rig, err
	}
	changed, err := withParts(rig, func(i int, p *profiles.Part) error {
		set(&p.Reserve, reserve.byPart[i])
		set(&p.Limit, limit.byPart[i])
		set(&p.Priority, rank.byPart[i])
		switch {
		case p.Limit == 0 || p.Reserve <= p.Limit:
			return nil
		case limit.byPart[i] == nil:
			return reserveKind.refuse(fmt.Sprintf("part %s may hold %d voices at most", p.Name, p.Limit), "", reserve.from[i])
		}
		return limitKind.refuse(fmt.Sprintf("%d voices are kept for part %s", p.Reserve, p.Name), "raise the limit, or lower the reserve", limit.from[i])
	})
	if err != nil || len(o.Reserve) == 0 {
		return changed, err
	}
	return changed, o.overbooked(changed)
}

// overbooked refuses to keep more voices than there are.
func (o *Overrides) overbooked(rig *profiles.Rig) error {
	short := rig.Overbooked()
	if short == nil {
		return nil
	}
	keep := 0
	for _, i := range short {
		keep += rig.Parts[i].Reserve
	}
	return reserveKind.refuse(fmt.Sprintf("%d voices are kept together, more than are in service in the banks of %s", keep, partsOf(rig, short)),
		"lower a reserve, or give one of them more banks", o.Reserve...)
}

func partsOf(rig *profiles.Rig, parts []int) string {
	var names []string
	for _, i := range parts {
		names = append(names, rig.Parts[i].Name)
	}
	return strings.Join(names, ", ")
}

// unison sets how many voices play a note, and what it does where they are short.
func (o *Overrides) unison(rig *profiles.Rig) (*profiles.Rig, error) {
	unison, err := resolve(partNames(rig), &unisonKind, o)
	if err != nil {
		return nil, err
	}
	short, err := resolve(partNames(rig), &shortKind, o)
	if err != nil || len(o.Unison)+len(o.WhenShort)+len(o.Limit) == 0 {
		return rig, err
	}
	return withParts(rig, func(i int, p *profiles.Part) error {
		set(&p.Unison.Voices, unison.byPart[i])
		if set(&p.Unison.Short, short.byPart[i]); p.Unison.Short != profiles.Elastic {
			p.Unison.Regrow = false
		}
		switch n := voicesOf(rig, p); {
		case len(o.Limit) > 0 && p.Limit > 0 && p.Unison.Voices > p.Limit:
			return limitKind.refuse(fmt.Sprintf("a note of part %s takes %d voices", p.Name, p.Unison.Voices), "raise the limit, or make the unison smaller", For[int]{p.Name, p.Limit})
		case len(o.Unison) > 0 && p.Unison.Voices > n:
			return unisonKind.refuse(fmt.Sprintf("part %s has %d voices in its banks", p.Name, n), "give it more banks, or a smaller unison", unison.from[i])
		}
		if _, err := routing.Detunes(p); err != nil {
			return unisonKind.refuse(err.Error(), "", unison.from[i])
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
