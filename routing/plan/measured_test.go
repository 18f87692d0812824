package plan

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing"
)

// TestMeasuredVoices: what was measured of a voice is what the engine plays by, and only
// of that voice; a release given for this run counts before it. What is late is told, and
// so are gates that may be too short.
func TestMeasuredVoices(t *testing.T) {
	const text = "rig: Test\nbanks: {K: {voices: 3, out: [3]}}\nmeasured: {K1: {release: 0.8 s, attack: 9 ms, min_gate: 20 ms, latency: 8 ms}, K2: {latency: 2 ms}, K3: {latency: 40 ms}}\n"
	build := func(text string, o Overrides) *Plan {
		r, faults := profiles.Read("test.yaml", []byte(text), nil)
		require.Empty(t, faults)
		p, err := Build(r, o)
		require.NoError(t, err)
		return p
	}
	p := build(text, Overrides{})
	k1, k2 := p.Rules.Config.Voices[0].Envelope, p.Rules.Config.Voices[1].Envelope
	require.Equal(t, []time.Duration{800 * time.Millisecond, 9 * time.Millisecond}, []time.Duration{k1.Release, k1.Attack})
	require.Equal(t, []time.Duration{1500 * time.Millisecond, 5 * time.Millisecond}, []time.Duration{k2.Release, k2.Attack}) // the built-in kind's
	require.Equal(t, 20*time.Millisecond, p.Rules.Config.MinGate)
	find := func(p *Plan, code routing.Code) string {
		for _, f := range p.Findings {
			if f.Code == code {
				return f.Text
			}
		}
		return ""
	}
	require.Equal(t, "K1 answers up to 8.0 ms behind the quickest voice", find(p, routing.VoiceLate))
	require.Empty(t, find(p, routing.GateTooShort))
	require.Equal(t, "gates may be as short as 5 ms, and K1 needs up to 20 ms", find(build(text+"timing: {min_gate: 5 ms}\n", Overrides{}), routing.GateTooShort))
	require.Empty(t, find(build(text+"timing: {min_gate: 20 ms}\n", Overrides{}), routing.GateTooShort))

	run := build(text, Overrides{Release: []For[time.Duration]{{Value: 3 * time.Second}}})
	require.Equal(t, 3*time.Second, run.Rules.Config.Voices[0].Envelope.Release)
}

// TestKeepBesideMeasured: a release for voices whose own was measured cannot be kept in
// their kind; for banks of which nothing was measured it can, and what was measured of the
// others stays.
func TestKeepBesideMeasured(t *testing.T) {
	const text = "rig: Test\nvoices: {saw: {release: 2 s}, sine: {release: 3 s}}\nbanks: {K: {voices: 2, kind: saw}, L: {voices: 2, kind: sine}}\n" +
		"parts: {pad: {channel: 1, banks: [K]}, bass: {channel: 2, banks: [L]}}\nmeasured: {L1: {release: 2.5 s}}\n"
	rig, faults := profiles.Read("test.yaml", []byte(text), nil)
	require.Empty(t, faults)
	_, _, _, err := Keep(rig, []byte(text), MustParse("--release", "bass=1 s"), nil)
	require.ErrorContains(t, err, "the release of L1 was measured")
	kept, after, _, err := Keep(rig, []byte(text), MustParse("--release", "pad=1 s"), nil)
	require.NoError(t, err)
	require.Contains(t, string(kept), "saw: {release: 1 s}, sine: {release: 3 s}")
	require.Equal(t, 2500*time.Millisecond, after.Envelope(2).Release)
}

// TestUnfinishedMeasurement: K1 has two days. K2 was measured without a pitch, K3 on one day, K4 not at
// all, and K5, which is out, needs nothing. Where no take kept a day, nothing is said: readings
// of another kind may do.
func TestUnfinishedMeasurement(t *testing.T) {
	const text = "rig: Test\nbanks: {K: {voices: 5, out: [5]}}\nmeasured: {K1: {date: 2020-11-02, notes: 5%s}, K2: {date: 2020-11-02, release: 1 s}%s}\n"
	find := func(days, more string) (found []string) {
		r, faults := profiles.Read("test.yaml", fmt.Appendf(nil, text, days, more), nil)
		require.Empty(t, faults)
		p, err := Build(r, Overrides{})
		require.NoError(t, err)
		for _, f := range p.Findings {
			if f.Where == "measured" {
				found = append(found, f.Text)
			}
		}
		return found
	}
	const one, two, k3 = ", tuning: {2020-11-01: {60: 1 cents}}", ", tuning: {2020-11-01: {60: 1 cents}, 2020-11-02: {60: 2 cents}}", ", K3: {date: 2020-11-02, tuning: {2020-11-02: {60: 1 cents}}}"
	require.ElementsMatch(t, []string{"a take measured K2, and wrote no pitch of it", "without readings: K4", "read on one day only: K3"}, find(two, k3))
	require.ElementsMatch(t, []string{"a take measured K2, and wrote no pitch of it", "without readings: K4"}, find(one, k3)) // a second day is still to come for all
	require.Empty(t, find("", ""))
}
