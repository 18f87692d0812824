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

// The held peak is 13 (cmd/demosong), so 12 voices take two recordings, and damage
// nothing then.
func TestRecordings(t *testing.T) {
	s := session(t, demoRig(t), plan.Overrides{Voices: plan.All(12)})
	left := study.Work(1e9)
	n, f, err := s.Recording(3, &left)
	require.NoError(t, err)
	require.Equal(t, []int{2, 0, 328}, []int{n, f.After.Damaged(), f.After.Notes})
	require.Less(t, left, study.Work(1e9))
	ref := study.NewReference(s.plan.Rules, s.given)
	tails := 0
	for _, pass := range study.InPasses(s.plan.Rules, s.given, ref, 2) {
		r, err := study.Play(s.plan.Rules, pass)
		require.NoError(t, err)
		require.Zero(t, r.Rig.Tally.Damaged())
		tails += r.Rig.Tally.TailCuts()
	}
	require.Equal(t, tails, f.After.TailCuts())
	left = 0
	n, _, err = s.Recording(3, &left)
	require.NoError(t, err)
	require.Zero(t, n, "no work is left")
	bare := demoRig(t)
	bare.Interfaces = nil // nothing can be dealt to it
	left = 1e9
	n, _, err = session(t, bare, plan.Overrides{Voices: plan.All(8)}).Recording(3, &left)
	require.NoError(t, err)
	require.Zero(t, n)
}

// What a trial says is what a replay with its overrides says, and what is heard of it;
// beside the song as given an edit that leaves notes out drops them, and one that ends them
// sooner cuts them.
func TestTriesAreWhatReplaysSay(t *testing.T) {
	rig, song := demoRig(t), demoSong(t)
	base := plan.MustParse("--voices", "10")
	s := session(t, rig, base)
	for _, flags := range []string{"--steal none", "--banks bass=K", "--pick lowest", "--release 600ms", "--mode bass=mono\xa0last", "--trim pad=80ms", "--doubles drop", "--trim pad=80ms\xa0when\xa0short", "--transpose bass=12", "--limit arp=2 --priority arp=2"} {
		words := strings.Fields(flags)
		for i := range words {
			words[i] = strings.ReplaceAll(words[i], "\xa0", " ")
		}
		o := plan.MustParse(words...)
		got, err := s.Try(o)
		require.NoError(t, err)
		p, err := plan.Build(rig, base.With(o))
		require.NoError(t, err)
		r, err := p.Replay(song)
		require.NoError(t, err)
		require.Equal(t, r.Rig.Tally.Score, got.After, flags)
		heard, err := p.Listen(song, r, nil)
		require.NoError(t, err)
		require.Equal(t, heard.Heard.Whole.Measure, got.Heard.Measure, flags)
		ear, err := s.Losses(o, 0)
		require.NoError(t, err)
		require.Equal(t, heard.Heard.Whole, ear.Verdict, flags)
		switch left := len(s.ref.Notes) - len(r.Reference.Notes); {
		case left > 0: // doubled octaves
			require.Equal(t, left+got.After.Endings[study.Dropped], got.Changed.Endings[study.Dropped], flags)
		case o.EditsSong():
			require.Greater(t, got.Changed.Damaged(), got.After.Damaged(), flags)
			require.Greater(t, got.Changed.Lost, got.After.Lost, flags)
		default:
			require.Equal(t, got.After.Endings, got.Changed.Endings, flags)
			require.Equal(t, got.After.Lost, got.Changed.Lost, flags)
		}
	}
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
			require.Zero(t, v.Heard.Loud, "%s %s", v.What, v.Value) // nothing is missing on 19
		}
		require.True(t, v.Listened)
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
	once, err := s.Losses(plan.Overrides{Voices: plan.All(11), Without: []string{"K1"}}, 0)
	require.NoError(t, err)
	require.Equal(t, once.Measure, all[0].Heard.Measure, "what replay hears")
	require.Positive(t, once.Loud)
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
