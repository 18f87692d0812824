package live

import (
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// Counts is what has happened so far.
type Counts struct {
	Events     int // channel messages that came in, those made by letting go among them
	Broken     int // places where something was lost on the way
	LetGo      int // channels that were let go for it, or because an input ended
	Takes      int // voices that were taken, re-attacks among them
	Dropped    int // notes that got no voice
	LateStarts int // notes that began late: they waited for a unison for longer than the overlap
	Held       int // notes that lost their last voice while their key was down
	Pedalled   int // or while a pedal kept them
	Tails      int // tails that were cut audibly, by another key
	Thinned    int // notes that lost some of their voices
	Late       int // notes whose gate had to wait
	PastBend   int // bends that reached the end of the range

	LastLate, MostLate time.Duration
	Last               Loss
}

// Damaged counts the notes that were dropped or cut, or began late.
func (c *Counts) Damaged() int { return c.Dropped + c.LateStarts + c.Held + c.Pedalled }

// Loss is the last note that was damaged.
type Loss struct {
	At    time.Duration
	Part  int    // index, that of the note that was lost
	Key   int16  // of it
	Voice int32  // index, or NoVoice
	By    int16  // key of the note that took the voice
	State string // dropped, late, held or pedal; empty where there was none
}

// decide takes a decision of the engine.
func (s *Session) decide(d *alloc.Decision) {
	if s.options.Watch != nil {
		s.options.Watch(d)
	}
	late := s.stage.Decide(d)
	switch d.Kind {
	case alloc.Take, alloc.Reattack:
		s.Takes++
		s.begins(d)
		if d.Kind == alloc.Reattack {
			delete(s.began, d.Cut)
		}
		if late > 0 {
			s.Late++
			s.LastLate, s.MostLate = late, max(s.MostLate, late)
		}
		if d.Kind == alloc.Take && d.Cut != alloc.NoNote {
			s.cut(d)
		}
	case alloc.Defer:
		s.waits[d.Note] = d.At
	case alloc.Release:
		delete(s.began, d.Note)
	case alloc.Drop:
		s.Dropped++
		delete(s.waits, d.Note)
		s.Last = Loss{d.At, int(d.Part), d.Key, int32(alloc.NoVoice), d.Key, "dropped"}
	}
}

// begins counts a note that has waited too long for its voices.
func (s *Session) begins(d *alloc.Decision) {
	since, waited := s.waits[d.Note]
	if !waited {
		return
	}
	delete(s.waits, d.Note)
	if d.At-since > s.plan.Rules.Overlap {
		s.LateStarts++
		s.began[d.Note] = true
		s.Last = Loss{since, int(d.Part), d.Key, d.Voice, d.Key, "late"}
	}
}

// cut counts what a take cost. A note that began late and is cut was cut.
func (s *Session) cut(d *alloc.Decision) {
	state := ""
	switch {
	case d.Was == alloc.Tail:
		if d.CutDB > s.plan.Rules.LimitDB && !d.OwnKey() {
			s.Tails++
		}
		return
	case d.CutLeft > 0:
		s.Thinned++
		return
	case d.Was == alloc.Held:
		s.Held++
		state = "held"
	case d.Was == alloc.Pedal:
		s.Pedalled++
		state = "pedal"
	default:
		return
	}
	if s.began[d.Cut] {
		delete(s.began, d.Cut)
		s.LateStarts--
	}
	s.Last = Loss{d.At, int(d.CutPart), d.CutKey, d.Voice, d.Key, state}
}

// View is what a monitor shows.
type View struct {
	Counts
	At     time.Duration
	Voices []VoiceView // by index
	// How many are held, on a pedal, or in a tail.
	HeldNow, PedalNow, TailNow int
}

// VoiceView is what a voice does.
type VoiceView struct {
	State alloc.State
	Key   midi.Key // that it sounds, or sounded last
	Used  bool     // it has sounded
}

// Look fills in a view, whose slice it keeps.
func (s *Session) Look(v *View) {
	v.Counts, v.At = s.Counts, s.now
	v.HeldNow, v.PedalNow, v.TailNow = 0, 0, 0
	if v.Voices == nil {
		v.Voices = make([]VoiceView, len(s.lanes))
	}
	for i := range v.Voices {
		l := &s.lanes[i]
		v.Voices[i] = VoiceView{s.engine.State(i), midi.Key(l.key), l.moved}
		switch v.Voices[i].State {
		case alloc.Held:
			v.HeldNow++
		case alloc.Pedal:
			v.PedalNow++
		case alloc.Tail:
			v.TailNow++
		}
	}
}
