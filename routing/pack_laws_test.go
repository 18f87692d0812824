package routing

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/midi/corpora"
	"choirloft/profiles"
)

// The laws of packing.

func TestAJackIsUsedOnceAndIsOfTheRightKind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drafts().Draw(t, "rig").pinned(t)
		m := NewMap(d.rig())
		seen := map[jackKey]string{}
		for _, l := range m.Lanes() {
			if !l.Fits() {
				continue
			}
			f := d.boxes[l.Interface]
			require.Equal(t, l.Gate, l.GateJack, l.Name)
			require.GreaterOrEqual(t, l.Jack, 1)
			require.LessOrEqual(t, l.Jack, f.Jacks(l.Gate))
			require.Equal(t, l.Jack, (l.Connector-1)*f.Connector+l.Place)
			key := jackKey{l.Interface, l.Gate && f.Outputs == 0, l.Jack}
			require.Empty(t, seen[key], "%s is on the jack of %s", l.Name, seen[key])
			seen[key] = l.Name
		}
		total := 0
		for _, f := range d.boxes {
			total += f.CV + f.Gates + f.Outputs
		}
		cvs, gates, either := m.SpareCount()
		require.Equal(t, total, len(seen)+cvs+gates+either)
	})
}

func TestPitchAndGateShareAnInterface(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := NewMap(drafts().Draw(t, "rig").rig())
		for i := range m.Voices {
			if pitch, gate := m.Voices[i].Lane("pitch"), m.Voices[i].Lane("gate"); pitch != nil && gate != nil {
				require.Equal(t, pitch.Interface, gate.Interface)
			}
		}
	})
}

func TestPinsAreKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drafts().Draw(t, "rig").pinned(t)
		m := NewMap(d.rig())
		for _, pin := range d.pins {
			l := m.Voices[max(0, pin.To.Voice)].Lane(pin.To.Input)
			if pin.Macro >= 0 {
				l = &m.Macros[pin.Macro]
			}
			require.True(t, l.Pinned)
			require.Equal(t, pin.Jack, profiles.Jack{Interface: l.Interface, Gate: l.GateJack, Number: l.Jack})
		}
		require.NotContains(t, m.codes(), JackHeldTwice)
	})
}

// unmoved asks that every line of the old map stands in the new one.
func unmoved(t *rapid.T, old, then *Map) {
	lines := then.lines()
	for name, line := range old.lines() {
		require.Equal(t, line, lines[name], name)
	}
}

func TestAFurtherBankMovesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drafts().Draw(t, "rig").pinned(t)
		old := NewMap(d.rig())
		d.banks = append(slices.Clone(d.banks), bankDrafts().Draw(t, "further"))
		unmoved(t, old, NewMap(d.rig()))
	})
}

func TestAFurtherLaneOfTheLastBankMovesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drafts().Draw(t, "rig").pinned(t)
		old := NewMap(d.rig())
		d.banks = slices.Clone(d.banks)
		d.banks[len(d.banks)-1].lanes++
		unmoved(t, old, NewMap(d.rig()))
	})
}

// A further macro moves nothing as long as its home is free. Of 32 CVs the
// upper half has six homes of macros and ten of lanes (bay.go: of eight, three
// and five), and these voices keep to the lower half.
func TestAFurtherMacroMovesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draft{boxes: []profiles.Interface{face("main", 32, 32, 0, 8)}, macros: rapid.IntRange(0, 5).Draw(t, "macros")}
		lanes := 0
		for range rapid.IntRange(1, 4).Draw(t, "banks") {
			b := bankDraft{rapid.IntRange(1, 4).Draw(t, "size"), 0, rapid.IntRange(0, min(3, 10-lanes)).Draw(t, "lanes")}
			lanes += b.lanes
			d.banks = append(d.banks, b)
		}
		old := NewMap(d.rig())
		require.NotContains(t, old.codes(), MacroWouldMove)
		d.macros++
		unmoved(t, old, NewMap(d.rig()))
	})
}

// Pins that put the halves of a voice apart are left out: what they allow is
// not allowed without them.
func TestTakingAWishAwayNeverMakesAPlanFail(t *testing.T) {
	tried := 0
	rapid.Check(t, func(t *rapid.T) {
		d := plainDrafts().Draw(t, "rig")
		if rapid.Bool().Draw(t, "with pins") {
			d = d.pinned(t)
		}
		if m := NewMap(d.rig()); len(m.Missing) == 0 && !slices.Contains(m.codes(), PinnedApart) {
			tried++
			require.Empty(t, NewMap(d.smaller(t).rig()).Missing)
		}
	})
	require.Positive(t, tried)
}

// The same for outputs beside CVs and gates, over all small rigs with one voice
// of each of two kinds, up to two of each, and up to two macros.
func TestTakingAWishAwayOnMixedInterfaces(t *testing.T) {
	tried := 0
	every := corpora.Some(7, 1)
	for n := range 4 * 4 * 4 * 5 * 5 * 2 * 2 * 3 / every {
		n *= every
		digit := func(base int) int { d := n % base; n /= base; return d }
		d := draft{boxes: []profiles.Interface{face("a", 0, 0, 1+digit(4), 2), face("b", digit(4), digit(4), 0, 2)},
			banks: []bankDraft{{1, digit(5), 1}, {1, digit(5), 0}}}
		d.banks[0].size += digit(2)
		d.banks[1].size += digit(2)
		d.macros = digit(3)
		if len(pack(d.rig(), nil).lanes.missing()) > 0 {
			continue
		}
		tried++
		for _, less := range d.lesser() {
			require.Empty(t, pack(less.rig(), nil).lanes.missing(), "%+v", d)
		}
	}
	require.Positive(t, tried)
}

// What can be placed is placed: a search over all ways to share the interfaces
// finds no more.
func TestWhatCanBePlacedIsPlaced(t *testing.T) {
	fits, fails := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		d := plainDrafts().Draw(t, "rig")
		pairs, cvs, gates := d.demand()
		want := possible(d.boxes, pairs, cvs, gates, 0)
		require.Equal(t, want, len(NewMap(d.rig()).Missing) == 0, "pairs %d, CVs %d, gates %d", pairs, cvs, gates)
		if want {
			fits++
		} else {
			fails++
		}
	})
	require.Positive(t, fits)
	require.Positive(t, fails)
}
