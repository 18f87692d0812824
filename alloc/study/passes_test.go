package study_test

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/timing"
	"choirloft/midi"
)

// Five notes that sound at once take two passes on four voices.
// On two voices the peak of 5 takes three, on one five.
func TestFewestPasses(t *testing.T) {
	five := song(t, 2000, "48 0-2000, 52 100-2000, 55 200-2000, 60 300-2000, 64 400-2000")
	for voices, want := range map[int]int{1: 5, 2: 3, 3: 2, 4: 2, 5: 1, 6: 1} {
		rec, err := study.FewestPasses(rig(voices, 0, nil), five, study.MostPasses)
		require.NoError(t, err)
		require.Len(t, rec.Passes, want, "%d voices", voices)
		require.Equal(t, want, rec.Fewest)
		require.Zero(t, rec.Damaged)
	}
}

// intervals tells a reference in words, sorted, so that splits can be compared.
func intervals(refs ...*study.Reference) (all []string) {
	for _, ref := range refs {
		for _, n := range ref.Notes {
			all = append(all, fmt.Sprint(n.Part, n.Port, n.Channel, n.Key, n.Velocity, n.Start, n.KeyUp, n.End, n.Superseded))
		}
	}
	slices.Sort(all)
	return all
}

// anySteps is a song with pedals, of few keys, so that many are struck again.
func anySteps(t *rapid.T) study.Performance {
	var p study.Performance
	down := map[midi.Key]int{}
	for range rapid.IntRange(1, 80).Draw(t, "events") {
		p.End += time.Duration(rapid.SampledFrom([]int{0, 0, 1, 4, 50}).Draw(t, "after")) * ms
		s := midi.Step{At: p.End, Tick: midi.Tick(p.End / ms), Key: midi.Key(rapid.IntRange(60, 67).Draw(t, "key")), Value: 80}
		switch rapid.IntRange(0, 9).Draw(t, "kind") {
		case 0, 1, 2, 3, 4:
			s.Kind = midi.StepNoteOn
			down[s.Key]++
		case 5, 6, 7, 8:
			s.Kind = midi.StepNoteOff
			down[s.Key] = max(0, down[s.Key]-1)
		default:
			s.Kind, s.Key, s.Value = midi.StepSustain, 0, rapid.SampledFrom([]uint16{0, 127}).Draw(t, "pedal")
		}
		p.Steps = append(p.Steps, s)
	}
	slices.SortStableFunc(p.Steps, func(a, b midi.Step) int { // as the midi package orders an instant
		on := func(s midi.Step) int { return map[bool]int{true: 1}[s.Kind == midi.StepNoteOn] }
		return cmp.Or(cmp.Compare(a.At, b.At), on(a)-on(b))
	})
	p.End += 100 * ms // a note that begins where the song ends meets what ends there
	return p
}

// A split gives every note to one pass, where it is as it was. On voices that
// are all alike the bound is reached: its proof stands at the code.
func TestPassLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anySteps(t)
		r := rig(rapid.IntRange(1, 4).Draw(t, "voices"), 0, func(r *study.Rules) {
			r.Config.Parts[0].SameKey = rapid.SampledFrom([]alloc.SameKey{alloc.RetriggerCounted, alloc.RetriggerFirstOff}).Draw(t, "same key")
		})
		ref := study.NewReference(r, p)
		n := rapid.IntRange(1, 4).Draw(t, "passes")
		var refs []*study.Reference
		for _, pass := range study.InPasses(r, p, ref, n) {
			refs = append(refs, study.NewReference(r, pass))
		}
		require.Equal(t, intervals(ref), intervals(refs...))

		rec, err := study.FewestPasses(r, p, study.MostPasses)
		require.NoError(t, err)
		peak := study.Peak(ref.Gates(func(int) bool { return true }))
		voices := len(r.Config.Voices)
		require.Equal(t, max(1, (peak+voices-1)/voices), rec.Fewest)
		require.Len(t, rec.Passes, rec.Fewest)
		require.Zero(t, rec.Damaged)
	})
}

// A key struck again as its note ends is a new note: it goes where the part's
// last one went, as any other. On two voices 60 and 62 fill the first pass, so
// 64 goes to the second, and 60 after it.
func TestPassOfAKeyStruckAgain(t *testing.T) {
	p := song(t, 1000, "60 0-500, 62 0-300, 64 100-200, 60 500-600")
	r := rig(2, 0, nil)
	passes := study.InPasses(r, p, study.NewReference(r, p), 2)
	require.Equal(t, []string{"60 0-500", "62 0-300"}, gates(study.NewReference(r, passes[0])))
	require.Equal(t, []string{"64 100-200", "60 500-600"}, gates(study.NewReference(r, passes[1])))
}

// Fewer passes than the bound damage notes, whatever is done.
func TestTooFewPasses(t *testing.T) {
	p := song(t, 2000, "48 0-2000, 52 100-2000, 55 200-2000, 60 300-2000, 64 400-2000")
	r := rig(2, 0, nil)
	damaged := 0
	for _, pass := range study.InPasses(r, p, study.NewReference(r, p), 2) {
		replay, err := study.Play(r, pass)
		require.NoError(t, err)
		damaged += replay.Rig.Tally.Damaged()
	}
	require.Equal(t, 1, damaged, "five notes on two times two voices")
}

// A mono part stays in one pass, and legato with it; a stack of two needs two
// voices for each note.
func TestPassesOfPartsApart(t *testing.T) {
	p := song(t, 1000, "48 0-1000, 52 200-600, 55 400-500")
	mono := rig(1, 0, func(r *study.Rules) { r.Config.Parts[0].Mode = alloc.MonoLast })
	rec, err := study.FewestPasses(mono, p, study.MostPasses)
	require.NoError(t, err)
	require.Len(t, rec.Passes, 1)
	stack := rig(4, 0, func(r *study.Rules) { r.Config.Parts[0].Unison = alloc.Unison{Voices: 2} })
	rec, err = study.FewestPasses(stack, p, study.MostPasses)
	require.NoError(t, err)
	require.Len(t, rec.Passes, 2, "three notes at once in stacks of two on four voices")
	require.Equal(t, 1, rec.Fewest, "the bound counts one voice a note")
	require.Zero(t, rec.Damaged)
}

// A key let go on the pedal at the very beginning was let go then, not when it is
// struck again.
func TestKeyUpAtTheBeginning(t *testing.T) {
	key := func(kind midi.StepKind, at time.Duration) midi.Step {
		return midi.Step{At: at, Kind: kind, Key: 60, Value: 64, Zero: at == 0}
	}
	p := study.Performance{End: time.Second, Steps: []midi.Step{{Kind: midi.StepSustain, Value: 127},
		key(midi.StepNoteOn, 0), key(midi.StepNoteOff, 0), key(midi.StepNoteOn, 500*ms), key(midi.StepNoteOff, 900*ms)}}
	r, err := study.Play(rig(2, 0, nil), p)
	require.NoError(t, err)
	require.Zero(t, r.Reference.Notes[0].KeyUp)
	require.Equal(t, 500*ms, r.Reference.Notes[0].End)
	p.Steps = p.Steps[:3] // kept to the end
	r, err = study.Play(rig(2, 0, nil), p)
	require.NoError(t, err)
	require.Zero(t, r.Reference.Notes[0].KeyUp)
	require.Equal(t, time.Second, r.Reference.Notes[0].End)
}

// Two presses of a key, one off, all on the pedal: the note is swallowed when that
// goes up, since its own off is still to come. An all notes off before that is its off.
func TestSwallowedBeforeItsOff(t *testing.T) {
	firstOff := func(r *study.Rules) { r.Config.Parts[0].SameKey = alloc.RetriggerFirstOff }
	for text, want := range map[string]bool{
		"cc64 down 0, on 60 100, on 60 200, off 60 300, cc64 up 500, off 60 600": true,
		"cc64 down 0, on 60 100, on 60 200, off 60 300, cc123 400, cc64 up 500":  false,
	} {
		r, err := study.Play(rig(2, 0, firstOff), song(t, 1000, text))
		require.NoError(t, err)
		last := r.Reference.Notes[1]
		require.Equal(t, 500*ms, last.End, text)
		require.Equal(t, want, last.Swallowed, text)
	}
}

// Of two notes one after the other the first needs a voice of its own only if bend
// moves its tail, which sounds for 1 s. A mono part has one, whatever is held. A bend of all of
// its range of 2 semitones at 150 ms moves the tail of 60 from 60 to nearly 62.
func TestUnlimitedVoices(t *testing.T) {
	for _, c := range []struct {
		bends  bool
		mode   alloc.Mode
		voices int
		first  []int // pitches of the first voice, rounded
	}{{false, alloc.Poly, 1, []int{60, 64}}, {true, alloc.Poly, 2, []int{60, 62}}, {false, alloc.MonoLast, 1, []int{60, 64}}} {
		rules := rig(1, 1000*ms, func(r *study.Rules) { r.Config.Parts[0].BendTails, r.Config.Parts[0].Mode = c.bends, c.mode })
		p := song(t, 2000, "60 0-100, bend 16383 150, 62 200-300")
		r, err := study.Play(rules, p)
		require.NoError(t, err)
		all, err := study.Unlimited(rules, p, r.Reference)
		require.NoError(t, err)
		require.Len(t, all, c.voices)
		var first []int
		for _, e := range all[0] {
			if e.Kind == timing.Pitch {
				first = append(first, int(math.Round(e.Value)))
			}
		}
		require.Equal(t, c.first, first)
	}
}

// A part that may have one voice of two has one for each of its notes where there are voices without limit.
func TestUnlimitedByLimits(t *testing.T) {
	rules := rig(2, 0, func(r *study.Rules) { r.Config.Parts[0].Limit = 1 })
	p := song(t, 2000, "60 0-300, 62 100-200")
	all, err := study.Unlimited(rules, p, study.NewReference(rules, p))
	require.NoError(t, err)
	require.Len(t, all, 2)
	require.Equal(t, []int{60, 62}, []int{int(all[0][0].Key), int(all[1][0].Key)})

	// So has each part, which has a voice though it plays nothing; what begins as another ends has its own.
	three := rig(1, 0, func(r *study.Rules) {
		for n := range 2 {
			r.Config.Parts = append(r.Config.Parts, r.Config.Parts[0])
			r.Config.Parts[n+1].Sources = []alloc.Source{{AnyPort: true, Channels: 2 << n}}
		}
		r.Config.Parts[0].Sources = []alloc.Source{{AnyPort: true, Channels: 1}}
	})
	p = song(t, 2000, "60 0-300, c2 62 100-200, c2 64 200-300")
	all, err = study.Unlimited(three, p, study.NewReference(three, p))
	require.NoError(t, err)
	require.Len(t, all, 4)
	require.Equal(t, []int{60, 62, 64, 0}, []int{int(all[0][0].Key), int(all[1][0].Key), int(all[2][0].Key), len(all[3])})
}

// Each note has its voice, as it was asked for, though the part plays in unison.
func TestUnlimitedWithoutUnison(t *testing.T) {
	rules := rig(2, 0, func(r *study.Rules) { r.Config.Parts[0].Unison = alloc.Unison{Voices: 2, Detune: []float64{-5, 5}} })
	p := song(t, 2000, "60 0-300, 62 100-200")
	all, err := study.Unlimited(rules, p, study.NewReference(rules, p))
	require.NoError(t, err)
	pitches := []float64{}
	for _, edges := range all {
		for _, e := range edges {
			if e.Kind == timing.Pitch {
				pitches = append(pitches, e.Value)
			}
		}
	}
	require.Equal(t, []float64{60, 62}, pitches)
}

// By hand: notes that are damaged in any number of passes are so in the fewest: two parts play one
// key on one voice, in two passes as in ten. Banks without a voice in service need no pass, and a
// pair that has but one voice goes by that.
func TestPassesThatMendNothing(t *testing.T) {
	both := rig(1, 0, func(r *study.Rules) { r.Config.Parts = append(r.Config.Parts, r.Config.Parts[0]) })
	rec, err := study.FewestPasses(both, song(t, 1000, "60 0-500"), study.MostPasses)
	require.NoError(t, err)
	require.Equal(t, []int{2, 2, 1}, []int{len(rec.Passes), rec.Fewest, rec.Damaged})
	p := song(t, 1000, "60 0-500, 62 0-500")
	out := rig(1, 0, func(r *study.Rules) { r.Config.Voices[0].State = alloc.Out })
	require.Equal(t, 1, study.PassBound(out, study.NewReference(out, p)))
	pair := rig(2, 0, func(r *study.Rules) {
		r.Config.Voices[1].State = alloc.Out
		r.Config.Parts[0].Unison = alloc.Unison{Voices: 2, WhenShort: alloc.Wait}
	})
	require.Equal(t, 2, study.PassBound(pair, study.NewReference(pair, p)))
}

// As many notes at once as an engine has voices can be played, one more cannot.
func TestUnlimitedEnds(t *testing.T) {
	for notes, fails := range map[int]bool{alloc.MaxVoices: false, alloc.MaxVoices + 1: true} {
		p := study.Performance{End: time.Second}
		for i := range notes {
			p.Steps = append(p.Steps, midi.Step{Kind: midi.StepNoteOn, Port: midi.Port(i / 2048), Channel: midi.Channel(i / 128 % 16), Key: midi.Key(i % 128), Value: 64})
		}
		rules := rig(1, 0, nil)
		all, err := study.Unlimited(rules, p, study.NewReference(rules, p))
		if fails {
			require.EqualError(t, err, "found 4097 notes at once, want at most 4096")
			continue
		}
		require.NoError(t, err)
		require.Len(t, all, notes)
	}
}

// By hand, two voices: a key that a mono part mutes takes no voice, so 64 finds one in the pass
// where its part's last note was. What no part plays is in the first.
func TestPassesOfMutedKeysAndStrays(t *testing.T) {
	r := rig(2, 0, func(r *study.Rules) {
		low := r.Config.Parts[0]
		low.Mode, low.Sources = alloc.MonoLow, []alloc.Source{{AnyPort: true, Channels: 1}}
		r.Config.Parts[0].Sources = []alloc.Source{{AnyPort: true, Channels: 2}}
		r.Config.Parts = append(r.Config.Parts, low)
	})
	p := song(t, 1000, "c2 60 0-50, 48 100-900, 52 200-800, c2 64 300-400, c3 70 500-600")
	passes := study.InPasses(r, p, study.NewReference(r, p), 2)
	require.Len(t, passes[0].Steps, len(p.Steps))
	require.Empty(t, passes[1].Steps)
}

// By hand, on two voices: of three notes at once that may be thinned two go into the first pass, and of two that
// wait for pairs one. A part that has one voice for itself has its second note in the second, whatever others have.
func TestRoomInPasses(t *testing.T) {
	for _, c := range []struct {
		how   alloc.WhenShort
		notes string
		first int
	}{{alloc.Thin, "60 0-500, 62 0-500, 64 0-500", 2}, {alloc.Wait, "60 0-500, 62 0-500", 1}, {alloc.Blocks, "60 0-500, 62 0-500", 1}} {
		r := rig(2, 0, unison(2, c.how))
		p := song(t, 1000, c.notes)
		require.Len(t, study.InPasses(r, p, study.NewReference(r, p), 2)[0].Steps, 2*c.first, c.notes)
	}
	r := rig(4, 0, func(r *study.Rules) {
		r.Config.Voices[3].Bank = 1
		high := r.Config.Parts[0]
		high.Banks, high.Sources = []int{1}, []alloc.Source{{AnyPort: true, Channels: 2}}
		r.Config.Parts[0].Sources = []alloc.Source{{AnyPort: true, Channels: 1}}
		r.Config.Parts = append(r.Config.Parts, high)
	})
	p := song(t, 1000, "60 0-500, c2 72 0-500, c2 74 0-500")
	passes := study.InPasses(r, p, study.NewReference(r, p), 2)
	require.Equal(t, []int{4, 2}, []int{len(passes[0].Steps), len(passes[1].Steps)})
}
