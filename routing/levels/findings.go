package levels

import (
	"choirloft/profiles"
	"choirloft/routing"
)

// Find says where the ladder may clip. It says nothing of a rig that says
// nothing of levels, for then all of it is assumed.
func (l *Ladder) Find(rig *profiles.Rig) (found []routing.Finding) {
	if _, given := rig.Given("levels"); !given {
		return nil
	}
	if l.Voice.CoherentPeak() > l.Voice.Clip {
		found = append(found, l.finding(rig, &l.Voice, "levels.voice"))
	}
	var order []Stage // banks that clip, those alike once
	names := map[Stage][]string{}
	for i, s := range l.Banks {
		if s.Crest() <= s.Clip {
			continue
		}
		if names[s] == nil {
			order = append(order, s)
		}
		names[s] = append(names[s], rig.Banks[i].Name)
	}
	for _, s := range order {
		found = append(found, l.finding(rig, &s, "levels.submix", l.voices(&s), routing.Named("banks", names[s]...)))
	}
	if l.Main.Crest() > l.Main.Clip {
		found = append(found, l.finding(rig, &l.Main, "levels.main", l.voices(&l.Main)))
	}
	return found
}

// voices are those that sound at once in a stage.
func (l *Ladder) voices(s *Stage) routing.Fact {
	return routing.Number("voices", s.Voices.Voices(), "").Assume(!l.Counted)
}

// finding speaks of a stage that may clip. What nobody gave is assumed: of every
// level that of a voice and the gains up to here, of what is passed now and then
// the waves as well.
func (l *Ladder) finding(rig *profiles.Rig, s *Stage, where string, of ...routing.Fact) routing.Finding {
	assumed := func(key string) bool { _, given := rig.Given(key); return !given }
	rare, alone := s.Crest(), s.Voices.Voices() == 1
	level := assumed("levels.voice") || where != "levels.voice" && (assumed("levels.submix") || !l.Counted)
	level, clip := level || assumed(where), assumed("levels.clip")
	waves := level || !s.WaveGiven && !s.Coherent && !alone
	facts := append(of, routing.Number("peak", s.CoherentPeak(), "V").Assume(level), routing.Number("clip", s.Clip, "V").Assume(clip),
		routing.Number("headroom", s.Headroom(rare), "dB").Assume(waves || clip).Main(), routing.Number("gain", s.Gain, "dB").Assume(assumed(where)),
		routing.Number("never_clips", s.NeverClips(), "dB").Assume(level || clip))
	switch {
	case alone:
	case s.Coherent:
		facts = append(facts, routing.Number("in_step", s.Voices.Voices(), ""))
	default:
		facts = append(facts, routing.Number("passed", rare, "V").Assume(waves), routing.Number("of_the_time", 100*Rare, "%"),
			routing.Number("clips_rarely", s.Gain+s.Headroom(rare), "dB").Assume(waves || clip))
	}
	return routing.New(routing.MayClip, where, facts...)
}
