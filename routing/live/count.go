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
	Tails      int // notes whose tail was cut audibly, by another key
	Thinned    int // notes that lost some of their voices
	Late       int // notes that did not wait for a unison, and whose gate had to go low first
	Waited     int // notes that waited for the voices of their unison, however shortly
	Clamped    int // notes that a voice could not play at their pitch
	Folded     int // notes that were played in another octave, as their part wants it
	Notes      int // notes of all parts
	PastBend   int // bends that reached the end of the range

	LastLate, MostLate time.Duration // of Late
	// LastWait, LongestWait and AllWaits are of Waited: the latest, the longest, and
	// all together.
	LastWait, LongestWait, AllWaits time.Duration
	MostMissed                      float64 // cents, of Clamped
	Last                            Loss
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
	s.Notes = max(s.Notes, int(d.Note)+1) // they are numbered from 0
	switch d.Kind {
	case alloc.Take, alloc.Reattack:
		s.Takes++
		if d.Kind == alloc.Take && d.Cut != alloc.NoNote {
			s.cut(d) // before the voice forgets that note
		}
		s.begins(d, late)
	case alloc.Slide:
		s.begins(d, late)
	case alloc.Bend:
		s.pitch(d)
	case alloc.Defer:
		s.waits[d.Note] = d.At
	case alloc.Drop:
		s.Dropped++
		delete(s.waits, d.Note)
		s.Last = Loss{d.At, int(d.Part), d.Key, int32(alloc.NoVoice), d.Key, "dropped"}
	}
}

// begins counts a note whose gate opens late, because it waited for its voices or
// because a gate must go low first.
func (s *Session) begins(d *alloc.Decision, late time.Duration) {
	s.follow(d)
	if s.plan.Rules.Config.Parts[d.Part].Unison.Voices > 1 {
		s.mark(d, 0) // what befalls its voices one by one is counted once
	}
	if since, waits := s.waits[d.Note]; waits {
		delete(s.waits, d.Note)
		s.waited(d, since)
	}
	if late > 0 && !s.was(d.Note, asWaited) {
		s.LastLate, s.MostLate = late, max(s.MostLate, late)
		if s.mark(d, asLate) {
			s.Late++
		}
	}
	s.pitch(d)
}

// waited counts a note that has waited for its voices. By no more than a legato
// overlap it is whole.
func (s *Session) waited(d *alloc.Decision, since time.Duration) {
	wait := d.At - since
	if wait <= 0 {
		return
	}
	s.mark(d, asWaited)
	s.Waited++
	s.LastWait, s.LongestWait = wait, max(s.LongestWait, wait)
	s.AllWaits += wait
	if wait > s.plan.Rules.Overlap {
		s.LateStarts++
		s.mark(d, asBegun)
		s.Last = Loss{since, int(d.Part), d.Key, d.Voice, d.Key, "late"}
	}
}

// cut counts what a take cost. A note that began late and is cut was cut.
func (s *Session) cut(d *alloc.Decision) {
	state := ""
	switch {
	case d.Was == alloc.Tail:
		if d.CutDB > s.plan.Rules.LimitDB && !d.OwnKey() && s.firstTail(d.Cut) {
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
	if s.was(d.Cut, asBegun) {
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
