package deal

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/plan"
)

// messages are those of K1 behind the setting of the bend range.
func messages(t *testing.T, rig string, o Options, track ...byte) []string {
	t.Helper()
	_, back := written(t, planOf(t, rig, plan.Overrides{}), songOf(t, track...), o)
	apart(t, back)
	return slices.DeleteFunc(says(back, "K1"), func(s string) bool { return strings.HasPrefix(s, "0 cc") })
}

// rigWith is one voice with a part and further lines.
func rigWith(part, rest string) string {
	return "rig: One\ninterfaces: {main: {profile: cv4-gate4, window: 0 V to 10 V, zero_key: 0}}\nbanks: {K: {voices: 1}}\nparts: {p: {" + part + "}}\n" + rest
}

// A unison of two over 14 cents: −7 and +7 cents, at ±2 semitones 8192 ∓ 286.72.
// The song's bend of a quarter of its range, +0.5 semitones, is added: 8192 +
// (50 ∓ 7)/200·8192 = 9953.28 and 10526.72.
func TestDetuneAndBend(t *testing.T) {
	rig := "rig: Two\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 2}}\nparts: {p: {unison: {voices: 2, law: even, spread: 14 cents}}}\n"
	song := songOf(t, 10, 0x90, 60, 80, 50, 0xE0, 0, 80, 40, 0x80, 60, 0)
	_, back := written(t, planOf(t, rig, plan.Overrides{}), song, Options{BendRange: 2})
	require.Equal(t, []string{"0 bend 8192", "9 bend 7905", "10 on 60 v80", "60 bend 9953", "100 off 60"}, says(back, "K1")[6:])
	require.Equal(t, []string{"0 bend 8192", "9 bend 8479", "10 on 60 v80", "60 bend 10527", "100 off 60"}, says(back, "K2")[6:])
	d, _ := written(t, planOf(t, rig, plan.Overrides{}), song, Options{})
	require.Equal(t, 1, d.BendRange, "57 cents are within one semitone")
}

// An interface that tunes by itself is left the detune of the voice, and gets
// the song's bend alone: 8192·1.25.
func TestOwnTuning(t *testing.T) {
	rig := "rig: Two\ninterfaces: {main: {profile: cv4-gate4, tuning: own}}\nbanks: {K: {voices: 2}}\n" +
		"parts: {p: {unison: {voices: 2, law: even, spread: 14 cents}}}\ncorrections: {K2: {offset: 12 mV}}\n"
	song := songOf(t, 10, 0x90, 60, 80, 50, 0xE0, 0, 80, 40, 0x80, 60, 0)
	_, back := written(t, planOf(t, rig, plan.Overrides{}), song, Options{BendRange: 2})
	for _, voice := range []string{"K1", "K2"} {
		require.Equal(t, []string{"0 bend 8192", "10 on 60 v80", "60 bend 10240", "100 off 60"}, says(back, voice)[6:])
	}
}

// A correction of −5 mV at 1 V an octave is −6 cents; a scale of 1.002 adds
// 0.2 % of the volts, at key 60 of 5 V above key 0: 10 mV, 12 cents. Together
// +6 cents at key 60: 8192 + 6/200·8192 = 8437.76; at key 36, 3 V: 6 mV, 7.2
// cents, together 1.2: 8241.152.
func TestCorrections(t *testing.T) {
	rig := rigWith("", "corrections: {K1: {offset: -5 mV, scale: 1.002}}\n")
	require.Equal(t, []string{"0 bend 8438", "0 on 60 v80", "50 off 60", "59 bend 8241", "60 on 36 v80", "100 off 36"},
		messages(t, rig, Options{BendRange: 2}, 0, 0x90, 60, 80, 50, 0x80, 60, 0, 10, 0x90, 36, 80, 40, 0x80, 36, 0))
}

// Legato of a mono part is one note; the octave up needs a range of 13, since
// full up is 8191/8192 of it: 8192·(1 + 12/13) = 15753.8.
func TestLegato(t *testing.T) {
	track := []byte{0, 0x90, 60, 80, 50, 0x90, 72, 70, 50, 0x80, 60, 0, 50, 0x80, 72, 0}
	require.Equal(t, []string{"0 bend 8192", "0 on 60 v80", "50 bend 15754", "150 off 60"},
		messages(t, rigWith("mode: mono last", ""), Options{}, track...))
	require.Equal(t, []string{"0 bend 8192", "0 on 60 v80", "47 off 60", "50 on 72 v70", "150 off 72"},
		messages(t, rigWith("mode: mono last, reattack: press", ""), Options{}, track...))
}

// A glide of 10 ms over an octave moves in steps of 5 ms: 0, 6 and 12
// semitones of 13: 8192·(1 + 6/13) = 11972.9.
func TestGlide(t *testing.T) {
	require.Equal(t, []string{"0 bend 8192", "0 on 60 v80", "55 bend 11973", "60 bend 15754", "150 off 60"},
		messages(t, rigWith("mode: mono last, glide: 10 ms", ""), Options{},
			0, 0x90, 60, 80, 50, 0x90, 72, 70, 50, 0x80, 60, 0, 50, 0x80, 72, 0))
}

// What the window clamps is sent as the key beside it, what is folded in its
// octave, what is outside of 0–127 as far as keys go and the rest as bend:
// 126 + 12 = 127 + 11, 8192·(1 + 11/12) = 15701.3.
func TestOutOfRange(t *testing.T) {
	track := []byte{0, 0x90, 126, 80, 100, 0x80, 126, 0}
	require.Equal(t, []string{"0 bend 8192", "0 on 120 v80", "100 off 120"}, messages(t, rigWith("", ""), Options{}, track...))
	require.Equal(t, []string{"0 bend 8192", "0 on 114 v80", "100 off 114"}, messages(t, rigWith("out_of_range: fold", ""), Options{}, track...))
	wide := strings.Replace(rigWith("transpose: 12", ""), "0 V to 10 V", "0 V to 20 V", 1)
	require.Equal(t, []string{"0 bend 15701", "0 on 127 v80", "100 off 127"}, messages(t, wide, Options{}, track...))
}

// Channel pressure and key pressure come out as pressure of the voice that has
// the note; the pedal is in the length of the note.
func TestPressureAndPedal(t *testing.T) {
	require.Equal(t, []string{"0 bend 8192", "0 on 60 v80", "10 pressure 50", "20 pressure 60", "100 off 60"},
		messages(t, rigWith("", ""), Options{},
			0, 0x90, 60, 80, 10, 0xD0, 50, 10, 0xA0, 60, 60, 0, 0xB0, 64, 127, 10, 0x80, 60, 0, 70, 0xB0, 64, 0))
}

// A macro's controller is copied, with its values, to where the map has it.
func TestMacros(t *testing.T) {
	rig := rigWith("", "macros: {bite: {from: CC 74 on 5, to: K.cutoff}, still: {from: CC 75 on 5, to: K.resonance}}\n")
	p := planOf(t, rig, plan.Overrides{})
	d, back := written(t, p, songOf(t, 7, 0xB4, 74, 10, 8, 0xB4, 74, 20, 0, 0xB3, 74, 30, 0, 0x90, 60, 80, 5, 0x80, 60, 0), Options{})
	require.Equal(t, []string{"7 cc 74 10", "15 cc 74 20"}, says(back, "bite"))
	require.Len(t, back.Tracks, 3, "a macro that does nothing has no track")
	require.Equal(t, back.Events[len(back.Events)-1].Tick, d.End())
}

// A range that is too small is named with its place, and the one that is not.
func TestBendRangeTooSmall(t *testing.T) {
	p := planOf(t, rigWith("", ""), plan.Overrides{})
	song := songOf(t, 0, 0xE0, 127, 127, 0, 0x90, 60, 80, 100, 0x80, 60, 0)
	_, err := New(p, song, Options{BendRange: 1})
	require.EqualError(t, err, "a bend range of 1 covers not all: bar 1:1:0 (0.000 s) on K1 is bent by 2.00 semitones")
	require.Equal(t, "2 semitones cover every bend", err.(*Error).Hint)
	for _, o := range []Options{{BendRange: 2}, {}} {
		d, err := New(p, song, o)
		require.NoError(t, err)
		require.Equal(t, 2, d.BendRange)
	}
}

// A rig that cannot be dealt to says so.
func TestNotDealt(t *testing.T) {
	song := songOf(t, 0, 0x90, 60, 80, 100, 0x80, 60, 0)
	for _, c := range []struct{ rig, want string }{
		{"rig: R\nbanks: {K: {voices: 1}}\n", "the rig has no interface, so no voice has a port and a channel"},
		{"rig: R\ninterfaces: {main: {profile: audio-dc8}}\nbanks: {K: {voices: 2}}\n", "voices K1, K2 have no MIDI channel"},
		{"rig: R\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 5}}\n", "voice K5 has no MIDI channel"},
	} {
		_, err := New(planOf(t, c.rig, plan.Overrides{}), song, Options{})
		require.EqualError(t, err, c.want)
	}
}

// Two interfaces: their ports are counted through, and the device says which.
func TestTwoInterfaces(t *testing.T) {
	rig := "rig: R\ninterfaces: {one: {profile: cv4-gate4, ports: 3}, two: {profile: cv4-gate4}}\nbanks: {K: {voices: 8}}\nparts: {p: {}}\n"
	p := planOf(t, rig, plan.Overrides{})
	_, back := written(t, p, songOf(t, 0, 0x90, 60, 80, 100, 0x80, 60, 0), Options{})
	require.Equal(t, "one 1", back.Tracks[4].Device)
	require.Equal(t, "two 1", back.Tracks[5].Device)
	for _, e := range back.Events {
		require.Equal(t, map[bool]int{true: 0, false: 3}[e.Track <= 4], int(e.Port))
	}
}
