package levels

import (
	"fmt"
	"strings"

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
	how := fmt.Sprintf("reach %.1f V at four sigma, %.1f V if all peaks meet", float64(4*s.Sigma()), float64(s.CoherentPeak()))
	if s.Coherent {
		how = fmt.Sprintf("are in step and reach %.1f V", float64(s.CoherentPeak()))
	}
	if s.Voices == 1 {
		how = fmt.Sprintf("reaches %.1f V", float64(s.CoherentPeak()))
	}
	f := routing.New(routing.MayClip, where, fmt.Sprintf("%s %s; the clip is at %.1f V", what, how, float64(s.Clip)))
	f.Hint = fmt.Sprintf("a gain of %.1f dB never clips, one of %.1f dB only past four sigma; it is %.1f dB",
		float64(s.NeverClips()), float64(s.FourSigma()), float64(s.Gain))
	value := float64(s.Headroom(s.Crest()))
	f.Value, f.Unit, f.Assumed = &value, "dB", !l.Counted
	return f
}
