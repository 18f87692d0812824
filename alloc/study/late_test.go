package study_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// Two voices a note on four; 60 and 62 take them all. The third note waits for
// the end of one of them. By hand.
func TestNotesThatWait(t *testing.T) {
	for _, c := range []struct {
		name, song string
		t60        time.Duration
		want       []string
		lost       time.Duration // in milliseconds
		damaged    int
	}{
		{"80 ms late", "60 0-500, 62 0-900, 64 420-900", 0, []string{"V1", "V3", "V1"}, 80, 0},
		{"81 ms late", "60 0-500, 62 0-900, 64 419-900", 0, []string{"V1", "V3", "V1 late-start @419, 81 lost outer"}, 81, 1},
		{"an inner voice", "60 0-500, 64 0-900, 62 100-900", 0, []string{"V1", "V3", "V1 late-start @100, 400 lost"}, 400, 1},
		{"never", "60 0-500, 62 0-900, 64 100-499", 0, []string{"V1", "V3", "dropped 399 lost outer"}, 399, 1},
		// 60 is let go first, so 64 has its voices for an instant.
		{"at its end", "60 0-500, 62 0-900, 64 100-500", 0, []string{"V1", "V3", "V1 late-start @100, 400 lost outer"}, 400, 1},
		// Struck again while it waits, what it was before never sounds; what it is now waits 30 ms.
		{"struck again", "60 0-500, 62 0-900, on 64 100, on 64 470, off 64 880, off 64 900", 0,
			[]string{"V1", "V3", "dropped 370 lost outer", "V1"}, 400, 1},
		{"struck again at that instant", "60 0-500, 62 0-900, on 64 100, on 64 100, off 64 880, off 64 900", 0,
			[]string{"V1", "V3", "V0 superseded", "V1 late-start @100, 400 lost outer"}, 400, 1},
		// It began late, and is struck again while it sounds.
		{"superseded", "60 0-500, 62 0-900, on 64 100, on 64 700, off 64 880, off 64 900", 0,
			[]string{"V1", "V3", "V1 late-start @100, 400 lost outer", "V1"}, 400, 1},
		{"all sound off", "60 0-500, 62 0-900, 64 100-900, cc120 800", 0, []string{"V1", "V3", "V1 late-start @100, 400 lost outer"}, 400, 1},
		{"all notes off while it waits", "60 0-500, 62 0-900, 64 100-900, cc123 400", 0, []string{"V1", "V3", "V1 late-start @100, 300 lost outer"}, 300, 1},
		// Its tail is cut 100 ms after its end: a late start is the worse.
		{"tail", "60 0-500, 62 0-2000, 64 100-900, 65 1000-2000", 1000 * ms,
			[]string{"V1 tail-cut @500 0 dB", "V3", "V1 late-start @100, 400 lost outer", "V1"}, 400, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := study.Play(rig(4, c.t60, unison(2, alloc.Wait)), song(t, 2000, c.song))
			require.NoError(t, err)
			require.Equal(t, c.want, told(r))
			require.Equal(t, c.lost*ms, r.Rig.Tally.Lost)
			require.Equal(t, c.damaged, r.Rig.Tally.Damaged())
			require.Equal(t, c.damaged, r.Rig.Tally.Hurt())
			for i, o := range r.Outcomes {
				if o.Ending == study.LateStart {
					require.Equal(t, alloc.CauseUnison, o.Cause)
					require.Equal(t, alloc.NoNote, o.By)
					require.Equal(t, r.Reference.Notes[i].Start, o.At)
				}
			}
		})
	}
}

// 66 waits 200 ms for two voices, of which one has been silent for 100 ms and the other
// just fell: its gate stays low for the gap of 3 ms, so that it opens 203 ms late.
func TestLateByAGapToo(t *testing.T) {
	r, err := study.Play(rig(2, 0, func(r *study.Rules) {
		unison(2, alloc.Wait)(r)
		single(r)
	}), song(t, 2000, "c2 60 0-400, c2 61 0-500, 66 300-2000"))
	require.NoError(t, err)
	require.Equal(t, []time.Duration{0, 0, 203 * ms}, []time.Duration{r.Outcomes[0].Late, r.Outcomes[1].Late, r.Outcomes[2].Late})
	require.Equal(t, 200*ms, r.Outcomes[2].Waited)
}

// More keys are down than there are voices: 66 waits for want of voices, not of
// a smaller unison.
func TestWhyANoteWaits(t *testing.T) {
	r, err := study.Play(rig(2, 0, unison(2, alloc.Wait)), song(t, 2000, "60 0-500, 62 100-900, 66 200-2000"))
	require.NoError(t, err)
	require.Equal(t, []string{"V1", "V1 late-start @100, 400 lost outer", "V1 late-start @200, 700 lost outer"}, told(r))
	require.Equal(t, alloc.CauseUnison, r.Outcomes[1].Cause)
	require.Equal(t, alloc.CauseUnison, r.Outcomes[2].Cause, "62 has no voice yet, so it is not in the way")

	r, err = study.Play(rig(4, 0, func(r *study.Rules) {
		unison(2, alloc.Wait)(r)
		single(r)
	}), song(t, 2000, "c2 60 0-500, c2 61 0-500, c2 62 0-500, c2 63 0-500, 66 200-2000"))
	require.NoError(t, err)
	require.Equal(t, alloc.CauseShortage, r.Outcomes[4].Cause)
}

// A note that takes nothing from tails waits for the first of them to end, whichever
// release that has: 64 for those of 60, at 100 + 1000 ms, not those of 62. By hand.
func TestFirstTailThatEnds(t *testing.T) {
	r, err := study.Play(rig(4, 1000*ms, func(r *study.Rules) {
		unison(2, alloc.Wait)(r)
		r.Config.Parts[0].Steal = alloc.StealHardNone
		r.Config.Voices[2].Envelope.Release, r.Config.Voices[3].Envelope.Release = 3000*ms, 3000*ms
	}), song(t, 4000, "60 0-100, 62 50-100, 64 200-2000"))
	require.NoError(t, err)
	require.Equal(t, []string{"V1", "V3", "V1 late-start @200, 900 lost outer"}, told(r))
}

// The second 60 sounds on V1 and V2, where the first was; 62 leaves tails on V3 and V4 until 400 + 1000
// ms; V5 is silent. The third 60 wants two silent voices: V1 and V2 are none, though they had its key
// before. So it takes those of the tails, or in strict turn V5 and V1, when 60 goes up. By hand.
func TestWaitsForVoicesOfItsKey(t *testing.T) {
	for second, want := range map[alloc.PickRule]string{
		alloc.PickLowest:           "V3 late-start @500, 900 lost",
		alloc.PickStrictRoundRobin: "V1 late-start @500, 1500 lost",
	} {
		r, err := study.Play(rig(5, 1000*ms, func(r *study.Rules) {
			unison(2, alloc.Wait)(r)
			p := &r.Config.Parts[0]
			p.Pick, p.Second, p.Steal, p.SameKey = alloc.PickSameKey, second, alloc.StealHardNone, alloc.StackFIFO
		}), song(t, 4000, "60 0-100, 60 200-2000, 62 300-400, 60 500-2500"))
		require.NoError(t, err)
		require.Equal(t, want, strings.TrimSuffix(told(r)[3], " outer"), second)
	}
}

// single adds a part of one voice a note, on channel 2, that steals from whoever
// is the oldest.
func single(r *study.Rules) {
	other := r.Config.Parts[0]
	other.Name, other.Unison, other.Steal = "single", alloc.Unison{}, alloc.StealLowest
	r.Config.Parts[0].Sources = []alloc.Source{{AnyPort: true, Channels: 1}}
	other.Sources = []alloc.Source{{AnyPort: true, Channels: 2}}
	r.Config.Parts = append(r.Config.Parts, other)
}

// By hand, an attack of 10 ms and a decay of 100, to nothing: legato goes on with the attack of the key before, and a
// key that is muted would have had its own. A key that returns at 600 is attacked again from silence and let go
// after 2 ms, at least a fifth of the way up: −14 dB, heard 10 ms for each of the 26 dB down to −40, or a little longer.
func TestAttacksOfMonoKeys(t *testing.T) {
	mono := func(mode alloc.Mode, reattack bool, words string) []study.Note {
		r := rig(1, 600*ms, func(r *study.Rules) {
			p := &r.Config.Parts[0]
			p.Mode, p.ReattackPress, p.ReattackReturn = mode, reattack, reattack
			r.Config.Voices[0].Envelope = alloc.Envelope{Attack: 10 * ms, Decay: 100 * ms, Release: 600 * ms}
		})
		return study.NewReference(r, song(t, 1000, words)).Notes
	}
	notes := mono(alloc.MonoLast, false, "60 0-300, 62 200-300")
	require.Equal(t, []time.Duration{10 * ms, 10 * ms}, []time.Duration{notes[0].Full, notes[1].Full})
	notes = mono(alloc.MonoLow, false, "60 0-300, 62 200-300")
	require.Equal(t, []time.Duration{10 * ms, 210 * ms}, []time.Duration{notes[0].Full, notes[1].Full})
	muted := &notes[1]
	require.Equal(t, []time.Duration{200 * ms, 200 * ms, 200 * ms}, []time.Duration{muted.KeyUp, muted.End, muted.TailEnd})
	require.True(t, muted.Superseded)
	notes = mono(alloc.MonoLast, true, "on 60 0, on 62 100, off 62 600, off 60 602")
	require.Equal(t, 602*ms, notes[1].End)
	require.Equal(t, 1.0, notes[1].Peak, "of its first attack")
	require.InDelta(t, 320, (notes[1].TailEnd - notes[1].End).Milliseconds(), 60)
}

// A note that began late and then loses its voices to another part: dropped,
// born-cut, pedal-cut, held-cut, late-start, overlap-only. Two voices, for one
// note of the unison at a time; 70 of the other part takes one of them and 72 the
// other. 60 waits from 100 until 50 ends at 400.
func TestLateStartAmongTheEndings(t *testing.T) {
	for _, c := range []struct {
		name, song, want string
		lost             time.Duration
	}{
		{"cut 100 ms early", "50 0-400, 60 100-900, c2 70 800-1000, c2 72 800-1000", "V1 held-cut @800, 400 lost outer", 300 + 100},
		{"cut 81 ms early", "50 0-400, 60 100-900, c2 70 819-1000, c2 72 819-1000", "V1 held-cut @819, 381 lost outer", 300 + 81},
		{"cut 80 ms early", "50 0-400, 60 100-900, c2 70 820-1000, c2 72 820-1000", "V1 late-start @100, 380 lost outer", 300 + 80},
		{"cut at its end", "50 0-400, 60 100-900, c2 70 900-1000, c2 72 900-1000", "V1 late-start @100, 300 lost outer", 300},
		{"on the pedal", "50 0-400, 60 100-600, cc64 down 500, cc64 up 900, c2 70 880-1000, c2 72 880-1000", "V1 pedal-cut @880, 320 lost outer", 300 + 20},
		{"cut at birth", "50 0-400, 60 100-900, c2 70 404-1000, c2 72 404-1000", "V1 born-cut @404, 796 lost outer", 300 + 496},
		{"cut just after", "50 0-400, 60 100-900, c2 70 405-1000, c2 72 405-1000", "V1 held-cut @405, 795 lost outer", 300 + 495},
		{"thinned", "50 0-400, 60 100-900, c2 70 500-600", "V1 late-start @100, 300 lost outer", 300},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := study.Play(rig(2, 0, func(r *study.Rules) {
				unison(2, alloc.Wait)(r)
				single(r)
			}), song(t, 2000, c.song))
			require.NoError(t, err)
			require.Equal(t, c.want, told(r)[1])
			require.Equal(t, c.lost*ms, r.Outcomes[1].Lost)
			require.Equal(t, 300*ms, r.Outcomes[1].Waited)
		})
	}
}

// Three notes want the two voices of a stack at once for 10 ms, and pass one
// after the other, none later than 20 ms: no rule has to damage one, though one
// voice a note could not play them all. Both bounds by hand.
func TestBoundOfNotesThatWait(t *testing.T) {
	p := song(t, 2000, "60 0-1000, 62 990-1010, 64 990-2000")
	r := rig(2, 0, unison(2, alloc.Wait))
	replay, err := study.Play(r, p)
	require.NoError(t, err)
	require.Equal(t, []string{"V1", "V1", "V1"}, told(replay))
	require.Equal(t, 30*ms, replay.Rig.Tally.Lost)
	require.Equal(t, 2, replay.Rig.Tally.Late)
	require.Equal(t, study.Bound{Unavoidable: 10 * ms}, replay.Rig.Bound)
	require.Equal(t, 1, study.PassBound(r, replay.Reference), "two at once by one voice a note")
	require.Equal(t, 1, study.FewestDamaged(replay.Reference.Gates(func(int) bool { return true }), 2))

	sizing, err := study.Size(t.Context(), r, p, study.SizingOptions{Voices: 2})
	require.NoError(t, err)
	require.Zero(t, sizing.Bounds.At(2).FewestDamaged, "the curve has the same bound")

	r.Config.Parts[0].Unison.WhenShort = alloc.Thin
	replay, err = study.Play(r, p)
	require.NoError(t, err)
	require.Equal(t, study.Bound{Unavoidable: 10 * ms, FewestDamaged: 1}, replay.Rig.Bound)

	// Where they overlap for 81 ms one of them must be damaged.
	r.Config.Parts[0].Unison.WhenShort = alloc.Wait
	replay, err = study.Play(r, song(t, 2000, "60 0-1000, 62 919-2000, 64 919-2000"))
	require.NoError(t, err)
	require.Equal(t, 1, replay.Rig.Bound.FewestDamaged)
}

// No rule beats the bounds where notes wait either: songs on a grid of 20 ms,
// on few voices, parts that wait beside others.
func TestBoundsWhereNotesWait(t *testing.T) {
	late, whole, dropped, relaxed := 0, 0, 0, 0
	play := func(t *rapid.T) {
		n := rapid.IntRange(2, 3).Draw(t, "unison")
		r := rig(rapid.IntRange(n, 3*n).Draw(t, "voices"), time.Duration(rapid.IntRange(0, 1).Draw(t, "tail"))*200*ms, func(r *study.Rules) {
			unison(n, alloc.Wait)(r)
			if rapid.Bool().Draw(t, "another part") {
				single(r)
			}
		})
		for i := range r.Config.Parts {
			part := &r.Config.Parts[i]
			part.Pick = alloc.PickRule(rapid.IntRange(0, len(alloc.PickNames())-2).Draw(t, "pick")) // not fixed
			part.Steal = alloc.StealRule(rapid.IntRange(0, len(alloc.StealNames())-1).Draw(t, "steal"))
			part.SameKey = alloc.SameKey(rapid.IntRange(0, len(alloc.SameKeyNames())-1).Draw(t, "same key"))
		}
		var words []string
		for range rapid.IntRange(3, 14).Draw(t, "notes") {
			on := 20 * rapid.IntRange(0, 30).Draw(t, "on")
			words = append(words, fmt.Sprintf("%s%d %d-%d", rapid.SampledFrom([]string{"", "", "c2 "}).Draw(t, "channel"),
				rapid.IntRange(60, 64).Draw(t, "key"), on, on+20*rapid.IntRange(1, 20).Draw(t, "length")))
		}
		p := songOf(t, 1100, strings.Join(words, ", "))
		replay, err := study.Play(r, p)
		require.NoError(t, err)
		tally := replay.Rig.Tally
		require.GreaterOrEqual(t, tally.Damaged(), replay.Rig.Bound.FewestDamaged, strings.Join(words, ", "))
		require.GreaterOrEqual(t, tally.Lost, replay.Rig.Bound.Unavoidable, strings.Join(words, ", "))
		plain := study.FewestDamaged(replay.Reference.Gates(func(int) bool { return true }), len(r.Config.Voices))
		require.LessOrEqual(t, replay.Rig.Bound.FewestDamaged, plain)
		relaxed += plain - replay.Rig.Bound.FewestDamaged
		for i, o := range replay.Outcomes {
			note := &replay.Reference.Notes[i]
			require.Equal(t, o.Ending.Damaged(), o.Waited > r.Overlap || o.Lost > o.Waited, "note %d", i)
			require.True(t, o.Voice != alloc.NoVoice || o.Ending == study.Dropped || note.Start == note.End, "note %d never sounded", i)
			late += count(o.Ending == study.LateStart)
			whole += count(o.Waited > 0 && !o.Ending.Damaged())
			dropped += count(o.Ending == study.Dropped)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		for range 5 {
			play(t)
		}
	})
	t.Logf("%d late starts, %d waited and whole, %d dropped, bounds relaxed by %d", late, whole, dropped, relaxed)
	for what, n := range map[string]int{"late starts": late, "notes that waited and are whole": whole, "dropped notes": dropped} {
		require.GreaterOrEqual(t, n, 50, what)
	}
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// By hand, on two voices: what a part's notes wait for, tails or gates, and that they grow again, does not depend on
// a part behind it whose notes do neither.
func TestUnisonsBesideOthers(t *testing.T) {
	for _, c := range []struct {
		unison alloc.Unison
		steal  alloc.StealRule
		song   string
		want   []string
	}{
		{alloc.Unison{Voices: 2, WhenShort: alloc.Wait}, alloc.StealHardNone, "60 0-100, 62 200-2000",
			[]string{"100: 60 off V1", "100: 60 off V2", "1100: 62 on V1", "1100: 62 on V2"}},
		{alloc.Unison{Voices: 2, WhenShort: alloc.Wait}, alloc.StealOldest, "60 0-300, 62 100-500",
			[]string{"300: 60 off V1", "300: 60 off V2", "300: 62 on V1", "300: 62 on V2"}},
		{alloc.Unison{Voices: 2, WhenShort: alloc.Elastic, Regrow: true}, alloc.StealOldest, "60 0-900, 62 100-300",
			[]string{"100: 62 on V2 from 60 which keeps 1", "300: 62 off V2", "300: 60 on V2", "900: 60 off V1"}},
	} {
		cfg := rig(2, 1000*ms, func(r *study.Rules) {
			unison(2, alloc.Thin)(r)
			first := r.Config.Parts[0]
			r.Config.Parts[0].Sources = []alloc.Source{{AnyPort: true, Channels: 2}}
			first.Unison, first.Steal, first.Sources = c.unison, c.steal, []alloc.Source{{AnyPort: true, Channels: 1}}
			r.Config.Parts = []alloc.Part{first, r.Config.Parts[0]}
		}).Config
		require.Equal(t, c.want, decided(t, cfg, song(t, 3000, c.song))[2:6])
	}
}
