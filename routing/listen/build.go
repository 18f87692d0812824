package listen

import (
	"cmp"
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/alloc/timing"
)

// builder makes strands of takes, and of what has none.
type builder struct {
	*Sketch
	model  hearing.Model
	notes  []study.Note
	parts  []alloc.Part
	shapes []*shape // by part
	tones  []*tones // by part

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

func newBuilder(s *Sketch, model hearing.Model) *builder {
	ref := s.Replay.Reference
	b := &builder{Sketch: s, model: model, notes: ref.Notes, parts: s.Plan.Rules.Config.Parts,
		begun: map[seat]bool{}, follows: make([]alloc.NoteID, len(ref.Notes)), again: make([][]int64, len(ref.Notes)),
		free: make([][]*timing.Edge, len(ref.Notes)), used: make([][]use, len(s.tuning))}
	for i := range b.parts {
		b.shapes = append(b.shapes, newShape(ref.Envelopes[i]))
		like := slices.Index(model.Sounds[:i], model.Sounds[i])
		if like < 0 {
			b.tones = append(b.tones, &tones{sound: model.Sounds[i]})
		} else {
			b.tones = append(b.tones, b.tones[like])
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
	alloc.Reference(b.parts, b.Plan.Rules.Config.MinGate, given.Steps, given.End, func(g alloc.Gate) {
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
		b.played(t, notes)
	}
	for i := range b.notes {
		if _, sounds := b.asked.Times(alloc.NoteID(i)); !sounds {
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
func (b *builder) elastic(part int) bool {
	u := &b.parts[part].Unison
	return u.WhenShort == alloc.Elastic && u.Voices > 1
}

// shareOut makes one take of all that a note of an elastic unison has: it begins with
// the first voice and ends with the last.
func (b *builder) shareOut() {
	first := map[alloc.NoteID]*take{}
	kept := b.takes[:0]
	for _, t := range b.takes {
		part := b.notes[t.notes[0]].Part
		if !b.elastic(part) {
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
	first, _ := b.asked.Times(notes[0])
	last, _ := b.asked.Times(notes[len(notes)-1])
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

// played adds the strands of a take.
func (b *builder) played(t *take, notes []alloc.NoteID) {
	x := b.strand(t.notes[0], t.position, t.voice)
	asked := b.contourOf(notes)
	if len(t.wanted) == 0 {
		t.wanted = b.freely(nil, notes, -1, 0)
		t.given = t.wanted
	} else if t.cut != never {
		t.wanted = b.freely(t.wanted, notes, t.cut, x.detune)
	}
	played := b.contourAs(t, asked)
	x.pitch = t.wanted
	if !t.missed {
		x.asked, x.played = asked, played
		b.add(x)
		return
	}
	if asked != nil {
		x.asked = asked
		b.add(x)
	}
	x.pitch, x.asked, x.played = t.given, nil, played
	b.add(x)
}

// contourAs is the envelope of a take: as it is asked for, but that its gates are
// where they were, and that it ends where its voice is taken.
func (b *builder) contourAs(t *take, asked *contour) *contour {
	gates := slices.Clone(t.gates)
	stop := t.cut
	if asked == nil {
		gates[0].full = float64(gates[0].on) + frames(b.Replay.Reference.Envelopes[b.notes[t.notes[0]].Part].Attack)
	} else {
		late := gates[0].on - asked.gates[0].on
		gates[0].full = asked.gates[0].full + float64(late)
		stop = min(stop, asked.stop)
	}
	return newContour(b.shapes[b.notes[t.notes[0]].Part], gates, stop)
}

// missing adds the strand of notes that nothing played, after so many of the same.
func (b *builder) missing(notes []alloc.NoteID, position int16, others int) {
	asked := b.contourOf(notes)
	if asked == nil {
		return
	}
	voice := b.idle(b.notes[notes[0]].Part, asked.gates[0].on, others)
	x := b.strand(notes[0], position, voice)
	x.pitch, x.asked = b.freely(nil, notes, -1, x.detune), asked
	b.add(x)
}

// strand begins one.
func (b *builder) strand(note alloc.NoteID, position int16, voice int) strand {
	n := &b.notes[note]
	left, right := pan(panOf(b.Plan, voice, n.Part))
	gain := 1 << 20 * 1.0
	if n.Part < len(b.model.Velocity) && b.model.Velocity[n.Part] {
		v := float64(n.Velocity) / 127
		gain = float64(gain * float64(v*v)) // 40·log10(v ÷ 127) dB
	}
	return strand{note: note, part: n.Part, position: position, voice: voice, detune: b.detune(n.Part, position, voice) / 100,
		tones: b.tones[n.Part], left: int64(float64(gain * left)), right: int64(float64(gain * right)), agree: never}
}

// detune is that of a voice of a unison, in cents.
func (b *builder) detune(part int, position int16, voice int) float64 {
	u := &b.parts[part].Unison
	switch {
	case b.elastic(part):
		return 0
	case len(u.ByVoice) > 0:
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
		if v.State.InService() && slices.Contains(b.parts[part].Banks, v.Bank) {
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
