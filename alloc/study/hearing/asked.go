package hearing

import (
	"cmp"
	"fmt"
	"slices"
	"sync"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// Model is what is assumed of voices and ear.
type Model struct {
	LevelDB float64 // of one voice at full on key 60, in dB SPL
	Sounds  []Sound // by part
	// Velocity says by part whether a velocity control reaches its voices. Where it
	// does not, a voice has one loudness.
	Velocity []bool
	Ear      Ear
}

// Ear says from which difference on, in dB, averaged over 200 ms, something is
// heard. They are compared with differences rounded to 0.1 dB.
type Ear struct{ Faint, Plain float64 }

// The ears: from 1 dB on two versions are told apart when they are played in turn
// (Zwicker's criterion for a just noticeable change of excitation, from memory);
// from 3 dB someone who knows the song is likely to notice. The dull one takes
// twice as much.
var (
	KeenEar = Ear{1, 3}
	DullEar = Ear{2, 6}
)

// Asked is a song as its ear would have it: every note for all of its reference
// interval and its whole tail. Several goroutines may share one.
type Asked struct {
	Model     Model
	Reference *study.Reference
	parts     []alloc.Part
	notes     []asked // by alloc.NoteID
	rates     []float64
	shapes    []shape  // by part
	tones     []*tones // by part
	fulls     []int32  // notes whose attacks end while their gates are high, by that time
	ends      []int32  // notes by the ends of their gates

	idle   sync.Pool // of listeners that [Whole] is done with
	memory memory    // of what [Whole] has heard
}

// asked is a note of the song.
type asked struct {
	contour
	start   time.Duration
	voices  float64
	stops   int32 // first of the notes whose tails end where this one starts; −1
	further int32 // next of those that end with this one's tail; −1
}

// sounds tells whether a note has any length.
func (n *asked) sounds() bool { return n.low > n.start }

// NewAsked returns what a reference asks for, by the parts of the rules that it was
// made by. A note of a unison has as many voices as that; an elastic unison, which
// shares its voices among its notes, counts as one voice a note.
func NewAsked(m Model, parts []alloc.Part, ref *study.Reference) (*Asked, error) {
	if len(m.Sounds) != len(parts) {
		return nil, fmt.Errorf("%d sounds for %d parts", len(m.Sounds), len(parts))
	}
	a := &Asked{Model: m, Reference: ref, parts: parts, notes: make([]asked, len(ref.Notes))}
	a.shapes, a.rates = shapesOf(ref.Envelopes)
	for i, s := range m.Sounds {
		at := slices.Index(m.Sounds[:i], s)
		if at >= 0 {
			a.tones = append(a.tones, a.tones[at])
			continue
		}
		a.tones = append(a.tones, newTones(s, m.LevelDB))
	}
	for i := range ref.Notes {
		a.note(i)
	}
	a.strikeAgain()
	a.order()
	return a, nil
}

func (a *Asked) note(i int) {
	n := &a.Reference.Notes[i]
	c := contour{shape: &a.shapes[n.Part], tone: a.tones[n.Part].of(n.Sounding), gain: 1,
		full: n.Full, low: n.End, stop: never}
	if n.Part < len(a.Model.Velocity) && a.Model.Velocity[n.Part] {
		v := float64(n.Velocity) / 127
		c.gain = v * v * v * v // 40·log10(v ÷ 127) dB
	}
	if n.Superseded {
		c.stop = n.End
	}
	c.end()
	a.notes[i] = asked{contour: c, start: n.Start, voices: voicesOf(&a.parts[n.Part]), stops: -1, further: -1}
}

// voicesOf is how many voices a note of a part should have.
func voicesOf(p *alloc.Part) float64 {
	if p.Unison.WhenShort != alloc.Elastic {
		return float64(max(1, p.Unison.Voices))
	}
	return 1
}

// strikeAgain ends tails where their key is struck again in their part.
func (a *Asked) strikeAgain() {
	const keys = int(midi.Key(127)) + 1
	open := make([]int32, len(a.parts)*keys) // the last note of each key; −1
	for i := range open {
		open[i] = -1
	}
	for i := range a.notes {
		n := &a.notes[i]
		if !n.sounds() {
			continue
		}
		ref := &a.Reference.Notes[i]
		last := &open[ref.Part*keys+int(ref.Key)]
		held := int32(-1)
		for at := *last; at >= 0; {
			old := &a.notes[at]
			next := old.further
			if old.low > n.start { // another voice of the same key
				old.further, held = held, at
			} else {
				old.stop = min(old.stop, n.start)
				old.further, n.stops = n.stops, at
			}
			at = next
		}
		n.further, *last = held, int32(i)
	}
	for _, last := range open { // what was never struck again
		for at := last; at >= 0; {
			n := &a.notes[at]
			at, n.further = n.further, -1
		}
	}
}

// order sorts what happens to the notes.
func (a *Asked) order() {
	for i := range a.notes {
		n := &a.notes[i]
		if !n.sounds() {
			continue
		}
		a.ends = append(a.ends, int32(i))
		if n.start < n.full && n.full < n.low {
			a.fulls = append(a.fulls, int32(i))
		}
	}
	slices.SortFunc(a.ends, func(i, j int32) int { return cmp.Compare(a.notes[i].low, a.notes[j].low) })
	slices.SortFunc(a.fulls, func(i, j int32) int { return cmp.Compare(a.notes[i].full, a.notes[j].full) })
}

// walk goes through a song as it is asked for.
type walk struct {
	*Asked
	start, full, end int           // next of each
	at               time.Duration // when something happens next
}

// next finds out when something happens next.
func (w *walk) next() time.Duration {
	for w.start < len(w.notes) && !w.notes[w.start].sounds() {
		w.start++
	}
	at := never
	if w.start < len(w.notes) {
		at = w.notes[w.start].start
	}
	if w.full < len(w.fulls) {
		at = min(at, w.notes[w.fulls[w.full]].full)
	}
	if w.end < len(w.ends) {
		at = min(at, w.notes[w.ends[w.end]].low)
	}
	return at
}

// to lets the time pass to t and does what happens until then, t included.
func (w *walk) to(t time.Duration, m *mix) {
	for ; w.at <= t; w.at = w.next() {
		at := w.at
		m.advance(at)
		for ; w.end < len(w.ends) && w.notes[w.ends[w.end]].low == at; w.end++ {
			n := &w.notes[w.ends[w.end]]
			next := n.phase(at)
			m.turn(&m.asked, &n.contour, n.ending(), next, n.voices)
			if next != fading || n.low <= n.full {
				m.taken++
			}
		}
		for ; w.full < len(w.fulls) && w.notes[w.fulls[w.full]].full == at; w.full++ {
			n := &w.notes[w.fulls[w.full]]
			m.turn(&m.asked, &n.contour, rising, holding, n.voices)
			if n.Sustain < 1 {
				m.taken++
			}
		}
		for ; w.start < len(w.notes) && w.notes[w.start].start <= at; w.start++ {
			if n := &w.notes[w.start]; n.sounds() {
				w.begin(n, m)
			}
		}
	}
}

// ending is the phase in which a gate goes low.
func (n *asked) ending() phase {
	if n.low <= n.full {
		return rising
	}
	return holding
}

// begin starts a note, and ends the tails that it strikes again.
func (w *walk) begin(n *asked, m *mix) {
	for at := n.stops; at >= 0; at = w.notes[at].further {
		old := &w.notes[at]
		if old.stop > old.low && old.Release > 0 {
			m.leave(&m.asked, &old.contour, fading, old.voices)
			m.taken++
		}
	}
	m.enter(&m.asked, &n.contour, n.phase(n.start), n.voices)
}
