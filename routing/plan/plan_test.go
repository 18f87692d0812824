package plan

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/routing"
)

// read reads a rig that has no faults.
func read(t *testing.T, text string) *profiles.Rig {
	t.Helper()
	rig, faults := profiles.Read("rig.yaml", []byte(text), nil)
	require.Empty(t, faults)
	return rig
}

func build(t *testing.T, text string, o Overrides) *Plan {
	t.Helper()
	p, err := Build(read(t, text), o)
	require.NoError(t, err)
	return p
}

const twoParts = `
rig: Two
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4, out: [2]}, L: {voices: 4}}
parts:
  pad: {channel: 1, banks: [K]}
  bass: {channel: 2, banks: [L], steal: lowest}
`

func TestConfigFollowsTheRig(t *testing.T) {
	p := build(t, twoParts, Overrides{})
	cfg := p.Rules.Config
	require.Len(t, cfg.Voices, 8)
	require.Equal(t, alloc.Out, cfg.Voices[1].State)
	require.Equal(t, 1, cfg.Voices[4].Bank)
	// Defaults of the rig file: release 1.5 s, gap 3 ms, lead
	// 1 ms, overlap 80 ms, minimum gate 5 ms, free −60 dB, limit −40 dB.
	require.Equal(t, 1500*time.Millisecond, cfg.Voices[0].Envelope.Release)
	require.Equal(t, 3*time.Millisecond, p.Rules.Gap)
	require.Equal(t, time.Millisecond, p.Rules.Lead)
	require.Equal(t, 80*time.Millisecond, p.Rules.Overlap)
	require.Equal(t, 5*time.Millisecond, cfg.MinGate)
	require.Equal(t, -60.0, cfg.FreeDB)
	require.Equal(t, -40.0, p.Rules.LimitDB)
	require.Equal(t, "pad", cfg.Parts[0].Name)
	require.Equal(t, []int{0}, cfg.Parts[0].Banks)
	require.Equal(t, alloc.StealProtectOuter, cfg.Parts[0].Steal)
	require.Equal(t, alloc.StealLowest, cfg.Parts[1].Steal)
	require.False(t, cfg.Parts[0].MixClasses)
	require.Empty(t, p.Findings)
}

func TestWindow(t *testing.T) {
	for _, c := range []struct {
		name, fields string
		low, high    float64
	}{
		// ⌊12·hi⌋ − ⌈12·lo⌉ + 1: 0…5 V has 61 keys, 0…10 V and −5…+5 V have 121.
		{"5 V", "window: 0 V to 5 V, zero_key: 36", 36, 96},
		{"10 V", "window: 0 V to 10 V, zero_key: 0", 0, 120},
		{"either side", "window: -5 V to 5 V, zero_key: 60", 0, 120},
		{"part of a semitone", "window: 0 V to 0.5 V, zero_key: 36, scale: 1 V/oct", 36, 42},
		{"1.2 V/oct", "window: 0 V to 6 V, zero_key: 36, scale: 1.2 V/oct", 36, 96}, // 6/1.2 = 5 octaves
		// Volts double with each octave: 0.5 V is an octave below, 4 V two above
		// the reference, which is key 60 at 261.63 Hz within 0.0003 semitones.
		{"Hz/V", "window: 0.5 V to 4 V, scale: 261.63 Hz at 1 V", 48, 84},
		{"Hz/V from 0 V", "window: 0 V to 4 V, scale: 261.63 Hz at 1 V", math.Inf(-1), 84},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := build(t, "rig: W\ninterfaces: {main: {cv: 8, gates: 8, "+c.fields+"}}\nbanks: {K: {voices: 2}}\n", Overrides{})
			w := p.Rules.Config.Voices[1].Window
			require.True(t, w.Bounded)
			if math.IsInf(c.low, -1) {
				require.Equal(t, c.low, w.Low)
			} else {
				require.InDelta(t, c.low, w.Low, 0.0005)
			}
			require.InDelta(t, c.high, w.High, 0.0005)
		})
	}
}

func TestKeysAtTheEdgeOfAWindowAreInside(t *testing.T) {
	// 4.3 V at 1.2 V/oct is 43 semitones, which floating point misses.
	p := build(t, "rig: W\ninterfaces: {main: {cv: 8, gates: 8, zero_key: 36, scale: 1.2 V/oct, window: 0 V to 4.3 V}}\nbanks: {K: {voices: 2}}\n", Overrides{})
	require.Equal(t, 79.0, p.Rules.Config.Voices[0].Window.High)
}

// A bank stays on one interface where it fits: A takes the pairs of
// the first, and L, which finds none there, goes to the next.
func TestWindowsAreThoseOfTheJacks(t *testing.T) {
	p := build(t, `
rig: W
interfaces:
  small: {cv: 2, gates: 2, zero_key: 24}
  large: {cv: 8, gates: 8, zero_key: 48}
banks: {K: {voices: 2}, L: {voices: 4}}
`, Overrides{})
	var lows []float64
	for _, v := range p.Rules.Config.Voices {
		lows = append(lows, v.Window.Low)
	}
	require.Equal(t, []float64{24, 24, 48, 48, 48, 48}, lows)
}

func TestFindings(t *testing.T) {
	for _, c := range []struct {
		name, rig string
		want      []routing.Code
		severity  routing.Severity
	}{
		{"fine", twoParts, nil, 0},
		{"no voice in service", `
rig: F
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 1, out: [1]}, L: {voices: 1}}
parts: {p: {banks: [K]}, q: {banks: [L]}}
`, []routing.Code{routing.PartWithoutVoices}, routing.Error},
		{"unused bank", `
rig: F
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 1}, L: {voices: 1}}
parts: {p: {banks: [K]}}
`, []routing.Code{routing.BankUnused}, routing.Warning},
		{"a part whose voices are kept for others", `
rig: F
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 3}}
parts: {p: {channel: 1, reserve: 2}, q: {channel: 2, reserve: 1}, r: {channel: 3}}
`, []routing.Code{routing.PartKeptOut}, routing.Warning},
		{"a part with a voice beside those that are kept", `
rig: F
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 3}}
parts: {p: {channel: 1, reserve: 2}, r: {channel: 3}}
`, nil, 0},
		{"fixed to a voice that is out", `
rig: F
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 3, out: [2], limited: {3: 40-50}}}
parts: {p: {pick: {fixed: {60: K1, 62: K2, 64: K3}}}}
`, []routing.Code{routing.FixedVoiceOut, routing.FixedKeyOutside}, routing.Error},
		{"voices that read as keys", "rig: F\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {A: {voices: 1}, H: {voices: 1}, Eb: {voices: 1}}\n", []routing.Code{routing.BankReadsAsKey}, routing.Note},
		{"voices that do not", "rig: F\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 1}, I: {voices: 1}, AB: {voices: 1}, Cello: {voices: 1}}\n", nil, 0},
		{"names that read as keys or are those of voices", `
rig: F
interfaces: {K1: {profile: cv16-gate16}}
sequencers: {eb-1: {profile: seq4}}
voices: {saw: {has: [pitch, gate, cutoff]}}
banks: {K: {voices: 2, kind: saw}}
macros: {K2: {from: CC 74 on 16, to: [K.cutoff]}}
parts: {C4: {banks: [K]}}
`, []routing.Code{routing.NameReadsAsOther, routing.NameReadsAsOther, routing.NameReadsAsOther, routing.NameReadsAsOther}, routing.Note},
		{"names that are neither", `
rig: F
interfaces: {K3: {profile: cv16-gate16}}
voices: {saw: {has: [pitch, gate, cutoff]}}
banks: {K: {voices: 2, kind: saw}}
macros: {C: {from: CC 74 on 16, to: [K.cutoff]}}
parts: {I4: {banks: [K]}}
`, nil, 0},
		{"no interface", "rig: F\nbanks: {K: {voices: 1}}\n", []routing.Code{routing.NoInterface}, routing.Note},
		{"more lanes than jacks", `
rig: F
interfaces: {main: {cv: 2, gates: 2, ports: 1}}
banks: {K: {voices: 3}}
`, []routing.Code{routing.LaneDoesNotFit}, routing.Error},
		{"a set-up that bends pitches", `
rig: F
interfaces: {main: {profile: cv16-gate16}}
sequencers: {seq: {profile: seq4, output_resistance: 1 kohm}}
banks: {K: {voices: 4}}
set_ups: {studio: {from: main}, stage: {from: seq, parts: {1: K}}}
`, []routing.Code{routing.PitchBent}, routing.Warning},
	} {
		t.Run(c.name, func(t *testing.T) {
			var codes []routing.Code
			for _, f := range build(t, c.rig, Overrides{}).Findings {
				require.Equal(t, c.severity, f.Severity, f.Text)
				codes = append(codes, f.Code)
			}
			require.ElementsMatch(t, c.want, codes)
		})
	}
}

func TestFindingsHaveAPlace(t *testing.T) {
	p := build(t, "rig: F\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 1, out: [1]}}\nparts:\n  p: {}\n", Overrides{})
	require.Equal(t, profiles.Pos{File: "rig.yaml", Line: 5, Column: 3}, p.Findings[0].Pos)
	require.Equal(t, "parts.p.banks", p.Findings[0].Where)
}
