package live

import (
	"math"

	"choirloft/alloc"
)

// fate is what was counted of a note that a voice sounds, or sounded last, so that it
// is counted once however many voices it has.
type fate struct {
	counted marks
	voices  int32 // that know of it
}

// marks are sets of what a note was counted for.
type marks uint8

const (
	asLate   marks = 1 << iota // its gate had to wait
	asWaited                   // it waited for the voices of its unison
	asBegun                    // for so long that it counts as begun late
	asTail                     // its tail was cut audibly
	asMissed                   // it was bent or clamped to another pitch, or folded
)

// mark counts a note for something, and tells whether that is new.
func (s *Session) mark(d *alloc.Decision, m marks) (first bool) {
	s.follow(d)
	f := s.fates[d.Note]
	first = f.counted&m == 0
	f.counted |= m
	if s.fated[d.Voice] != d.Note {
		s.fated[d.Voice] = d.Note
		f.voices++
	}
	s.fates[d.Note] = f
	return first
}

// follow lets a voice forget the note that it sounded before, and know of what is
// known of its new one.
func (s *Session) follow(d *alloc.Decision) {
	was := s.fated[d.Voice]
	if was == d.Note {
		return
	}
	if was != alloc.NoNote {
		s.fated[d.Voice] = alloc.NoNote
		if f := s.fates[was]; f.voices > 1 {
			f.voices--
			s.fates[was] = f
		} else {
			delete(s.fates, was)
		}
	}
	if f, ok := s.fates[d.Note]; ok {
		f.voices++
		s.fates[d.Note], s.fated[d.Voice] = f, d.Note
	}
}

// firstTail tells whether a note whose tail is cut is whole so far. One that has a
// single voice is; of a unison the voices know.
func (s *Session) firstTail(note alloc.NoteID) bool {
	f, known := s.fates[note]
	if known {
		first := f.counted&(asTail|asBegun) == 0
		f.counted |= asTail
		s.fates[note] = f
		return first
	}
	return true
}

// was tells whether a note was counted for something.
func (s *Session) was(note alloc.NoteID, m marks) bool { return s.fates[note].counted&m != 0 }

// pitch counts a note that a voice cannot play where it was asked to.
func (s *Session) pitch(d *alloc.Decision) {
	if d.Missed == 0 {
		return
	}
	folds := s.plan.Rules.Config.Parts[d.Part].OutOfRange == alloc.Fold
	first := s.mark(d, asMissed)
	switch {
	case folds && first:
		s.Folded++
	case !folds:
		s.MostMissed = max(s.MostMissed, math.Abs(d.Missed))
		if first {
			s.Clamped++
		}
	}
}
