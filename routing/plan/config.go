package plan

import (
	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
)

// config returns the configuration of the engine for a rig as it stands, and
// as the map has its stacks.
func config(m *routing.Map) alloc.Config {
	rig := m.Rig
	cfg := alloc.Config{
		Voices:  make([]alloc.Voice, len(rig.Voices)),
		Parts:   make([]alloc.Part, len(rig.Parts)),
		MinGate: rig.ShortestGate(),
		FreeDB:  float64(rig.Audible.Free),
	}
	windows, states := windows(m), states(rig)
	for i, v := range rig.Voices {
		cfg.Voices[i] = alloc.Voice{
			Bank:     v.Bank,
			State:    states[i],
			Keys:     v.Keys,
			Envelope: rig.Envelope(i),
			Window:   windows[i],
		}
	}
	for i := range rig.Parts {
		cfg.Parts[i] = part(&rig.Parts[i])
		cfg.Parts[i].Unison = unison(m, i)
	}
	join(m, &cfg)
	return cfg
}

// states returns the standing of each voice. In a bank that uses its spare, the
// first spare stands in for the first voice that is out.
func states(rig *profiles.Rig) []alloc.VoiceState {
	list := make([]alloc.VoiceState, len(rig.Voices))
	for i, v := range rig.Voices {
		list[i] = v.State
	}
	for i := range rig.Banks {
		if spare, _, ok := rig.Replaced(i); ok {
			list[spare] = alloc.In
			if rig.Voices[spare].Keys != (alloc.KeyRange{High: 127}) {
				list[spare] = alloc.Limited
			}
		}
	}
	return list
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
		Reserve:          p.Reserve,
		Limit:            p.Limit,
		Priority:         p.Priority,
		Mode:             alloc.Mode(p.Mode),
		ReattackPress:    p.Reattack.OnPress(),
		ReattackReturn:   p.Reattack.OnReturn(),
		Glide:            p.Glide,
		Zones:            zones(p),
	}
}

// sources returns the channels that a part listens to, if it does not listen
// to a zone of per-note channels.
func sources(p *profiles.Part) []alloc.Source {
	if p.Zone != profiles.NoZone {
		return nil
	}
	return p.Sources
}

// zones returns the zone that a part listens to, on every port.
func zones(p *profiles.Part) []midi.Zone {
	if p.Zone == profiles.NoZone {
		return nil
	}
	return []midi.Zone{{AnyPort: true, Upper: p.Zone == profiles.UpperZone, Members: p.Members}}
}

// windows returns the pitches that each voice can be driven to by the interface
// that its pitch lane is on. A voice without a jack counts as being on the last.
func windows(m *routing.Map) []alloc.Window {
	rig := m.Rig
	list := make([]alloc.Window, len(rig.Voices))
	if len(rig.Interfaces) == 0 {
		return list
	}
	for i := range list {
		at := m.Voices[i].Interface
		if at < 0 {
			at = len(rig.Interfaces) - 1
		}
		list[i] = routing.WindowOf(&rig.Interfaces[at], rig.A4)
	}
	return list
}
