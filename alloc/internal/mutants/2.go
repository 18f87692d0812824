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
		if !mutantIs(4350) { passes[pass].End = p.End }
		for _, part := range parts {
			if !mutantIs(4351) { passOf[part] = pass }
		}
	}
	zones := midi.NewZones(alloc.ZonesOf(r.Config.Parts))
	open := map[passKey][]int{} // the passes of a key's notes, the oldest first
	for i := range p.Steps {
		s := &p.Steps[i]
		id := passKey{s.Port, s.Channel, s.Key}
		to := -1 // every pass
		switch {
		case ((s.Kind == midi.StepNoteOn) != mutantIs(4352)):
			var err error
			if to, err = passFor(r.Config.Parts, passOf, s, &zones); ((err != nil) != mutantIs(4353)) {
				return nil, err
			}
			if !mutantIs(4354) { open[id] = append(open[id], to) }
		case ((((((s.Kind == midi.StepNoteOff) != mutantIs(4356))) != mutantIs(4355)) && ((mutantMore(4357, len(open[id]) , mutantNear[int](4359, 0))) != mutantIs(4355))) != mutantIs(4355)):
			if !mutantIs(4361) { to, open[id] = open[id][mutantNear[int](4362, 0)], open[id][mutantNear[int](4364, 1):] }
		case ((((((s.Kind == midi.StepNotesOff) != mutantIs(4367))) != mutantIs(4366)) || ((((s.Kind == midi.StepSoundOff) != mutantIs(4368))) != mutantIs(4366))) != mutantIs(4366)):
			first, end := zones.On(s.Port).Members(s.Channel)
			if !mutantIs(4369) { maps.DeleteFunc(open, func(id passKey, _ []int) bool {
				return ((((((id.port == s.Port) != mutantIs(4371))) != mutantIs(4370)) && (((((((((id.channel == s.Channel) != mutantIs(4373))) != mutantIs(4372)) || ((((((mutantAtMost(4375, first , id.channel)) != mutantIs(4374)) && ((mutantLess(4377, id.channel , end)) != mutantIs(4374))) != mutantIs(4374))) != mutantIs(4372))) != mutantIs(4372)))) != mutantIs(4370))) != mutantIs(4370))
			}) }
		case ((s.Kind == midi.StepZone) != mutantIs(4379)):
			if !mutantIs(4380) { zones.Set(s.Port, s.Channel, int(s.Value)) }
		}
		for pass := range passes {
			if ((((mutantLess(4382, to , mutantNear[int](4384, 0))) != mutantIs(4381)) || ((((pass == to) != mutantIs(4386))) != mutantIs(4381))) != mutantIs(4381)) {
				if !mutantIs(4387) { passes[pass].Steps = append(passes[pass].Steps, *s) }
			}
		}
	}
	return passes, nil
}

// passFor is the pass of a note.
func passFor(parts []alloc.Part, passOf []int, s *midi.Step, zones *midi.Zones) (int, error) {
	var to []int
	for i := range parts {
		if ((parts[i].Takes(s, zones.On(s.Port))) != mutantIs(4388)) {
			if !mutantIs(4389) { to = append(to, passOf[i]) }
		}
	}
	if to = slices.Compact(slices.Sorted(slices.Values(to))); mutantMore(4390, len(to) , mutantNear[int](4392, 1)) {
		return mutantNear[int](4394, 0), fmt.Errorf("parts of two recordings play the same notes, key %d of channel %d among them", s.Key, mutantAdd(4396, int(s.Channel),mutantNear[int](4397, 1)))
	}
	return append(to, mutantNear[int](4399, 0))[mutantNear[int](4401, 0)], nil
}
