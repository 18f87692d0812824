package study_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// lower is a second part, below key 60, on bank 1.
func lower(priority int, banks ...int) func(*study.Rules) {
	return func(r *study.Rules) {
		part := r.Config.Parts[0]
		r.Config.Voices = append(r.Config.Voices, alloc.Voice{Bank: 1})
		r.Config.Parts[0].Keys.Low = 60
		part.Name, part.Keys.High, part.Priority, part.Banks = "lower", 59, priority, banks
		r.Config.Parts = append(r.Config.Parts, part)
	}
}

// A note of velocity 100 weighs 100 000 · 100/127 = 78 740.157 where it is
// inner, twice that where it is outer.
func TestWeights(t *testing.T) {
	const full = 100_000 * 100.0 / 127
	slow := func(r *study.Rules) { r.Config.Voices[0].Envelope.Attack = time.Second }
	legato := func(r *study.Rules) {
		r.Config.Voices[0].Envelope.Sustain = 0.5
		r.Config.Parts[0].Mode = alloc.MonoLast
	}
	for _, c := range []struct {
		name   string
		change func(*study.Rules)
		words  string
		want   []float64
	}{
		{"alone", nil, "60 0-500", []float64{2 * full}},
		{"an inner note", nil, "60 0-500, 64 0-500, 67 0-500", []float64{2 * full, full, 2 * full}},
		{"one key twice is one outer key", func(r *study.Rules) { r.Config.Parts[0].SameKey = alloc.StackFIFO },
			"60 0-500, 60 0-500, 64 0-500", []float64{2 * full, 2 * full, 2 * full}},
		// 64 is on top for 400 of 1000 ms, 72 for all of its 600.
		{"on top for a while", nil, "60 0-1000, 64 0-1000, 72 400-1000", []float64{2 * full, 1.4 * full, 2 * full}},
		// Level after half a second of an attack of 1 s: 1.3 − 1.3·√(0.3/1.3).
		{"a stab under a slow attack", slow, "60 0-500", []float64{2 * full * (1.3 - math.Sqrt(0.39))}},
		{"a slow attack that gets up", slow, "60 0-1000", []float64{2 * full}},
		// Struck again at 0.6755: both toward 1.3, so the second comes as far
		// as one that has risen for a second: full.
		{"struck again on the way up", slow, "60 0-800, on 60 500", []float64{2 * full * (1.3 - math.Sqrt(0.39)), 2 * full}},
		// 300 ms after full the distance to sustain, 0.5, has fallen by 60 dB:
		// full at 5 ms, the second key goes on from there at 305 ms.
		{"legato", legato, "60 0-900, 62 305-900", []float64{2 * full, 2 * full * 0.5005}},
		{"priority 3, banks apart", lower(3, 1), "48 0-500, 60 0-500, 64 0-500, 67 0-500",
			[]float64{full / 2, 2 * full, full, 2 * full}},
		{"priority 3, a bank shared", lower(3, 0, 1), "48 0-500, 60 0-500, 64 0-500, 67 0-500",
			[]float64{full / 2, full, full, 2 * full}},
		{"the least", lower(30, 1), "48 0-500", []float64{1}},
		{"no length", nil, "on 60 0, on 60 0, off 60 500", []float64{0, 2 * full}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rig(1, 0, c.change)
			got := study.Weights(r, study.NewReference(r, song(t, 1000, c.words)))
			require.Len(t, got, len(c.want))
			for i, want := range c.want {
				require.Equal(t, study.Weight(math.Round(want)), got[i], "note %d", i)
			}
		})
	}
	require.Equal(t, 1.5, study.Weight(150_000).Notes())
}

// anySong draws chords, pedals and repeated keys on a grid of 100 ms.
func anySong(most int) *rapid.Generator[study.Performance] {
	return rapid.Custom(func(t *rapid.T) study.Performance {
		var p study.Performance
		down := map[midi.Key]bool{}
		for range rapid.IntRange(0, most).Draw(t, "steps") {
			p.End += time.Duration(rapid.IntRange(0, 2).Draw(t, "later")) * 100 * ms
			key := midi.Key(rapid.IntRange(55, 66).Draw(t, "key"))
			s := midi.Step{At: p.End, Tick: midi.Tick(p.End / ms), Key: key, Kind: midi.StepNoteOn}
			switch {
			case rapid.IntRange(0, 9).Draw(t, "pedal") == 0:
				s = midi.Step{At: p.End, Kind: midi.StepSustain, Value: uint16(127 * rapid.IntRange(0, 1).Draw(t, "down"))}
			case down[key] && rapid.IntRange(0, 3).Draw(t, "again") > 0:
				s.Kind, down[key] = midi.StepNoteOff, false
			default:
				s.Value, down[key] = uint16(rapid.IntRange(1, 127).Draw(t, "velocity")), true
			}
			p.Steps = append(p.Steps, s)
		}
		p.End += time.Second
		return p
	})
}

// A rig without parts loses nothing that it was asked for.
func TestPlansWithoutParts(t *testing.T) {
	r := rig(2, 0, nil)
	r.Config.Parts = nil
	ref := study.NewReference(r, song(t, 1000, "60 0-500, 62 0-500, 64 0-500"))
	require.Zero(t, study.PooledPlans(r, ref).Lost(1))
	require.Zero(t, study.AudibleBound(r, ref))
}

// TestOuterShareByCells looks at every 5 ms, of which all times here are
// multiples, who is the lowest and the highest.
func TestOuterShareByCells(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rig(2, 0, lower(rapid.IntRange(1, 3).Draw(t, "priority"), rapid.SampledFrom([][]int{{1}, {0, 1}}).Draw(t, "banks")...))
		ref := study.NewReference(r, anySong(40).Draw(t, "song"))
		shared := len(r.Config.Parts[1].Banks) == 2
		for i, got := range study.Weights(r, ref) {
			n := &ref.Notes[i]
			if n.Start == n.End {
				require.Zero(t, got)
				continue
			}
			cells, outer := 0, 0
			for at := n.Start; at < n.End; at += 5 * ms {
				lowest, highest := true, true
				for _, m := range ref.Notes {
					if m.Start <= at && at < m.End && (shared || m.Part == n.Part) {
						lowest = lowest && m.Sounding >= n.Sounding
						highest = highest && m.Sounding <= n.Sounding
					}
				}
				cells++
				if lowest || highest {
					outer++
				}
			}
			want := 100_000 * float64(n.Velocity) / 127 * (1 + float64(outer)/float64(cells)) /
				float64(int(1)<<(r.Config.Parts[n.Part].Priority-1))
			require.InDelta(t, want, float64(got), 0.51, fmt.Sprint(i))
		}
	})
}

// Groups of parts that share nothing are bounded apart and added up.
func TestAudibleBound(t *testing.T) {
	p := song(t, 1000, "48 0-500, 52 100-500, 60 0-500, 64 0-500, 67 0-500")
	for _, c := range []struct {
		name  string
		banks []int
		want  []study.Weight
	}{
		// Apart: one voice for 48 and 52, both outer: full·2 (twice 157 480.3);
		// one for the chord above, which keeps an outer one and loses 2 + 1.
		{"apart", []int{1}, []study.Weight{157_480, 157_480 + 78_740}},
		// Together on two voices: 52 is inner, as are 60 and 64, so 48 and 67
		// are kept.
		{"together", []int{0, 1}, []study.Weight{3 * 78_740}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rig(1, 0, lower(1, c.banks...))
			ref := study.NewReference(r, p)
			var want study.Weight
			for _, w := range c.want {
				want += w
			}
			require.Equal(t, want, study.AudibleBound(r, ref))
			pooled := study.PooledPlans(r, ref)
			require.Equal(t, study.Weight(3*78_740), pooled.Lost(2))
			require.Equal(t, 5, pooled.Peak())
		})
	}
}

// Without tails, unison, reserves and limits least-audible reaches its bound,
// which no other rule beats.
func TestLeastAudibleReachesItsBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bank := rapid.IntRange(0, 1).Draw(t, "bank") // 1: two groups, the second on one voice
		r := rig(rapid.IntRange(1, 5).Draw(t, "voices"), 0, lower(1, bank))
		for i := range r.Config.Parts {
			part := &r.Config.Parts[i]
			part.SameKey = alloc.SameKey(rapid.IntRange(0, len(alloc.SameKeyNames())-1).Draw(t, "same key"))
			part.Mode = alloc.Mode(rapid.SampledFrom([]int{0, 0, 0, 1, 2, 3}).Draw(t, "mode"))
			part.ReattackPress, part.ReattackReturn = rapid.Bool().Draw(t, "press"), rapid.Bool().Draw(t, "return")
		}
		for i := range r.Config.Voices {
			r.Config.Voices[i].Envelope.Attack = time.Duration(rapid.IntRange(0, 300).Draw(t, "attack")) * ms
			r.Config.Voices[i].Envelope.Sustain = 0.7
		}
		p := anySong(60).Draw(t, "song")
		ref := study.NewReference(r, p)
		weights, bound := study.Weights(r, ref), study.AudibleBound(r, ref)
		for steal := range alloc.StealNames() {
			for i := range r.Config.Parts {
				r.Config.Parts[i].Steal = alloc.StealRule(steal)
			}
			played, err := study.PlayReference(r, p, ref)
			require.NoError(t, err)
			if alloc.StealRule(steal) == alloc.StealLeastAudible {
				require.Equal(t, bound, played.AudibleLoss(weights))
			}
			require.GreaterOrEqual(t, played.AudibleLoss(weights), bound, alloc.StealRule(steal).String())
		}
	})
}

// A bass under two ornaments, on one voice: to damage the fewest notes the bass
// must go, whatever it weighs. Soft ornaments are missed less than the bass,
// loud ones more.
func TestLeastAudibleByHand(t *testing.T) {
	for _, c := range []struct {
		velocity uint16 // of the ornaments; the bass has 100
		want     []string
	}{
		// 2 · 100 against twice 2 · 20, and twice 2 · 60, in 127ths of a full note.
		{20, []string{"V1", "dropped 200 lost outer", "dropped 1300 lost outer"}},
		{60, []string{"V1 held-cut @500, 1500 lost outer", "V1", "V1"}},
	} {
		r := rig(1, 0, rules(alloc.PickLowest, alloc.StealLeastAudible))
		p := song(t, 2300, "36 0-2000, 60 500-700, 62 1000-2300")
		for i := range p.Steps {
			if s := &p.Steps[i]; s.Kind == midi.StepNoteOn && s.Key >= 60 {
				s.Value = c.velocity
			}
		}
		played, err := study.Play(r, p)
		require.NoError(t, err)
		require.Equal(t, c.want, told(played))
		ref := played.Reference
		require.Equal(t, study.AudibleBound(r, ref), played.AudibleLoss(study.Weights(r, ref)))
	}
}

// Parts on banks of their own are planned apart: what one keeps says nothing of
// the other.
func TestLeastAudibleOfTwoGroups(t *testing.T) {
	r := rig(1, 0, lower(1, 1))
	for i := range r.Config.Parts {
		r.Config.Parts[i].Steal = alloc.StealLeastAudible
	}
	// On each voice a bass under two notes; all are outer. Below they are soft
	// (20 and 20 against 100) and give way, above as loud as the long one
	// (100 and 100 against 100), which gives way to the first. The upper part
	// plays between the notes of the lower.
	p := song(t, 2300, "36 0-2000, 60 10-2000, 40 500-700, 64 510-700, 41 1000-1300, 65 1010-1300")
	for i := range p.Steps {
		if s := &p.Steps[i]; s.Kind == midi.StepNoteOn && (s.Key == 40 || s.Key == 41) {
			s.Value = 20
		}
	}
	played, err := study.Play(r, p)
	require.NoError(t, err)
	require.Equal(t, []string{"V2", "V1 held-cut @510, 1490 lost outer", "dropped 200 lost outer", "V1", "dropped 300 lost outer", "V1"}, told(played))
	require.Equal(t, study.AudibleBound(r, played.Reference), played.AudibleLoss(study.Weights(r, played.Reference)))
}

// What a replay loses is what its damaged notes weigh, told by a rehearsal too.
func TestAudibleLoss(t *testing.T) {
	r := rig(2, 0, rules(alloc.PickLowest, alloc.StealHighest))
	p := song(t, 1000, "60 0-500, 64 100-500, 67 200-400, 72 300-500")
	played, err := study.Play(r, p)
	require.NoError(t, err)
	// 67 takes the voice of 64, the highest, and 72 that of 67. 64 is on top
	// for 100 of 400 ms, 67 for 100 of 200.
	weights := study.Weights(r, played.Reference)
	want := study.Weight(math.Round(1.25*100_000*100/127) + math.Round(1.5*100_000*100/127))
	require.Equal(t, want, played.AudibleLoss(weights))
	h := study.NewRehearsal(p, played.Reference)
	h.Weigh(weights)
	score, err := h.Score(r)
	require.NoError(t, err)
	require.Equal(t, want, score.Weight)
}

// No rule loses less than the bound on any real song.
func TestCorporaAudibleBound(t *testing.T) {
	corpora(t)
	allRules := append(pickingRules(), stealingRules()...)
	eachSong(t, []corpus{simutrans, openmsx}, func(t *testing.T, song corpusSong) {
		ref := study.NewReference(wall(1), song.Performance)
		weights := study.Weights(wall(1), ref)
		h := study.NewRehearsal(song.Performance, ref)
		h.Weigh(weights)
		for _, voices := range pools {
			rules := wall(voices)
			bound := study.AudibleBound(rules, ref)
			require.Equal(t, study.PooledPlans(rules, ref).Lost(voices), bound)
			for _, rule := range allRules {
				part := &rules.Config.Parts[0]
				part.Pick, part.Steal = rule.pick, rule.steal
				score, err := h.Score(rules)
				require.NoError(t, err)
				require.GreaterOrEqual(t, score.Weight, bound, "%d voices, %v, %v", voices, rule.pick, rule.steal)
			}
		}
	})
}
