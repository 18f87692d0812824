package timing

import (
	"slices"
	"time"
)

// Due emits what is to happen up to a time, in the order of time, then voice,
// then as it was decided, and forgets it: the way of a stage that plays live, in
// place of [Stage.Voices]. Every decision up to that time must have been taken,
// and none as early may follow. An edge is the stage's own until emit returns.
func (s *Stage) Due(now time.Duration, emit func(*Edge)) {
	for {
		voice, at, when := s.first()
		if voice < 0 || when > now {
			return
		}
		v := &s.voices[voice]
		s.due = v.edges[at]
		v.edges = slices.Delete(v.edges, at, at+1)
		if at <= v.gate {
			v.gate--
		}
		emit(&s.due)
	}
}

// Next returns when the next edge is due; ok is false where none waits.
func (s *Stage) Next() (t time.Duration, ok bool) {
	voice, _, t := s.first()
	return t, voice >= 0
}

// first finds the edge that is next: the voice, its place there, and when.
func (s *Stage) first() (voice int32, at int, when time.Duration) {
	voice = -1
	for n := 0; n < len(s.waiting); {
		i := s.waiting[n]
		v := &s.voices[i]
		if len(v.edges) == 0 {
			v.waits = false
			s.waiting[n] = s.waiting[len(s.waiting)-1]
			s.waiting = s.waiting[:len(s.waiting)-1]
			continue
		}
		n++
		for j := range v.edges {
			e := &v.edges[j]
			if voice < 0 || e.At < when || e.At == when && i < voice {
				voice, at, when = i, j, e.At
			}
		}
	}
	return voice, at, when
}

// wait keeps in mind that a voice has edges.
func (s *Stage) wait(voice int32) {
	if v := &s.voices[voice]; !v.waits {
		v.waits = true
		s.waiting = append(s.waiting, voice)
	}
}
