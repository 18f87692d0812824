package listen

import (
	"cmp"
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/timing"
)

// builder makes strands of takes, and of what has none. Notes are those of what is
// asked.
type builder struct {
	*Sketch
	notes  []study.Note
	parts  []alloc.Part
	ask    []alloc.NoteID // by note of the replay
	shapes []*shape       // by part, as asked
	own    []*shape       // by part, as played
	tones  []*tones       // by part

	takes   []*take
	begun   map[seat]bool    // a take begins with it
	follows []alloc.NoteID   // by note: which one goes on under its gate; NoNote
	again   [][]int64        // by note: when it attacks again under another key
	free    [][]*timing.Edge // by note: what its pitch would do
	used    [][]use          // by voice, in the order of time
}

// seat is a note, at a position of its unison.
type seat struct {
	note     alloc.NoteID
	position int16
}

// use is a time for which the gate of a voice is high.
type use struct{ from, to int64 }

func newBuilder(s *Sketch) *builder {
	ref := s.given.Reference
	n := len(ref.Notes)
	b := &builder{Sketch: s, notes: ref.Notes, parts: s.given.Rules.Config.Parts, ask: make([]alloc.NoteID, len(s.Replay.Reference.Notes)),
		begun: map[seat]bool{}, follows: make([]alloc.NoteID, n), again: make([][]int64, n), free: make([][]*timing.Edge, n), used: make([][]use, len(s.tuning))}
	for i := range alloc.NoteID(n) {
		if own := s.played.Own(i); own != alloc.NoNote {
			b.ask[own] = i
		}
	}
	sounds := s.given.Model.Sounds
	for i := range b.parts {
		b.shapes = append(b.shapes, newShape(ref.Envelopes[i]))
		if like := slices.Index(sounds[:i], sounds[i]); like >= 0 {
			b.tones = append(b.tones, b.tones[like])
		} else {
			b.tones = append(b.tones, &tones{sound: sounds[i]})
		}
	}
	for i, played := range s.Replay.Reference.Envelopes {
		part := s.Plan.Origin[i]
		if b.own = append(b.own, b.shapes[part]); ref.Envelopes[part] != played {
			b.own[i] = newShape(played)
		}
	}
	return b
}

// readFree lists the pitches of every note by itself.
func (b *builder) readFree(voices [][]timing.Edge) {
	for _, edges := range voices {
		for i := range edges {
			if e := &edges[i]; e.Kind == timing.Pitch {
				b.free[e.Note] = append(b.free[e.Note], e)
			}
		}
	}
}

// readGates finds out which notes go on under the gate of others, and which attack
// again.
func (b *builder) readGates(given study.Performance) {
	for i := range b.follows {
		b.follows[i] = alloc.NoNote
	}
	alloc.Reference(b.parts, b.given.Rules.Config.MinGate, given.Steps, given.End, func(g alloc.Gate) {
		switch {
		case g.Kind == alloc.GateFollows && g.Legato:
			b.follows[g.Old] = g.Note
		case g.Kind == alloc.GateReturns:
			b.again[g.Note] = append(b.again[g.Note], samples(g.At))
		}
	})
}

// gather makes all strands.
func (b *builder) gather() {
	for _, t := range b.takes {
		for _, g := range t.gates {
			b.used[t.voice] = append(b.used[t.voice], use{g.on, g.low})
		}
	}
	b.shareOut()
	covered := map[seat]bool{}
	for _, t := range b.takes {
		b.begun[seat{t.notes[0], t.position}] = true
	}
	for _, t := range b.takes {
		notes := b.chain(t.notes[0], t.position)
		for _, n := range notes {
			covered[seat{n, t.position}] = true
		}
		b.sounded(t, notes)
	}
	for i := range b.notes {
		if _, sounds := b.given.Times(alloc.NoteID(i)); !sounds {
			continue
		}
		absent := 0
		for position := range int16(b.voicesOf(b.notes[i].Part)) {
			if first := (seat{alloc.NoteID(i), position}); !covered[first] {
				notes := b.chain(first.note, position)
				for _, n := range notes {
					covered[seat{n, position}] = true
				}
				b.missing(notes, position, absent)
				absent++
			}
		}
	}
	b.sort()
}

// voicesOf is how many strands a note of a part has when nothing is missing.
func (b *builder) voicesOf(part int) int {
	u := &b.parts[part].Unison
	if u.WhenShort == alloc.Elastic {
		return 1
	}
	return max(1, u.Voices)
}

// elastic tells whether the notes of a part share its voices.
func elastic(p *alloc.Part) bool { return p.Unison.WhenShort == alloc.Elastic && p.Unison.Voices > 1 }

// shareOut makes one take of all that a note of an elastic unison has: it begins with
// the first voice and ends with the last.
func (b *builder) shareOut() {
	first := map[alloc.NoteID]*take{}
	kept, parts := b.takes[:0], b.Plan.Rules.Config.Parts
	for _, t := range b.takes {
		if !elastic(&parts[b.notes[t.notes[0]].Part]) {
			kept = append(kept, t)
			continue
		}
		b.Elastic = true
		all := first[t.notes[0]]
		if all == nil {
			t.position, t.wanted, t.given, t.missed = 0, nil, nil, false
			first[t.notes[0]], kept = t, append(kept, t)
			continue
		}
		if t.gates[0].on < all.gates[0].on {
			all.gates[0].on, all.voice = t.gates[0].on, t.voice
		}
		last, mine := &all.gates[len(all.gates)-1], t.gates[len(t.gates)-1]
		last.low, all.cut = max(last.low, mine.low), max(all.cut, t.cut)
	}
	b.takes = kept
}

// chain is a note and those that follow under its gate, up to one for which a voice
// was sought anew.
func (b *builder) chain(note alloc.NoteID, position int16) []alloc.NoteID {
	notes := []alloc.NoteID{note}
	for next := b.follows[note]; next != alloc.NoNote && !b.begun[seat{next, position}]; next = b.follows[next] {
		notes = append(notes, next)
	}
	return notes
}

// contourOf is the envelope that notes under one gate are asked for with; nil where
// they have no length.
func (b *builder) contourOf(notes []alloc.NoteID) *contour {
	first, _ := b.given.Times(notes[0])
	last, _ := b.given.Times(notes[len(notes)-1])
	gates := []gate{{on: samples(first.Start), full: frames(first.Full)}}
	for _, n := range notes {
		for _, at := range b.again[n] {
			gates[len(gates)-1].low = at
			gates = append(gates, gate{on: at})
		}
	}
	gates[len(gates)-1].low = samples(last.Low)
	if gates[len(gates)-1].low <= gates[0].on {
		return nil
	}
	return newContour(b.shapes[b.notes[notes[0]].Part], gates, samples(last.Stop))
}

// sounded adds the strands of a take.
func (b *builder) sounded(t *take, notes []alloc.NoteID) {
	x := b.strand(t.notes[0], t.position, t.voice, &b.Plan.Rules.Config.Parts[b.Replay.Reference.Notes[t.own].Part])
	var asked *contour
	if int(t.position) < b.voicesOf(x.part) {
		asked = b.contourOf(notes)
	}
	if len(t.wanted) == 0 {
		t.wanted = b.freely(nil, notes, -1, 0)
		t.given = t.wanted
	} else if t.cut != never {
		t.wanted = b.freely(t.wanted, notes, t.cut, x.detune)
	}
	x.pitch, x.asked = t.wanted, asked
	if !t.missed {
		x.played = b.contourAs(t, asked)
		b.add(x)
		return
	}
	b.add(x)
	x.pitch, x.asked, x.played = t.given, nil, b.contourAs(t, asked)
	b.add(x)
}

// contourAs is the envelope of a take: its gates are where they were, and it ends where
// its voice is taken, or its key is struck again.
func (b *builder) contourAs(t *take, asked *contour) *contour {
	gates, stop := slices.Clone(t.gates), t.cut
	own := &b.Replay.Reference.Notes[t.own]
	gates[0].full = frames(own.Full) + float64(gates[0].on-samples(own.Start))
	if asked != nil {
		stop = min(stop, asked.stop)
	}
	return newContour(b.own[own.Part], gates, stop)
}

// missing adds the strand of notes that nothing played, after so many of the same.
func (b *builder) missing(notes []alloc.NoteID, position int16, others int) {
	asked := b.contourOf(notes)
	if asked == nil {
		return
	}
	voice := b.idle(b.notes[notes[0]].Part, asked.gates[0].on, others)
	x := b.strand(notes[0], position, voice, &b.parts[b.notes[notes[0]].Part])
	x.pitch, x.asked = b.freely(nil, notes, -1, x.detune), asked
	b.add(x)
}

// strand begins one, with the detune that a part has.
func (b *builder) strand(note alloc.NoteID, position int16, voice int, of *alloc.Part) strand {
	n := &b.notes[note]
	left, right := pan(panOf(b.Plan, voice, n.Part))
	gain := 1 << 20 * 1.0
	if b.given.Model.Velocity[n.Part] {
		v := float64(n.Velocity) / 127
		gain = float64(gain * float64(v*v)) // 40·log10(v ÷ 127) dB
	}
	return strand{note: note, part: n.Part, position: position, voice: voice, detune: detuneOf(of, position, voice) / 100,
		tones: b.tones[n.Part], left: int64(float64(gain * left)), right: int64(float64(gain * right)), agree: never}
}

// detuneOf is that of a voice of a unison, in cents.
func detuneOf(p *alloc.Part, position int16, voice int) float64 {
	u := &p.Unison
	switch {
	case elastic(p):
		return 0
	case voice < len(u.ByVoice):
		return u.ByVoice[voice]
	case int(position) < len(u.Detune):
		return u.Detune[position]
	}
	return 0
}

// add completes a strand that sounds.
func (b *builder) add(x strand) {
	x.start = never
	for _, c := range [...]*contour{x.asked, x.played} {
		if c != nil {
			x.start, x.end = min(x.start, c.gates[0].on), max(x.end, c.ends())
		}
	}
	if x.asked != nil && x.played != nil {
		x.agree = agree(x.asked, x.played)
	}
	if x.start < x.end {
		b.strands = append(b.strands, x)
	}
}

// freely goes on with the pitch of notes from a sample on, as it would move if they
// had a voice, with a detune in semitones.
func (b *builder) freely(p pitches, notes []alloc.NoteID, from int64, detune float64) pitches {
	var edges []*timing.Edge
	for _, n := range notes {
		edges = append(edges, b.free[n]...)
	}
	slices.SortStableFunc(edges, func(x, y *timing.Edge) int { return cmp.Compare(x.At, y.At) })
	for _, e := range edges {
		if at := samples(e.At); at >= from {
			p = p.add(at, e.Value+detune, samples(e.Glide))
		}
	}
	if len(p) == 0 {
		key := float64(b.notes[notes[0]].Sounding)
		p = pitches{{from: key + detune, to: key + detune}}
	}
	return p
}

// idle is the voice in service of a part that has been idle the longest at a sample,
// or one that has been so for less than so many others.
func (b *builder) idle(part int, at int64, others int) int {
	type idler struct {
		voice int
		since int64
	}
	var list []idler
	for i, v := range b.Plan.Rules.Config.Voices {
		if v.State.InService() && slices.Contains(b.Plan.Rules.Config.Parts[part].Banks, v.Bank) {
			list = append(list, idler{i, b.since(i, at)})
		}
	}
	if len(list) == 0 {
		return 0
	}
	slices.SortStableFunc(list, func(x, y idler) int { return cmp.Compare(x.since, y.since) })
	return list[others%len(list)].voice
}

// since is when a voice was used last; the sample itself where it is now.
func (b *builder) since(voice int, at int64) int64 {
	uses := b.used[voice]
	n, _ := slices.BinarySearchFunc(uses, at, func(u use, at int64) int { return cmp.Compare(u.from, at+1) })
	if n == 0 {
		return -1
	}
	return min(at, uses[n-1].to)
}
