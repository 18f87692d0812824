package hearing

import (
	"math"
	"time"

	"choirloft/alloc"
)

// What package routing/listen makes audible is the model that is judged here: the
// same spectra, and notes that are asked for at the same times.

// Exp returns e^x, for x up to 700, the same on every machine.
func Exp(x float64) float64 { return exp(x) }

// Log returns the natural logarithm of a normal x > 0, the same on every machine.
func Log(x float64) float64 { return log(x) }

// Amplitudes returns those of the harmonics of a key, from the first, up to 16 kHz.
// All are of one gain, by which key 60 has an effective value of 1.
func (s Sound) Amplitudes(key int) []float64 {
	list := s.powers(key, s.gain(0))
	for h, p := range list {
		list[h] = math.Sqrt(2 * p)
	}
	return list
}

// Times say when a note is asked to sound.
type Times struct {
	Start time.Duration
	Full  time.Duration // its attack reaches full; before Start where a gate is carried on
	Low   time.Duration // its gate goes low
	Stop  time.Duration // its sound ends, where its key is struck again; [Never] where it rings out
}

// Never is after every song.
const Never = never

// Times returns those of a note; ok is false where it has no length.
func (a *Asked) Times(note alloc.NoteID) (t Times, ok bool) {
	n := &a.notes[note]
	return Times{n.start, n.full, n.low, n.stop}, n.sounds()
}

// Own returns the note, in the reference of the one run that was matched, that a note
// of what is asked was played as; alloc.NoNote where it was left out.
func (p Played) Own(note alloc.NoteID) alloc.NoteID {
	if p.otherwise == nil {
		return note
	}
	return p.otherwise.notes[note].own
}
