package contract

import (
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

func TestRulesSayWhatIsNotPlain(t *testing.T) {
	r := onRig(t, "banks: {A: {voices: 6, kind: v}}\nparts:\n"+
		"  bass: {keys: 0-47, mode: mono low, reattack: press, reserve: 1, limit: 1}\n"+
		"  pad: {keys: 48-127, unison: {voices: 2, when_short: elastic}, priority: 3}\n")
	const rules = "pick longest-idle, steal protect-outer, tails known, retrigger counted"
	require.Equal(t, []string{
		"Part bass on A (6 voices): " + rules + ", mono low with re-attack on press, 1 reserved, at most 1",
		"Part pad on A (6 voices): " + rules + ", unison of 2 (elastic), priority 3",
	}, r.RuleLines())
	require.Equal(t, PartUnison{Voices: 2, WhenShort: "elastic"}, r.Parts[1].Unison)
	require.Equal(t, 1, *r.Parts[0].Limit)
	require.Nil(t, r.Parts[1].Limit)
}

// TestThinnedNotes: three voices a note on four: the second note gets the one
// voice left, 10·log10(1/3) = −4.8 dB.
func TestThinnedNotes(t *testing.T) {
	r := onRig(t, "banks: {A: {voices: 4, kind: v}}\nparts: {p: {unison: {voices: 3, when_short: thin}, steal: none}}\n")
	require.Equal(t, 1, r.Flags.Thinned)
	require.Positive(t, r.Damaged, "the other three find no voice")
	require.Contains(t, r.FlagLines(), "1 note thinned, at most to 1 of 3 (-4.8 dB): bar 1")
	m := r.Marks[len(r.Marks)-1]
	require.Equal(t, []any{"thinned", 1, 3, 52}, []any{m.Flag, *m.Voices, *m.Of, m.Key})
	require.InDelta(t, -4.771, *m.Value, 0.001)
}

// TestNotesThatWait: two voices a note on four. The third to fifth keys, at 200,
// 300 and 400 ms, wait until 2000 ms: 1800 + 1700 + 1600 ms. Every part of the
// answer says so, though no ending is called damage.
func TestNotesThatWait(t *testing.T) {
	r := onRig(t, "banks: {A: {voices: 4, kind: v}}\nparts: {p: {unison: {voices: 2, when_short: wait}, steal: none}}\n")
	require.Zero(t, r.Damaged)
	require.Equal(t, 3, r.Waited)
	require.InDelta(t, 1.8, r.LongestWaitS, 1e-9)
	require.InDelta(t, 5.1, r.LostGateS, 1e-9)
	require.Contains(t, r.Summary, "5 notes on 4 voices: none damaged, 3 begun late, by up to 1.80 s; ")
	require.Equal(t, "Waiting for the voices of a unison costs 5.10 s of gate time: a smaller unison, or when_short: thin, starts at once.", r.Verdict)
	require.Equal(t, []string{"3 notes late, by up to 1.80 s, waiting for the voices of a unison: bar 1"}, r.FlagLines())
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
	r := onRig(t, "banks: {A: {voices: 4, kind: v}}\nparts:\n  kept: {channel: 2, reserve: 2}\n  p: {channel: 1, steal: none}\n")
	require.Equal(t, 3, r.Damaged)
	require.Equal(t, "reserve", r.Losses[0].Cause)
}
