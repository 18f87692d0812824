package contract

import (
	"choirloft/alloc"
	"choirloft/routing/plan"
)

func (b *builder) voices() []Voice {
	voices := make([]Voice, len(b.replay.Voices))
	for i := range voices {
		u := &b.replay.Voices[i]
		voices[i] = Voice{
			Voice: i + 1, Name: b.rig.Voices[i].Name, State: stateNames[b.cfg.Voices[i].State],
			Takes: u.Takes, HeldS: seconds(u.Held), SoundingS: seconds(u.Sounding), MostSemitones: u.MostSemitones,
		}
		voices[i].HeldShare = b.share(voices[i].HeldS, 1)
		voices[i].SoundingShare = b.share(voices[i].SoundingS, 1)
	}
	return voices
}

// oneVoices lists the voices that play as one, since they have one pitch.
func oneVoices(p *plan.Plan) (all []OneVoice) {
	for _, d := range p.Map.Destinations() {
		one := OneVoice{InTurn: d.InTurn, Jack: p.Map.NetOf(p.Map.Voices[d.Voices[0]].Lane("pitch")).JackName(p.Rig)}
		for _, i := range d.Voices {
			one.Voices = append(one.Voices, p.Rig.Voices[i].Name)
		}
		all = append(all, one)
	}
	return all
}

// share returns a time as a share of the song, for n voices. A tail that goes
// on after the end of the song makes it no more than all of it.
func (b *builder) share(s float64, n int) float64 {
	if b.seconds == 0 || n == 0 {
		return 0
	}
	return min(1, s/(b.seconds*float64(n)))
}

func (b *builder) banks(voices []Voice) []Bank {
	banks := make([]Bank, len(b.rig.Banks))
	for i := range banks {
		banks[i] = b.bank(i, voices)
	}
	return banks
}

func (b *builder) bank(i int, voices []Voice) Bank {
	from := &b.rig.Banks[i]
	bank := Bank{Name: from.Name, Voices: from.Size}
	for v := from.First; v < from.First+from.Size; v++ {
		if b.cfg.Voices[v].State.InService() {
			bank.InService++
		}
		bank.Takes += voices[v].Takes
		bank.HeldS += voices[v].HeldS
		bank.SoundingS += voices[v].SoundingS
		bank.MostSemitones = max(bank.MostSemitones, voices[v].MostSemitones)
	}
	bank.HeldShare = b.share(bank.HeldS, bank.InService)
	bank.SoundingShare = b.share(bank.SoundingS, bank.InService)
	return bank
}

// Serving returns the voices in service.
func (r *Result) Serving() []*Voice {
	var voices []*Voice
	for i := range r.Voices {
		if v := &r.Voices[i]; v.Serves() {
			voices = append(voices, v)
		}
	}
	return voices
}

// Serves tells whether the voice is in service.
func (v *Voice) Serves() bool {
	return v.State == stateNames[alloc.In] || v.State == stateNames[alloc.Limited]
}

// stateNames are the standings of a voice.
var stateNames = [...]string{alloc.In: "in", alloc.Out: "out", alloc.Limited: "limited", alloc.Spare: "spare", alloc.Joined: "joined"}
