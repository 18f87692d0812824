package listen

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/alloc/timing"
	"choirloft/midi"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
)

// Rate is how many frames a second have.
const Rate = 48_000

// samples is the sample nearest to a time; never after hearing.Never.
func samples(t time.Duration) int64 {
	if t == hearing.Never {
		return never
	}
	seconds, rest := int64(t/time.Second), int64(t%time.Second)
	return seconds*Rate + (rest*Rate+5e8)/1e9
}

// Sketch is a song, ready to be made audible. Several goroutines may use one.
type Sketch struct {
	Plan   *plan.Plan
	Replay *study.Replay
	Frames int64 // up to the end of the last tail
	// Elastic tells whether notes share their voices, and sound as one voice each.
	Elastic bool

	given   *plan.Given // what is asked for
	played  hearing.Played
	strands []strand // by start
	tuning  []tuning // by voice
}

// strand is one sounding; see the comment of the package.
type strand struct {
	note       alloc.NoteID // the first
	part       int
	position   int16
	voice      int
	start, end int64
	pitch      pitches
	detune     float64 // of the pitch, in semitones
	tones      *tones
	left       int64 // loudness on either side, of 2²⁰
	right      int64
	// asked and played are the two envelopes, nil where the strand is in one version
	// alone; up to the sample agree they are one.
	asked, played *contour
	agree         int64
}

// Error says why a song cannot be made audible.
type Error struct{ Message, Hint string }

// Error returns the message, without the hint.
func (e *Error) Error() string { return e.Message }

// New plays a song through a plan, as it would go live. What is asked for is the song
// as it is given, on the rig as it is given, without the overrides of the plan. The
// error is an *[Error] where there is nothing to be heard.
func New(p *plan.Plan, song *midi.Song) (*Sketch, error) {
	performance := p.Performance(song)
	ref := study.NewReference(p.Rules, performance)
	switch {
	case p.InService() == 0:
		return nil, &Error{"no voice of the rig is in service, so nothing sounds", "put a voice into service: out and spare stand in its bank"}
	case song.NoteOns == 0 && song.Warnings.CutOff:
		return nil, &Error{"the song's file is damaged or cut off, and no note of it can be read", "export the song anew, or use another copy"}
	case song.NoteOns == 0:
		return nil, &Error{"the song has no notes, so nothing sounds", ""}
	case len(ref.Notes) == 0:
		return nil, &Error{"no part of the rig plays a note of this song, so nothing sounds", "choirloft replay says which channels it uses"}
	}
	replay, edges, err := study.Edges(p.Rules, performance, ref)
	if err != nil {
		return nil, err
	}
	s := &Sketch{Plan: p, Replay: replay, tuning: tunings(p)}
	if s.given, err = p.Given(song, ref); err != nil {
		return nil, err
	}
	if s.played, err = s.given.Match(hearing.Run{Rules: p.Rules, Reference: ref, Outcomes: replay.Outcomes, Cuts: replay.Cuts, Origin: p.Origin}); err != nil {
		return nil, err
	}
	asked := s.given.Performance(song)
	free, err := study.Unlimited(s.given.Rules, asked, s.given.Reference)
	if err != nil {
		return nil, &Error{err.Error(), ""}
	}
	b := newBuilder(s)
	b.readFree(free)
	b.readGates(asked)
	for voice, list := range edges {
		b.readVoice(voice, list)
	}
	b.gather()
	return s, nil
}

// Given is the plan without overrides, by which the song is asked for.
func (s *Sketch) Given() *plan.Plan { return s.given.Plan }

// Heard says what is heard to be missing; nil where the budget is not enough.
func (s *Sketch) Heard(b *study.Budget) *plan.Listened {
	if !b.Spend(s.given.EachWork(s.played)) {
		return nil
	}
	return &plan.Listened{Given: s.given, Heard: hearing.Hear(s.given.Asked, s.played)}
}

// CheckPart returns the place of a part by its name, and an *[Error] where there is
// none, or where it cannot sound.
func (s *Sketch) CheckPart(name string) (int, error) {
	parts := s.given.Rules.Config.Parts
	at := slices.IndexFunc(parts, func(p alloc.Part) bool { return p.Name == name })
	if at < 0 {
		names := make([]string, len(parts))
		for i := range parts {
			names[i] = parts[i].Name
		}
		return 0, &Error{fmt.Sprintf("no part %q in the rig, its parts are %s", name, unit.Several(names)), unit.DidYouMean(name, names)}
	}
	if !slices.ContainsFunc(s.Plan.Rules.Config.Voices, func(v alloc.Voice) bool { return v.State.InService() && slices.Contains(parts[at].Banks, v.Bank) }) {
		return 0, &Error{fmt.Sprintf("part %s has no voice in service, so nothing of it sounds", name), "put a voice of its banks into service"}
	}
	if !slices.ContainsFunc(s.strands, func(x strand) bool { return x.part == at }) {
		return 0, &Error{fmt.Sprintf("part %s has no note in this song, so nothing of it sounds", name), "choirloft replay says what each part plays"}
	}
	return at, nil
}

// sort puts the strands in order and finds the end of the last.
func (s *Sketch) sort() {
	slices.SortStableFunc(s.strands, func(a, b strand) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(a.note, b.note), cmp.Compare(a.position, b.position))
	})
	for i := range s.strands {
		s.Frames = max(s.Frames, s.strands[i].end)
	}
}

// take is a note, or several of a mono part under one gate, on one voice.
type take struct {
	voice    int
	position int16
	notes    []alloc.NoteID // of what is asked
	own      alloc.NoteID   // the first of them in the replay
	wanted   pitches        // without limits of the window
	given    pitches
	missed   bool // they differ
	gates    []gate
	cut      int64 // the voice moves on
}

// readVoice turns the edges of a voice into takes.
func (b *builder) readVoice(voice int, edges []timing.Edge) {
	var open *take
	for i := range edges {
		e := &edges[i]
		at := samples(e.At)
		switch {
		case e.Kind == timing.Pitch:
			note := b.ask[e.Note]
			if e.Starts && (open == nil || open.notes[len(open.notes)-1] != note) {
				open = b.begin(voice, open, e, at)
			}
			open.move(e, note, at)
		case e.Kind == timing.GateHigh:
			if len(open.gates) == 0 {
				b.takes = append(b.takes, open)
			}
			open.gates = append(open.gates, gate{on: at, low: never})
		case e.Kind == timing.GateLow:
			open.gates[len(open.gates)-1].low = at
		}
	}
}

// begin starts a take, and ends the one before it on the voice.
func (b *builder) begin(voice int, before *take, e *timing.Edge, at int64) *take {
	t := &take{voice: voice, position: e.Position, notes: []alloc.NoteID{b.ask[e.Note]}, own: e.Note, cut: never}
	if before == nil {
		return t
	}
	before.cut = at
	if e.Glide > 0 { // from where the voice is
		from := func(p pitches) pitches {
			x, _, _ := p.at(at, 0)
			return pitches{{at: at, from: x, to: x}}
		}
		t.wanted, t.given = from(before.wanted), from(before.given)
	}
	return t
}

// move takes a pitch, and with it the note that follows in a mono part.
func (t *take) move(e *timing.Edge, note alloc.NoteID, at int64) {
	if last := t.notes[len(t.notes)-1]; last != note {
		t.notes = append(t.notes, note)
	}
	t.missed = t.missed || e.Missed != 0
	t.wanted = t.wanted.add(at, e.Value-e.Missed/100, samples(e.Glide))
	t.given = t.given.add(at, e.Value, samples(e.Glide))
}

// frames is a time in samples that is not rounded.
func frames(t time.Duration) float64 { return float64(float64(t) * (Rate / 1e9)) }
