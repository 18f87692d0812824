package study

import (
	"context"
	"math"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/midi"
)

// By hand.
func TestShortages(t *testing.T) {
	in := func(from, to int) Interval { return Interval{time.Duration(from), time.Duration(to)} }
	notes := []Interval{in(0, 10), in(2, 6), in(4, 5), in(6, 8), in(20, 30), in(25, 26), in(9, 9)}
	require.Equal(t, []Shortage{{in(0, 10), 3}, {in(20, 30), 2}}, Shortages(notes, 0))
	require.Equal(t, []Shortage{{in(2, 8), 3}, {in(25, 26), 2}}, Shortages(notes, 1), "one ends as the next begins")
	require.Equal(t, []Shortage{{in(4, 5), 3}}, Shortages(notes, 2))
	require.Empty(t, Shortages(notes, 3))
	require.Equal(t, Shortages(notes, 0), Shortages(notes, -1))
}

// From asks every number of voices, the last one first, and passes over no
// failure.
func TestFrom(t *testing.T) {
	for _, c := range []struct {
		passes string // by number of voices, from 3 on
		voices int
		ok     bool
	}{
		{"yyy", 3, true}, {"nyy", 4, true}, {"nny", 5, true}, {"yny", 5, true}, {"yyn", 0, false}, {"", 0, false},
	} {
		s := Sizing{}
		for i := range c.passes {
			s.Points = append(s.Points, SizePoint{Voices: 3 + i})
		}
		voices, ok := s.From(func(at *SizePoint) bool { return c.passes[at.Voices-3] == 'y' })
		require.Equal(t, c.voices, voices, c.passes)
		require.Equal(t, c.ok, ok, c.passes)
	}
}

// The time in shortages is the time above that depth.
func TestShortagesLastAsLongAsTheDepth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []Interval
		for range rapid.IntRange(0, 20).Draw(t, "notes") {
			start := time.Duration(rapid.IntRange(0, 30).Draw(t, "start"))
			list = append(list, Interval{start, start + time.Duration(rapid.IntRange(0, 9).Draw(t, "length"))})
		}
		v := rapid.IntRange(0, 5).Draw(t, "voices")
		depths := NewDepths(list)
		var total time.Duration
		most := 0
		for _, s := range Shortages(list, v) {
			require.Positive(t, s.Length())
			total += s.Length()
			most = max(most, s.Wanted)
		}
		require.Equal(t, depths.Above(v), total)
		if depths.Peak() > v {
			require.Equal(t, depths.Peak(), most)
		}
	})
}

// A rack of identical voices that all parts share is its own pool: every number
// of its voices does what a replay with the others out does.
func TestSizingIsWhatReplaysSay(t *testing.T) {
	r, p := crowdedSong(300, 20)
	rules := onlineRulesets()
	s, err := Size(context.Background(), r, p, SizingOptions{Rulesets: rules})
	require.NoError(t, err)
	require.Len(t, s.Points, s.Demand.Audible+2)
	for _, n := range []int{1, 7, 20} {
		out := r
		out.Config.Voices = append([]alloc.Voice(nil), r.Config.Voices...)
		for i := n; i < len(out.Config.Voices); i++ {
			out.Config.Voices[i].State = alloc.Out
		}
		replay, err := Play(out, p)
		require.NoError(t, err)
		at := s.Points[n-1]
		require.Equal(t, weighed(replay, s.weights), at.Own, "%d voices", n)
		require.Equal(t, replay.Rig.Bound, s.Bounds.At(n))
		require.Equal(t, replay.Rig.Demand, s.Demand)
		for i, set := range rules {
			replay, err := Play(set.on(out), p)
			require.NoError(t, err)
			require.Equal(t, weighed(replay, s.weights), at.Scores[i], "%v on %d", set, n)
		}
	}
}

// The same holds where notes wait, and what began late is among the damaged.
func TestSizingOfNotesThatWait(t *testing.T) {
	r, p := crowdedSong(300, 20)
	r.Config.Parts[0].Unison = alloc.Unison{Voices: 3, WhenShort: alloc.Wait}
	s, err := Size(context.Background(), r, p, SizingOptions{})
	require.NoError(t, err)
	late := 0
	for n := 3; n <= 20; n++ {
		out := r
		out.Config.Voices = slices.Clone(r.Config.Voices)
		for i := n; i < len(out.Config.Voices); i++ {
			out.Config.Voices[i].State = alloc.Out
		}
		replay, err := Play(out, p)
		require.NoError(t, err)
		require.Equal(t, weighed(replay, s.weights), s.Points[n-1].Own, "%d voices", n)
		require.Equal(t, replay.Rig.Bound, s.Bounds.At(n), "%d voices", n)
		require.GreaterOrEqual(t, s.Points[n-1].Own.Damaged(), s.Bounds.At(n).FewestDamaged, "%d voices", n)
		require.GreaterOrEqual(t, s.Points[n-1].Own.Weight, leastWeight(t, s, n), "%d voices", n)
		late += replay.Rig.Tally.Endings[LateStart]
	}
	require.Greater(t, late, 50)
}

// 60 until 1000 ms and two notes from 990, of which one ends at 1010: on pairs
// of two voices they pass one after the other, 10 and 20 ms late. By the plans
// for one voice a note one of them would have to be damaged.
func TestLeastWeightOfNotesThatWait(t *testing.T) {
	p := Performance{Steps: stepsOf(t, "0 on 60, 990 on 62, 990 on 64, 1000 off 60, 1010 off 62, 2000 off 64"), End: 2 * time.Second}
	r, _ := crowdedSong(1, 2)
	r.Config.Parts[0].Unison = alloc.Unison{Voices: 2, WhenShort: alloc.Wait}
	s, err := Size(context.Background(), r, p, SizingOptions{})
	require.NoError(t, err)
	require.Positive(t, s.Plans.Lost(2))
	require.Zero(t, leastWeight(t, s, 2))
	require.Zero(t, s.Points[1].Own.Weight)
	require.Equal(t, s.Plans.Lost(1), leastWeight(t, s, 1), "one voice for a note, so nothing waits")
}

// By hand, of four parts: one begins at once, one waits for pairs, one for the one voice of its map, and one
// for three; by 80 ms at most, and by no more than a note lasts.
func TestLateGatesOfParts(t *testing.T) {
	r := &Rules{Overlap: 80 * ms, Config: alloc.Config{Parts: make([]alloc.Part, 4)}}
	for i, n := range []int{0, 2, 2, 3} {
		r.Config.Parts[i].Unison = alloc.Unison{Voices: n, WhenShort: alloc.Wait}
	}
	r.Config.Parts[2].Pick = alloc.PickFixed
	ref := &Reference{}
	for _, part := range []int{0, 1, 2, 3} {
		ref.Notes = append(ref.Notes, Note{Part: part, Start: 100 * ms, End: 500 * ms}, Note{Part: part, Start: 600 * ms, End: 650 * ms})
	}
	whole, late := []Interval{{100 * ms, 500 * ms}, {600 * ms, 650 * ms}}, []Interval{{180 * ms, 500 * ms}, {650 * ms, 650 * ms}}
	for _, c := range []struct {
		parts []int
		want  []Interval
		least int
	}{{[]int{0, 1}, slices.Concat(whole, late), 1}, {[]int{1}, late, 2}, {[]int{3, 1}, slices.Concat(late, late), 2}, {[]int{2}, late, 1}, {[]int{3}, late, 3}} {
		got, least := ref.lateGates(r, func(part int) bool { return slices.Contains(c.parts, part) })
		require.Equal(t, c.want, got, c.parts)
		require.Equal(t, c.least, least, c.parts)
	}
	got, _ := ref.lateGates(r, func(part int) bool { return part == 0 })
	require.Nil(t, got)
}

// A plan is known for as many voices as one was paid for, and from the peak on, where nothing is lost.
func TestLeastWeightThatIsKnown(t *testing.T) {
	list := make([]Interval, 4)
	for i := range list {
		list[i] = Interval{0, time.Second}
	}
	s := &Sizing{planned: 2, Demand: Demand{Pedal: 4}, Plans: NewPlans(list, []Weight{1, 1, 1, 1})}
	for v, want := range []Weight{4, 3, 2, -1, 0, 0} {
		lost, ok := s.LeastWeight(v)
		require.Equal(t, want >= 0, ok, v)
		require.Equal(t, max(0, want), lost, v)
	}
}

// weighed is the score of a replay with what its damaged notes weigh.
func weighed(r *Replay, weights []Weight) Score {
	s := r.Rig.Tally.Score
	s.Weight = r.AudibleLoss(weights)
	return s
}

// No rule beats a bound on any number of voices, and what looks ahead reaches
// it where there are no tails.
func TestSizingAgainstItsBounds(t *testing.T) {
	r, p := crowdedSong(400, 8)
	for i := range r.Config.Voices {
		r.Config.Voices[i].Envelope.Release = 0
	}
	rules := append(onlineRulesets(),
		Ruleset{Steal: alloc.StealFewestCuts}, Ruleset{Steal: alloc.StealLeastLost}, Ruleset{Steal: alloc.StealLeastAudible})
	s, err := Size(context.Background(), r, p, SizingOptions{Rulesets: rules})
	require.NoError(t, err)
	for _, at := range s.Points {
		bound := s.Bounds.At(at.Voices)
		for i, score := range at.Scores {
			require.GreaterOrEqual(t, score.Damaged(), bound.FewestDamaged, "%v on %d", rules[i], at.Voices)
			require.GreaterOrEqual(t, score.Lost, bound.Unavoidable, "%v on %d", rules[i], at.Voices)
			require.GreaterOrEqual(t, score.Weight, s.Plans.Lost(at.Voices), "%v on %d", rules[i], at.Voices)
		}
		require.Equal(t, bound.FewestDamaged, at.Scores[len(rules)-3].Damaged())
		require.Equal(t, bound.Unavoidable, at.Scores[len(rules)-2].Lost)
		require.Equal(t, s.Plans.Lost(at.Voices), at.Scores[len(rules)-1].Weight)
	}
}

func TestSizingEndsWhenAsked(t *testing.T) {
	r, p := crowdedSong(200, 8)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Size(ctx, r, p, SizingOptions{})
	require.ErrorIs(t, err, context.Canceled)
	for i := range r.Config.Voices {
		r.Config.Voices[i].State = alloc.Out
	}
	_, err = Size(context.Background(), r, p, SizingOptions{})
	require.EqualError(t, err, "no voice is in service, so there is nothing to size")
}

// Where voices differ the pool has the slowest release and no window; banks go
// on as they began.
func TestPooled(t *testing.T) {
	slow, fast := alloc.Envelope{Sustain: 1, Release: 3 * time.Second}, alloc.Envelope{Sustain: 1, Release: time.Second}
	window := alloc.Window{Bounded: true, High: 90}
	r := Rules{Config: alloc.Config{
		Voices: []alloc.Voice{{Bank: 0, Envelope: fast, Window: window}, {Bank: 0, State: alloc.Out, Envelope: slow},
			{Bank: 1, State: alloc.Limited, Keys: alloc.KeyRange{High: 60}, Envelope: fast, Window: window}, {Bank: 1, Envelope: fast, Window: window}},
		Parts: []alloc.Part{{Banks: []int{0}, Pick: alloc.PickFixed, Reserve: 2, Limit: 3, Unison: alloc.Unison{Voices: 4}}, {Banks: []int{1}, Reserve: 1}},
	}}
	p := Pooled(r, 6)
	var banks []int
	for _, v := range p.Config.Voices {
		require.Equal(t, alloc.Voice{Bank: v.Bank, Envelope: fast, Window: window}, v)
		banks = append(banks, v.Bank)
	}
	require.Equal(t, []int{0, 1, 1, 2, 2, 3}, banks)
	require.Equal(t, []int{0, 1, 2, 3}, p.Config.Parts[1].Banks)
	require.Equal(t, alloc.PickLongestIdle, p.Config.Parts[0].Pick)
	r.Config.Parts[1].Pick, r.Config.Parts[1].Second = alloc.PickSameKey, alloc.PickFixed
	p = Pooled(r, 6)
	require.Equal(t, []alloc.PickRule{alloc.PickSameKey, alloc.PickLongestIdle}, []alloc.PickRule{p.Config.Parts[1].Pick, p.Config.Parts[1].Second})
	require.Equal(t, 2, p.Config.Parts[0].Reserve)
	require.Equal(t, 4, r.Config.Parts[0].Unison.Voices)
	require.Equal(t, 2, Pooled(r, 3).Config.Parts[0].Reserve, "three reserved fit three voices")
	p = Pooled(r, 2)
	require.Equal(t, 0, p.Config.Parts[0].Reserve+p.Config.Parts[0].Limit+p.Config.Parts[1].Reserve, "three reserved do not fit two voices")
	require.Equal(t, 2, p.Config.Parts[0].Unison.Voices)

	r.Config.Voices[3].Envelope, r.Config.Voices[3].Window.High = slow, 96
	p = Pooled(r, 1)
	require.Equal(t, []alloc.Voice{{Envelope: slow}}, p.Config.Voices)

	soft := fast
	soft.Sustain = 0.5
	r.Config.Voices[2].Envelope, r.Config.Voices[3].Envelope = soft, soft
	require.Equal(t, fast, Pooled(r, 1).Config.Voices[0].Envelope, "of equal releases that of the first voice")

	r.Config.Parts[0].Unison = alloc.Unison{WhenShort: alloc.Blocks, Blocks: [][]int{{0, 1}}, ByVoice: make([]float64, 4)}
	require.Equal(t, alloc.Unison{WhenShort: alloc.Blocks}, Pooled(r, 6).Config.Parts[0].Unison, "which voices, and their detune, mean a certain rack")
	for i := range r.Config.Voices {
		r.Config.Voices[i].State = alloc.Out
	}
	require.Equal(t, []alloc.Voice{{}, {Bank: 1}}, Pooled(r, 2).Config.Voices, "banks of one voice where none is in service")
}

// Whoever watches sees each run once, with the outcomes that its score is of,
// weights aside.
func TestSizingIsWatched(t *testing.T) {
	r, p := crowdedSong(200, 8)
	rules := onlineRulesets()[:3]
	var mu sync.Mutex
	seen := map[[2]int]Score{}
	s, err := Size(context.Background(), r, p, SizingOptions{Rulesets: rules, Watch: func(voices, ruleset int, ref *Reference, outcomes []Outcome) {
		score := ScoreOf(outcomes)
		mu.Lock()
		defer mu.Unlock()
		require.Len(t, ref.Notes, len(outcomes))
		require.NotContains(t, seen, [2]int{voices, ruleset})
		seen[[2]int{voices, ruleset}] = score
	}})
	require.NoError(t, err)
	require.Len(t, seen, 4*len(s.Points))
	for _, at := range s.Points {
		for i, score := range append(at.Scores, at.Own) {
			score.Weight = 0
			require.Equal(t, score, seen[[2]int{at.Voices, i}])
		}
	}
}

// A copy of a song, of which no script was taken down, is played step by step, and the same.
func TestScoreOfACopy(t *testing.T) {
	r, p := crowdedSong(200, 8)
	ref := NewReference(r, p)
	want, err := NewRehearsal(p, ref).Score(r)
	require.NoError(t, err)
	require.NotZero(t, want.Damaged())
	p.Steps = slices.Clone(p.Steps)
	got, err := NewRehearsal(p, ref).Score(r)
	require.NoError(t, err)
	require.Equal(t, want, got)
}

// Before anything is played the demand is told; then of each run by the rules that the parts
// have, and of those that cost the same once, what it made of the notes, as a replay with
// times has it.
func TestSizingTells(t *testing.T) {
	r, p := crowdedSong(200, 8)
	r.Gap = 3 * ms
	var mu sync.Mutex
	var begun []Demand
	own := map[int][]Outcome{}
	rules := append([]Ruleset{{Steal: alloc.StealNewest}}, onlineRulesets()[:2]...) // the second is the parts' own
	s, err := Size(context.Background(), r, p, SizingOptions{Rulesets: rules,
		Begin: func(d Demand) { begun = append(begun, d) },
		Own: func(voices int, outcomes []Outcome, cuts []Cut) {
			mu.Lock()
			defer mu.Unlock()
			require.Len(t, begun, 1)
			require.NotContains(t, own, voices)
			own[voices] = slices.Clone(outcomes)
		}})
	require.NoError(t, err)
	require.Equal(t, []Demand{s.Demand}, begun)
	late := 0
	for voices := 1; voices < s.Demand.Pedal; voices++ {
		replay, err := Play(Pooled(r, voices), p)
		require.NoError(t, err)
		require.Equal(t, replay.Outcomes, own[voices], "%d voices", voices)
		for _, o := range own[voices] {
			if o.Late > 0 {
				late++
			}
		}
	}
	require.Positive(t, late)
}

// By hand: from where on the rig's rules do no harm, and below what every rule
// does some.
func TestHarmless(t *testing.T) {
	sizing := func(scores ...Score) *Sizing {
		s := &Sizing{Bounds: Curve{{}, {FewestDamaged: 4}, {}, {FewestDamaged: 1}, {}, {}}}
		for i, score := range scores {
			s.Points, s.Last = append(s.Points, SizePoint{Voices: i + 1, Own: score}), i+1
		}
		return s
	}
	none := math.Inf(-1)
	harm, loud, faint, fainter, whole := scoreOf(1, 0, 2, -30, 1), scoreOf(0, 0, 2, Faint+0.1, 0), scoreOf(0, 0, 2, Faint, 0), scoreOf(0, 0, 1, -31, 0), scoreOf(0, 0, 0, 0, 0)
	require.Equal(t, Harmless{2, 3, Faint, 5}, sizing(harm, loud, faint, fainter, whole).Harmless())
	require.Equal(t, Harmless{2, 4, -31, 5}, sizing(harm, faint, loud, fainter, whole).Harmless(), "a loud cut on the way")
	require.Equal(t, Harmless{4, 5, none, 5}, sizing(loud, faint, harm, loud, whole).Harmless())
	require.Equal(t, Harmless{3, 0, none, 0}, sizing(whole, harm, loud).Harmless())
	require.Equal(t, Harmless{0, 0, none, 0}, sizing(whole, fainter, harm).Harmless(), "the last does harm")
	require.Equal(t, 3, sizing(harm, harm, harm, whole, whole).TooFew())
	require.Equal(t, 1, sizing(harm, whole).TooFew(), "as far as the curve goes")
	require.Zero(t, (&Sizing{Points: []SizePoint{{Voices: 1}}}).TooFew())
}

// By hand: keys 60 and 62 from 1 to 3 s and from 2 to 4 s of 10 s; the second starts
// with a third on another channel, which is the later of the two in the list.
func TestSizingOfTwoNotes(t *testing.T) {
	r, _ := crowdedSong(1, 4)
	p := Performance{End: 10 * time.Second}
	for _, n := range []struct {
		from, to, key int
		channel       midi.Channel
	}{{1, 3, 60, 0}, {2, 4, 62, 0}, {2, 3, 70, 1}} {
		p.Steps = append(p.Steps, midi.Step{At: time.Duration(n.from) * time.Second, Kind: midi.StepNoteOn, Key: midi.Key(n.key), Channel: n.channel, Value: 64},
			midi.Step{At: time.Duration(n.to) * time.Second, Kind: midi.StepNoteOff, Key: midi.Key(n.key), Channel: n.channel})
	}
	slices.SortStableFunc(p.Steps, func(a, b midi.Step) int { return int(a.At - b.At) })
	var told []int
	var mu sync.Mutex
	s, err := Size(context.Background(), r, p, SizingOptions{Voices: 4, Also: []int{9, 7}, Progress: func(done, all int) {
		mu.Lock()
		defer mu.Unlock()
		require.Equal(t, 9, all)
		told = append(told, done)
	}})
	require.NoError(t, err)
	require.Len(t, s.Points, 9, "as far as any of those that are asked for")
	slices.Sort(told)
	require.Equal(t, []int{1, 2, 3, 4, 5, 6, 7, 8, 9}, told)
	second := func(n int) time.Duration { return time.Duration(n) * time.Second }
	require.Equal(t, []Shortage{{Interval{second(2), second(3)}, 3}}, s.Short(2, false))
	require.Equal(t, second(2), s.Short(2, true)[0].Start)
	require.Greater(t, s.Short(2, true)[0].End, second(3), "tails go on")
	require.Equal(t, []float64{0.3, 1, 0}, []float64{s.Share(second(3)), s.Share(second(11)), s.Share(0)})
	require.Zero(t, (&Sizing{Reference: &Reference{}}).Share(second(3)))
	require.Equal(t, 1.0, (&Sizing{Reference: &Reference{End: 1}}).Share(1))
	require.Equal(t, midi.Key(60), s.NoteAt(second(1)).Key)
	require.Equal(t, midi.Key(62), s.NoteAt(second(2)).Key)
	require.Nil(t, s.NoteAt(second(3)))
}

// TestLongerAndShorterReleases: the demand is that of a rig whose every release
// is 13/10 and 7/10 as long, and no key or pedal depends on it.
func TestLongerAndShorterReleases(t *testing.T) {
	r, p := crowdedSong(300, 20)
	with := func(tenths time.Duration) *Sizing {
		other := r
		other.Config.Voices = slices.Clone(r.Config.Voices)
		for i := range other.Config.Voices {
			other.Config.Voices[i].Envelope.Release = r.Config.Voices[i].Envelope.Release * tenths / 10
		}
		s, err := Size(context.Background(), other, p, SizingOptions{})
		require.NoError(t, err)
		return s
	}
	before := slices.Clone(r.Config.Voices)
	r.Stretched(2)
	require.Equal(t, before, r.Config.Voices, "what was given stays")
	now, longer, shorter := with(10), with(13), with(7)
	require.Equal(t, longer.Demand, now.Longer)
	require.Equal(t, shorter.Demand, now.Shorter)
	require.Less(t, now.Shorter.Audible, now.Demand.Audible)
	require.Less(t, now.Demand.Audible, now.Longer.Audible)
	require.Equal(t, [2]int{now.Demand.Held, now.Demand.Pedal}, [2]int{now.Longer.Held, now.Longer.Pedal})
}

func leastWeight(t *testing.T, s *Sizing, v int) Weight {
	t.Helper()
	w, ok := s.LeastWeight(v)
	require.True(t, ok)
	return w
}
