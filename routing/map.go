package routing

import (
	"slices"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/circuit"
)

// Map is the channel map of a rig: which lane comes out of which jack, which
// message moves it, and what each voice does in a unison.
type Map struct {
	Rig     *profiles.Rig
	Voices  []Voice // by number, from 1 at 0
	Shared  []Lane  // lanes of banks in file order, then what is only wired
	Macros  []Lane  // in file order
	Nets    []Net   // what hangs on each jack, by interface, CVs before gates
	Spare   []Spare // jacks that are free, by interface, CVs before gates
	Unisons []Unison
	// Missing are the lanes without a jack, and Steps are ways down from what
	// the rig asks for, each of which was tried and makes everything fit.
	Missing  []Lane
	Steps    []Step
	Findings []Finding // sorted

	netAt    map[jackKey]int // by jack: its place among Nets
	graph    *circuit.Graph
	ends     map[Input]int   // by input: its part of the graph
	counted  map[int]counted // by part: multiples of so many outputs
	voicings []voicing       // by voice: what moves its pitch
	pools    []pooled        // by kind: what is known of its drift
	inCommon pooled          // and of what all voices have in common
	odds     int             // errors about jacks, against which steps are tried
}

// Voice is one voice on the map.
type Voice struct {
	Voice     int    // index into Rig.Voices
	Interface int    // index into Rig.Interfaces, that of its pitch; −1 without a jack
	Lanes     []Lane // pitch, gate and further inputs in the order of its kind
	Seats     []Seat // in parts that play on it, in file order; none for a spare at rest
	Keys      []KeyVolts
	Budget    *Budget // nil where no pitch reaches it
}

// Lane returns the lane of an input, such as pitch; nil if there is none.
func (v *Voice) Lane(input string) *Lane {
	if i := slices.IndexFunc(v.Lanes, func(l Lane) bool { return l.Input == input }); i >= 0 {
		return &v.Lanes[i]
	}
	return nil
}

// Seat is the voice's place in the parts that use it, the first of which it
// names; ok is false where there is none, or where they do not agree.
func (v *Voice) Seat() (s Seat, ok bool) {
	for i, other := range v.Seats {
		if i == 0 {
			s = other
		}
		if other.Part = s.Part; other != s {
			return Seat{}, false
		}
	}
	return s, len(v.Seats) > 0
}

// KeyVolts is what a voice's pitch jack puts out for a key: without detune,
// bend or correction.
type KeyVolts struct {
	Key   midi.Key
	Volts profiles.Volts
}

// Spare are the free jacks of one kind on an interface.
type Spare struct {
	Interface int // index into Rig.Interfaces
	Gates     bool
	Either    bool  // outputs that give a CV or a gate; Gates is false then
	Jacks     []int // from 1, ascending
}

// SpareCount counts free jacks: CVs, gates, and outputs that give either.
func (m *Map) SpareCount() (cvs, gates, either int) { return countSpare(m.Spare) }

func countSpare(spare []Spare) (cvs, gates, either int) {
	for _, s := range spare {
		switch {
		case s.Either:
			either += len(s.Jacks)
		case s.Gates:
			gates += len(s.Jacks)
		default:
			cvs += len(s.Jacks)
		}
	}
	return cvs, gates, either
}

// NewMap makes the map of a rig by the rules in pack.go and address.go. What is
// wrong with it are findings. Parts without voices, fixed voices and a missing
// interface are not among them: these concern the plan.
func NewMap(rig *profiles.Rig) *Map {
	m := Lay(rig)
	m.Survey()
	return m
}

// Lay is [NewMap] up to what the voices play: jacks, messages, nets and stacks. Budgets,
// warnings of stacks, steps and most findings wait for [Map.Survey], for whoever tries many.
func Lay(rig *profiles.Rig) *Map {
	m := pack(rig, nil).laid()
	m.unite()
	m.seat()
	return m
}

// Survey says of a map that was laid what its pitch rests on, and what is wrong with it.
// Once is enough.
func (m *Map) Survey() {
	m.budgets()
	m.findUnisons()
	m.fit()
	m.findJacks()
	m.findPaths()
	m.tryPins()
	m.locate()
	Sort(m.Findings)
}

// laid is the map with jacks, messages, volts and nets; it finds what pins and wires contradict.
func (p *packer) laid() *Map {
	m := p.bare()
	for i := range m.Voices {
		m.Voices[i].Keys = m.volts(&m.Voices[i])
	}
	m.connect()
	return m
}

// bare is [packer.laid] without volts and nets, for whoever tries many.
func (p *packer) bare() *Map {
	p.address()
	m := &Map{Rig: p.rig, Findings: p.findings, Spare: p.spare(), Missing: values(p.lanes.missing())}
	for i, lanes := range p.lanes.voices {
		m.Voices = append(m.Voices, Voice{Voice: i, Interface: home(lanes), Lanes: values(lanes)})
	}
	for _, lanes := range p.lanes.banks {
		m.Shared = append(m.Shared, values(lanes)...)
	}
	m.Shared = append(m.Shared, values(p.lanes.wires)...)
	m.Macros = values(p.lanes.macros)
	return m
}

func values(lanes []*Lane) (all []Lane) {
	for _, l := range lanes {
		all = append(all, *l)
	}
	return all
}

// Lanes lists all lanes: those of voices, shared ones, macros.
func (m *Map) Lanes() (all []*Lane) {
	for i := range m.Voices {
		for j := range m.Voices[i].Lanes {
			all = append(all, &m.Voices[i].Lanes[j])
		}
	}
	for _, group := range [][]Lane{m.Shared, m.Macros} {
		for i := range group {
			all = append(all, &group[i])
		}
	}
	return all
}

// spare lists the free jacks.
func (p *packer) spare() (all []Spare) {
	for i, b := range p.boxes {
		all = append(all, Spare{Interface: i, Either: b.either(), Jacks: b.cv.untaken()})
		if !b.either() {
			all = append(all, Spare{Interface: i, Gates: true, Jacks: b.gates.untaken()})
		}
	}
	return slices.DeleteFunc(all, func(s Spare) bool { return len(s.Jacks) == 0 })
}

// volts lists what the pitch jack of a voice puts out at the lowest and the
// highest key that the voice tracks within the window, and at each C between
// them.
func (m *Map) volts(v *Voice) (list []KeyVolts) {
	pitch := v.Lane(pitchInput)
	if pitch == nil || !pitch.Fits() {
		return nil
	}
	f := &m.Rig.Interfaces[pitch.Interface]
	keys, ok := KeysWithin(f, m.Rig.A4)
	tracks := m.Rig.Voices[v.Voice].Keys
	low, high := max(keys.Low, tracks.Low), min(keys.High, tracks.High)
	if !ok || low > high {
		return nil
	}
	for key := low; key <= high; key++ {
		if key == low || key == high || key%12 == 0 {
			list = append(list, KeyVolts{key, VoltsAt(f, m.Rig.A4, float64(key))})
		}
	}
	return list
}
