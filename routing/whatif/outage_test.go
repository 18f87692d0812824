package whatif

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// outage takes a voice out of a rig without its first line.
func outage(t *testing.T, text, voice string) *Outage {
	t.Helper()
	rig, faults := profiles.Read("test.yaml", []byte("rig: R\ninterfaces: {main: {profile: cv16-gate16}}\n"+text), nil)
	require.Empty(t, faults)
	o, err := NewOutage(rig, plan.Overrides{}, voice)
	require.NoError(t, err)
	return o
}

// The first spare of the bank stands in, and takes the place of the voice in
// its stack (routing: a spare keeps the place of who it stands in for).
func TestASpareStandsIn(t *testing.T) {
	for _, use := range []string{"", ", use_spare: true"} {
		o := outage(t, "banks: {K: {voices: 5, spare: [5]"+use+"}}\nparts: {p: {unison: {voices: 2}}}\n", "K2")
		require.Equal(t, []int{4, 1}, []int{o.StandIn, o.For})
		require.Equal(t, use == "", o.Asks)
		require.Equal(t, use == "", o.Without != nil)
		require.Equal(t, [][]int{{0, 4}, {2, 3}}, o.After.Map.Unisons[0].Stacks)
		for _, c := range o.Cables {
			require.Equal(t, -1, c.To)
		}
	}
}

// Without a spare that is left, nobody stands in.
func TestNoSpareStandsIn(t *testing.T) {
	for _, bank := range []string{"voices: 4", "voices: 4, spare: [4], out: [1], use_spare: true"} {
		o := outage(t, "banks: {K: {"+bank+"}}\n", "K2")
		require.Equal(t, -1, o.StandIn, bank)
		require.Nil(t, o.Without)
		require.False(t, o.Asks)
	}
	// the spare itself
	o := outage(t, "banks: {K: {voices: 4, spare: [4]}}\n", "K4")
	require.Equal(t, -1, o.StandIn)
}

// The spare stands in for the first voice that is out: K1, not K2 as before.
func TestTheSpareChangesPlaces(t *testing.T) {
	o := outage(t, "banks: {K: {voices: 4, spare: [4], out: [2], use_spare: true}}\n", "K1")
	require.Equal(t, []int{3, 0}, []int{o.StandIn, o.For})
}

// Of two pitches of 100 kΩ on 1 kΩ one is pulled: from 1/1.02 to 1/1.01,
// 1200·(1.02/1.01 − 1) = 11.881 cents per octave sharp.
func TestPullingRetunesTheRest(t *testing.T) {
	rig, faults := profiles.Read("test.yaml", []byte(`rig: R
interfaces: {main: {profile: cv16-gate16, output_resistance: 1 kohm}}
banks: {K: {voices: 2}}
wiring: [{from: main.cv 1, through: passive, to: [K1.pitch, K2.pitch], calibrated_with: 2}]
`), nil)
	require.Empty(t, faults)
	o, err := NewOutage(rig, plan.Overrides{}, "K1")
	require.NoError(t, err)
	require.Len(t, o.Cables, 2)
	require.Equal(t, []routing.Input{{Bank: 0, Voice: 1, Input: "pitch"}}, o.Cables[0].Others)
	require.InDelta(t, 11.88119, o.Cables[0].Bend, 1e-4)
	require.Empty(t, o.Cables[1].Others)
	require.Zero(t, o.Cables[1].Bend)
}

// What is lost anew is what a comparison of the endings by hand finds: with one
// voice of two gone, the second of two notes at once is cut or dropped.
func TestWhatIsLostAnew(t *testing.T) {
	o := outage(t, "banks: {K: {voices: 13}}\nparts: {p: {channel: [1, 2, 3, 4]}}\n", "K13")
	song := demoSong(t)
	before, after, without, err := o.Play(song)
	require.NoError(t, err)
	require.Nil(t, without)
	// cmd/demosong, without the engine: held peak 13; fewest damaged with 12 voices 2
	require.Zero(t, before.Rig.Tally.Damaged())
	require.GreaterOrEqual(t, after.Rig.Tally.Damaged(), 2)
	damaged := 0
	for _, i := range Newly(before.Replay, after.Replay) {
		if after.Outcomes[i].Ending.Damaged() {
			damaged++
		}
	}
	require.Equal(t, after.Rig.Tally.Damaged(), damaged)
	require.Empty(t, Newly(before.Replay, before.Replay))
}
