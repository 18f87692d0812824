package routing

import (
	"fmt"
	"slices"

	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// Step is one way down from what a rig asks for. It has been tried: with it,
// everything has a jack.
type Step struct {
	Text string
	// What would then be free: CVs, gates, and outputs that give either.
	CVs, Gates, Either int
}

// Steps are the ways down for a rig that lacks jacks, as [NewMap] finds them, without the rest
// of the map.
func Steps(rig *profiles.Rig) []Step {
	m := pack(rig, nil).bare()
	m.fit()
	return m.Steps
}

// fit says what has no jack, and which steps down would do.
func (m *Map) fit() {
	if len(m.Missing) == 0 || len(m.Rig.Interfaces) == 0 {
		return
	}
	m.odds = pack(m.Rig, nil).bare().contradictions()
	m.steps()
	lanes := Named("lanes")
	for _, l := range m.Missing {
		lanes.Names = append(lanes.Names, l.Name)
	}
	facts := []Fact{lanes.Main(), Number("missing", len(m.Missing), ""), Number("interfaces", mostInterfaces, "")}
	if len(m.Steps) > 0 {
		steps := Named("steps")
		for _, s := range m.Steps {
			steps.Names = append(steps.Names, s.Text)
		}
		facts = append(facts, steps)
	}
	m.find(LaneDoesNotFit, m.lanePath(&m.Missing[0]), facts...)
}

// lanePath is the path of what asks for a lane.
func (m *Map) lanePath(l *Lane) string {
	switch {
	case l.Macro >= 0:
		return "macros." + l.Name
	case l.Voice >= 0:
		return "banks." + m.Rig.Banks[l.Bank].Name
	case l.onlyWired():
		return wirePath(l.Wire)
	}
	return "banks." + m.Rig.Banks[l.Bank].Name + ".lanes"
}

// try adds a step if everything has a jack and a message in the rig that it leads to, and
// no pin and no wire then is at odds that is not now; it tells whether it did.
func (m *Map) try(text string, rig *profiles.Rig) bool {
	p := pack(rig, nil)
	if len(p.lanes.missing()) > 0 {
		return false
	}
	then := p.bare()
	if then.contradictions() > m.odds {
		return false
	}
	s := Step{Text: text}
	s.CVs, s.Gates, s.Either = then.SpareCount()
	m.Steps = append(m.Steps, s)
	return true
}

// contradictions counts the errors about the jacks of a map.
func (m *Map) contradictions() (n int) {
	m.findSilent()
	m.findApart()
	m.findAdders()
	for i := range m.Findings {
		if m.Findings[i].Severity == Error {
			n++
		}
	}
	return n
}

// steps tries what there is to try, what takes least from the player first.
func (m *Map) steps() {
	m.tryPerBank()
	m.trySharedLanes()
	m.trySharedGates()
	m.tryFewerMacros()
	m.tryFewerLanes()
	m.tryLargerProfile()
	m.tryFurtherInterface()
	if len(m.Steps) == 0 {
		m.tryFurtherInterfaces()
	}
}

// tryPerBank gives inputs to banks instead of to each voice: one at a time, and
// if no single one does, all of them.
func (m *Map) tryPerBank() {
	inputs, found := m.ownInputs(), false
	for _, input := range inputs {
		found = m.try(fmt.Sprintf("one %s for each bank instead of each voice", input), perBank(m.Rig, input)) || found
	}
	if !found && len(inputs) > 1 {
		m.try("one CV for each bank instead of each voice for "+unit.First(inputs, 8), perBank(m.Rig, inputs...))
	}
}

// ownInputs lists the inputs beside pitch and gate that voices have a lane for.
func (m *Map) ownInputs() (inputs []string) {
	for _, b := range m.Rig.Banks {
		for _, input := range m.Rig.Kinds[b.Kind].Inputs {
			if input != pitchInput && input != gateInput && !slices.Contains(inputs, input) {
				inputs = append(inputs, input)
			}
		}
	}
	return inputs
}

// trySharedLanes gives banks one lane of an input together, by a multiple: for
// one input at a time, then one of these together with a lane for each bank
// instead of each voice, if nothing alone would do.
func (m *Map) trySharedLanes() {
	alone := len(m.Steps)
	var inputs []string
	for _, b := range m.Rig.Banks {
		for _, input := range b.Lanes {
			if !slices.Contains(inputs, input) {
				inputs = append(inputs, input)
			}
		}
	}
	for _, input := range inputs {
		m.tryOneLane("", m.Rig, input, "")
	}
	if len(m.Steps) > alone || alone > 0 {
		return
	}
	for _, own := range m.ownInputs() {
		m.tryOneLane("", perBank(m.Rig, own), own, " instead of one for each voice")
		for _, input := range inputs {
			if input != own {
				m.tryOneLane(fmt.Sprintf("one %s for each bank instead of each voice, and ", own), perBank(m.Rig, own), input, "")
			}
		}
	}
}

// tryOneLane tries a rig in which the banks with a lane of an input have that of the first,
// by a multiple at its jack: before and after are the words around.
func (m *Map) tryOneLane(before string, rig *profiles.Rig, input, after string) {
	first := *rig
	first.Banks = slices.Clone(rig.Banks)
	var to []profiles.Target
	for i := range first.Banks {
		b := &first.Banks[i]
		if !slices.Contains(b.Lanes, input) {
			continue
		}
		if to = append(to, profiles.Target{Bank: i, Voice: -1, Input: input}); len(to) > 1 {
			b.Lanes = slices.DeleteFunc(slices.Clone(b.Lanes), func(other string) bool { return other == input })
		}
	}
	p := pack(&first, nil)
	if len(to) < 2 || len(p.lanes.missing()) > 0 {
		return
	}
	from := p.lanes.at(&profiles.Pin{Macro: -1, To: to[0]}).jack()
	m.try(fmt.Sprintf("%sone %s for all banks%s, by a multiple at %s", before, input, after, p.jackName(from)), joined(rig, from, to))
}

// jack is that of a lane that has one.
func (l *Lane) jack() profiles.Jack {
	return profiles.Jack{Interface: l.Interface, Gate: l.GateJack, Number: l.Jack}
}

// joined is a rig with a passive multiple from a jack to some inputs.
func joined(rig *profiles.Rig, from profiles.Jack, to []profiles.Target) *profiles.Rig {
	then := *rig
	then.Wiring = append(slices.Clone(rig.Wiring), profiles.Wire{From: from, Through: profiles.Passive, To: to, CalibratedWith: 1})
	return &then
}

// perBank is a rig in which these inputs are lanes of banks.
func perBank(rig *profiles.Rig, inputs ...string) *profiles.Rig {
	then := *rig
	then.Kinds, then.Banks = slices.Clone(rig.Kinds), slices.Clone(rig.Banks)
	for i := range then.Banks {
		b := &then.Banks[i]
		b.Lanes = slices.Clone(b.Lanes)
		for _, input := range inputs {
			if slices.Contains(rig.Kinds[b.Kind].Inputs, input) && !slices.Contains(b.Lanes, input) {
				b.Lanes = append(b.Lanes, input)
			}
		}
	}
	for i := range then.Kinds {
		k := &then.Kinds[i]
		k.Inputs = slices.DeleteFunc(slices.Clone(k.Inputs), func(input string) bool { return slices.Contains(inputs, input) })
	}
	return &then
}

// trySharedGates lets the voices of each fixed stack share the gate of its
// first, where no part would play them apart.
func (m *Map) trySharedGates() {
	leaders := map[int]int{}
	var stacks [][]int
	for _, u := range m.Unisons {
		for _, stack := range u.Stacks {
			if _, seen := leaders[stack[len(stack)-1]]; seen || !m.together(stack) {
				continue
			}
			stacks = append(stacks, stack)
			for _, voice := range stack[1:] {
				leaders[voice] = stack[0]
			}
		}
	}
	p := pack(m.Rig, leaders)
	if len(stacks) == 0 || len(p.lanes.missing()) > 0 {
		return
	}
	then := m.Rig
	for _, stack := range stacks {
		var to []profiles.Target
		for _, voice := range stack {
			to = append(to, profiles.Target{Bank: m.Rig.Voices[voice].Bank, Voice: voice, Input: gateInput})
		}
		then = joined(then, p.lanes.at(&profiles.Pin{Macro: -1, To: to[0]}).jack(), to)
	}
	m.try("one gate for each unison block, by a multiple", then)
}

// together tells whether every part that uses one of these voices has them all
// in one stack.
func (m *Map) together(stack []int) bool {
	first := m.Voices[stack[0]].Seats
	for _, voice := range stack {
		seats := m.Voices[voice].Seats
		if len(seats) != len(first) {
			return false
		}
		for i, s := range seats {
			if s.Stack == 0 || s.Part != first[i].Part || s.Stack != first[i].Stack || s.Of != len(stack) {
				return false
			}
		}
	}
	return true
}

// tryFewerMacros leaves out the last macros, as few as will do.
func (m *Map) tryFewerMacros() {
	var names []string
	for left := len(m.Rig.Macros) - 1; left >= 0; left-- {
		names = append(names, m.Rig.Macros[left].Name)
		then := *m.Rig
		then.Macros = m.Rig.Macros[:left]
		then.Pins = slices.DeleteFunc(slices.Clone(m.Rig.Pins), func(p profiles.Pin) bool { return p.Macro >= left })
		if m.try("leave out "+unit.Named("the macro", names, 8), &then) {
			return
		}
	}
}

// tryFewerLanes leaves out the last lanes of the last banks, as few as will do.
func (m *Map) tryFewerLanes() {
	var names []string
	banks := slices.Clone(m.Rig.Banks)
	for i := len(banks) - 1; i >= 0; i-- {
		b := &banks[i]
		for n := len(b.Lanes) - 1; n >= 0; n-- {
			name := b.Name + "." + b.Lanes[n]
			if b.Pos == (profiles.Pos{}) { // a bank that no file has yet
				name = b.Lanes[n] + " of the next bank"
			}
			names = append(names, name)
			b.Lanes = b.Lanes[:n:n]
			then := *m.Rig
			then.Banks = banks
			if m.try("leave out "+unit.Named("the shared CV", names, 8), &then) {
				return
			}
		}
	}
}

// Short is what a rig lacks: lanes without a jack, and lanes with a jack that no
// message is left for.
type Short struct{ Jacks, Messages int }

// Lacks packs a rig and counts what does not fit, by the rules of the map. It is
// the map without all else, for whoever tries many rigs.
func Lacks(rig *profiles.Rig) (s Short) {
	p := pack(rig, nil)
	p.address()
	p.lanes.each(func(l *Lane) {
		switch {
		case !l.Fits():
			s.Jacks++
		case l.Message == "":
			s.Messages++
		}
	})
	return s
}
