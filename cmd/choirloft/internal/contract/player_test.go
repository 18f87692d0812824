package contract

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// onRig plays five keys, at 0, 100, 200, 300 and 400 ms, all until 2000 ms.
func onRig(t *testing.T, text string) *Result {
	t.Helper()
	rig, faults := profiles.Read("rig.yaml", []byte("rig: P\ninterfaces: {main: {profile: cv16-gate16}}\n"+
		"voices: {v: {release: 0 s}}\n"+text), nil)
	require.Empty(t, faults)
	_, r := playOn(t, rig, fiveOnFour, plan.Overrides{})
	return r
}

func TestRulesOfParts(t *testing.T) {
	r := onRig(t, "banks: {K: {voices: 6, kind: v}}\nparts:\n"+
		"  bass: {keys: 0-47, mode: mono low, reattack: press, reserve: 1, limit: 1}\n"+
		"  pad: {keys: 48-127, unison: {voices: 2, when_short: elastic}, priority: 3}\n")
	require.Equal(t, PartUnison{Voices: 2, WhenShort: "elastic"}, r.Parts[1].Unison)
	require.Equal(t, 1, *r.Parts[0].Limit)
	require.Nil(t, r.Parts[1].Limit)
}

// TestThinnedNotes: three voices a note on four: the second note gets the one
// voice left, 10·log10(1/3) = −4.8 dB.
func TestThinnedNotes(t *testing.T) {
	r := onRig(t, "banks: {K: {voices: 4, kind: v}}\nparts: {p: {unison: {voices: 3, when_short: thin}, steal: none}}\n")
	require.Equal(t, 1, r.Flags.Thinned)
	require.Positive(t, r.Damaged, "the other three find no voice")
	m := r.Marks[len(r.Marks)-1]
	require.Equal(t, []any{"thinned", 1, 3, 52}, []any{m.Flag, *m.Voices, *m.Of, m.Key})
	require.InDelta(t, -4.771, *m.Value, 0.001)
}

const pairsOnFour = "banks: {K: {voices: 4, kind: v}}\nparts: {p: {unison: {voices: 2, when_short: wait}, steal: none}}\n"

// TestNotesThatWait: two voices a note on four. The third to fifth keys, at 200,
// 300 and 400 ms, wait until 2000 ms: 1800 + 1700 + 1600 ms. Five notes on four
// voices for 1600 ms: one must be damaged. Every part of the answer says so.
func TestNotesThatWait(t *testing.T) {
	r := onRig(t, pairsOnFour)
	require.Equal(t, 3, r.Damaged)
	require.Equal(t, 3, r.Endings[study.LateStart])
	require.Equal(t, 3, r.Parts[0].Damaged)
	require.Equal(t, 3, r.Waited)
	require.InDelta(t, 1.8, r.LongestWaitS, 1e-9)
	require.InDelta(t, 5.1, r.LostGateS, 1e-9)
	require.Len(t, r.Losses, 3)
	for i, lost := range []float64{1.8, 1.7, 1.6} { // K1 and K2 are let go first, then K3 and K4
		l := &r.Losses[i]
		require.InDelta(t, lost, l.LostS, 1e-9)
		require.InDelta(t, 2-lost, l.AtS, 1e-9, "where it should have begun")
		require.Equal(t, []any{"late_start", "unison", []string{"K1", "K3", "K1"}[i]}, []any{l.Ending, l.Cause, *l.VoiceName})
		require.Nil(t, l.LevelDB)
		require.Nil(t, l.ByKey)
	}
	require.Contains(t, mustJSON(t, r), `"late_start":3`)
}

// TestNotesThatWaitALittle: the same with an overlap of 2 s. None is damaged, but
// nothing that is shown says that nothing is lost.
func TestNotesThatWaitALittle(t *testing.T) {
	for overlap, damaged := range map[string]int{"1799 ms": 1, "1800 ms": 0} {
		r := onRig(t, pairsOnFour+"timing: {overlap: "+overlap+"}\n")
		require.Equal(t, damaged, r.Damaged, overlap)
		require.Equal(t, damaged, r.Endings[study.LateStart], overlap)
	}
	r := onRig(t, pairsOnFour+"timing: {overlap: 2 s}\n")
	require.Zero(t, r.Damaged)
	require.Empty(t, r.Losses)
	require.Equal(t, 3, r.Flags.Late)
	require.InDelta(t, 5.1, r.LostGateS, 1e-9)
	require.LessOrEqual(t, r.Bound.FewestDamaged, r.Damaged)
}

func mustJSON(t *testing.T, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	require.NoError(t, err)
	return string(data)
}

func TestEveryCauseHasAName(t *testing.T) {
	for cause := alloc.CauseNone; cause <= alloc.CauseUnison; cause++ {
		require.NotEmpty(t, causeName(&study.Outcome{Cause: cause}))
	}
	require.Equal(t, "unison", causeName(&study.Outcome{Ending: study.Dropped, Cause: alloc.CauseUnison}))
	require.Equal(t, "overlap", causeName(&study.Outcome{Ending: study.OverlapOnly, Cause: alloc.CauseUnison}))
}

// TestReserveIsACause: of four voices two are kept for a part that never plays.
func TestReserveIsACause(t *testing.T) {
	r := onRig(t, "banks: {K: {voices: 4, kind: v}}\nparts:\n  kept: {channel: 2, reserve: 2}\n  p: {channel: 1, steal: none}\n")
	require.Equal(t, 3, r.Damaged)
	require.Equal(t, "reserve", r.Losses[0].Cause)
}
