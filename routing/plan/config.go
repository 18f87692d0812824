package plan

import (
	"math"

	"choirloft/alloc"
	"choirloft/profiles"
)

// config returns the configuration of the engine for a rig as it stands.
func config(rig *profiles.Rig) alloc.Config {
	cfg := alloc.Config{
		Voices:  make([]alloc.Voice, len(rig.Voices)),
		Parts:   make([]alloc.Part, len(rig.Parts)),
		MinGate: rig.Timing.MinGate,
		FreeDB:  float64(rig.Audible.Free),
	}
	windows := windows(rig)
	for i, v := range rig.Voices {
		cfg.Voices[i] = alloc.Voice{
			Bank:     v.Bank,
			State:    v.State,
			Keys:     v.Keys,
			Envelope: rig.Kinds[rig.Banks[v.Bank].Kind].Envelope,
			Window:   windows[i],
		}
	}
	for i := range rig.Parts {
		cfg.Parts[i] = part(&rig.Parts[i])
	}
	return cfg
}

func part(p *profiles.Part) alloc.Part {
	return alloc.Part{
		Name:             p.Name,
		Sources:          sources(p),
		Keys:             p.Keys,
		Velocities:       p.Velocities,
		Transpose:        p.Transpose,
		Banks:            p.Banks,
		Pick:             p.Pick,
		Second:           p.Second,
		Fixed:            p.Fixed,
		Steal:            p.Steal,
		MixClasses:       !p.ClassOrder,
		NewcomerCompetes: p.NewcomerCompetes,
		TailsUnknown:     p.TailsUnknown,
		SameKey:          p.SameKey,
		BendRange:        p.BendRange,
		BendTails:        p.BendTails,
		OutOfRange:       p.OutOfRange,
		Seed:             p.Seed,
		Priority:         p.Priority,
	}
}

// sources returns what a part listens to. A zone of per-note channels, which
// is not simulated yet, is taken for all channels.
func sources(p *profiles.Part) []alloc.Source {
	if p.Zone != profiles.NoZone {
		return []alloc.Source{{AnyPort: true, Channels: 0xFFFF}}
	}
	return p.Sources
}

// windows returns the pitches that each voice can be driven to. Pitch lanes
// fill the CV jacks of the interfaces upward from the first, voice by voice;
// voices for which there is no jack left count as being on the last
// interface.
func windows(rig *profiles.Rig) []alloc.Window {
	list := make([]alloc.Window, len(rig.Voices))
	if len(rig.Interfaces) == 0 {
		return list
	}
	at, used := 0, 0
	for i := range list {
		for at < len(rig.Interfaces)-1 && used == rig.Interfaces[at].Jacks(false) {
			at, used = at+1, 0
		}
		list[i] = window(rig, &rig.Interfaces[at])
		used++
	}
	return list
}

// window returns the pitches between the lowest and the highest volts of an
// interface. With hertz per volt, pitch falls without end towards 0 V.
func window(rig *profiles.Rig, f *profiles.Interface) alloc.Window {
	pitch := func(v profiles.Volts) float64 { return float64(f.ZeroKey) + 12*float64(v)/float64(f.Scale.PerOctave) }
	if f.Scale.HertzPerVolt() {
		pitch = func(v profiles.Volts) float64 {
			if v <= 0 {
				return math.Inf(-1)
			}
			hertz := float64(f.Scale.Reference) * float64(v) / float64(f.Scale.At)
			return a4Key + 12*math.Log2(hertz/float64(rig.A4))
		}
	}
	return alloc.Window{Bounded: true, Low: snap(pitch(f.Window.Low)), High: snap(pitch(f.Window.High))}
}

// a4Key is the key whose pitch a rig's a4 is.
const a4Key = 69

// snap takes away what arithmetic adds to a whole semitone, so that a key at
// the very edge of a window is inside.
func snap(pitch float64) float64 {
	if whole := math.Round(pitch); math.Abs(pitch-whole) < 1e-9 {
		return whole
	}
	return pitch
}
