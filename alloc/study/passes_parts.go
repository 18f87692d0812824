package study

import (
	"fmt"
	"maps"
	"slices"

	"choirloft/alloc"
	"choirloft/midi"
)

// ByParts splits a song into passes by part, each pass on the whole rack: groups are the parts of
// each, by index, and name every part once. What is not a note is in every pass, and a note
// that no part takes in the first. It is an error that a note is for parts of two passes.
func ByParts(r Rules, p Performance, groups [][]int) ([]Performance, error) {
	passOf := make([]int, len(r.Config.Parts))
	passes := make([]Performance, len(groups))
	for pass, parts := range groups {
		passes[pass].End = p.End
		for _, part := range parts {
			passOf[part] = pass
		}
	}
	zones := midi.NewZones(alloc.ZonesOf(r.Config.Parts))
	open := map[passKey][]int{} // the passes of a key's notes, the oldest first
	for i := range p.Steps {
		s := &p.Steps[i]
		id := passKey{s.Port, s.Channel, s.Key}
		to := -1 // every pass
		switch {
		case s.Kind == midi.StepNoteOn:
			var err error
			if to, err = passFor(r.Config.Parts, passOf, s, &zones); err != nil {
				return nil, err
			}
			open[id] = append(open[id], to)
		case s.Kind == midi.StepNoteOff && len(open[id]) > 0:
			to, open[id] = open[id][0], open[id][1:]
		case s.Kind == midi.StepNotesOff || s.Kind == midi.StepSoundOff:
			first, end := zones.On(s.Port).Members(s.Channel)
			maps.DeleteFunc(open, func(id passKey, _ []int) bool {
				return id.port == s.Port && (id.channel == s.Channel || first <= id.channel && id.channel < end)
			})
		case s.Kind == midi.StepZone:
			zones.Set(s.Port, s.Channel, int(s.Value))
		}
		for pass := range passes {
			if to < 0 || pass == to {
				passes[pass].Steps = append(passes[pass].Steps, *s)
			}
		}
	}
	return passes, nil
}

// passFor is the pass of a note.
func passFor(parts []alloc.Part, passOf []int, s *midi.Step, zones *midi.Zones) (int, error) {
	var to []int
	for i := range parts {
		if parts[i].Takes(s, zones.On(s.Port)) {
			to = append(to, passOf[i])
		}
	}
	if to = slices.Compact(slices.Sorted(slices.Values(to))); len(to) > 1 {
		return 0, fmt.Errorf("parts of two recordings play the same notes, key %d of channel %d among them", s.Key, int(s.Channel)+1)
	}
	return append(to, 0)[0], nil
}
