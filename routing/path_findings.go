package routing

import (
	"fmt"
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/circuit"
)

// mostBend is by how many cents a pitch may be off at the far end of its window
// before there is something to say: what a fit of a calibration may leave
// (common practice), and about what is just noticed (3.46 cents, OpenLearn, Hearing
// 11.2).
const mostBend = 3

// findPaths says what is doubtful about the ways from jacks to inputs.
func (m *Map) findPaths() {
	for i := range m.Nets {
		m.findBend(&m.Nets[i])
		m.findBuffers(&m.Nets[i])
	}
	m.findShared()
	m.findGates()
	m.findGroups()
	m.findFull()
	m.findCorrections()
}

// path is where the rig says how a net is wired, or else of its first lane.
func (m *Map) path(n *Net) string {
	for _, b := range n.Branches {
		if b.Wire >= 0 {
			return wirePath(b.Wire)
		}
	}
	for _, l := range m.Lanes() {
		if l.sameJack(&n.Outlet, m.Rig) {
			return m.lanePath(l)
		}
	}
	return ""
}

// inputNames joins the names of inputs.
func (m *Map) inputNames(inputs []Input) string {
	names := make([]string, len(inputs))
	for i, x := range inputs {
		names[i] = x.Name(m.Rig)
	}
	return unit.First(names, 8)
}

// pitches are the pitch inputs of a net.
func (n *Net) pitches() (all []Input) {
	for _, i := range n.Inputs() {
		if i.Input == pitchInput {
			all = append(all, i)
		}
	}
	return all
}

// findBend speaks of a pitch that is off because more, or less, hangs on its
// output than when that was calibrated.
func (m *Map) findBend(n *Net) {
	pitches, bend := n.pitches(), m.Bend(n)
	f := &m.Rig.Interfaces[n.Interface]
	if len(pitches) == 0 || math.Abs(bend)*m.octavesOf(n) <= mostBend {
		return
	}
	measure, per := "cents per octave", " per octave"
	if f.Scale.HertzPerVolt() {
		measure, per = "cents", ""
	}
	way := "flattens"
	if bend > 0 {
		way = "sharpens"
	}
	found := m.find(PitchBent, m.path(n), fmt.Sprintf("%s was calibrated with %s plugged in, and now feeds %d: this %s %s by %s cents%s, all alike",
		n.JackName(m.Rig), unit.Count(n.Calibrated, "input"), len(n.Load.Inputs), way, m.inputNames(pitches), unit.Fixed(math.Abs(bend), 1), per),
		fmt.Sprintf("calibrate with all plugged in (calibrated_with: %d), and unplug none later; or go through: buffered", len(n.Load.Inputs)))
	found.Value, found.Unit, found.Assumed = &bend, measure, n.Assumed
}

// octavesOf is how far from 0 V the pitches of a net lead, at most.
func (m *Map) octavesOf(n *Net) float64 {
	f := &m.Rig.Interfaces[n.Interface]
	if f.Scale.HertzPerVolt() {
		return 1
	}
	return max(math.Abs(float64(f.Window.Low)), math.Abs(float64(f.Window.High))) / float64(f.Scale.PerOctave)
}

// findBuffers speaks of buffered multiples that may move a pitch.
func (m *Map) findBuffers(n *Net) {
	for _, b := range n.Branches {
		worst := 0.0
		var names []Input
		for _, i := range b.Inputs {
			if i.Input != pitchInput || i.Voice < 0 || m.Voices[i.Voice].Budget == nil {
				continue
			}
			names = append(names, i)
			worst = max(worst, float64(m.Voices[i.Voice].Budget.Buffers.Worst))
		}
		if b.Depth == 0 || worst <= mostBend {
			continue
		}
		f := m.find(BuffersStray, m.path(n), fmt.Sprintf("%s in a row of buffered multiples may move %s by up to %s cents (0.1 %% and 1 mV each)",
			unit.Count(b.Depth, "level"), m.inputNames(names), unit.Fixed(worst, 1)), "use multiples made for pitch, and calibrate each voice through its own")
		f.Value, f.Unit, f.Assumed = &worst, "cents", true
	}
}

// findCorrections speaks of corrections that lead out of the window.
func (m *Map) findCorrections() {
	for _, c := range m.Rig.Corrections {
		v := &m.Voices[c.Voice]
		if v.Interface < 0 || len(v.Keys) == 0 {
			continue
		}
		f := &m.Rig.Interfaces[v.Interface]
		for _, k := range []KeyVolts{v.Keys[0], v.Keys[len(v.Keys)-1]} {
			wanted := c.Apply(k.Volts)
			given := min(max(wanted, f.Window.Low), f.Window.High)
			missed := m.centsBetween(f, wanted, given)
			if math.Abs(missed) <= mostBend {
				continue
			}
			found := m.find(CorrectionClamped, "corrections."+m.Rig.Voices[c.Voice].Name, fmt.Sprintf(
				"key %d of %s needs %s V when corrected; the CV range of %s ends %s cents before", k.Key, m.Rig.Voices[c.Voice].Name,
				unit.Fixed(wanted, 4), f.Name, unit.Fixed(math.Abs(missed), 1)), "trim the voice closer to its scale, or keep to keys inside the range")
			found.Value, found.Unit = &missed, "cents"
		}
	}
}

// centsBetween is how far two voltages of a pitch are apart.
func (m *Map) centsBetween(f *profiles.Interface, from, to profiles.Volts) float64 {
	return 100 * (PitchAt(f, m.Rig.A4, to) - PitchAt(f, m.Rig.A4, from))
}

// findFull speaks of buffered multiples with fewer outputs than wires lead from
// them.
func (m *Map) findFull() {
	next := make([]map[string]bool, len(m.Rig.Gear)) // by module: what hangs on its outputs
	for i := range m.Nets {
		for _, b := range m.Nets[i].Branches {
			way := m.Rig.Way(b.Via)
			for n, at := range way {
				if next[at] == nil {
					next[at] = map[string]bool{}
				}
				if n+1 < len(way) {
					next[at][m.Rig.Gear[way[n+1]].Name] = true
					continue
				}
				for _, in := range b.Inputs {
					next[at][in.Name(m.Rig)] = true
				}
			}
		}
	}
	for at, ends := range next {
		g := &m.Rig.Gear[at]
		if g.Does != profiles.DoesBuffered || len(ends) <= g.Outs {
			continue
		}
		f := m.find(MultipleFull, "gear."+g.Name, fmt.Sprintf("%s has %d outputs and feeds %d inputs", g.Name, g.Outs, len(ends)),
			fmt.Sprintf("put further multiples behind its outputs: %d more of them", circuit.NewTree(len(ends), g.Outs).Least()-1))
		f.Value = number(len(ends))
	}
}

// findGroups speaks of banks whose common pitch jack is driven beside the own
// jacks of their voices.
func (m *Map) findGroups() {
	for i := range m.Nets {
		n := &m.Nets[i]
		for _, in := range n.Inputs() {
			if in.Group() {
				m.findGroup(n, in)
			}
		}
	}
}

func (m *Map) findGroup(n *Net, group Input) {
	own, name := m.ownPitches(group.Bank), group.Name(m.Rig)
	if len(own) == 0 {
		return
	}
	f := &m.Rig.Interfaces[n.Interface]
	jack := n.JackName(m.Rig)
	switch kind := m.Rig.Kinds[m.Rig.Banks[group.Bank].Kind]; kind.GroupPitch {
	case profiles.GroupSums:
		code, hint := ParkUnused, "send 0 V on whichever side is idle, not its last note"
		if f.Window.Low > 0 || f.Window.High < 0 {
			code, hint = CannotPark, fmt.Sprintf("the CV range of %s has no 0 V: pull the plug instead", f.Name)
		}
		found := m.find(code, m.path(n), fmt.Sprintf("%s adds to the pitch of %s. Rest %s at 0 V while the voices play by themselves, and their own jacks while it plays",
			name, m.voiceNames(own), jack), hint)
		zero := 0.0
		found.Value, found.Unit = &zero, "V"
	case profiles.GroupNormal:
		m.find(NormalBroken, m.path(n), fmt.Sprintf("%s from %s does not reach %s: a plug in a voice's own pitch jack breaks the normal", name, jack, m.voiceNames(own)),
			"pull those plugs to play the bank from its common pitch jack, or leave that one empty")
	case profiles.GroupSwitched:
		m.find(GroupSwitch, m.path(n), fmt.Sprintf("the switch of bank %s chooses between %s and the own jacks of %s", m.Rig.Banks[group.Bank].Name, jack, m.voiceNames(own)),
			"write the switch position beside the map")
	}
}

// ownPitches lists the voices of a bank whose own pitch jack has a plug.
func (m *Map) ownPitches(bank int) (voices []int) {
	for i := range m.Nets {
		for _, b := range m.Nets[i].Branches {
			for _, in := range b.Inputs {
				if in.Bank == bank && in.Voice >= 0 && in.Input == pitchInput {
					voices = append(voices, in.Voice)
				}
			}
		}
	}
	slices.Sort(voices)
	return slices.Compact(voices)
}
