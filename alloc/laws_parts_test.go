package alloc_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
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
		for _, d := range fast(t, cfg, drawPerformance(t), nil) {
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
		ds := fast(t, cfg, drawPerformance(t), nil)
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
