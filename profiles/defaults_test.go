package profiles

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/midi"
)

// What a rig file that says little stands for, written out here so that no
// default changes unseen.
func TestDefaults(t *testing.T) {
	rig := mustRead(t, "rig: R\ninterfaces: {main: {cv: 8, gates: 8}}\nbanks: {K: {voices: 2}, L: {voices: 1}}\n")

	require.Equal(t, Hertz(440), rig.A4)
	require.Equal(t, C4, rig.MiddleC)
	require.Equal(t, midi.Order{}, rig.Order)
	require.Equal(t, Timing{
		Gap: 3 * time.Millisecond, MinGate: 5 * time.Millisecond,
		Lead: time.Millisecond, Overlap: 80 * time.Millisecond,
	}, rig.Timing)
	require.Equal(t, Audible{Free: -60, Limit: -40}, rig.Audible)
	require.Equal(t, Levels{Voice: 10, Shape: Saw, Clip: 10.5, Submix: -6, Main: -12}, rig.Levels)
	require.Equal(t, Rack{HP: 104}, rig.Rack)
	require.Equal(t, Tuned{Warm: true}, rig.Tuned)

	require.Equal(t, Interface{
		Name: "main", Pos: Pos{"test.yaml", 2, 14}, CV: 8, Gates: 8, Connector: 8,
		Window: Window{0, 5}, ZeroKey: 36, Scale: Scale{PerOctave: 1}, Bits: 16,
		OutputResistance: 100, Gate: Gate{Volts: 5}, Link: USB, Trimmed: true, Ports: 2,
	}, rig.Interfaces[0])
}

func TestDefaultKind(t *testing.T) {
	rig := mustRead(t, "rig: R\nbanks: {K: {voices: 2}}\nvoices: {k: {}}\n")
	want := Kind{
		Name: "saw-lowpass",
		Envelope: alloc.Envelope{
			Attack: 5 * time.Millisecond, Decay: 300 * time.Millisecond, Sustain: 1, Release: 1500 * time.Millisecond,
		},
		PitchResistance: 100e3, GateThreshold: 2.5, GateResistance: 100e3, GroupPitch: GroupNone, Sound: Sound{Cutoff: 2000}, Drift: 2, Tracking: 3, TrimKey: 60, Compensated: true, BalanceKey: 60,
		Has:    []string{"pitch", "gate", "velocity", "cutoff", "resonance", "level"},
		Inputs: []string{"pitch", "gate"},
	}
	require.Equal(t, want, rig.Kinds[rig.Banks[0].Kind])

	// a kind that says nothing is the built-in one, and so are the defaults of
	// the table, from which a profile file starts
	want.Name, want.Pos, want.Profile = "k", Pos{"test.yaml", 3, 10}, "saw-lowpass"
	require.Equal(t, want, rig.Kinds[0])
	fromTable := kindProfiles.file.defaults()
	fromTable.Name, fromTable.Pos, fromTable.Profile = want.Name, want.Pos, want.Profile
	require.Equal(t, want, fromTable)
}

func TestDefaultPart(t *testing.T) {
	rig := mustRead(t, "rig: R\nbanks: {K: {voices: 2}, L: {voices: 1}}\n")
	want := Part{
		Name: "all",
		// every channel but 10, which is bit 9
		Sources: []alloc.Source{{AnyPort: true, Channels: 0xFFFF &^ (1 << 9)}},
		Keys:    alloc.KeyRange{Low: 0, High: 127}, Velocities: [2]uint8{1, 127},
		BendRange: 2, Banks: []int{0, 1}, Mode: Poly, Priority: 1,
		Unison: Unison{Voices: 1, Spread: 12, Law: LawUneven, Power: 2, Pan: 0.6, Short: Blocks},
		Pick:   alloc.PickLongestIdle, Second: alloc.PickLongestIdle, Steal: alloc.StealProtectOuter,
		ClassOrder: true, SameKey: alloc.RetriggerCounted, OutOfRange: alloc.Clamp, Seed: 1,
	}
	require.Equal(t, []Part{want}, rig.Parts)

	// a part that says nothing is the same but for its name
	named := mustRead(t, "rig: R\nbanks: {K: {voices: 2}, L: {voices: 1}}\nparts: {p: {}}\n").Parts[0]
	want.Name, want.Pos = "p", Pos{"test.yaml", 3, 9}
	require.Equal(t, want, named)
}

// Built-in interfaces have two MIDI ports, four for more than 32
// pitch lanes.
func TestDefaultPorts(t *testing.T) {
	for text, want := range map[string]int{
		"cv: 32": 2, "cv: 33": 4, "profile: cv32-gate32": 2, "profile: cv48-gate48": 4,
		"{profile: cv32-gate32, cv: 33}": 4, "{profile: cv48-gate48, ports: 3}": 3, "profile: audio-dc8": 2,
	} {
		if text[0] != '{' {
			text = "{" + text + "}"
		}
		rig := mustRead(t, "rig: R\nbanks: {K: {voices: 1}}\ninterfaces: {i: "+text+"}\n")
		require.Equal(t, want, rig.Interfaces[0].Ports, text)
	}
}
