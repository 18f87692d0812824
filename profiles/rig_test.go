package profiles

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/midi"
)

func TestGoodRigs(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(rigs, "*.yaml"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 3)
	for _, file := range files {
		mustLoad(t, file)
	}
}

// The smallest useful rig: two banks of four.
func TestSmallWall(t *testing.T) {
	rig := mustLoad(t, rigs+"/small-wall.yaml")
	require.Equal(t, "Small wall", rig.Name)
	require.Len(t, rig.Voices, 8)
	require.Equal(t, 16, rig.Interfaces[0].CV)
	require.Equal(t, 16, rig.Interfaces[0].Gates)
	require.Equal(t, "L1", rig.Voices[4].Name)
	require.Equal(t, "all", rig.Parts[0].Name)
}

// The demo rig, as its file says it.
func TestKilnYard(t *testing.T) {
	rig := mustLoad(t, "../testdata/kiln-yard.yaml")
	require.Len(t, rig.Voices, 20)
	require.Len(t, rig.Banks, 5)
	for i, b := range rig.Banks {
		require.Equal(t, 4, b.Size)
		require.Equal(t, 4*i, b.First)
		require.Equal(t, []string{"cutoff"}, b.Lanes)
		require.Equal(t, Currents{{12, 0.38}, {-12, 0.345}}, b.Current)
	}
	// voice 18 is P2, tracks keys 40–76 and is out
	require.Equal(t, Voice{
		Name: "P2", Bank: 4, Position: 2, State: alloc.Out, Keys: alloc.KeyRange{Low: 40, High: 76},
		Pos: Pos{rig.File, 36, 11},
	}, rig.Voices[17])
	inService := 0
	for _, v := range rig.Voices {
		if v.InService() {
			inService++
		}
	}
	require.Equal(t, 19, inService)

	i := rig.Interfaces[0]
	require.Equal(t, []any{32, 32, 8, 16, 36, Ohms(100), Window{0, 5}},
		[]any{i.CV, i.Gates, i.Connector, i.Bits, i.ZeroKey, i.OutputResistance, i.Window})
	k := rig.Kinds[rig.Banks[0].Kind]
	require.Equal(t, alloc.Envelope{
		Attack: 5 * time.Millisecond, Decay: 300 * time.Millisecond, Sustain: 1, Release: 2400 * time.Millisecond,
	}, k.Envelope)
	require.Equal(t, Ohms(100e3), k.PitchResistance)
	require.Equal(t, GroupSums, k.GroupPitch)
	require.Len(t, rig.Macros, 3)

	for n, name := range []string{"pad", "bass", "arp", "lead"} {
		p := rig.Parts[n]
		require.Equal(t, name, p.Name)
		require.Equal(t, []alloc.Source{{AnyPort: true, Channels: 1 << n}}, p.Sources)
		require.Equal(t, []int{0, 1, 2, 3, 4}, p.Banks)
	}
}

// 2690/2015 mA in all: 5 · 380 + 320 + 210 + 260 and
// 5 · 345 + 60 + 190 + 40.
func TestKilnYardCurrents(t *testing.T) {
	rig := mustLoad(t, "../testdata/kiln-yard.yaml")
	total := map[Rail]Amperes{}
	add := func(c Currents) {
		for _, rail := range []Rail{12, -12, 5} {
			total[rail] += c.On(rail)
		}
	}
	fed := 0
	for _, s := range rig.Supplies {
		require.Equal(t, Currents{{12, 3}, {-12, 3}}, s.Rating)
		for _, f := range s.Feeds {
			fed++
			switch f.What {
			case FedBank:
				add(rig.Banks[f.At].Current)
			case FedInterface:
				add(rig.Interfaces[f.At].Current)
			case FedGear:
				add(rig.Gear[f.At].Current)
			}
		}
	}
	require.Equal(t, 8, fed)
	require.InDelta(t, 2.690, float64(total[12]), 1e-9)
	require.InDelta(t, 2.015, float64(total[-12]), 1e-9)
	require.Zero(t, total[5])
}

// The rig with every key, value by value where the file differs from
// the defaults.
func TestFull(t *testing.T) {
	rig := mustLoad(t, rigs+"/full.yaml")
	require.Equal(t, "Full Yard", rig.Name)
	require.Equal(t, 4, rig.Sequencers[0].Parts)
	e := rig.Banks[4]
	require.Equal(t, []alloc.VoiceState{alloc.In, alloc.Out, alloc.Limited, alloc.Spare}, []alloc.VoiceState{
		rig.Voices[e.First].State, rig.Voices[e.First+1].State, rig.Voices[e.First+2].State, rig.Voices[e.First+3].State,
	})
	require.Equal(t, alloc.KeyRange{Low: 40, High: 76}, rig.Voices[e.First+2].Keys)
	require.Equal(t, 88, rig.Banks[0].HP)
	require.Equal(t, 1, rig.Banks[0].Row)

	m := rig.Macros[0]
	require.Equal(t, []any{"bite", uint8(74), true, midi.Channel(15)}, []any{m.Name, m.Controller, m.AnyPort, m.Channel})
	require.Equal(t, Target{Bank: 1, Voice: -1, Input: "resonance", Pos: m.To[1].Pos}, m.To[1])

	p := rig.Parts[0]
	require.Equal(t, alloc.KeyRange{Low: 36, High: 96}, p.Keys)
	require.Equal(t, []int{0, 1}, p.Banks)
	require.Equal(t, 8, p.Limit)
	require.Equal(t, 2, p.Unison.Voices)

	w := rig.Wiring[1]
	require.Equal(t, []any{Buffered, 4, 0, false, 22, 2, 1},
		[]any{w.Through, w.Outs, w.From.Interface, w.From.Gate, w.From.Number, len(w.To), w.CalibratedWith})
	pin := rig.Pins[0]
	require.Equal(t, []any{0, "pitch", -1, 1}, []any{pin.To.Voice, pin.To.Input, pin.Macro, pin.Jack.Number})
	require.Equal(t, []any{0, Volts(-0.0012), 1.0021, "2026-11-02"},
		[]any{rig.Corrections[0].Voice, rig.Corrections[0].Offset, rig.Corrections[0].Scale, rig.Corrections[0].Measured})
	require.Equal(t, []CorrectionPoint{{1, 0}, {3, -0.0005}, {5, 0.0014}}, rig.Corrections[0].Points)
	require.Equal(t, []any{Cents(0.4), Cents(0.9)}, []any{*rig.Corrections[0].Residual, *rig.Corrections[0].Drift})
	require.False(t, rig.SetUps[0].Sequenced)
	stage := rig.SetUps[1]
	require.True(t, stage.Sequenced)
	require.Equal(t, SetUpPart{Part: 4, Banks: []int{3}, Pos: stage.Parts[3].Pos}, stage.Parts[3])
}

func TestTwoShelves(t *testing.T) {
	rig := mustLoad(t, rigs+"/two-shelves.yaml")
	require.Equal(t, 24, rig.Interfaces[0].ZeroKey) // C1 is three octaves under middle C, 60 − 36
	require.Equal(t, 8, rig.Interfaces[0].CV)
	require.Equal(t, alloc.KeyRange{Low: 24, High: 47}, rig.Parts[0].Keys)
	require.Equal(t, alloc.StealNewest, rig.Parts[0].Steal)
	require.Equal(t, alloc.PickSameKey, rig.Parts[1].Pick)
	require.Equal(t, alloc.PickRoundRobin, rig.Parts[1].Second)
	require.Equal(t, []int{1}, rig.Parts[1].Banks)
	require.Equal(t, "High5", rig.Voices[5].Name)
	require.Equal(t, alloc.Out, rig.Voices[5].State)
}

func TestFixedAndOrder(t *testing.T) {
	rig := mustRead(t, `rig: R
middle_c: C3
order: {same_instant: file, chords: outer}
banks: {K: {voices: 4}, L: {voices: 2, limited: {1: C2-C3}, spare: [1]}}
parts:
  p: {pick: {fixed: {60: K1, D3: L2}}, newcomer: competes, bend_tails: true, tails: unknown, mode: mono low}
  z: {channel: mpe upper}
`)
	require.Equal(t, midi.Order{File: true, Chord: midi.ChordOuter}, rig.Order)
	p := rig.Parts[0]
	require.Equal(t, alloc.PickFixed, p.Pick)
	require.Equal(t, map[midi.Key]int{60: 0, 62: 5}, p.Fixed) // D3 is 62 where C3 is 60
	require.True(t, p.NewcomerCompetes && p.BendTails && p.TailsUnknown)
	require.Equal(t, MonoLow, p.Mode)
	require.Equal(t, UpperZone, rig.Parts[1].Zone)
	require.Equal(t, 15, rig.Parts[1].Members)
	require.Empty(t, rig.Parts[1].Sources)
	// a spare keeps its limits too
	require.Equal(t, alloc.Spare, rig.Voices[4].State)
	require.Equal(t, alloc.KeyRange{Low: 48, High: 60}, rig.Voices[4].Keys)
}

func TestGiven(t *testing.T) {
	rig := mustLoad(t, "../testdata/kiln-yard.yaml")
	pos, ok := rig.Given("voices.kiln.release")
	require.True(t, ok)
	require.Equal(t, Pos{rig.File, 22, 14}, pos)
	for at, want := range map[string]bool{
		"banks.P.out[0]": true, "parts.pad.channel": true, "supplies.one.feeds[3]": true, "gear": true,
		"voices.kiln.decay": false, "interfaces.main.cv": false, "timing": false, "parts.pad.pick": false,
	} {
		_, ok := rig.Given(at)
		require.Equal(t, want, ok, at)
	}
}
