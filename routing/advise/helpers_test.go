package advise

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// plenty of work for small songs.
const plenty = study.Work(1e9)

// note is one of a song, in milliseconds.
type note struct{ channel, key, on, off int }

// songOf is a song of these notes, a millisecond a tick.
func songOf(t require.TestingT, notes []note) *midi.Song {
	type event struct {
		at   int
		data []byte
	}
	var all []event
	for _, n := range notes {
		all = append(all, event{n.on, []byte{0x90 | byte(n.channel-1), byte(n.key), 100}}, event{n.off, []byte{0x80 | byte(n.channel-1), byte(n.key), 64}})
	}
	slices.SortStableFunc(all, func(a, b event) int {
		if a.at != b.at {
			return a.at - b.at
		}
		return bytes.Compare(a.data[:1], b.data[:1]) // offs first
	})
	var track []byte
	now := 0
	for _, e := range all {
		d := e.at - now
		track = append(append(track, byte(d>>14)&0x7F|0x80, byte(d>>7)&0x7F|0x80, byte(d)&0x7F), e.data...)
		now = e.at
	}
	track = append(track, 0, 0xFF, 0x2F, 0)
	data := []byte{'M', 'T', 'h', 'd', 0, 0, 0, 6, 0, 0, 0, 1, 0xE7, 0x28} // 25 frames of 40 ticks
	data = binary.BigEndian.AppendUint32(append(data, "MTrk"...), uint32(len(track)))
	song, err := midi.Read(append(data, track...), midi.Options{})
	require.NoError(t, err)
	return song
}

// rigText is a rack of banks of so many voices, with its parts.
func rigText(banks, voices int, release, parts string) string {
	text := fmt.Sprintf("rig: Bench\ninterfaces: {main: {profile: cv16-gate16, cv: 64, gates: 64, ports: 4, window: 0 V to 10 V}}\nvoices: {plain: {attack: 5 ms, release: %s}}\nbanks:\n", release)
	for i := range banks {
		text += fmt.Sprintf("  %c: {voices: %d, kind: plain}\n", "KLMNPQRS"[i], voices)
	}
	return text + "parts:\n" + parts
}

func session(t require.TestingT, text string, song *midi.Song, flags ...string) *whatif.Session {
	rig, faults := profiles.Read("bench.yaml", []byte(text), nil)
	require.Empty(t, faults)
	s, err := whatif.New(rig, plan.MustParse(flags...), song)
	require.NoError(t, err)
	return s
}

func find(t require.TestingT, o Options, songs ...*whatif.Session) *Advice {
	a, err := Find(context.Background(), songs, o)
	require.NoError(t, err)
	return a
}

func flagsOf(x *Fix) string { return strings.Join(x.Overrides.Flags(), " ") }

// figures are those of a session with overrides.
func figures(t require.TestingT, s *whatif.Session, o plan.Overrides) (f Figures) {
	trial, err := s.Try(o)
	require.NoError(t, err)
	f.add(trial)
	return f
}

// sound is a list that says what it should: every line replays to its figures and is
// better than nothing; the first has no price; none is like another or beaten by another.
func sound(t require.TestingT, a *Advice, s *whatif.Session) {
	for i := range a.Fixes {
		x := &a.Fixes[i]
		if x.Passes == 0 {
			require.Equal(t, figures(t, s, x.Overrides), x.Figures, flagsOf(x))
		}
		require.True(t, x.Heard < a.Now.Heard-sameHeard || x.beats(&a.Now) || x.mends(&a.Now), flagsOf(x))
		require.Equal(t, x.prices(&a.Now), x.Prices)
		if x.Passes == 0 {
			was, err := s.Try(plan.Overrides{})
			require.NoError(t, err)
			is, err := s.Try(x.Overrides)
			require.NoError(t, err)
			for part := range is.Parts {
				says := slices.ContainsFunc(x.Harms, func(h Harm) bool { return h.Part == part })
				more := is.Parts[part].Notes > was.Parts[part].Notes || is.Parts[part].Lost > was.Parts[part].Lost+dearTime
				require.Equal(t, more, says, "%s: part %d", flagsOf(x), part)
			}
		}
		if i == 0 && (len(x.Prices) == 0 || x.mends(&a.Now)) {
			require.LessOrEqual(t, x.Heard, a.Now.Heard, "who takes the first line hears no more missing")
		}
		if i == 0 && slices.ContainsFunc(a.Fixes, func(y Fix) bool { return len(y.Prices) == 0 }) {
			require.True(t, len(x.Prices) == 0 || x.mends(&a.Now), "the first")
		}
		require.LessOrEqual(t, x.NoJack, a.Fixes[0].NoJack)
		for j := range a.Fixes {
			y := &a.Fixes[j]
			if i == j || y.Passes > 0 {
				continue
			}
			require.True(t, x.Passes > 0 || flagsOf(y) != flagsOf(x), "%s stands twice", flagsOf(x))
			require.False(t, y.Effort <= x.Effort && y.Lines <= x.Lines && y.beats(&x.Figures), "%s is beaten by %s", flagsOf(x), flagsOf(y))
		}
	}
}
