package plan

import (
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/profiles"
)

// Ear returns what is assumed of the rig to say what is heard of a song, for a keen
// ear, and the paths of the values of it that no file says. A part sounds like the
// voice that it is asked for by; see [study.Rules.Slowest].
func (p *Plan) Ear() (m hearing.Model, assumed []string) {
	m = hearing.Model{LevelDB: float64(p.Rig.Hearing.Level), Ear: hearing.KeenEar}
	note := func(path string) {
		if _, given := p.Rig.Given(path); !given && !slices.Contains(assumed, path) {
			assumed = append(assumed, path)
		}
	}
	note("hearing.level")
	for _, v := range p.Rules.Slowest() {
		kind := &profiles.Kind{Sound: profiles.Sound{Cutoff: 2000}} // there is no voice: nothing sounds
		if v >= 0 {
			kind = &p.Rig.Kinds[p.Rig.Banks[p.Rig.Voices[v].Bank].Kind]
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

// waves are the waveforms of a rig as the model has them.
var waves = map[profiles.Shape]hearing.Wave{profiles.Saw: hearing.Saw, profiles.Square: hearing.Square,
	profiles.Triangle: hearing.Triangle, profiles.Sine: hearing.Sine}

func soundOf(s profiles.Sound) hearing.Sound {
	return hearing.Sound{Wave: waves[s.Wave], Cutoff: float64(s.Cutoff), Track: float64(s.Track)}
}
