package deal

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/routing/plan"
)

// Where a bank has one velocity for all its voices, its controller (CC 20, for
// the last CV: see routing) moves with every note, before it.
func TestVelocityOfABank(t *testing.T) {
	rig := "rig: R\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 2, lanes: [velocity]}}\nparts: {p: {}}\n"
	p := planOf(t, rig, plan.Overrides{})
	lane := p.Map.Shared[0]
	require.Equal(t, "CC 20", lane.Message, "the last CV")
	_, back := written(t, p, songOf(t, 5, 0x90, 60, 80, 5, 0x90, 64, 90, 20, 0x80, 60, 0, 0, 0x80, 64, 0), Options{})
	require.Equal(t, []string{"5 cc 20 80", "10 cc 20 90"}, says(back, "K.velocity"))
	var order []midi.Kind
	for _, e := range back.Events {
		if e.Tick == 5 {
			order = append(order, e.Kind())
		}
	}
	require.Equal(t, []midi.Kind{midi.ControlChange, midi.NoteOn}, order)
}

// A gate that is pinned to another interface than its pitch gets the notes
// there too, and reading back does not take them for others.
func TestGateApart(t *testing.T) {
	rig := "rig: R\ninterfaces: {one: {profile: cv4-gate4}, two: {profile: cv4-gate4}}\nbanks: {K: {voices: 1}}\n" +
		"parts: {p: {}}\npins: {K1.pitch: one.cv 1, K1.gate: two.gate 3}\n"
	p := planOf(t, rig, plan.Overrides{})
	song := songOf(t, 5, 0x90, 60, 80, 20, 0x80, 60, 0)
	_, back := written(t, p, song, Options{})
	require.Equal(t, []string{"5 on 60 v80", "25 off 60"}, says(back, "K1")[7:])
	require.Equal(t, []string{"5 on 60 v80", "25 off 60"}, says(back, "K1.gate"))
	require.Equal(t, []string{"", "two 1", "one 1"}, []string{back.Tracks[0].Device, back.Tracks[1].Device, back.Tracks[2].Device})
	roundTrip(t, p, song, Options{})
}

// Two voices on one pitch jack are one: the second note of two takes it from the first, and
// the gates of both open with each, of the first for the gap of 3 ms less.
func TestOneJackForTwo(t *testing.T) {
	rig := "rig: R\ninterfaces: {one: {profile: cv4-gate4}}\nbanks: {K: {voices: 2}}\nparts: {p: {}}\n" +
		"wiring: [{from: one.cv 1, to: [K1.pitch, K2.pitch]}]\n"
	p := planOf(t, rig, plan.Overrides{})
	song := songOf(t, 5, 0x90, 60, 80, 5, 0x90, 64, 80, 10, 0x80, 60, 0, 10, 0x80, 64, 0)
	d, back := written(t, p, song, Options{})
	require.Equal(t, 1, d.Plan.InService())
	require.Equal(t, study.OverlapOnly, d.Passes[0].Replay.Outcomes[0].Ending)
	for _, voice := range []string{"K1", "K2"} {
		notes := slices.DeleteFunc(says(back, voice), func(s string) bool { return !strings.Contains(s, " on ") && !strings.Contains(s, " off ") })
		require.Equal(t, []string{"5 on 60 v80", "7 off 60", "10 on 64 v80", "30 off 64"}, notes, voice)
	}
}

// A macro may have the controller of a pedal, on the channel of a voice: it is
// a controller there, and no pedal.
func TestMacroOnAPedal(t *testing.T) {
	rig := rigWith("channel: 2", "macros: {bite: {from: CC 64 on 1, to: K.cutoff}}\n")
	p := planOf(t, rig, plan.Overrides{})
	song := songOf(t, 0, 0xB0, 64, 127, 5, 0x91, 60, 80, 20, 0x81, 60, 0, 60, 0x91, 62, 80, 60, 0x81, 62, 0)
	_, back := written(t, p, song, Options{})
	require.Equal(t, []string{"0 cc 64 127"}, says(back, "bite"))
	roundTrip(t, p, song, Options{})
}
