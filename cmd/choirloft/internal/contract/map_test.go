package contract

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/profiles/unit"
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

// TestMapFieldsOfTheContract follows DESIGN.md, "The command".
func TestMapFieldsOfTheContract(t *testing.T) {
	m := decode(t, demoMap(t, plan.Overrides{Unison: []string{"pad=4"}}))
	has(t, m, "version, rig, fingerprint, voices, lanes, macros, spare, findings, unisons")
	voices := m["voices"].([]any)
	require.Len(t, voices, 20)
	v := voices[17].(map[string]any) // E2
	has(t, v, "voice, name, bank, position, state, pitch, gate, lanes, part, unison, detune_cents, pan, zero_key, volts_at")
	require.Equal(t, []any{18.0, "E2", "E", 2.0, "out"}, []any{v["voice"], v["name"], v["bank"], v["position"], v["state"]})
	for _, jack := range []string{"pitch", "gate"} {
		has(t, v[jack], "jack, connector, interface, port, channel, message")
		j := v[jack].(map[string]any)
		// Voices upward from jack 1, eight to a connector; voice 17 begins port 2.
		require.Equal(t, []any{18.0, 3.0, "main", 2.0, 2.0, "note"},
			[]any{j["jack"], j["connector"], j["interface"], j["port"], j["channel"], j["message"]})
	}
	// Marks 0-1-4-6 over 12 cents (TRADE §12).
	require.Equal(t, "pad", v["part"])
	require.Equal(t, map[string]any{"stack": 5.0, "position": 2.0, "of": 4.0}, v["unison"])
	require.Equal(t, -4.0, v["detune_cents"])
	require.Equal(t, 36.0, v["zero_key"])
	// E2 tracks 40–76: (40 − 36)/12 and (76 − 36)/12 V, and the Cs between them.
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
	m := demoMap(t, plan.Overrides{Unison: []string{"pad=4"}})
	require.Len(t, m.Unisons, 1)
	u := m.Unisons[0]
	require.Equal(t, []float64{-6, -4, 2, 6}, u.DetuneCents)
	require.InDelta(t, -0.5, u.MeanCents, 1e-12) // (−6 − 4 + 2 + 6)/4
	require.Equal(t, []string{"E1", "E2", "E3", "E4"}, u.Stacks[4])
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

	even := mapOf(t, "rig: E\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {A: {voices: 4}}\n"+
		"parts: {p: {unison: {voices: 3, spread: 20 cents, law: even}}}\n", plan.Overrides{}).Unisons[0]
	require.NotNil(t, even.Throb)
	require.Equal(t, []string{"A4"}, even.Idle)
	require.Equal(t, []string{"Stacks 1: A1 A2 A3; idle: A4.",
		"Evenly spaced: at " + even.Keys[1].KeyName + " all voices throb as one, every " + period(even.Throb.PeriodS) + "."}, even.Rest())
}

func TestStandingOfVoices(t *testing.T) {
	m := mapOf(t, "rig: S\ninterfaces: {main: {profile: cv16-gate16}}\n"+
		"banks: {A: {voices: 4, limited: {1: 40-76}, out: [2], spare: [3]}, B: {voices: 3, out: [1], spare: [3], use_spare: true}}\n", plan.Overrides{})
	var standings, states []string
	for i := range m.Voices {
		standings, states = append(standings, m.Voices[i].Standing()), append(states, m.Voices[i].State)
	}
	require.Equal(t, []string{"LIMITED 40-76", "OUT", "SPARE", "in", "OUT", "in", "FOR B1"}, standings)
	require.Equal(t, []string{"limited", "out", "spare", "in", "out", "in", "in"}, states)
	require.Nil(t, m.Voices[2].Part, "a spare at rest plays nothing")
}

// TestDetuneThatChanges: what no fixed stack or voice gives is said to vary.
func TestDetuneThatChanges(t *testing.T) {
	const head = "rig: V\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {A: {voices: 4}}\n"
	for parts, want := range map[string][2]string{
		"parts: {p: {}}\n":                                                       {"-", "-"},
		"parts: {p: {unison: {voices: 4}}}\n":                                    {"-6.0", "L 60"},
		"parts: {p: {unison: {voices: 4, when_short: thin}}}\n":                  {"varies", "varies"},
		"parts: {p: {channel: 1, unison: {voices: 4}}, q: {channel: 2}}\n":       {"varies", "varies"},
		"parts: {p: {unison: {voices: 4, when_short: thin, detune: voice}}}\n":   {"-6.0", "L 60"},
		"parts: {p: {unison: {voices: 2, spread: 5 cents, when_short: blocks}}}": {"-2.5", "C"},
	} {
		v := &mapOf(t, head+parts, plan.Overrides{}).Voices[0]
		require.Equal(t, want, [2]string{v.cents(), v.pan()}, parts)
	}
}

func TestLanesWithoutAJackAreNamed(t *testing.T) {
	m := mapOf(t, "rig: T\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {A: {voices: 5}}\n", plan.Overrides{})
	require.Equal(t, []string{"A5.pitch", "A5.gate"}, m.Missing)
	require.Contains(t, m.Summary, "2 lanes without a jack: A5.pitch and A5.gate")
	require.NotEmpty(t, m.Steps)
	require.Nil(t, m.Voices[4].Pitch)
	require.Equal(t, []string{"5", "A5", "in", "-", "-", "-", "-", "-", "-", "-", "all"}, m.VoiceTable().Groups[1].Rows[0])
	decode(t, m) // JSON can say it
}

// TestRecordsDoNotChange: a bank and a macro more change no row of a voice, a
// lane or a macro, and a row for each jack has as many fields as the head.
func TestRecordsDoNotChange(t *testing.T) {
	const text = "rig: G\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {A: {voices: 4, lanes: [cutoff]}%s}\nmacros: {bite: {from: CC 74 on 16, to: A.level}%s}\n"
	before := mapOf(t, fmt.Sprintf(text, "", ""), plan.Overrides{}).Records()
	after := mapOf(t, fmt.Sprintf(text, ", Longname: {voices: 6, lanes: [cutoff]}", ", slow: {from: CC 11 on 16, to: A.cutoff}"), plan.Overrides{}).Records()
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
	m := mapOf(t, "rig: O\ninterfaces: {main: {profile: cv16-gate16, window: 0 V to 10 V, zero_key: 0}}\nbanks: {A: {voices: 1}}\n", plan.Overrides{})
	data, err := json.Marshal(m.Voices[0].VoltsAt)
	require.NoError(t, err)
	require.Equal(t, `{"0":0,"12":1,"24":2,"36":3,"48":4,"60":5,"72":6,"84":7,"96":8,"108":9,"120":10}`, string(data))
}

func TestHertzPerVoltHasNoZeroKey(t *testing.T) {
	m := mapOf(t, "rig: H\ninterfaces: {main: {profile: cv16-gate16, scale: 261.63 Hz at 1 V}}\nbanks: {A: {voices: 1}}\n", plan.Overrides{})
	require.Nil(t, m.Voices[0].ZeroKey)
	require.Contains(t, m.VoiceTable().Groups[0].Title, "261.6 Hz at 1 V, Hz/V")
}

func TestSmallFormats(t *testing.T) {
	for hertz, want := range map[float64]string{0.0754: "0.075 Hz", 0.9994: "0.999 Hz", 0.9996: "1.00 Hz", 9.994: "9.99 Hz", 9.996: "10.0 Hz", 1046.5: "1046.5 Hz"} {
		require.Equal(t, want, Hertz(hertz))
	}
	for volts, want := range map[float64]string{5: "5 V", -0.0004: "0 V", -1.0006: "-1.001 V", 1.2: "1.2 V"} {
		require.Equal(t, want, Volts(volts))
	}
	for pan, want := range map[float64]string{0: "C", 0.004: "C", -0.6: "L 60", 1: "R 100"} {
		require.Equal(t, want, Pan(pan))
	}
	for cents, want := range map[float64]string{-0.04: "0.0", 0.04: "0.0", 0.06: "+0.1", -6: "-6.0"} {
		require.Equal(t, want, unit.Signed(cents))
	}
	require.Equal(t, "1-3, 5, 7-8", runs([]int{1, 2, 3, 5, 7, 8}))
	require.Equal(t, "a, b, c, d, e, f, g, h and 1 more", unit.Several(strings.Split("abcdefghi", "")))
}
