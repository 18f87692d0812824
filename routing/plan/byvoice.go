package plan

import (
	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
)

// ByVoice returns a plan in which every voice in service is a part and a bank
// of its own, named like the voice, and takes what comes on one channel: for
// songs whose notes have been given to voices already. Gates are as long as
// the song has them. At says which channel is a voice's; a voice for which it
// does not is out. Its code is that of p on top of code: of the plan that has
// given the notes to the voices.
func (p *Plan) ByVoice(code string, at func(voice int) (midi.Port, midi.Channel, bool)) *Plan {
	rig := *p.Rig
	rig.Banks, rig.Parts = nil, nil
	rig.Voices = append([]profiles.Voice(nil), rig.Voices...)
	out := &Plan{Map: p.Map, Rules: p.Rules, Edits: nil, base: code, Overrides: p.Overrides}
	cfg := &out.Rules.Config
	cfg.Voices = append([]alloc.Voice(nil), cfg.Voices...)
	cfg.Parts, cfg.MinGate = nil, 0
	for i := range rig.Voices {
		v := &rig.Voices[i]
		bank := p.Rig.Banks[v.Bank]
		bank.Name, bank.First, bank.Size, bank.UseSpare = v.Name, i, 1, false
		rig.Banks = append(rig.Banks, bank)
		v.Bank, v.Position, cfg.Voices[i].Bank = i, 1, i
		port, channel, ok := at(i)
		if !ok || !cfg.Voices[i].State.InService() {
			cfg.Voices[i].State = alloc.Out
			continue
		}
		only := profiles.Part{Name: v.Name, Sources: []alloc.Source{{Port: port, Channels: 1 << channel}},
			Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127}, BendRange: 2, Banks: []int{i},
			Priority: 1, Unison: profiles.Unison{Voices: 1}, ClassOrder: true, Seed: 1}
		out.Origin = append(out.Origin, len(rig.Parts))
		rig.Parts = append(rig.Parts, only)
		cfg.Parts = append(cfg.Parts, part(&rig.Parts[len(rig.Parts)-1]))
	}
	out.Rig, out.Rules.Weigh = &rig, out.weigh
	return out
}
