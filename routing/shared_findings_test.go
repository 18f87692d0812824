package routing

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Two voices on one jack can only do as one: as a stack of a unison they do, and
// one of them alone may play anything.
func TestVoicesThatShareAJack(t *testing.T) {
	const wired = "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm}}\n" +
		"wiring: [{from: main.cv 1, to: [K1.pitch, K2.pitch]}, {from: main.gate 1, to: [K1.gate, K2.gate]}]\n"
	apart := mapOf(t, wired+"banks: {K: {voices: 4}}\n")
	f := apart.only(t, PitchShared)
	require.Equal(t, "K1, K2 share one pitch jack, main cv 1: part all plays them one by one, and all have the pitch of its latest note", f.Text)
	require.Equal(t, "give each its own jack, or play them as one: unison: {voices: 2, when_short: blocks}", f.Hint)
	require.Equal(t, []int{3, 10}, []int{f.Pos.Line, f.Pos.Column})
	require.Equal(t, "K1, K2 share one gate jack, main gate 1: part all plays them one by one, and all sound with each of its notes",
		apart.only(t, GateShared).Text)

	for name, rig := range map[string]string{
		"one stack":   "banks: {K: {voices: 4}}\nparts: {p: {unison: {voices: 2, spread: 20 cents}}}\n",
		"one is out":  "banks: {K: {voices: 4, out: [2]}}\n",
		"one a spare": "banks: {K: {voices: 4, spare: [2]}}\n",
	} {
		codes := mapOf(t, wired+rig).codes()
		require.NotContains(t, codes, PitchShared, name)
		require.NotContains(t, codes, GateShared, name)
	}
	// one part has them in a stack, the other has not
	across := mapOf(t, wired+"banks: {K: {voices: 4}}\nparts: {p: {unison: {voices: 3, spread: 20 cents}}, q: {}}\n")
	require.Contains(t, across.codes(), PitchShared)
}
