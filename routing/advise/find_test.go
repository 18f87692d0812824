package advise

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// planted is a rack on which a song loses notes or tails for one reason, and what cures it.
type planted struct {
	text string
	song *midi.Song
	cure plan.Overrides
}

// chords are so many chords of a part, each of so many keys, held to the next.
func chords(channel, n, keys, low, every, length int) (notes []note) {
	for i := range n {
		for k := range keys {
			notes = append(notes, note{channel, low + 5*k + (i*(3+k))%4, i * every, i*every + length})
		}
	}
	return notes
}

// leaps are single notes far from each other, each half as long as the time to the next.
func leaps(n, every int) (notes []note) {
	for i := range n {
		notes = append(notes, note{1, 36 + 17*i%41, i * every, i*every + every/2})
	}
	return notes
}

// narrow is a part on one bank that has too few voices for it, beside banks with voices
// to spare: all parts on all banks have one for each note that is held, and no tail
// is longer than the time to the next chord.
var narrow = rapid.Custom(func(t *rapid.T) planted {
	banks, voices := rapid.IntRange(2, 4).Draw(t, "banks"), rapid.IntRange(2, 4).Draw(t, "voices")
	parts, notes := "", []note(nil)
	left := banks*voices - 1 // for the second part
	keys := rapid.IntRange(voices+1, min(left, 2*voices)).Draw(t, "keys")
	parts += "  one: {channel: 1, banks: [K]}\n"
	notes = append(notes, chords(1, 12, keys, 40, 600, 450)...)
	if rapid.Bool().Draw(t, "two") {
		parts += "  two: {channel: 2, banks: [L]}\n"
		notes = append(notes, chords(2, 12, 1, 80, 600, 400)...)
	}
	return planted{rigText(banks, voices, "50 ms", parts), songOf(t, notes), plan.MustParse("--banks", strings.Join(strings.Split("KLMN"[:banks], ""), ","))}
})

// deaf is a part that plays on the lowest voice and is deaf to tails: it cuts them, with
// voices to spare. The one that has been idle longest has no tail left.
var deaf = rapid.Custom(func(t *rapid.T) planted {
	n := rapid.IntRange(6, 10).Draw(t, "voices")
	parts := "  one: {channel: 1, pick: lowest, tails: unknown}\n"
	every := rapid.IntRange(300, 500).Draw(t, "every")
	return planted{rigText(1, n, fmt.Sprintf("%d ms", 2*(n-2)*every), parts), songOf(t, leaps(16, every)), plan.MustParse("--pick", "longest-idle")}
})

// kept is a part whose voices are all reserved for one that rests nearly all the time.
var kept = rapid.Custom(func(t *rapid.T) planted {
	n := rapid.IntRange(2, 4).Draw(t, "voices")
	parts := fmt.Sprintf("  one: {channel: 1}\n  two: {channel: 2, reserve: %d}\n", n)
	notes := append(chords(1, 10, rapid.IntRange(1, n-1).Draw(t, "keys"), 50, 500, 300), note{2, 40, 9000, 9400})
	return planted{rigText(1, n, "50 ms", parts), songOf(t, notes), plan.MustParse("--reserve", "two=0")}
})

// TestOctaves: a part below its range is moved up, which comes first where more notes are at
// the wrong pitch than lost; the fix says how many move. One note of many out of range
// moves nothing.
func TestOctaves(t *testing.T) {
	rig := strings.Replace(rigText(1, 6, "50 ms", "  one: {channel: 1}\n  two: {channel: 2}\n"), "0 V to 10 V", "0 V to 5 V", 1)
	low := chords(1, 12, 2, 24, 600, 450)                                           // keys 24 to 38; 0 V is key 36
	s := session(t, rig, songOf(t, append(low, chords(2, 12, 2, 82, 600, 450)...))) // and up to the top
	a := find(t, Options{Work: plenty}, s)
	require.Positive(t, a.Now.Wrong)
	require.NotEmpty(t, a.Fixes)
	first := &a.Fixes[0]
	require.Equal(t, "--transpose one=12", flagsOf(first))
	require.Equal(t, []any{Playing, 0, 24, []Price{{Moved, 24}}}, []any{first.Effort, first.Wrong, first.Moved, first.Prices})
	sound(t, a, s)
	s = session(t, rig, songOf(t, append(chords(1, 12, 2, 50, 600, 450), note{1, 30, 9000, 9300})))
	a = find(t, Options{Work: plenty}, s)
	require.Equal(t, 1, a.Now.Wrong)
	require.Len(t, a.Fixes, 1)
	require.Equal(t, "--zero-key main=30", flagsOf(&a.Fixes[0]))
}

// TestZeroKeys: with its key at 0 V an octave lower an interface of 5 V reaches keys 24 to 84: all of
// a part below its range and of another one up there, with no note moved. Where that other one
// goes up to 96 the same key puts its notes above 84 out of range, and they count. Two boxes have each its own.
func TestZeroKeys(t *testing.T) {
	const parts = "  one: {channel: 1}\n  two: {channel: 2}\n"
	rig := strings.Replace(rigText(1, 6, "50 ms", parts), "0 V to 10 V", "0 V to 5 V", 1)
	low := chords(1, 12, 2, 24, 600, 450) // keys 24 to 38; 0 V is key 36
	s := session(t, rig, songOf(t, append(low, chords(2, 12, 2, 60, 600, 450)...)))
	a := find(t, Options{Work: plenty}, s)
	first := &a.Fixes[0]
	require.Equal(t, "--zero-key main=24", flagsOf(first))
	require.Equal(t, []any{Setting, 0, 0, 0}, []any{first.Effort, first.Wrong, first.Moved, len(first.Prices)})
	sound(t, a, s)

	high := chords(2, 12, 2, 82, 600, 450)
	above := 0
	for _, n := range high {
		if n.key > 84 {
			above++
		}
	}
	s = session(t, rig, songOf(t, append(low, high...)))
	require.Positive(t, above)
	require.Equal(t, above, figures(t, s, plan.MustParse("--zero-key", "main=24")).Wrong)

	two := "rig: Two\ninterfaces: {main: {profile: cv4-gate4, window: 0 V to 5 V}, also: {profile: cv4-gate4, window: 0 V to 5 V}}\nbanks: {K: {voices: 4}, L: {voices: 4}}\n" +
		"parts: {one: {channel: 1, banks: [K]}, two: {channel: 2, banks: [L]}}\n"
	s = session(t, two, songOf(t, append(low, high...)))
	a = find(t, Options{Work: plenty}, s)
	require.Equal(t, "--zero-key main=24", flagsOf(&a.Fixes[0]))
	require.Zero(t, a.Fixes[0].Wrong)
}

// TestRecordingsByPart: two parts of four keys at a time on four voices, which both play: recorded one by one
// they lose nothing. What is dealt for them has those figures; it is not first where a setting leaves
// hardly anything, here further banks.
func TestRecordingsByPart(t *testing.T) {
	song := songOf(t, append(chords(1, 12, 4, 40, 600, 450), chords(2, 12, 4, 70, 600, 450)...))
	for _, banks := range []int{1, 2} {
		rig := rigText(banks, 4, "50 ms", "  one: {channel: 1, banks: [K], reserve: 1}\n  two: {channel: 2, banks: [K]}\n")
		s := session(t, rig, song)
		a := find(t, Options{Work: plenty}, s)
		at := slices.IndexFunc(a.Fixes, func(x Fix) bool { return x.Groups != nil })
		require.Equal(t, banks == 1, at >= 0)
		if at < 0 {
			require.Equal(t, Setting, a.Fixes[0].Effort) // and nothing is left for recordings
			continue
		}
		x := &a.Fixes[at]
		require.Equal(t, [][]int{{0}, {1}}, x.Groups)
		require.Equal(t, []int{2, 0, 0}, []int{x.Passes, x.Cut, x.Dropped})
		p, err := plan.Build(s.Plan().Unchanged, x.Overrides)
		require.NoError(t, err)
		d, err := deal.New(p, song, deal.Options{Groups: x.Groups})
		require.NoError(t, err)
		damaged, notes := 0, 0
		for i := range d.Passes {
			damaged, notes = damaged+d.Passes[i].Replay.Rig.Tally.Damaged(), notes+len(d.Passes[i].Replay.Reference.Notes)
		}
		require.Equal(t, []int{x.Cut + x.Dropped, 96}, []int{damaged, notes})
	}
}

// TestShortEdits: where voices are short in one half of a song alone, lifting the pedal there is
// no worse than lifting it everywhere, and changes fewer notes.
func TestShortEdits(t *testing.T) {
	var notes []note
	for i := range 20 {
		notes = append(notes, chords(1, 1, 2+2*(i/10), 40, 0, 0)[:2+2*(i/10)]...)
		for k := range notes[len(notes)-2-2*(i/10):] {
			n := &notes[len(notes)-1-k]
			n.on, n.off = 500*i, 500*i+560
		}
	}
	s := session(t, rigText(1, 5, "20 ms", "  one: {channel: 1, same_key: stack fifo}\n"), songOf(t, notes))
	short, all := figures(t, s, plan.MustParse("--trim", "80 ms when short")), figures(t, s, plan.MustParse("--trim", "80 ms"))
	require.Equal(t, all.Dropped, short.Dropped)
	require.Less(t, short.Cut, all.Cut)
	require.LessOrEqual(t, short.Heard, all.Heard)
}

// TestPlantedCures: ten racks with something wrong, whose cure is known: it is found, or
// one that leaves no more, and stands first; nothing has to be bought for it.
func TestPlantedCures(t *testing.T) {
	for i := range 10 {
		p := rapid.OneOf(narrow, deaf, kept).Example(i)
		s := session(t, p.text, p.song)
		a := find(t, Options{Work: 60 * s.TryWork(plan.Overrides{}) * study.Work(corpora.Some(2, 10))}, s)
		cured := figures(t, s, p.cure)
		require.Greater(t, a.Now.Heard, cured.Heard+sameHeard, p.text)
		require.NotEmpty(t, a.Fixes)
		first := &a.Fixes[0]
		require.Equal(t, Setting, first.Effort, flagsOf(first))
		require.LessOrEqual(t, first.Heard, cured.Heard+sameHeard, "%s\n%s", flagsOf(first), p.text)
		require.LessOrEqual(t, first.Dropped+first.Cut, cured.Dropped+cured.Cut)
		sound(t, a, s)
	}
}

// TestSplitKeyboard: a split keyboard on two of four banks of six gets its cure in the
// first line, and nothing needs to be bought for it.
func TestSplitKeyboard(t *testing.T) {
	corpora.Patient(t)
	text := rigText(4, 6, "400 ms", "  low: {keys: 0-59, banks: [K]}\n  high: {keys: 60-127, banks: [L]}\n")
	s := session(t, text, songOf(t, append(chords(1, 12, 9, 62, 700, 650), chords(1, 12, 2, 36, 700, 650)...)))
	a := find(t, Options{Work: plenty / 10}, s)
	require.Positive(t, a.Now.Cut)
	first := &a.Fixes[0]
	require.Equal(t, []any{Setting, 0, 0}, []any{first.Effort, first.Cut, first.Dropped}, flagsOf(first))
	require.NotEmpty(t, first.Overrides.Banks)
	require.NotEmpty(t, first.Shared)
	require.Equal(t, Setting, first.Shared[0].Effort)
	sound(t, a, s)
}

// TestSameOnAnyMachine: the same advice on one processor as on several, and again.
func TestSameOnAnyMachine(t *testing.T) {
	p := narrow.Example(3)
	advice := func(processors int) string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		s := session(t, p.text, p.song)
		a := find(t, Options{Work: 150 * s.TryWork(plan.Overrides{})}, s)
		text := fmt.Sprint(a.Tried, a.Of, a.Short)
		for i := range a.Fixes {
			text += fmt.Sprintf("\n%s %+v %v", flagsOf(&a.Fixes[i]), a.Fixes[i].Figures, a.Fixes[i].Steps)
		}
		return text
	}
	one := advice(1)
	require.Equal(t, one, advice(4))
	require.Equal(t, one, advice(1))
}

// TestNothingNeeded: one setting is played where nothing is lost; a budget of nothing
// leaves no fix and says so; a search that is stopped lists what it found.
func TestNothingNeeded(t *testing.T) {
	s := session(t, rigText(1, 4, "50 ms", "  one: {channel: 1}\n"), songOf(t, chords(1, 4, 2, 40, 600, 400)))
	a := find(t, Options{Work: plenty}, s)
	require.True(t, a.Now.Clean() && a.Whole)
	require.Equal(t, 1, a.Tried)
	p := narrow.Example(1)
	s = session(t, p.text, p.song)
	a = find(t, Options{}, s)
	require.True(t, a.Short)
	require.Empty(t, a.Fixes)
	ctx, cancel := context.WithCancel(context.Background())
	var played atomic.Int64
	a, err := Find(ctx, []*whatif.Session{s}, Options{Work: plenty, Keep: true, Progress: func(int) {
		if played.Add(1) == 20 {
			cancel()
		}
	}})
	require.NoError(t, err)
	require.GreaterOrEqual(t, played.Load(), int64(20))
	require.True(t, a.Short)
	ctx, cancel = context.WithCancel(context.Background())
	cancel()
	_, err = Find(ctx, []*whatif.Session{s}, Options{Work: plenty})
	require.ErrorIs(t, err, context.Canceled)
	none := session(t, p.text, songOf(t, nil))
	require.True(t, find(t, Options{Work: plenty}, none).Now.Clean())
}

// TestSongsTogether: of several songs the figures are sums, and of each its own.
func TestSongsTogether(t *testing.T) {
	p, q := narrow.Example(1), songOf(t, chords(1, 6, 3, 50, 500, 450))
	one, two := session(t, p.text, p.song), session(t, p.text, q)
	a := find(t, Options{Work: 100 * one.TryWork(plan.Overrides{})}, one, two)
	require.NotEmpty(t, a.Fixes)
	for i := range a.Fixes {
		x := &a.Fixes[i]
		require.Equal(t, []Figures{figures(t, one, x.Overrides), figures(t, two, x.Overrides)}, x.Songs)
		require.Equal(t, x.Songs[0].Cut+x.Songs[1].Cut, x.Cut)
		require.InDelta(t, x.Songs[0].Heard+x.Songs[1].Heard, x.Heard, 1e-9)
	}
}

// TestSetHarms: what a part loses more of all songs together is said: here the one whose voices
// are no longer kept for it.
func TestSetHarms(t *testing.T) {
	rig := rigText(1, 4, "50 ms", "  one: {channel: 1}\n  two: {channel: 2, reserve: 3}\n")
	songs := []*midi.Song{
		songOf(t, append(chords(1, 10, 3, 50, 500, 450), chords(2, 10, 1, 80, 500, 400)...)),
		songOf(t, append(chords(1, 10, 4, 50, 500, 450), chords(2, 2, 3, 80, 1000, 450)...)),
	}
	load := func(i int) (*whatif.Session, error) { return session(t, rig, songs[i]), nil }
	a, err := ForSet(context.Background(), 2, []int{1, 0}, load, Options{Work: plenty, Kinds: []string{"--reserve"}})
	require.NoError(t, err)
	require.NotEmpty(t, a.Fixes)
	harmed := 0
	for i := range a.Fixes {
		x := &a.Fixes[i]
		var was, is [2]int
		for _, song := range songs {
			now, err := session(t, rig, song).Try(plan.Overrides{})
			require.NoError(t, err)
			then, err := session(t, rig, song).Try(x.Overrides)
			require.NoError(t, err)
			for part := range 2 {
				was[part], is[part] = was[part]+now.Parts[part].Notes, is[part]+then.Parts[part].Notes
			}
		}
		for part := range 2 {
			at := slices.IndexFunc(x.Harms, func(h Harm) bool { return h.Part == part })
			if is[part] > was[part] {
				require.GreaterOrEqual(t, at, 0)
				require.Equal(t, is[part]-was[part], x.Harms[at].Notes)
				harmed++
			}
		}
	}
	require.Positive(t, harmed)
}
