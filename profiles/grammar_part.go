package profiles

import (
	"math"

	"choirloft/alloc"
)

// The grammar of parts.

// partDraft is a part as it is written.
type partDraft struct {
	Part
	banks []spot[string] // empty for all
	fixed []fixedKey
}

// everyChannelBut10 is General MIDI without its percussion.
const everyChannelBut10 = "[1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13, 14, 15, 16]"

// partShape is a part; its values are partDraft.
var partShape = object[partDraft]{what: "a part", fields: []field[partDraft]{
	{key: "channel", shape: channelShape, def: everyChannelBut10,
		doc: "channels that it listens to, on every port or on one, or a zone of per-note channels, or none", example: "[1, 3]",
		set: func(_ *reader, p *partDraft, v any) {
			l := v.(listens)
			p.Sources, p.Zone, p.Members = l.sources, l.zone, l.members
		}},
	may("keys", keySpan, "0-127", func(p *partDraft) *alloc.KeyRange { return &p.Keys },
		"keys that it plays, as they come in", "C2-B3"),
	may("velocities", velocitySpan, "1-127", func(p *partDraft) *[2]uint8 { return &p.Velocities },
		"velocities that it plays", "1-100"),
	may("transpose", whole(-48, 48), "0", func(p *partDraft) *int { return &p.Transpose },
		"semitones added to each key", "12"),
	may("bend_range", leaf{number{0, 96}}, "2", func(p *partDraft) *float64 { return &p.BendRange },
		"semitones of a full bend, until RPN 0 in the song says otherwise", "12"),
	may("bend_tails", yesOrNo, "false", func(p *partDraft) *bool { return &p.BendTails },
		"whether bend moves tails too", "true"),
	may("banks", listOf[spot[string]]{
		of: nameRef("a bank"), what: "banks", max: 1024, same: sameValue[string],
		none: "leave banks out to play on all of them",
	}, "", func(p *partDraft) *[]spot[string] { return &p.banks },
		"banks that it plays on; all by default", "[K]"),
	may("mode", oneOf[Mode](modeNames...), "poly", func(p *partDraft) *Mode { return &p.Mode },
		"poly plays chords; mono one note at a time, of the key pressed last, the lowest or the highest", "mono last"),
	may("reattack", oneOf[Reattack](reattackNames...), "none", func(p *partDraft) *Reattack { return &p.Reattack },
		"when a mono part starts its envelope again while a key is down", "mode: mono last\nreattack: press"),
	may("reserve", whole(0, maxVoices), "0", func(p *partDraft) *int { return &p.Reserve },
		"voices kept for it", "1"),
	may("limit", whole(1, maxVoices), "", func(p *partDraft) *int { return &p.Limit },
		"most voices that it may hold; no limit by default", "4"),
	may("priority", whole(1, 100), "1", func(p *partDraft) *int { return &p.Priority },
		"rank among parts, 1 is highest", "2"),
	may("unison", unisonShape, "{}", func(p *partDraft) *Unison { return &p.Unison },
		"several voices on one note", "{voices: 2, spread: 8 cents}"),
	{key: "pick", shape: pickShape, def: alloc.PickLongestIdle.String(),
		doc: "which free voice a note gets", example: "same-key then lowest",
		set: func(_ *reader, p *partDraft, v any) {
			p.Pick, p.Second, p.fixed = v.(picks).rule, v.(picks).second, v.(picks).fixed
		}},
	may("steal", leaf{rules[alloc.StealRule]{enum[alloc.StealRule]{alloc.StealNames()}, "stealing"}}, alloc.StealProtectOuter.String(),
		func(p *partDraft) *alloc.StealRule { return &p.Steal },
		"which note loses its voice where none is free", "oldest"),
	may("class_order", yesOrNo, "true", func(p *partDraft) *bool { return &p.ClassOrder },
		"whether tails lose their voices first, then sustained notes, then held ones", "false"),
	choice("newcomer", []string{"wins", "competes"}, "wins",
		func(_ *reader, p *partDraft, i int) { p.NewcomerCompetes = i == 1 },
		"whether the new note itself may be given up under the steal rule", "competes"),
	choice("tails", []string{"known", "unknown"}, "known",
		func(_ *reader, p *partDraft, i int) { p.TailsUnknown = i == 1 },
		"known hears tails; unknown is deaf to them and holds a fading voice for a free one", "unknown"),
	may("same_key", leaf{rules[alloc.SameKey]{enum[alloc.SameKey]{alloc.SameKeyNames()}, "same-key"}}, alloc.RetriggerCounted.String(),
		func(p *partDraft) *alloc.SameKey { return &p.SameKey },
		"what a key does that is played again while it sounds", "stack fifo"),
	may("glide", leaf{between[Duration](times, "0 ms", "60 s")}, "0 ms", func(p *partDraft) *Duration { return &p.Glide },
		"time that a pitch takes to reach the next, slurred or not", "60 ms"),
	may("out_of_range", leaf{enum[alloc.OutOfRange]{alloc.OutOfRangeNames()}}, alloc.Clamp.String(),
		func(p *partDraft) *alloc.OutOfRange { return &p.OutOfRange },
		"what happens to a pitch out of the CV range", "fold"),
	{key: "seed", shape: whole(0, math.MaxInt), def: "1",
		doc: "seed of random rules and random detune", example: "7",
		set: func(_ *reader, p *partDraft, v any) { p.Seed = uint64(v.(int)) }},
}, finish: finishPart}

// unisonShape is a unison; its values are Unison.
var unisonShape = object[Unison]{what: "a unison", fields: []field[Unison]{
	may("voices", whole(1, 64), "1", func(u *Unison) *int { return &u.Voices },
		"voices on one note", "2"),
	may("spread", leaf{between[Cents](intervals, "0 cents", "2400 cents")}, "12 cents", func(u *Unison) *Cents { return &u.Spread },
		"total width of the detune, lowest to highest", "8 cents"),
	{key: "law", shape: lawWord, def: "uneven",
		doc: "detune pattern: how the voices lie within the spread", example: "voices: 3\nlaw: golden",
		set: func(_ *reader, u *Unison, v any) { u.Law, u.Power = v.(lawOf).law, v.(lawOf).power }},
	may("detune", oneOf[DetuneBy](detuneNames...), "position", func(u *Unison) *DetuneBy { return &u.Detune },
		"whether a detune belongs to the position in the unison or to the voice", "voice"),
	may("scaling", oneOf[Scaling](scalingNames...), "cents", func(u *Unison) *Scaling { return &u.Scaling },
		"what stays the same over the keys: the cents, the beats in hertz, or half way between", "hertz"),
	may("recentre", yesOrNo, "false", func(u *Unison) *bool { return &u.Recentre },
		"whether the mean of the detunes is taken out", "true"),
	may("pan", leaf{between[Share](shares, "0 %", "100 %")}, "60 %", func(u *Unison) *Share { return &u.Pan },
		"width in the stereo field", "80 %"),
	may("when_short", oneOf[WhenShort](shortNames...), "blocks", func(u *Unison) *WhenShort { return &u.Short },
		"what happens where fewer voices are free", "elastic"),
	may("regrow", yesOrNo, "false", func(u *Unison) *bool { return &u.Regrow },
		"whether elastic notes that go on take the voices of one that ends", "when_short: elastic\nregrow: true"),
}, finish: finishUnison}

// The rules between the fields of one part.

func finishPart(r *reader, p *partDraft, n node, at string) {
	if p.Limit > 0 && p.Reserve > p.Limit {
		r.fault(n, at, complain("reserve is %d, above limit at %d", p.Reserve, p.Limit))
	}
	if p.Mode == Poly && p.Reattack != ReattackNone {
		key, _ := lookup(n, "reattack")
		r.fault(key, join(at, "reattack"), complain("found reattack: %s in a part that is poly, where every note has its own attack",
			p.Reattack).advise("write mode: mono last"))
	}
	if u := p.Unison.Voices; u > 1 && p.Limit > 0 && u > p.Limit {
		key, _ := lookup(n, "limit")
		r.fault(key, join(at, "limit"), complain("limit is %d, and one note takes a unison of %d voices", p.Limit, u).
			advise("raise the limit to %d at least, or lower unison.voices", u))
	}
}

func finishUnison(r *reader, u *Unison, n node, at string) {
	if u.Law == LawUneven && u.Voices > maxUneven {
		_, value := lookup(n, "voices")
		r.fault(value, join(at, "voices"), complain("found %d voices, the uneven pattern ends at %d", u.Voices, maxUneven).
			advise("write law: even, golden or random, or at most %d voices", maxUneven))
	}
	if u.Regrow && u.Short != Elastic {
		key, _ := lookup(n, "regrow")
		r.fault(key, join(at, "regrow"), complain("regrow goes with when_short: elastic, found when_short: %s", u.Short).
			advise("write when_short: elastic, or leave regrow out"))
	}
}
