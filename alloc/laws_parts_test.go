package alloc_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/internal/slow"
)

// holdings follows, by part and by note, how many voices are held.
type holdings struct {
	byPart map[int32]int
	byNote map[alloc.NoteID]int
	onto   map[int32]alloc.NoteID // by voice
	partOf map[alloc.NoteID]int32
}

func newHoldings() *holdings {
	return &holdings{map[int32]int{}, map[alloc.NoteID]int{}, map[int32]alloc.NoteID{}, map[alloc.NoteID]int32{}}
}

func (h *holdings) see(d *alloc.Decision) {
	leave := func() {
		if n, ok := h.onto[d.Voice]; ok {
			h.byNote[n]--
			h.byPart[h.partOf[n]]--
			delete(h.onto, d.Voice)
		}
	}
	switch d.Kind {
	case alloc.Take, alloc.Reattack, alloc.Slide:
		leave()
		h.onto[d.Voice], h.partOf[d.Note] = d.Note, d.Part
		h.byNote[d.Note]++
		h.byPart[d.Part]++
	case alloc.Release:
		leave()
	}
}

// Reserves are never violated: a part that holds less than its reserve is not
// refused a note, nothing is taken by others from a part that holds no more
// than its reserve, and no part holds more than its limit.
func TestReservesAreKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cfg := alloc.Config{MinGate: 5 * time.Millisecond, FreeDB: -60}
		for range rapid.IntRange(4, 9).Draw(t, "voices") {
			cfg.Voices = append(cfg.Voices, alloc.Voice{Envelope: drawEnvelope().Draw(t, "envelope")})
		}
		left := len(cfg.Voices)
		for range rapid.IntRange(2, 3).Draw(t, "parts") {
			p := drawPart(t, 1, len(cfg.Voices))
			p.OutOfRange, p.Pick, p.Steal = alloc.Clamp, alloc.PickLongestIdle, alloc.StealOldest
			p.Reserve = rapid.IntRange(0, left).Draw(t, "reserve")
			left -= p.Reserve
			if rapid.Bool().Draw(t, "limited") {
				p.Limit = max(1, p.Reserve) + rapid.IntRange(0, 2).Draw(t, "above the reserve")
			}
			p.NewcomerCompetes = false
			cfg.Parts = append(cfg.Parts, p)
		}
		h := newHoldings()
		for _, d := range fast(t, cfg, drawPerformance(t), alloc.Future{}) {
			part := &cfg.Parts[d.Part]
			if d.Kind == alloc.Drop {
				require.GreaterOrEqual(t, h.byPart[d.Part], part.Reserve, "dropped below its reserve")
			}
			if d.Kind == alloc.Take && d.Was >= alloc.Pedal && d.CutPart != d.Part {
				require.Greater(t, h.byPart[d.CutPart], cfg.Parts[d.CutPart].Reserve, "taken from a reserve")
			}
			h.see(&d)
			if part.Limit > 0 {
				require.LessOrEqual(t, h.byPart[d.Part], part.Limit)
			}
		}
	})
}

// Elastic shares are exact: of V voices and k notes a new note gets floor(V/k),
// or one if there are more notes than voices.
func TestElasticSharesAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cfg := alloc.Config{FreeDB: -60}
		for range rapid.IntRange(1, 12).Draw(t, "voices") {
			cfg.Voices = append(cfg.Voices, alloc.Voice{Envelope: drawEnvelope().Draw(t, "envelope")})
		}
		part := drawPart(t, 1, len(cfg.Voices))
		part.OutOfRange, part.SameKey = alloc.Clamp, alloc.RetriggerCounted
		part.Pick, part.Steal, part.NewcomerCompetes = alloc.PickLongestIdle, alloc.StealOldest, false
		part.Unison = alloc.Unison{Voices: min(2, len(cfg.Voices)), WhenShort: alloc.Elastic}
		cfg.Parts = []alloc.Part{part}
		if part.Unison.Voices < 2 {
			return
		}
		h := newHoldings()
		ds := fast(t, cfg, drawPerformance(t), alloc.Future{})
		for i, d := range ds {
			h.see(&d)
			last := i+1 == len(ds) || ds[i+1].Kind != alloc.Take || ds[i+1].Note != d.Note
			if d.Kind != alloc.Take || !last {
				continue
			}
			open := 0
			for _, n := range h.byNote {
				if n > 0 {
					open++
				}
			}
			share := max(1, len(cfg.Voices)/open)
			require.Equal(t, share, h.byNote[d.Note], "%d notes on %d voices", open, len(cfg.Voices))
			require.LessOrEqual(t, int(d.Of), share)
		}
	})
}

// gatesOf walks through the decisions of a run and checks that no voice has two
// notes, that every gate that goes high goes low, that a note that has lost its
// last voice never comes back, and that Of and CutLeft count right. It returns
// the notes that had an ending.
func gatesOf(t require.TestingT, cfg alloc.Config, ds []alloc.Decision) map[alloc.NoteID]bool {
	onto, has, ended := map[int32]alloc.NoteID{}, map[alloc.NoteID]int16{}, map[alloc.NoteID]bool{}
	move := func(d *alloc.Decision) {
		if old, high := onto[d.Voice]; high {
			has[old]--
			ended[old] = has[old] == 0
		}
		delete(onto, d.Voice)
		if d.Kind != alloc.Release {
			require.False(t, ended[d.Note], "note %d has ended", d.Note)
			onto[d.Voice] = d.Note
			has[d.Note]++
		}
	}
	for i := 0; i < len(ds); {
		first := ds[i]
		n := 1
		for i+n < len(ds) && ds[i+n].Kind == first.Kind && ds[i+n].Note == first.Note && ds[i+n].At == first.At {
			n++
		}
		group := ds[i : i+n]
		for _, d := range group {
			owner, high := onto[d.Voice]
			switch d.Kind {
			case alloc.Drop:
				require.False(t, ended[d.Note] || has[d.Note] > 0)
				ended[d.Note] = true
			case alloc.Defer:
				require.False(t, ended[d.Note] || has[d.Note] > 0)
				require.Equal(t, alloc.Wait, cfg.Parts[d.Part].Unison.WhenShort)
			case alloc.Take:
				v := cfg.Voices[d.Voice]
				require.Contains(t, cfg.Parts[d.Part].Banks, v.Bank)
				require.True(t, v.State == alloc.In || v.State == alloc.Limited && int16(v.Keys.Low) <= d.Key && d.Key <= int16(v.Keys.High))
				require.Equal(t, high, d.Was >= alloc.Pedal)
				require.True(t, !high || owner == d.Cut)
				move(&d)
			case alloc.Reattack, alloc.Slide:
				require.True(t, high && (owner == d.Cut || d.Cut == alloc.NoNote && owner == d.Note))
				if d.Cut != alloc.NoNote {
					move(&d)
				}
			case alloc.Hold, alloc.Release:
				require.True(t, high && owner == d.Note)
				if d.Kind == alloc.Release {
					move(&d)
				}
			}
		}
		for _, d := range group {
			if d.Kind == alloc.Take && d.Was >= alloc.Pedal {
				require.Equal(t, has[d.Cut], d.CutLeft, "what the note keeps")
			}
		}
		if last := group[n-1]; last.Kind == alloc.Take || last.Kind == alloc.Reattack && last.Cut != alloc.NoNote {
			require.Equal(t, has[last.Note], last.Of)
		}
		i += n
	}
	require.Empty(t, onto, "every gate that went high has gone low")
	return ended
}

// Whatever the parts have, every note has one ending, but for those that never
// were to sound: keys of a mono part that did not win.
func TestFeaturesEndEveryNoteOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cfg := drawConfig(t)
		for i := range cfg.Parts {
			drawFeatures(t, &cfg, &cfg.Parts[i])
		}
		p := drawFeaturePerformance(t, cfg)
		notes := slow.Reference(cfg, p.steps, p.end)
		ended := gatesOf(t, cfg, fast(t, cfg, p, notes.Future()))
		for i, n := range notes.Notes {
			muted := n.Superseded && n.Start == n.End && cfg.Parts[n.Part].Mode != alloc.Poly
			require.True(t, ended[alloc.NoteID(i)] || muted, "note %d", i)
		}
	})
}
