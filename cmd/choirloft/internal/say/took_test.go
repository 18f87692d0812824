package say

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/routing/plan"
	"choirloft/routing/take"
	"choirloft/routing/take/recorded"
	"choirloft/routing/tuning"
)

// tooks are takes that were read: with every fault there is, and with none.
func tooks(t *testing.T) (all []said) {
	p := planOf(t, "kiln-yard.yaml", plan.Overrides{})
	for _, faulty := range []bool{false, true} {
		made, err := take.New(p, take.Options{})
		require.NoError(t, err)
		r := &recorded.Result{Take: made, Start: 1.2, PPM: -80, Second: 0.3, Peak: 1, Rate: 48000}
		for i, part := range made.Parts {
			v := recorded.Voice{Voice: part.Voice, With: -1, Confidence: 1, Release: 2.1, Attack: 0.005, Level: -18.2, Latency: math.NaN()}
			for _, n := range part.Notes {
				if n.Kind == take.Reading {
					v.Readings = append(v.Readings, recorded.Reading{Key: n.Key, Hertz: 440 * math.Exp2((float64(n.Key)-69+float64(i)/50)/12), Cents: 2 * float64(i), Sigma: 0.05})
				}
			}
			if faulty && i < 9 {
				v.State, v.Readings, v.Confidence = recorded.State(i%7), nil, 0.3
			}
			switch v.State {
			case recorded.Crossed:
				v.With = made.Parts[i+2].Voice
			case recorded.Doubled:
				v.With = made.Parts[0].Voice
			case recorded.Octave:
				v.Octaves = -2
			}
			r.Voices = append(r.Voices, v)
		}
		if faulty {
			r.Voices[4].State, r.Voices[4].With = recorded.Crossed, r.Voices[2].Voice
		}
		readings := r.Tuned("take.wav")
		tuning.Say(p.Rig, readings, tuning.Nothing)
		in := contract.TuneInput{RigFile: "rig.yaml", Before: p, After: p, Study: tuning.Study(p.Rig, readings, 3), Readings: len(readings)}
		took := contract.NewTook(contract.TookInput{Result: r, RigFile: "rig.yaml", Take: "take.mid", Recording: "take.wav", Tuning: contract.NewTune(in)})
		all = append(all, of("took", took, func(v *contract.Took) *doc.Doc { return Took(v, All) }),
			of("took"+withoutLegends, took, func(v *contract.Took) *doc.Doc { return Took(v, Screen) }))
	}
	return all
}

// TestTookSaysEachFaultOnce: of a pair that is crossed both are named in one sentence.
func TestTookSaysEachFaultOnce(t *testing.T) {
	voice := func(name, state string, with *string) contract.TookVoice {
		return contract.TookVoice{Name: name, State: state, Confidence: 1, Faults: []contract.TookFault{{Code: state, With: with, Octaves: 1}}}
	}
	a, b, c := "K1", "K2", "K3"
	list := took{&contract.Took{Voices: []contract.TookVoice{voice(c, "silent", nil), voice(a, "crossed", &b), voice(b, "crossed", &a), voice("K4", "crossed", &c)}}}.faults(All)
	require.Equal(t, []string{"K1 and K2 are crossed. Swap their gate cables, or else their pitch cables: both cure it, and both sound alike.",
		"Where K4 should sound, the pitch of K3 sounds. Look at the gate and the pitch cable of K4.",
		"K3 does not sound. Look at its gate cable, its level and its mute.",
		"Mend that, then record the take again. These measurements are of the other voices."}, list)

	d := "K4"
	off := took{&contract.Took{Voices: []contract.TookVoice{voice(a, "silent", nil), voice(b, "crossed", &a), voice(c, "crossed", &b), voice(d, "crossed", &c)}}}.faults(All)
	require.Contains(t, off[0], "Voices sound one place off")
}

// TestLateVoicesOfATake: a voice is called late from where on check does so, 5 ms.
func TestLateVoicesOfATake(t *testing.T) {
	made, err := take.New(planOf(t, "kiln-yard.yaml", plan.Overrides{}), take.Options{})
	require.NoError(t, err)
	r := &recorded.Result{Take: made, Called: true}
	for i, latency := range []float64{math.NaN(), 0.0049, 0.005} {
		r.Voices = append(r.Voices, recorded.Voice{Voice: made.Parts[i].Voice, With: -1, Latency: latency})
	}
	require.Equal(t, []string{"Late: K3 5.0 ms. write starts a late voice early; live cannot."}, took{contract.NewTook(contract.TookInput{Result: r})}.alarms())
}

// TestTookFitsAScreen: the answer to a take of 24 voices has 48 lines at most, with every
// fault there is as without, clipped, by voices that are late, beside a song, with trimmers to turn or
// corrected in place of that, with turns that are asked after, written and not.
func TestTookFitsAScreen(t *testing.T) {
	heard, date, written, beyond := 16, "2020-11-30", "/home/player/racks/kiln-yard.yaml", "beyond-range"
	for i, x := range tooks(t)[:4] {
		for more := range 64 {
			has := func(bit int) bool { return more>>bit&1 == 1 }
			v := *x.value.(*contract.Took)
			v.Clipped, v.MovedCents, v.Date, v.RigFile, v.Asked = has(0), nil, &date, written, has(4)
			v.Voices = slices.Clone(v.Voices)
			for j := range v.Voices {
				v.Voices[j].LatencyS, v.Voices[j].Late = new(0.009), has(0)
			}
			tuned := *v.Tuning
			v.Tuning, tuned.Voices, tuned.Turns, tuned.Instead = &tuned, slices.Clone(tuned.Voices), nil, nil
			for j := range tuned.Voices {
				tuned.Voices[j].ByHand, tuned.Voices[j].Kept = has(1), has(1)
				v.Answers = append(v.Answers, tuned.Voices[j].Name)
				turn := contract.Turn{Order: j + 1, Voice: tuned.Voices[j].Name, Trimmer: "scale", Direction: "down", Cents: 12.3, HoldVolts: 4, HoldKey: 84, FromHertz: 1050.2, ToHertz: 1046.5,
					Needed: true, Reason: &beyond, ReasonCents: -12.1, ReasonKey: new(36)}
				if has(1) {
					tuned.Turns = append(tuned.Turns, turn, turn)
				} else if has(5) {
					tuned.Instead = append(tuned.Instead, turn)
				}
				if has(3) {
					v.Jumps = append(v.Jumps, contract.TunedJump{Voice: turn.Voice, From: "2020-11-28", To: date, Cents: -12.1, OthersCents: new(0.1), ApartCents: 12.2, ExplainedCents: 7})
				}
			}
			if v.MovedCents = new(3.0); has(4) {
				v.Written = &written
			}
			if has(2) {
				v.Needs = &contract.TookNeeds{Song: contract.Song{File: "a-song-of-some-length.mid"}, Before: contract.TookSized{HeardNone: &heard}, After: contract.TookSized{HeardNone: &heard},
					Voices: 19, Away: 3, LongestS: 2.21, LongestVoice: &v.Voices[3].Name, Unplayed: 248, UnmappedKeys: []contract.UnmappedKeys{{Channel: "channel 2", Whole: true}}}
			}
			var b strings.Builder
			require.NoError(t, doc.Text(&b, Took(&v, Screen), doc.TextOptions{Width: 80}))
			require.LessOrEqual(t, strings.Count(b.String(), "\n"), 48, "%d, %06b:\n%s", i, more, b.String())
		}
	}
}

// TestTookSaysWhatItRestsOn: numbers of voices are of the longest release, notes that no part
// plays are not in them, and on the voices that there are it says what is lost.
func TestTookSaysWhatItRestsOn(t *testing.T) {
	k8, heard := "K8", 16
	lines := took{&contract.Took{Needs: &contract.TookNeeds{Song: contract.Song{File: "slow.mid"}, Before: contract.TookSized{HeardNone: &heard, Tails: 20}, After: contract.TookSized{HeardNone: &heard, Tails: 23},
		Voices: 12, LongestS: 2.21, LongestVoice: &k8, Own: contract.Cost{Damaged: 17}, Unplayed: 248, UnmappedKeys: []contract.UnmappedKeys{{Channel: "channel 2", Whole: true}}}}}.needs(All)
	require.Equal(t, []string{"slow.mid needs 16 voices (it was 16): nothing goes missing that you would hear.",
		"slow.mid needs 23 voices (it was 20): every release tail rings out.",
		"Both are for voices that all ring as long as K8: 2.21 s.",
		"Your own 12 voices, each as it was measured: 17 notes cut short or dropped.",
		"248 further notes are not counted, since no part plays channel 2."}, lines)
}

// TestTookCountsWhatAnswers: voices that do not answer are not among those on which a song loses
// nothing; a screen that is about faults leaves out what waits for the next take.
func TestTookCountsWhatAnswers(t *testing.T) {
	heard, silent := 9, contract.TookVoice{State: "silent", Faults: []contract.TookFault{{Code: "silent"}}}
	v := took{&contract.Took{Voices: []contract.TookVoice{silent}, Needs: &contract.TookNeeds{Song: contract.Song{File: "slow.mid"}, Before: contract.TookSized{HeardNone: &heard},
		After: contract.TookSized{HeardNone: &heard}, Voices: 9, Away: 3, Own: contract.Cost{Damaged: 2}}}}
	const own = "Of your own 12 voices the 9 that answer, each as it was measured: 2 notes cut short or dropped."
	require.Contains(t, v.needs(All), own)
	require.Equal(t, []string{"slow.mid needs 9 voices (it was 9): nothing goes missing that you would hear.", own}, v.needs(Screen))
}

// TestTookVerifyWithoutCorrections: what sounds as if nothing had corrected it is said first, with
// where to look.
func TestTookVerifyWithoutCorrections(t *testing.T) {
	v := &contract.Took{Rig: "Wall", Verified: &contract.TookVerified{WithinCents: 3, Voices: 12, InTune: 8, Bent: 10, Unheard: 10}}
	require.Contains(t, took{v}.summary(), "The corrections were not played: 10 of 10 corrected voices sound as if there were none.")
	require.Contains(t, strings.Join(took{v}.verified(), " "), "follows bends")
	v.Verified.Unheard = 1
	require.Contains(t, took{v}.summary(), "Through the corrections 8 of 12 voices")
}

// TestTookSaysWhatItGives: a take of some voices tells no level and no latency, a clipped one no
// attack either, and a short one no gate: none of them is said to be written.
func TestTookSaysWhatItGives(t *testing.T) {
	p := planOf(t, "kiln-yard.yaml", plan.Overrides{})
	for _, c := range []struct {
		only []int
		peak float64
		gate float64
		want string
	}{{nil, 0.5, 0.005, "release, attack, level, latency and shortest gate of "}, {nil, 0.5, math.NaN(), "release, attack, level and latency of "},
		{nil, 1, math.NaN(), "release and latency of "}, {[]int{0}, 0.5, 0.005, "release, attack and shortest gate of 1 voice"}, {[]int{0}, 1, math.NaN(), "release of 1 voice"}} {
		made, err := take.New(p, take.Options{Only: c.only})
		require.NoError(t, err)
		r := &recorded.Result{Take: made, Called: true, Peak: c.peak}
		for _, part := range made.Parts {
			r.Voices = append(r.Voices, recorded.Voice{Voice: part.Voice, With: -1, Release: 1, Attack: 0.004, Level: -18, Latency: 0, Gate: c.gate})
		}
		v := contract.NewTook(contract.TookInput{Result: r, RigFile: "rig.yaml", Answers: r.Answers("", func(int) recorded.Days { return recorded.Beside })})
		require.Contains(t, took{v}.lastLines(All)[0], "puts these into rig.yaml: "+c.want)
		require.Equal(t, c.only != nil, took{v}.answered() == "Kiln Yard: K1 answers in its place.")
	}
}
