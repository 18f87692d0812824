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
		found = append(found, l.finding(&l.Voice, "levels.voice"))
	}
	var order []int // counts that clip, each once
	names := map[int][]string{}
	for i := range l.Banks {
		s := &l.Banks[i]
		if s.Crest() <= s.Clip {
			continue
		}
		if names[s.Voices] == nil {
			order = append(order, i)
		}
		names[s.Voices] = append(names[s.Voices], rig.Banks[i].Name)
	}
	for _, i := range order {
		s := &l.Banks[i]
		found = append(found, l.finding(s, "levels.submix", l.voices(s), routing.Named("banks", names[s.Voices]...)))
	}
	if l.Main.Crest() > l.Main.Clip {
		found = append(found, l.finding(&l.Main, "levels.main", l.voices(&l.Main)))
	}
	return found
}

// voices are those that sound at once in a stage.
func (l *Ladder) voices(s *Stage) routing.Fact {
	return routing.Number("voices", s.Voices, "").Assume(!l.Counted)
}

// finding speaks of a stage that may clip.
func (l *Ladder) finding(s *Stage, where string, of ...routing.Fact) routing.Finding {
	facts := append(of, routing.Number("peak", s.CoherentPeak(), "V"), routing.Number("clip", s.Clip, "V"),
		routing.Number("headroom", s.Headroom(s.Crest()), "dB").Assume(!l.Counted).Main(), routing.Number("gain", s.Gain, "dB"),
		routing.Number("never_clips", s.NeverClips(), "dB"), routing.Number("clips_rarely", s.FourSigma(), "dB"))
	switch {
	case s.Voices == 1:
	case s.Coherent:
		facts = append(facts, routing.Number("in_step", s.Voices, ""))
	default:
		facts = append(facts, routing.Number("four_sigma", 4*s.Sigma(), "V"))
	}
	return routing.New(routing.MayClip, where, facts...)
}
