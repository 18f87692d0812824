package deal

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

const oneVoice = "rig: One\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 1}}\nparts: {p: {}}\n"

// The hand-worked values of bends: +7.0 cents at ±2 semitones is
// 8192 + 7/200·8192 = 8478.72, −5.5 cents 8192 − 225.28 = 7966.72; full up is
// 16383, 8191/8192 of the range (MIDI 1.0), full down 0.
func TestBendValue(t *testing.T) {
	for _, c := range []struct {
		semitones float64
		bendRange int
		value     uint16
		ok        bool
	}{
		{0.07, 2, 8479, true}, {-0.055, 2, 7967, true}, {0, 2, 8192, true},
		{2. * 8191 / 8192, 2, 16383, true}, {2, 2, 16383, false}, {-2, 2, 0, true}, {-2.001, 2, 0, false},
		{12, 13, 15754, true}, // 8192·25/13 = 15753.8
	} {
		value, ok := BendValue(c.semitones, c.bendRange)
		require.Equal(t, c.value, value, "%+v", c)
		require.Equal(t, c.ok, ok, "%+v", c)
	}
}

// The gap in an export comes off the note before: A 0–1000, B 500–502, one
// voice, gap 3 ms, minimum gate 5 ms. K's gate ends at 497, L is 500–505.
func TestGap(t *testing.T) {
	song := songOf(t, 0, 0x90, 60, 80, 0x83, 0x74, 0x90, 62, 90, 2, 0x80, 62, 0, 0x83, 0x72, 0x80, 60, 0)
	d, back := written(t, planOf(t, oneVoice, plan.Overrides{}), song, Options{BendRange: 2})
	require.Equal(t, []string{
		"0 cc 101 0", "0 cc 100 0", "0 cc 6 2", "0 cc 38 0", "0 cc 101 127", "0 cc 100 127", "0 bend 8192",
		"0 on 60 v80", "497 off 60", "500 on 62 v90", "505 off 62",
	}, says(back, "K1"))
	require.Equal(t, 1, d.Factor)
	require.Zero(t, d.Passes[0].Short+d.Passes[0].Silent)
}

// The rig and the plan are in the file, and another rig refuses it.
func TestDealtFor(t *testing.T) {
	p, song := demo(t, plan.MustParse("--pick", "lowest"))
	_, _, ok := DealtFor(song)
	require.False(t, ok)
	_, back := written(t, p, song, Options{})
	rig, code, ok := DealtFor(back)
	require.True(t, ok)
	require.Equal(t, p.Rig.Fingerprint(), rig)
	require.Equal(t, p.Code(), code)
	require.Contains(t, back.Tracks[0].Text, "--pick lowest")
	_, _, err := Read(planOf(t, oneVoice, plan.Overrides{}), back)
	require.ErrorContains(t, err, "dealt for the rig "+rig)
	_, _, err = Read(p, song)
	require.ErrorContains(t, err, "not dealt by choirloft write")
}

// A dealt file that is played carries the code of the plan that dealt it, and
// what overrides change of that.
func TestDealtCode(t *testing.T) {
	plain, song := demo(t, plan.Overrides{})
	short := plan.MustParse("--release", "200 ms")
	for _, o := range []plan.Overrides{{}, plan.MustParse("--pick", "lowest"), plan.MustParse("--pick", "nearest")} {
		p, _ := demo(t, o)
		_, back := written(t, p, song, Options{})
		again, _, err := Read(plain, back)
		require.NoError(t, err)
		require.Equal(t, p.Code(), again.Code())
		shorter, _ := demo(t, short)
		again, _, err = Read(shorter, back)
		require.NoError(t, err)
		require.Equal(t, short.Code(p.Code()), again.Code())
	}
	back := &midi.Song{Tracks: []midi.Track{{Text: mark + "N2YMJ7Q3 (Old) with --pick lowest"}}} // as it was before plans had codes
	rig, code, ok := DealtFor(back)
	require.Equal(t, []any{"N2YMJ7Q3", "N2YMJ7Q3", true}, []any{rig, code, ok})
}

// Every voice has a track of its own on its port and channel; tempo and time
// signature stay where they are.
func TestDemoFile(t *testing.T) {
	p, song := demo(t, plan.Overrides{})
	d, back := written(t, p, song, Options{})
	require.Equal(t, 1, back.Format)
	require.Equal(t, song.Tempo.Changes(), back.Tempo.Changes())
	require.Equal(t, song.Meter.Signatures(), back.Meter.Signatures())
	require.Equal(t, song.Tempo.Division(), back.Tempo.Division())
	require.Equal(t, 328, back.NoteOns)
	var names []string
	for _, l := range d.Passes[0].Lanes {
		names = append(names, p.Rig.Voices[l.Voice].Name)
	}
	require.Equal(t, "Slow Kiln", back.Tracks[0].Name)
	for i, name := range names {
		require.Equal(t, name, back.Tracks[i+1].Name)
	}
	require.Equal(t, "main 1", back.Tracks[1].Device)
	require.Equal(t, "main 2", back.Tracks[len(names)].Device)
	for _, e := range back.Events {
		voice := slices.IndexFunc(p.Rig.Voices, func(v profiles.Voice) bool { return v.Name == back.Tracks[e.Track].Name })
		lane := p.Map.Voices[voice].Lane("pitch")
		require.Equal(t, lane.Channel, e.Channel())
		require.Equal(t, lane.Port, e.Port)
	}
}

// apart fails if a channel ever has two notes at once, or ends one that it has
// not.
func apart(t testing.TB, song *midi.Song) {
	t.Helper()
	open := map[[2]uint8]int{}
	for _, e := range song.Events {
		at := [2]uint8{uint8(e.Port), uint8(e.Channel())}
		switch e.Kind() {
		case midi.NoteOn:
			require.Zero(t, open[at], "two notes on port %v channel %v at %d", e.Port, e.Channel(), e.Tick)
			open[at] = int(e.Data1) + 1
		case midi.NoteOff:
			require.Equal(t, int(e.Data1)+1, open[at])
			open[at] = 0
		}
	}
	for at, key := range open {
		require.Zero(t, key, "%v is left open", at)
	}
}

func TestNeverTwoNotesOnAVoice(t *testing.T) {
	for _, voices := range []string{"1", "3", "10", "19"} {
		p, song := demo(t, plan.MustParse("--voices", voices))
		_, back := written(t, p, song, Options{})
		apart(t, back)
	}
}

// A file that no voice plays would be taken for a song.
func TestNoVoiceToDealTo(t *testing.T) {
	rig := func(out string) *plan.Plan {
		return planOf(t, "rig: X\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2, "+out+"}}\n", plan.Overrides{})
	}
	song := songOf(t, 0, 0x90, 60, 64, 60, 0x80, 60, 0)
	for _, out := range []string{"out: [1, 2]", "out: [1], spare: [2]"} {
		const want = "no voice of the rig is in service, so there is none to deal the song to"
		_, err := New(rig(out), song, Options{})
		require.EqualError(t, err, want)
		_, err = NewCV(rig(out), song, CVOptions{})
		require.EqualError(t, err, want)
	}
	_, err := LineCheck(rig("out: [1, 2]"))
	require.EqualError(t, err, "every voice of the rig is out, so there is none to check")
	_, err = LineCheck(rig("out: [1], spare: [2]"))
	require.NoError(t, err, "a spare one is checked")
}

// Through triggers of 20 ms a key of 100 ms gives a gate of 20 ms, in what is dealt and in
// CVs, and one of 12 ms stays as it is. A pedal holds none.
func TestTriggers(t *testing.T) {
	const rig = "rig: R\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 1}}\nparts: {p: {}}\n" +
		"gear: {pluck: {does: trigger, pulse: 20 ms}}\nwiring: [{from: main.gate 1, to: pluck}, {from: pluck, to: K1.gate}]\n"
	p := planOf(t, rig, plan.Overrides{})
	song := songOf(t, 0, 0xB0, 64, 127, 0, 0x90, 60, 100, 100, 0x80, 60, 0, 0, 0xB0, 64, 0, 100, 0x90, 62, 100, 12, 0x80, 62, 0)
	_, dealt := written(t, p, song, Options{})
	var notes []string
	for _, m := range says(dealt, "K1") {
		if strings.Contains(m, " on ") || strings.Contains(m, " off ") {
			notes = append(notes, m)
		}
	}
	require.Equal(t, []string{"0 on 60 v100", "20 off 60", "200 on 62 v100", "212 off 62"}, notes)
	c, err := NewCV(p, song, CVOptions{Rate: 1000})
	require.NoError(t, err)
	gate := hear(t, c).volts[1]
	for at, high := range map[int]bool{0: true, 19: true, 20: false, 99: false, 150: false, 200: true, 211: true, 212: false} {
		require.Equal(t, high, gate[at] > 0.5, "at %d ms", at)
	}
}
