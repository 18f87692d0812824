package plan

import (
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/profiles"
)

// Ear returns what is assumed of the rig to say what is heard of a song, for a keen
// ear, and the paths of the values of it that no file says. A part sounds like its
// voice in service with the slowest release, the first of them, whose tails are
// those that it is asked for by.
func (p *Plan) Ear() (m hearing.Model, assumed []string) {
	m = hearing.Model{LevelDB: float64(p.Rig.Hearing.Level), Ear: hearing.KeenEar}
	note := func(path string) {
		if _, given := p.Rig.Given(path); !given && !slices.Contains(assumed, path) {
			assumed = append(assumed, path)
		}
	}
	note("hearing.level")
	for i := range p.Rules.Config.Parts {
		kind := &profiles.Kind{Sound: profiles.Sound{Cutoff: 2000}} // no voice is in service: nothing sounds
		if k := p.kindOf(&p.Rules.Config.Parts[i]); k >= 0 {
			kind = &p.Rig.Kinds[k]
			for _, key := range [...]string{"wave", "cutoff", "track"} {
				note("voices." + kind.Name + ".sound." + key)
			}
		}
		m.Sounds = append(m.Sounds, soundOf(kind.Sound))
		m.Velocity = append(m.Velocity, slices.Contains(kind.Inputs, "velocity"))
	}
	return m, assumed
}

// weigh says what the notes of some parts weigh: how much each is missed alone.
func (p *Plan) weigh(parts []alloc.Part, ref *study.Reference) []study.Weight {
	all, _ := p.Ear()
	m := hearing.Model{LevelDB: all.LevelDB, Ear: all.Ear}
	for i := range parts {
		at := slices.IndexFunc(p.Rules.Config.Parts, func(q alloc.Part) bool { return q.Name == parts[i].Name })
		m.Sounds, m.Velocity = append(m.Sounds, all.Sounds[at]), append(m.Velocity, all.Velocity[at])
	}
	asked, err := hearing.NewAsked(m, parts, ref)
	if err != nil {
		panic(err) // there is a sound for each part
	}
	return hearing.Weights(asked)
}

// kindOf is the kind of a part's slowest voice; −1 where none is in service.
func (p *Plan) kindOf(part *alloc.Part) int {
	kind, slowest := -1, profiles.Duration(-1)
	for i, v := range p.Rules.Config.Voices {
		if v.State.InService() && slices.Contains(part.Banks, v.Bank) && v.Envelope.Release > slowest {
			kind, slowest = p.Rig.Banks[p.Rig.Voices[i].Bank].Kind, v.Envelope.Release
		}
	}
	return kind
}

// waves are the waveforms of a rig as the model has them.
var waves = map[profiles.Shape]hearing.Wave{profiles.Saw: hearing.Saw, profiles.Square: hearing.Square,
	profiles.Triangle: hearing.Triangle, profiles.Sine: hearing.Sine}

func soundOf(s profiles.Sound) hearing.Sound {
	return hearing.Sound{Wave: waves[s.Wave], Cutoff: float64(s.Cutoff), Track: float64(s.Track)}
}
