package study_test

import (
	"slices"
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

// byVelocity weighs a note by its velocity alone.
func byVelocity(_ []alloc.Part, ref *study.Reference) []study.Weight {
	weights := make([]study.Weight, len(ref.Notes))
	for i := range ref.Notes {
		if n := &ref.Notes[i]; n.End > n.Start {
			weights[i] = study.Weight(n.Velocity)
		}
	}
	return weights
}

// Notes weigh what the rules say, and where they say nothing all the same; each
// reference asks once.
func TestWeights(t *testing.T) {
	p := song(t, 1000, "on 60 0, on 60 0, off 60 500, 64 0-500")
	r := rig(1, 0, nil)
	require.Equal(t, []study.Weight{0, 1, 1}, study.NewReference(r, p).Weights())
	asked := 0
	r.Weigh = func(parts []alloc.Part, ref *study.Reference) []study.Weight {
		asked++
		return byVelocity(parts, ref)
	}
	ref := study.NewReference(r, p)
	for range 3 {
		require.Equal(t, []study.Weight{0, 100, 100}, ref.Weights())
		study.AudibleBound(r, ref)
	}
	require.Equal(t, 1, asked)
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

// Groups of parts that share nothing are bounded apart and added up.
func TestAudibleBound(t *testing.T) {
	p := song(t, 1000, "48 0-500, 52 100-500, 60 0-500, 64 0-500, 67 0-500")
	for i, v := range []uint16{100, 50, 80, 60, 70} {
		p.Steps[slices.IndexFunc(p.Steps, func(s midi.Step) bool { return s.Kind == midi.StepNoteOn && s.Key == []midi.Key{48, 52, 60, 64, 67}[i] })].Value = v
	}
	for _, c := range []struct {
		name  string
		banks []int
		want  study.Weight
	}{
		{"apart", []int{1}, 50 + 60 + 70},       // one voice for 48 and 52, one for the chord above
		{"together", []int{0, 1}, 50 + 60 + 70}, // two voices for 48 and 60
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rig(1, 0, lower(1, c.banks...))
			r.Weigh = byVelocity
			ref := study.NewReference(r, p)
			require.Equal(t, c.want, study.AudibleBound(r, ref))
			pooled := study.PooledPlans(r, ref)
			require.Equal(t, study.Weight(50+60+70), pooled.Lost(2))
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
		r.Weigh = byVelocity
		ref := study.NewReference(r, p)
		weights, bound := ref.Weights(), study.AudibleBound(r, ref)
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
		// 100 against twice 20, and twice 60
		{20, []string{"V1", "dropped 200 lost outer", "dropped 1300 lost outer"}},
		{60, []string{"V1 held-cut @500, 1500 lost outer", "V1", "V1"}},
	} {
		r := rig(1, 0, rules(alloc.PickLowest, alloc.StealLeastAudible))
		r.Weigh = byVelocity
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
		require.Equal(t, study.AudibleBound(r, ref), played.AudibleLoss(ref.Weights()))
	}
}

// Parts on banks of their own are planned apart: what one keeps says nothing of
// the other.
func TestLeastAudibleOfTwoGroups(t *testing.T) {
	r := rig(1, 0, lower(1, 1))
	r.Weigh = byVelocity
	for i := range r.Config.Parts {
		r.Config.Parts[i].Steal = alloc.StealLeastAudible
	}
	// On each voice a bass under two notes. Below they are soft
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
	require.Equal(t, study.AudibleBound(r, played.Reference), played.AudibleLoss(played.Reference.Weights()))
}

// What a replay loses is what its damaged notes weigh, told by a rehearsal too.
func TestAudibleLoss(t *testing.T) {
	r := rig(2, 0, rules(alloc.PickLowest, alloc.StealHighest))
	r.Weigh = byVelocity
	p := song(t, 1000, "60 0-500, 64 100-500, 67 200-400, 72 300-500")
	played, err := study.Play(r, p)
	require.NoError(t, err)
	// 67 takes the voice of 64, the highest, and 72 that of 67.
	weights := played.Reference.Weights()
	const want study.Weight = 100 + 100
	require.Equal(t, want, played.AudibleLoss(weights))
	h := study.NewRehearsal(p, played.Reference)
	h.Weigh(weights)
	score, err := h.Score(r)
	require.NoError(t, err)
	require.Equal(t, want, score.Weight)
}

// No rule loses less than the bound on any real song.
func TestCorporaAudibleBound(t *testing.T) {
	allRules := append(pickingRules(), stealingRules()...)
	eachSong(t, func(t *testing.T, song corpusSong) {
		alone := wall(1)
		alone.Weigh = byVelocity
		ref := study.NewReference(alone, song.Performance)
		weights := ref.Weights()
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

// A part is asked for by the slowest of its voices in service; where none is, by the
// slowest that is out, or else of the others.
func TestSlowest(t *testing.T) {
	voice := func(bank int, release time.Duration, state alloc.VoiceState) alloc.Voice {
		return alloc.Voice{Bank: bank, State: state, Envelope: alloc.Envelope{Release: release}}
	}
	part := func(banks ...int) alloc.Part { return alloc.Part{Banks: banks} }
	r := study.Rules{Config: alloc.Config{
		Voices: []alloc.Voice{voice(0, 1, alloc.In), voice(0, 3, alloc.Out), voice(0, 2, alloc.In), voice(1, 5, alloc.Out), voice(1, 6, alloc.Out), voice(0, 2, alloc.In)},
		Parts:  []alloc.Part{part(0), part(1), part(0, 1), part(7)}}}
	require.Equal(t, []int{2, 4, 2, 2}, r.Slowest())
	require.Equal(t, time.Duration(6), r.Envelopes()[1].Release)
	r.Config.Voices = []alloc.Voice{voice(0, 2, alloc.In), voice(0, 3, alloc.Out), voice(0, 1, alloc.In)}
	require.Zero(t, r.Slowest()[0], "the first voice, though a slower one is out")
	r.Config.Voices = nil
	require.Equal(t, []int{-1, -1, -1, -1}, r.Slowest())
	require.Equal(t, alloc.Envelope{}, r.Envelopes()[0])
}
