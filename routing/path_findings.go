package routing

import (
	"math"
	"slices"
	"time"

	"choirloft/profiles"
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
	m.findNormals()
	m.findScaled()
	m.findOpened()
	m.findSettling()
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

// named are some inputs as a fact.
func (m *Map) named(inputs []Input) Fact {
	f := Named("inputs")
	for _, x := range inputs {
		f.Names = append(f.Names, x.Name(m.Rig))
	}
	return f
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
	pitches, bend := slices.DeleteFunc(n.pitches(), func(i Input) bool { return m.measuredAlong(n, i) }), m.Bend(n)
	f := &m.Rig.Interfaces[n.Interface]
	if len(pitches) == 0 || math.Abs(bend)*m.octavesOf(n) <= mostBend {
		return
	}
	measure := "cents per octave"
	if f.Scale.HertzPerVolt() {
		measure = "cents"
	}
	way := "flattens"
	if bend > 0 {
		way = "sharpens"
	}
	found := m.find(PitchBent, m.path(n), Named("jack", n.JackName(m.Rig)), Number("calibrated", n.Calibrated, "").Assume(n.Load.Assumed),
		Number("feeds", len(n.Load.Inputs), ""), Named("way", way), m.named(pitches), Number("bend", bend, measure).Main())
	if n.normalled() {
		*found = found.With(Named("normal", n.JackName(m.Rig))) // which goes through nothing
	}
}

// normalled tells whether something hangs on the jack of a net behind the panels.
func (n *Net) normalled() bool {
	return slices.ContainsFunc(n.Branches, func(b Branch) bool { return b.Normal != profiles.NoNormal })
}

// measuredAlong tells whether the voice of an input was measured under the load of a
// net as it is: its correction has that in it.
func (m *Map) measuredAlong(n *Net, i Input) bool {
	if i.Voice < 0 {
		return false
	}
	c := m.voicings[i.Voice].correction
	return c.Residual != nil && (c.Inputs == 0 || c.Inputs == len(n.Load.Inputs))
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
		levels := len(m.amplifiers(n, b.Inputs[0]))
		if levels == 0 {
			continue
		}
		worst := 0.0
		var names []Input
		for _, i := range b.Inputs {
			if i.Input != pitchInput || i.Voice < 0 || m.Voices[i.Voice].Budget == nil {
				continue
			}
			names = append(names, i)
			low, high := m.Played(i.Voice)
			for _, key := range []int{low, high} {
				worst = max(worst, m.At(i.Voice, key).Of(BufferGain, BufferOffset).Worst)
			}
		}
		if worst <= mostBend {
			continue
		}
		m.find(BuffersStray, m.path(n), Number("levels", levels, ""), m.named(names), Number("worst", worst, "cents").Main(),
			Number("gain_error", 100*circuit.BufferGain, "%").Assume(true), Number("offset", 1000*circuit.BufferOffset, "mV").Assume(true))
	}
}

// findCorrections speaks of corrections that lead out of the window, at keys that are played.
func (m *Map) findCorrections() {
	for _, c := range m.Rig.Corrections {
		v := &m.Voices[c.Voice]
		if v.Interface < 0 || len(v.Keys) == 0 {
			continue
		}
		f := &m.Rig.Interfaces[v.Interface]
		low, high := m.Played(c.Voice)
		for _, key := range []int{max(low, int(v.Keys[0].Key)), min(high, int(v.Keys[len(v.Keys)-1].Key))} {
			wanted, missed := m.clamped(f, &c, VoltsAt(f, m.Rig.A4, float64(key)))
			if math.Abs(missed) <= mostBend {
				continue
			}
			name := m.Rig.Voices[c.Voice].Name
			m.find(CorrectionClamped, "corrections."+name, Number("key", key, "key"), Named("voice", name),
				Number("volts", wanted, "V"), Named("interface", f.Name), Number("missed", missed, "cents").Main())
		}
	}
}

// clamped is what a voice is to be sent in place of some volts, and by how many cents it
// is off where the CV range ends before: the voice answers with its own octaves.
func (m *Map) clamped(f *profiles.Interface, c *profiles.Correction, volts profiles.Volts) (wanted profiles.Volts, missed float64) {
	wanted = c.Apply(volts)
	short := (min(max(wanted, f.Window.Low), f.Window.High) - wanted) / profiles.Volts(c.Scale)
	return wanted, 100 * (PitchAt(f, m.Rig.A4, volts+short) - PitchAt(f, m.Rig.A4, volts))
}

// findFull speaks of multiples with fewer outputs than wires lead from them.
func (m *Map) findFull() {
	for _, part := range m.graph.Full() {
		outs, plugs, c := m.graph.Part(part).Outs, m.graph.Plugs(part), m.counted[part]
		m.find(MultipleFull, c.where, Named("multiple", c.name), Number("outputs", outs, ""), Number("inputs", plugs, "").Main(),
			Number("more", circuit.NewTree(plugs, outs).Least()-1, ""))
	}
}

// findNormals speaks of pitch inputs whose normal adds volts to what is plugged in, of voices
// that were not measured with it.
func (m *Map) findNormals() {
	for i := range m.Rig.Kinds {
		kind := &m.Rig.Kinds[i]
		j := kind.Jack(pitchInput)
		if !j.Sums || j.NormalVolts == nil || *j.NormalVolts == 0 {
			continue
		}
		var plugged []Input
		for v := range m.Voices {
			if in := m.pitchOf(v); m.Rig.Banks[in.Bank].Kind == i && m.NetOf(m.Voices[v].Lane(pitchInput)) != nil && m.voicings[v].correction.Residual == nil {
				plugged = append(plugged, in)
			}
		}
		if plugged != nil {
			m.find(NormalAdds, "voices."+kind.Name+".jacks.pitch.normal", m.named(plugged), Number("adds", *j.NormalVolts, "V").Main())
		}
	}
}

// findOpened speaks of wires behind the panels that plugs open.
func (m *Map) findOpened() {
	for i := range m.Rig.Wiring {
		w := &m.Rig.Wiring[i]
		if w.Opened == nil {
			continue
		}
		inputs := Named("inputs")
		for _, t := range w.Opened {
			inputs.Names = append(inputs.Names, targetName(m.Rig, t))
		}
		facts := []Fact{inputs.Main(), Named("jack", jackName(m.Rig, w.From.Interface, w.From.Gate, w.From.Number))}
		if w.AtJack {
			facts = append(facts, Named("at_jack", facts[1].Names...))
		}
		m.find(NormalOpen, wirePath(i), facts...)
	}
}

// findSettling speaks of interfaces for audio whose pitches have not settled when gates open.
func (m *Map) findSettling() {
	for at := range m.Rig.Interfaces {
		f := &m.Rig.Interfaces[at]
		worst, slowest := 0.0, time.Duration(0)
		for i := range m.voicings {
			if v := &m.voicings[i]; v.box == f {
				worst, slowest = max(worst, v.settling().Size), max(slowest, m.Settled(i))
			}
		}
		if worst <= mostBend {
			continue
		}
		ms := func(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
		facts := []Fact{Named("interface", f.Name), Number("settled", ms(slowest), "ms"), Number("lead", ms(m.Rig.Timing.Lead), "ms"), Number("worst", worst, "cents").Main()}
		if wanted := math.Ceil(10*ms(slowest)) / 10; wanted <= mostLead {
			facts = append(facts, Number("wanted_lead", wanted, "ms"))
		}
		m.find(CVSettlesLate, "timing.lead", facts...)
	}
}

// mostLead is the most that a rig may say, in ms.
const mostLead = 1000

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
	own := m.ownPitches(group.Bank)
	if len(own) == 0 {
		return
	}
	f := &m.Rig.Interfaces[n.Interface]
	common, jack, voices := Named("common", group.Name(m.Rig)), Named("jack", n.JackName(m.Rig)), m.voices("voices", own)
	switch kind := m.Rig.Kinds[m.Rig.Banks[group.Bank].Kind]; kind.GroupPitch {
	case profiles.GroupSums:
		code := ParkUnused
		if f.Window.Low > 0 || f.Window.High < 0 {
			code = CannotPark
		}
		m.find(code, m.path(n), common, voices, jack, Named("interface", f.Name), Number("rest", 0, "V").Main())
	case profiles.GroupNormal:
		m.find(NormalBroken, m.path(n), common, jack, voices)
	case profiles.GroupSwitched:
		m.find(GroupSwitch, m.path(n), Named("bank", m.Rig.Banks[group.Bank].Name), jack, voices)
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
