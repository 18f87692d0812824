package contract

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing/plan"
)

// mapOf makes the map of a rig that is given as text.
func mapOf(t *testing.T, text string, o plan.Overrides) *Map {
	t.Helper()
	rig, faults := profiles.Read("rig.yaml", []byte(text), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	return NewMap(p)
}

func demoMap(t *testing.T, o plan.Overrides) *Map {
	t.Helper()
	rig, err := profiles.Load(demo + "kiln-yard.yaml")
	require.NoError(t, err)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	return NewMap(p)
}

// TestMapFieldsOfTheContract: no field of the JSON may go.
func TestMapFieldsOfTheContract(t *testing.T) {
	m := decode(t, demoMap(t, plan.Overrides{Unison: plan.Only("pad", 4)}))
	has(t, m, "version, rig, fingerprint, voices, lanes, macros, spare, findings, unisons")
	voices := m["voices"].([]any)
	require.Len(t, voices, 20)
	v := voices[17].(map[string]any) // P2
	has(t, v, "voice, name, bank, position, state, pitch, gate, lanes, part, unison, detune_cents, pan, zero_key, volts_at")
	require.Equal(t, []any{18.0, "P2", "P", 2.0, "out"}, []any{v["voice"], v["name"], v["bank"], v["position"], v["state"]})
	for _, jack := range []string{"pitch", "gate"} {
		has(t, v[jack], "jack, connector, interface, port, channel, message")
		j := v[jack].(map[string]any)
		// Voices upward from jack 1, eight to a connector; voice 17 begins port 2.
		require.Equal(t, []any{18.0, 3.0, "main", 2.0, 2.0, "note"},
			[]any{j["jack"], j["connector"], j["interface"], j["port"], j["channel"], j["message"]})
	}
	// Marks 0-1-4-6, the Golomb ruler of four, over 12 cents.
	require.Equal(t, "pad", v["part"])
	require.Equal(t, map[string]any{"stack": 5.0, "position": 2.0, "of": 4.0}, v["unison"])
	require.Equal(t, -4.0, v["detune_cents"])
	require.Equal(t, 36.0, v["zero_key"])
	// P2 tracks 40–76: (40 − 36)/12 and (76 − 36)/12 V, and the Cs between them.
	volts := v["volts_at"].(map[string]any)
	require.Len(t, volts, 5)
	for key, want := range map[string]float64{"40": 4. / 12, "48": 1, "60": 2, "72": 3, "76": 40. / 12} {
		require.InDelta(t, want, volts[key], 1e-12, key)
	}
	require.Equal(t, []any{4.0, 12.0}, []any{m["spare"].(map[string]any)["cv"], m["spare"].(map[string]any)["gates"]})
	has(t, m["macros"].([]any)[0], "name, to, jack, connector, interface, port, channel, message")
	has(t, m["findings"].([]any)[0], "code, severity, where, text, value, unit, assumed")
}

// TestUnisonsOfTheMap: 12 cents over marks 0-1-4-6; beats f·(2^(c/1200) − 1).
func TestUnisonsOfTheMap(t *testing.T) {
	m := demoMap(t, plan.Overrides{Unison: plan.Only("pad", 4)})
	require.Len(t, m.Unisons, 1)
	u := m.Unisons[0]
	require.Equal(t, []float64{-6, -4, 2, 6}, u.DetuneCents)
	require.InDelta(t, -0.5, u.MeanCents, 1e-12) // (−6 − 4 + 2 + 6)/4
	require.Equal(t, []string{"P1", "P2", "P3", "P4"}, u.Stacks[4])
	require.Less(t, math.Abs(u.PanCorrelation), 0.2)
	low := u.Keys[0]
	require.Equal(t, 36, low.Key)
	require.InDelta(t, 65.406, low.PitchHz, 0.001) // C2 at a4 = 440 Hz
	f := 65.40639 * math.Exp2(-6.0/1200)
	require.InDelta(t, f*(math.Exp2(12.0/1200)-1), low.Fastest.BeatHz, 1e-6)
	slow := f * (math.Exp2(2.0/1200) - 1)
	require.InDelta(t, slow, low.Slowest.BeatHz, 1e-6)
	require.InDelta(t, 1/slow, *u.SlowestPeriodS, 1e-3)
	require.Nil(t, u.Throb, "no two gaps of the uneven law are alike")

	even := mapOf(t, "rig: E\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4}}\n"+
		"parts: {p: {unison: {voices: 3, spread: 20 cents, law: even}}}\n", plan.Overrides{}).Unisons[0]
	require.NotNil(t, even.Throb)
	require.Equal(t, []string{"K4"}, even.Idle)
}

// TestRecordsDoNotChange: a bank and a macro more change no row of a voice, a
// lane or a macro, and a row for each jack has as many fields as the head.
func TestRecordsDoNotChange(t *testing.T) {
	const text = "rig: G\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4, lanes: [cutoff]}%s}\nmacros: {bite: {from: CC 74 on 16, to: K.level}%s}\n"
	before := mapOf(t, fmt.Sprintf(text, "", ""), plan.Overrides{}).Records()
	after := mapOf(t, fmt.Sprintf(text, ", Longname: {voices: 6, lanes: [cutoff]}", ", slow: {from: CC 11 on 16, to: K.cutoff}"), plan.Overrides{}).Records()
	require.NotEqual(t, before[1], after[1], "the row of the rig has its fingerprint")
	kept := 0
	for _, row := range before {
		require.Len(t, row, len(recordHead))
		if row[0] != "rig" && row[0] != "spare" {
			require.Contains(t, after, row)
			kept++
		}
	}
	require.Equal(t, 1+8+1+1, kept, "the head, four pitches and gates, a lane, a macro")
	require.Len(t, before, 2+32, "the head, the rig and every jack")
}

func TestVoltsAtIsInTheOrderOfKeys(t *testing.T) {
	m := mapOf(t, "rig: O\ninterfaces: {main: {profile: cv16-gate16, window: 0 V to 10 V, zero_key: 0}}\nbanks: {K: {voices: 1}}\n", plan.Overrides{})
	data, err := json.Marshal(m.Voices[0].VoltsAt)
	require.NoError(t, err)
	require.Equal(t, `{"0":0,"12":1,"24":2,"36":3,"48":4,"60":5,"72":6,"84":7,"96":8,"108":9,"120":10}`, string(data))
}

// TestVoltsAtAgain: what was decoded is in the order of keys, which as texts
// would be another.
func TestVoltsAtAgain(t *testing.T) {
	m := mapOf(t, "rig: O\ninterfaces: {main: {profile: cv16-gate16, window: 0 V to 10 V, zero_key: 0}}\nbanks: {K: {voices: 1}}\n", plan.Overrides{})
	data, err := json.Marshal(m.Voices[0].VoltsAt)
	require.NoError(t, err)
	var again VoltsAt
	require.NoError(t, json.Unmarshal(data, &again))
	require.Equal(t, m.Voices[0].VoltsAt, again)
	require.Error(t, json.Unmarshal([]byte(`{"128x":1}`), &again))
}
