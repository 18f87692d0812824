package levels

import (
	"fmt"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
)

// Find says where the ladder may clip. It says nothing of a rig that says
// nothing of levels, for then all of it is assumed.
func (l *Ladder) Find(rig *profiles.Rig) (found []routing.Finding) {
	if _, given := rig.Given("levels"); !given {
		return nil
	}
	if l.Voice.CoherentPeak() > l.Voice.Clip {
		found = append(found, l.finding(&l.Voice, "levels.voice", "a voice alone"))
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
		found = append(found, l.finding(s, "levels.submix",
			fmt.Sprintf("%d voices behind the submixer of %s", s.Voices, strings.Join(names[s.Voices], ", "))))
	}
	if l.Main.Crest() > l.Main.Clip {
		found = append(found, l.finding(&l.Main, "levels.main", fmt.Sprintf("%d voices behind the main mixer", l.Main.Voices)))
	}
	return found
}

// finding speaks of a stage that may clip.
func (l *Ladder) finding(s *Stage, where, what string) routing.Finding {
	how := fmt.Sprintf("reach %s V at four sigma, %s V if all peaks meet", unit.Fixed(4*s.Sigma(), 1), unit.Fixed(s.CoherentPeak(), 1))
	if s.Coherent {
		how = "are in step and reach " + unit.Fixed(s.CoherentPeak(), 1) + " V"
	}
	if s.Voices == 1 {
		how = "reaches " + unit.Fixed(s.CoherentPeak(), 1) + " V"
	}
	f := routing.New(routing.MayClip, where, fmt.Sprintf("%s %s; the clip is at %s V", what, how, unit.Fixed(s.Clip, 1)))
	f.Hint = fmt.Sprintf("a gain of %s dB never clips, one of %s dB only past four sigma; it is %s dB",
		unit.Fixed(s.NeverClips(), 1), unit.Fixed(s.FourSigma(), 1), unit.Fixed(s.Gain, 1))
	value := float64(s.Headroom(s.Crest()))
	f.Value, f.Unit, f.Assumed = &value, "dB", !l.Counted
	return f
}
