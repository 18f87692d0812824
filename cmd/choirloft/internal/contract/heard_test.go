package contract

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// listen plays a song and says what is heard, by the package and as JSON.
func listened(t *testing.T, rig *profiles.Rig, data []byte, o plan.Overrides, b *study.Budget) (*plan.Listened, *Replay) {
	t.Helper()
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	played, err := p.Replay(song)
	require.NoError(t, err)
	l, err := p.Listen(song, played, b)
	require.NoError(t, err)
	r := NewResult(p, "song.mid", song, played)
	r.Hear(p, song, played, l)
	return l, NewReplay(p, r)
}

func demoFiles(t *testing.T) (*profiles.Rig, []byte) {
	t.Helper()
	rig, err := profiles.Load(demo + "kiln-yard.yaml")
	require.NoError(t, err)
	data, err := os.ReadFile(demo + "slow-kiln.mid")
	require.NoError(t, err)
	return rig, data
}

// again encodes a value, decodes it into another of its type and encodes that.
func again[T any](t *testing.T, value *T) *T {
	t.Helper()
	data, err := json.Marshal(value)
	require.NoError(t, err)
	other := new(T)
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	require.NoError(t, d.Decode(other))
	twice, err := json.Marshal(other)
	require.NoError(t, err)
	require.Equal(t, string(data), string(twice))
	return other
}

// Of the demo nothing is heard on 16 voices and nothing plainly on 14, by two models
// that were made apart; what the JSON says is what the package says.
func TestHeard(t *testing.T) {
	rig, data := demoFiles(t)
	for _, voices := range []int{19, 16, 14, 10, 4} {
		l, replay := listened(t, rig, data, plan.MustParse("--voices", strconv.Itoa(voices)), nil)
		r := again(t, replay)
		require.Equal(t, voices >= 16, *r.Heard.Faint == 0, voices)
		require.Equal(t, voices >= 16, r.Heard.WorstDB < 1, voices)
		require.Equal(t, voices >= 14, *r.Heard.Plain == 0, voices)
		require.Equal(t, voices >= 14, r.Heard.WorstDB < 3, voices)
		require.Equal(t, []int{16, 14}, []int{*r.Demand.None, *r.Demand.PlainNone})
		require.Equal(t, heardFigures(&l.Heard.Whole, true), r.Heard.HeardFigures)
		require.Equal(t, HeardOf{24, 24}, r.Heard.WrongPitch, "the bass below its window")
		require.Empty(t, r.Hearing.Covered)
		require.Equal(t, []string{"hearing.level", "voices.kiln.sound.wave", "voices.kiln.sound.cutoff", "voices.kiln.sound.track"}, r.Hearing.Assumed)
		require.Equal(t, []any{70.0, "saw", 2000.0, 0.0}, []any{r.Hearing.LevelDB, *r.Hearing.Wave, *r.Hearing.CutoffHz, *r.Hearing.TrackPercent})
		heardSums(t, l.Heard, r)
		heardMoments(t, r)
		heardFirst(t, r)
	}
}

// heardFirst: losses stand in the order of time; the worst first are those that are
// heard, plain before faint and starts before ends, then all others.
func heardFirst(t *testing.T, r *Replay) {
	t.Helper()
	require.True(t, slices.IsSortedFunc(r.Losses, func(a, b Loss) int { return cmp.Compare(a.AtS, b.AtS) }))
	worst := r.Worst(len(r.Losses))
	require.Len(t, worst, len(r.Losses))
	last := 0
	for i, at := range worst {
		l, class := &r.Losses[at], 4
		if l.HeardDB != nil {
			class = map[string]int{"start": 0, "end": 1}[l.Kind]
			if *l.HeardDB < 3 {
				class += 2
			}
		}
		require.Equal(t, class == 4, i >= len(r.Heard.Order))
		require.GreaterOrEqual(t, class, last)
		last = class
	}
	slices.Sort(worst)
	require.Len(t, slices.Compact(worst), len(r.Losses))
}

// heardSums adds up what is heard: the losses and what stands in none are all that
// the package lists, starts and ends, and those of the parts are those of the song.
func heardSums(t *testing.T, h *hearing.Heard, r *Replay) {
	t.Helper()
	want, got := map[string]int{}, map[string]int{}
	for i := range h.Losses {
		if x := &h.Losses[i]; x.Heard {
			want[kindOf(x.Starts)]++
		}
	}
	faint, plain, wrong := 0, 0, 0
	one := func(x *HeardOne, counts bool) {
		require.Contains(t, []string{"start", "end"}, x.Kind)
		if x.HeardDB == nil {
			return
		}
		require.GreaterOrEqual(t, *x.HeardDB, 1.0)
		require.LessOrEqual(t, *x.HeardDB, 10.0)
		got[x.Kind]++
		if !counts {
			wrong++
			return
		}
		if faint++; *x.HeardDB >= 3 {
			plain++
		}
	}
	worst := map[int]float64{}
	for i := range r.Losses {
		l := &r.Losses[i]
		one(l.HeardOne, !l.WrongPitch())
		require.True(t, !l.Flagged() || l.HeardDB != nil, "a flag is of what is heard")
		worst[l.BarNumber] = max(worst[l.BarNumber], l.heard())
	}
	for _, b := range r.LostByBar {
		require.Equal(t, worst[b.Bar] > 0, b.HeardDB != nil, b.Bar)
		require.True(t, b.HeardDB == nil || *b.HeardDB == worst[b.Bar])
	}
	require.Equal(t, want, got)
	require.Equal(t, []int{*r.Heard.Faint, *r.Heard.Plain, r.Heard.WrongPitch.Faint}, []int{faint, plain, wrong})
	for i := range r.Parts {
		p := r.Parts[i].Heard
		faint, plain = faint-*p.Faint, plain-*p.Plain
		for _, f := range []*HeardFigures{p, &r.Heard.HeardFigures} {
			require.GreaterOrEqual(t, f.SharePlain, 0.0)
			require.LessOrEqual(t, f.SharePlain, f.ShareFaint)
			require.LessOrEqual(t, f.ShareFaint, 1.0)
			require.InDelta(t, min(1, f.FaintS/r.Song.Seconds), f.ShareFaint, 1e-9, "tails go on behind the end of the song")
		}
		require.Nil(t, r.Parts[i].Demand.HeardDemand, "of the whole song alone")
	}
	require.Equal(t, []int{0, 0}, []int{faint, plain}, "each loss is of one part")
}

// Moments are in order, end before the next and name losses that are heard.
func heardMoments(t *testing.T, r *Replay) {
	t.Helper()
	last, sum := 0.0, 0.0
	for _, m := range r.Heard.Moments {
		require.GreaterOrEqual(t, m.AtS, last)
		last, sum = m.AtS+m.LengthS, sum+m.LengthS
		require.NotEmpty(t, m.Losses)
		for _, i := range m.Losses {
			require.NotNil(t, r.Losses[i].HeardDB)
			require.False(t, r.Losses[i].WrongPitch())
		}
		require.LessOrEqual(t, m.DB, r.Heard.WorstDB)
	}
	require.InDelta(t, r.Heard.FaintS, sum, 1e-6)
}

// Nothing is said of what nobody listened to, of a song without notes, and of a rig
// whose voices are all out: nobody knows how they sound.
func TestNotHeard(t *testing.T) {
	rig, data := demoFiles(t)
	p, plainly := play(t, plan.Overrides{})
	m := decode(t, again(t, NewReplay(p, plainly)))
	require.NotContains(t, m, "heard")
	require.NotContains(t, m, "hearing")
	require.NotContains(t, m["demand"], "heard_none")
	require.NotContains(t, m["losses"].([]any)[0], "kind")

	empty := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x04\x00\xff\x2f\x00")
	l, replay := listened(t, rig, empty, plan.Overrides{}, nil)
	require.Nil(t, l)
	require.NotContains(t, decode(t, again(t, replay)), "heard")

	out, faults := profiles.Read("x.yaml", []byte("rig: X\nbanks: {K: {voices: 2, out: [1, 2]}}\nparts: {p: {}}\n"), nil)
	require.Empty(t, faults)
	l, replay = listened(t, out, data, plan.Overrides{}, nil)
	require.Nil(t, l)
	require.NotEmpty(t, replay.Losses)
	require.NotContains(t, decode(t, again(t, replay)), "heard")
}

// What a budget is not enough for is not there, and said.
func TestHeardWithinABudget(t *testing.T) {
	rig, data := demoFiles(t)
	_, replay := listened(t, rig, data, plan.Overrides{Voices: plan.All(10)}, study.NewBudget(time.Microsecond))
	r := again(t, replay)
	require.Nil(t, r.Heard)
	require.Equal(t, []Coverage{{"demand", 0, 1}, {"song", 0, 1}}, r.Hearing.Covered)
	require.Equal(t, &HeardDemand{}, r.Demand.HeardDemand)
	require.Nil(t, r.Parts[0].Heard)
	require.Contains(t, decode(t, r)["demand"], "heard_none", "null, not left out")
	require.NotContains(t, decode(t, r), "heard")
}

// sized is the size of the demo, heard within a budget, or without one.
func sized(t *testing.T, d time.Duration) (*plan.Plan, *midi.Song, *Size) {
	t.Helper()
	rig, data := demoFiles(t)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	s, err := whatif.New(rig, plan.Overrides{}, song)
	require.NoError(t, err)
	in := SizeInput{Plan: p, File: "song.mid", Song: song, Now: s.Before()}
	in.Sizing, err = s.Size(context.Background(), study.SizingOptions{})
	require.NoError(t, err)
	if d > 0 {
		s.Limit(d)
	}
	in.Heard, err = s.Listen(context.Background(), in.Sizing)
	require.NoError(t, err)
	return p, song, again(t, NewSize(p, NewSizeResult(in)))
}

// Each number of voices has what the package hears of it, and the demand that
// follows; with triangle waves it is 17 by another model (see package hearing).
func TestHeardBySize(t *testing.T) {
	p, song, s := sized(t, 0)
	require.Equal(t, []int{16, 14}, []int{*s.Demand.None, *s.Demand.PlainNone})
	model, _ := p.Ear()
	c, err := hearing.NewCurve(hearing.Song{Model: model, Rules: p.Rules, Performance: p.Performance(song)})
	require.NoError(t, err)
	for i := range s.Curve {
		at := &s.Curve[i]
		v, err := c.On(at.Voices)
		require.NoError(t, err)
		require.Equal(t, []float64{v.ShareFaint, v.SharePlain, v.Worst}, []float64{at.Heard.ShareFaint, at.Heard.SharePlain, at.Heard.WorstDB})
		require.Equal(t, at.Voices >= 16, *at.Heard.Faint == 0, at.Voices)
		require.Equal(t, at.Voices >= 14, *at.Heard.Plain == 0, at.Voices)
	}
	ten, replay := listened(t, p.Unchanged, must(os.ReadFile(demo+"slow-kiln.mid")), plan.Overrides{Voices: plan.All(10)}, nil)
	require.Equal(t, replay.Heard.HeardFigures, *s.Curve[9].Heard, "ten voices alike are those of the rig: %v", ten.Most)
	names := map[string]int{}
	for _, v := range s.Hearing.Variations {
		names[v.Name] = *v.None
	}
	require.Len(t, names, 6)
	require.Equal(t, 17, names["triangle"])
	require.LessOrEqual(t, names["dull"], 16)
	require.Empty(t, s.Hearing.Covered)
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// With too little budget numbers of voices are null, and how many are not is said.
func TestHeardBySizeWithinABudget(t *testing.T) {
	_, _, whole := sized(t, 0)
	seen := map[string]bool{}
	for ms := time.Duration(1); ms <= 1<<12; ms *= 4 {
		_, _, s := sized(t, ms*time.Millisecond)
		points, counted := 0, 0
		for i := range s.Curve {
			h := s.Curve[i].Heard
			if h == nil {
				continue
			}
			if points++; h.Faint != nil {
				counted++
				require.Equal(t, whole.Curve[i].Heard, h)
			}
			require.Equal(t, whole.Curve[i].Heard.FaintS, h.FaintS)
		}
		tried := map[string]int{"demand": 1, "curve": len(s.Curve), "variations": 6, "losses": len(s.Curve)}
		for _, c := range s.Hearing.Covered {
			require.Equal(t, tried[c.What], c.Of)
			tried[c.What], seen[c.What] = c.Tried, true
		}
		require.Equal(t, map[string]int{"demand": tried["demand"], "curve": points, "variations": len(s.Hearing.Variations), "losses": counted}, tried)
		require.Equal(t, tried["demand"] == 1, s.Demand.None != nil)
	}
	require.Len(t, seen, 4, "each was left out once")
}
