package whatif

import (
	"cmp"
	"context"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

func demoRig(t *testing.T) *profiles.Rig {
	t.Helper()
	rig, err := profiles.Load("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	return rig
}

func demoSong(t *testing.T) *midi.Song {
	t.Helper()
	data, err := os.ReadFile("../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	return song
}

func session(t *testing.T, rig *profiles.Rig, o plan.Overrides) *Session {
	t.Helper()
	s, err := New(rig, o, demoSong(t))
	require.NoError(t, err)
	return s
}

func list(t *testing.T, s *Session) *List {
	t.Helper()
	l, err := s.List(context.Background(), nil)
	require.NoError(t, err)
	return l
}

func find(fixes []Fix, flags string) *Fix {
	i := slices.IndexFunc(fixes, func(f Fix) bool { return strings.Join(f.Flags(), " ") == flags })
	if i < 0 {
		return nil
	}
	return &fixes[i]
}

// What the list promises is what a replay with the flags says.
func TestFixesAreWhatReplaysSay(t *testing.T) {
	rig, song := demoRig(t), demoSong(t)
	for _, voices := range []string{"19", "12", "8"} {
		base := plan.MustParse("--voices", voices)
		s := session(t, rig, base)
		l := list(t, s)
		s.Pairs(context.Background(), l, nil)
		require.NotEmpty(t, l.Better)
		require.NotEmpty(t, l.Worse)
		require.Equal(t, l.OfPairs, l.Pairs)
		for _, f := range slices.Concat(l.Better, l.Worse) {
			if f.Passes > 0 {
				continue // see TestRecordings
			}
			p, err := plan.Build(rig, base.With(f.Overrides))
			require.NoError(t, err)
			r, err := p.Replay(song)
			require.NoError(t, err)
			require.Equal(t, r.Rig.Tally.Score, f.After, "%v", f.Overrides.Flags())
			heard, err := p.Listen(song, r, nil)
			require.NoError(t, err)
			require.Equal(t, heard.Heard.Whole, f.Heard.Verdict, "%v", f.Overrides.Flags())
		}
		for _, f := range l.Better {
			require.Equal(t, Better, l.Verdict(&f))
		}
		for _, f := range l.Worse {
			require.Equal(t, Worse, l.Verdict(&f))
		}
	}
}

// The 19 voices in service leave nothing to hear, so what is left to save are tails:
// 24 voices cut none (cmd/demosong). At 1.2 s the audible peak is 19, so with that
// release they lose none either; but every tail is shorter then, which is heard.
func TestDemoFixes(t *testing.T) {
	l := list(t, session(t, demoRig(t), plan.Overrides{}))
	require.Zero(t, l.Heard.Losses)
	require.Equal(t, "--more 5", strings.Join(l.Better[0].Overrides.Flags(), " "))
	require.Equal(t, []int{0, 0}, []int{l.Better[0].After.Damaged(), l.Better[0].After.TailCuts()})
	require.False(t, slices.ContainsFunc(l.Better, func(f Fix) bool { return f.Kinds[0] == Release }))
	worse := l.Worse[slices.IndexFunc(l.Worse, func(f Fix) bool { return f.Kinds[0] == Release })]
	require.Positive(t, worse.Heard.Plainly)
	require.LessOrEqual(t, worse.After.TailCuts(), l.Before.TailCuts())
}

// On 10 voices 16 is enough to leave nothing to hear and 14 nothing plain, as the
// demand says (see package hearing); of those that leave nothing the one that takes
// less effort comes first, and of the rest what saves most.
func TestFixesByEar(t *testing.T) {
	l := list(t, session(t, demoRig(t), plan.Overrides{Voices: plan.All(10)}))
	var flags []string
	for _, f := range l.Better[:3] {
		flags = append(flags, strings.Join(f.Flags(), " "))
	}
	require.Equal(t, []string{"--passes 2", "--voices 16", "--voices 14"}, flags)
	require.Zero(t, l.Better[1].Heard.Losses)
	require.Zero(t, l.Better[2].Heard.Plainly)
	require.Positive(t, l.Better[2].Heard.Losses)
	for i, f := range l.Better {
		require.True(t, f.Heard.Counted)
		require.Negative(t, l.compare(&f, &Fix{After: l.Before, Heard: l.Heard}), f.Flags())
		if i > 0 {
			require.LessOrEqual(t, l.Better[i-1].Heard.tenths(l.Heard), f.Heard.tenths(l.Heard))
		}
	}
}

// What an edit takes away is heard, though it damages no note: doubled octaves that
// are dropped, a pedal that is lifted earlier, notes that end where the next begins.
func TestEditsAreHeardAgainstTheSongAsGiven(t *testing.T) {
	rig, song := demoRig(t), demoSong(t)
	for _, o := range []plan.Overrides{plan.MustParse("--doubles", "drop"), plan.MustParse("--lift", "1 s"), plan.MustParse("--trim", "5 s")} {
		p, err := plan.Build(rig, o)
		require.NoError(t, err)
		if given := p.Performance(song); slices.Equal(given.Steps, session(t, rig, plan.Overrides{}).given.Steps) {
			continue // nothing of the kind is in the song
		}
		r, err := p.Replay(song)
		require.NoError(t, err)
		l, err := p.Listen(song, r, nil)
		require.NoError(t, err)
		require.Positive(t, l.Heard.Whole.Losses, "%v", o)
	}
}

// Trimming the pad's overlap makes an 8-voice pad worse. The list
// finds it by itself.
func TestTrimmingThePadIsATrap(t *testing.T) {
	rig, faults := profiles.Read("pad.yaml", []byte(`
rig: Pad alone
interfaces: {main: {profile: cv16-gate16, window: 0 V to 10 V}}
voices: {kiln: {attack: 5 ms, release: 2.4 s}}
banks: {K: {voices: 4, kind: kiln}, L: {voices: 4, kind: kiln}}
parts: {pad: {channel: 1}}
`), nil)
	require.Empty(t, faults)
	l := list(t, session(t, rig, plan.Overrides{}))
	require.Nil(t, find(l.Better, "--trim pad=80 ms"))
	trap := find(l.Worse, "--trim pad=80 ms")
	require.NotNil(t, trap)
	require.Positive(t, trap.After.Compare(&l.Before))
}

// The held peak is 13 (cmd/demosong), so 12 voices take two recordings, and damage
// nothing then.
func TestRecordings(t *testing.T) {
	s := session(t, demoRig(t), plan.Overrides{Voices: plan.All(12)})
	l := list(t, s)
	f := find(l.Better, "--passes 2")
	require.NotNil(t, f)
	require.Equal(t, []int{0, 328}, []int{f.After.Damaged(), f.After.Notes})
	ref := study.NewReference(s.plan.Rules, s.given)
	tails := 0
	for _, pass := range study.InPasses(s.plan.Rules, s.given, ref, 2) {
		r, err := study.Play(s.plan.Rules, pass)
		require.NoError(t, err)
		require.Zero(t, r.Rig.Tally.Damaged())
		tails += r.Rig.Tally.TailCuts()
	}
	require.Equal(t, tails, f.After.TailCuts())
}

// The ranks: all that is saved first, then the cheapest, then the best.
func TestRank(t *testing.T) {
	whole, notes, some := study.Score{}, study.Score{}, study.Score{Lost: time.Second}
	notes.Endings[study.OverlapOnly] = 1
	some.Endings[study.HeldCut] = 1
	worse := some
	worse.Endings[study.HeldCut] = 2
	order := []Fix{
		{Kinds: []Kind{Pick}, Cost: Setting, After: whole, order: 9},
		{Kinds: []Kind{Voices}, Cost: Buying, After: whole, order: 1},
		{Kinds: []Kind{Pick}, Cost: Setting, After: notes},
		{Kinds: []Kind{Pick}, Cost: Setting, After: some},
		{Kinds: []Kind{Steal}, Cost: Setting, After: worse},
		{Kinds: []Kind{Steal}, Cost: Setting, After: worse, order: 1},
		{Kinds: []Kind{Pick, Steal}, Cost: Setting, After: some},
		{Kinds: []Kind{Release}, Cost: Knobs, After: some},
	}
	for i := range order {
		for j := range order {
			require.Equal(t, i < j, new(List).rank(&order[i], &order[j]) < 0, "%d, %d", i, j)
		}
	}
}

// heard is an ear that is told so much, by tenths of 10 dB·s.
func heard(loud float64, plain bool) *Ear {
	e := &Ear{Counted: true}
	e.Loud = loud
	if loud > 0 {
		e.Measure.Faint = time.Second
	}
	if plain {
		e.Measure.Plain = time.Second
	}
	return e
}

// By ear: nothing heard, then nothing plain, each the cheapest first; then by tenths of
// what is heard now. A little less does not go before a setting.
func TestRankByEar(t *testing.T) {
	l := &List{Heard: heard(10, true)}
	order := []Fix{
		{Kinds: []Kind{Pick}, Cost: Setting, Heard: heard(0, false)},
		{Kinds: []Kind{Voices}, Cost: Buying, Heard: heard(0, false)},
		{Kinds: []Kind{Steal}, Cost: Export, Heard: heard(3, false)},
		{Kinds: []Kind{Voices}, Cost: Buying, Heard: heard(2, false)},
		{Kinds: []Kind{Steal}, Cost: Export, Heard: heard(4.2, true)},
		{Kinds: []Kind{Pick}, Cost: Setting, Heard: heard(5.9, true)},
		{Kinds: []Kind{Pick, Steal}, Cost: Setting, Heard: heard(5.2, true)},
		{Kinds: []Kind{Release}, Cost: Knobs, Heard: heard(5.1, true)},
	}
	for i := range order {
		for j := range order {
			require.Equal(t, i < j, l.rank(&order[i], &order[j]) < 0, "%d, %d", i, j)
		}
	}
}

// A fix is no better where it is heard more, and no better either where it is heard
// less but drops or cuts more, or more losses are heard; nor where it is heard alike.
func TestVerdictByEar(t *testing.T) {
	cuts := func(held, dropped int) (s study.Score) {
		s.Endings[study.HeldCut], s.Endings[study.Dropped] = held, dropped
		return s
	}
	counted := func(loud float64, plain, losses int) *Ear {
		e := heard(loud, true)
		e.Counted, e.Plainly, e.Losses = true, plain, losses
		return e
	}
	l := &List{Before: cuts(4, 1), Heard: counted(10, 2, 10)}
	for _, c := range []struct {
		name  string
		after study.Score
		heard *Ear
		want  Verdict
	}{
		{"heard less", cuts(4, 1), heard(9, true), Better},
		{"not told apart", cuts(4, 1), counted(10.01, 2, 10), Same},
		{"heard more, cut less", cuts(2, 0), heard(11, true), Worse},
		{"heard less, cut more", cuts(6, 1), heard(9, true), Same},
		{"heard less, dropped more", cuts(2, 2), heard(9, true), Same},

		{"heard alike, cut less", cuts(3, 1), counted(10, 2, 10), Same},
		{"heard alike, fewer losses", cuts(4, 1), counted(10, 1, 10), Better},
		{"heard less, more of it plain", cuts(4, 1), counted(9, 3, 9), Same},
		{"heard less, more losses", cuts(4, 1), counted(9, 2, 11), Same},
		{"heard less, as many losses", cuts(4, 1), counted(9.5, 2, 10), Same},
		{"heard a tenth less, as many losses", cuts(4, 1), counted(9, 2, 10), Better},
		{"heard less, fewer losses", cuts(4, 1), counted(9.5, 2, 9), Better},
		{"heard alike, cut more", cuts(5, 1), heard(10, true), Worse},
		{"not listened to", cuts(3, 1), nil, Better},
	} {
		require.Equal(t, c.want, l.Verdict(&Fix{After: c.after, Heard: c.heard}), c.name)
	}
}

// Of a family the mildest that helps as much as the best.
func TestMildest(t *testing.T) {
	score := func(cuts int, lost time.Duration) study.Score {
		s := study.Score{Lost: lost}
		s.Endings[study.TailCutOtherKey] = cuts
		return s
	}
	before := score(9, 5)
	family := []Fix{{After: score(9, 6)}, {After: score(3, 6)}, {After: score(4, 3), order: 1}, {After: score(4, 2), order: 2}}
	best, ok := (&List{Before: before}).mildest(family)
	require.True(t, ok)
	require.Equal(t, 1, best.order)
	before = score(4, 1)
	_, ok = (&List{Before: before}).mildest(family)
	require.False(t, ok)
}

func TestVary(t *testing.T) {
	s := session(t, demoRig(t), plan.Overrides{})
	all, err := s.Vary(context.Background())
	require.NoError(t, err)
	now := map[string]int{}
	for _, v := range all {
		if v.Now {
			now[v.What]++
			require.Equal(t, s.Before().Rig.Tally.Score, v.After, "%s %s", v.What, v.Value)
		}
	}
	require.Equal(t, map[string]int{"voices": 1, "release": 1, "unison": 1, "pick": 1, "steal": 1, "tails": 1}, now)
	voices := map[string]int{}
	for _, v := range all {
		if v.What == "voices" {
			voices[v.Value] = v.After.TailCuts()
		}
	}
	require.Len(t, voices, 13)
	require.Zero(t, voices["24"])
	require.Positive(t, voices["23"], "the audible peak is 24")
}

// Each voice out is a replay with one out; a voice that has only few keys costs
// less gate time.
func TestDrill(t *testing.T) {
	rig := demoRig(t)
	rig.Voices[4].State, rig.Voices[4].Keys.Low, rig.Voices[4].Keys.High = 2, 0, 30 // L1 tracks the bass alone
	s := session(t, rig, plan.Overrides{Voices: plan.All(12)})
	all, err := s.Drill(context.Background())
	require.NoError(t, err)
	require.Len(t, all, 12)
	best := slices.MinFunc(all, func(a, b Absence) int { return cmp.Compare(a.After.Lost, b.After.Lost) })
	require.Equal(t, 4, best.Voice)
	p, err := plan.Build(rig, plan.Overrides{Voices: plan.All(11), Without: []string{"K1"}})
	require.NoError(t, err)
	r, err := p.Replay(demoSong(t))
	require.NoError(t, err)
	require.Equal(t, r.Rig.Tally.Score, all[0].After)
	require.Equal(t, 11, r.Rig.Voices)
}

func TestRacks(t *testing.T) {
	s := session(t, demoRig(t), plan.Overrides{})
	racks, err := s.Racks(context.Background(), []Rack{{Name: "six", Banks: 6, Size: 4}, {Name: "two", Banks: 2, Size: 4}}, &Prices{Voice: 90, Bank: 40})
	require.NoError(t, err)
	six := racks[0]
	require.Equal(t, []int{30, 24, 0, 528}, []int{six.CVs, six.Gates, six.Missing, six.HP}, "24 pitches and 6 cutoffs; 6 × 88 HP")
	require.InDelta(t, 6*0.380, float64(six.Current.On(12)), 1e-9)
	require.Equal(t, 6*40+24*90.0, *six.Price)
	require.Zero(t, six.Shared.TailCuts(), "24 voices are enough for every tail")
	require.Equal(t, []study.SplitGroup{{Parts: []int{0, 1, 2, 3}, Banks: 6}}, six.Split.Groups)
	require.LessOrEqual(t, racks[1].Split.Score.Compare(&racks[1].Shared), 0, "the best deal is no worse than sharing all")
}

// A search that is stopped keeps what it has and says how far it came.
func TestPairsThatAreStopped(t *testing.T) {
	s := session(t, demoRig(t), plan.Overrides{Voices: plan.All(12)})
	l := list(t, s)
	singles := len(l.Better)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	s.Pairs(ctx, l, nil)
	require.Zero(t, l.Pairs)
	require.Positive(t, l.OfPairs)
	require.Len(t, l.Better, singles)
	_, err := s.List(ctx, nil)
	require.ErrorIs(t, err, context.Canceled)
}

func TestNothingToFix(t *testing.T) {
	l := list(t, session(t, demoRig(t), plan.MustParse("--release", "0.5 s")))
	require.Zero(t, l.Tried)
	require.Empty(t, l.Better)
}

func TestTwoDigits(t *testing.T) {
	_, ok := twoDigits(9 * time.Millisecond)
	require.False(t, ok)
	for d, want := range map[time.Duration]string{10 * time.Millisecond: "10 ms", 99400 * time.Microsecond: "99 ms",
		123 * time.Millisecond: "120 ms", 994 * time.Millisecond: "990 ms", 995 * time.Millisecond: "1 s", 2160 * time.Millisecond: "2.2 s", 12300 * time.Millisecond: "12 s"} {
		got, ok := twoDigits(d)
		require.True(t, ok)
		require.Equal(t, want, plan.TypedTime(got), "%v", d)
	}
}

// Of two remedies at once each keeps what it changes, also where both are of one
// kind.
func TestPairsKeepEach(t *testing.T) {
	pad, bass := plan.MustParse("--release", "pad=1 s"), plan.MustParse("--release", "bass=2 s")
	of := func(o plan.Overrides) Fix {
		return Fix{Kinds: []Kind{Release}, Each: []plan.Overrides{o}, Overrides: o}
	}
	pairs := session(t, demoRig(t), plan.Overrides{}).pairs(&List{Better: []Fix{of(pad), of(bass)}})
	require.Equal(t, []Kind{Release, Release}, pairs[0].Kinds)
	require.Equal(t, []plan.Overrides{pad, bass}, pairs[0].Each)
	require.Equal(t, []string{"--release", "pad=1 s", "--release", "bass=2 s"}, pairs[0].Flags())
}
