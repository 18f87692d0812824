package contract

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// The demo: 16 bars of 4 at 72 bpm, so that a bar lasts 3⅓ s; a held peak of 13
// and an audible one of 24 (cmd/demosong, without the engine); as many losses on
// the lanes as in the replay.
func TestLanesOfTheDemo(t *testing.T) {
	rig, err := profiles.Load("../../../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	data, err := os.ReadFile("../../../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{Voices: plan.All(10)})
	require.NoError(t, err)
	replay, spans, err := p.Lanes(song)
	require.NoError(t, err)
	l := NewLanes(p, song, replay, spans)
	require.Len(t, l.Voices, 20)
	require.Equal(t, "out", l.Voices[10].State)
	require.Equal(t, []string{"pad", "bass", "arp", "lead"}, l.Parts)
	require.True(t, l.HasBars)
	require.GreaterOrEqual(t, len(l.Bars), 16)
	require.InDelta(t, 10.0/3, l.Bars[1].AtS, 1e-4)
	require.Equal(t, 2, l.Bars[1].Bar)
	most := func(steps []DepthStep) (n int) {
		for _, s := range steps {
			n = max(n, s.Voices)
		}
		return n
	}
	require.Equal(t, []int{13, 13, 24}, []int{most(l.Held), most(l.Pedal), most(l.Audible)})
	lost := 0
	for _, s := range l.Spans {
		require.LessOrEqual(t, s.Voice, 10)
		if s.Ending != "" {
			lost++
		}
	}
	// The lowest key in range is C2: A1, G1 and F1 sound as that, and the C2 of two bars as themselves.
	sounding := map[string]string{}
	for _, s := range l.Spans {
		if l.Parts[s.Part] == "bass" {
			sounding[s.KeyName] = s.SoundsName
		} else {
			require.Empty(t, s.SoundsName)
		}
	}
	require.Equal(t, map[string]string{"A1": "C2", "G1": "C2", "F1": "C2", "C2": ""}, sounding)
	require.Equal(t, len(NewResult(p, "x.mid", song, replay).Losses), lost, "no note is dropped by protect-outer")
}

// Pairs on four voices: the notes at 0 and 100 ms have them all until 2000 ms;
// those at 200, 300 and 400 ms wait for that, 1800, 1700 and 1600 ms.
func TestLanesOfNotesThatWait(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte("rig: P\nvoices: {v: {release: 0 s}}\ninterfaces: {main: {profile: cv16-gate16}}\n"+pairsOnFour), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	song, err := midi.Read(fiveOnFour, midi.Options{})
	require.NoError(t, err)
	replay, spans, err := p.Lanes(song)
	require.NoError(t, err)
	waited := map[int]float64{} // by note
	for _, s := range NewLanes(p, song, replay, spans).Spans {
		waited[s.Note] = s.WaitedS
		require.Equal(t, s.Note >= 2, s.LateStart, "note %d", s.Note)
		require.Empty(t, s.Ending)
	}
	require.Equal(t, map[int]float64{0: 0, 1: 0, 2: 1.8, 3: 1.7, 4: 1.6}, waited)
}

// A voice that sounds less than a semitone off keeps the name that was asked for: 99 cents are, 100 are not.
func TestOnlyASemitoneChangesTheName(t *testing.T) {
	b := &builder{rig: &profiles.Rig{MiddleC: 4}, names: map[int]string{}, replay: &study.Replay{Reference: &study.Reference{Notes: []study.Note{{Sounding: 60}}}, Outcomes: []study.Outcome{{}}}}
	for missed, want := range map[float64]string{0: "", 99: "", -99: "", 100: "C#4", -100: "B3", 240: "D4"} {
		s := study.Span{Missed: missed, Pitch: 60 + missed/100}
		require.Equal(t, want, b.span(&s).SoundsName, "%g cents", missed)
	}
}
