package setups

import (
	"fmt"
	"slices"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
)

// Jack is one end of a cable.
type Jack struct {
	Panel string // main, bank K, multiple 1, gate-OR K
	Name  string // cv 1, K1.pitch, in, out 2
}

// Cable leads from an output to an input.
type Cable struct{ From, To Jack }

// Way is how a sequencer reaches banks.
type Way struct {
	Pitches profiles.PitchWay
	Gates   profiles.GateWay
	Through profiles.Through // Passive or Buffered
	Outs    int              // of one buffered multiple
}

// Patch is a set-up with all its cables.
type Patch struct {
	SetUp int          // index into Rig.SetUps
	Map   *routing.Map // of the rig as it is patched
	Way   Way          // of a sequencer
	// Rests are outputs that stay plugged and do not play: what they must give.
	Rests []Rest
	// Group are the banks whose switch has to stand at the common pitch jack.
	Group []int
	// Broken are voices that the common pitch jack of their bank does not reach,
	// because a plug in their own breaks the normal.
	Broken []int

	base      *routing.Map
	nets      []routing.Net
	reaches   map[routing.Input]*routing.Net
	wires     []origin // of the wires of a sequencer's patch
	ors       []or
	cables    []Cable
	multiples []multiple
}

// Rest is an output that has to be held while a set-up is patched.
type Rest struct {
	Jack   Jack
	Inputs []string // that it leads to
	Gate   bool     // it has to stay low; else it has to give 0 V
	// Key is the key that gives 0 V, without bend; nil with hertz per volt.
	Key *midi.Key
}

// or is a gate-OR that a sequencer drives.
type or struct {
	bank int
	jack int // of the sequencer, from 1
}

// origin is where the rig says a wire of a sequencer's patch.
type origin struct {
	where string
	pos   profiles.Pos
	own   bool // it comes from the sequencer
}

// multiple is one multiple, or several buffered ones that are linked.
type multiple struct {
	through profiles.Through
	outs    int // of one multiple; 0 for a passive one that has enough
	units   int // linked
	feed    Jack
	inputs  []Jack
}

// New is the patch of a set-up, wired as the rig says. The map is that of the
// rig.
func New(m *routing.Map, setUp int) *Patch {
	return newPatch(m, setUp, WayOf(&m.Rig.SetUps[setUp]), ored(m.Rig))
}

// WayOf is how the rig says that a set-up is wired.
func WayOf(s *profiles.SetUp) Way { return Way{s.Pitches, s.Gates, s.Through, s.Outs} }

// ored tells by bank where the gates go through a gate-OR: where a set-up of
// the rig has one.
func ored(rig *profiles.Rig) []bool {
	all := make([]bool, len(rig.Banks))
	for i := range rig.SetUps {
		markOred(all, &rig.SetUps[i], rig.SetUps[i].Gates)
	}
	return all
}

func markOred(all []bool, s *profiles.SetUp, gates profiles.GateWay) {
	if !s.Sequenced || gates != profiles.GateOr {
		return
	}
	for _, p := range s.Parts {
		for _, bank := range p.Banks {
			all[bank] = true
		}
	}
}

func newPatch(m *routing.Map, setUp int, way Way, ored []bool) *Patch {
	s := &m.Rig.SetUps[setUp]
	p := &Patch{SetUp: setUp, Map: m, base: m, nets: m.Nets}
	if s.Sequenced {
		p.Way = way
		p.sequence(m, s)
	} else {
		from := append([]int{s.From}, s.Also...)
		p.nets = slices.DeleteFunc(slices.Clone(m.Nets), func(n routing.Net) bool { return !slices.Contains(from, n.Interface) })
	}
	l := layer{patch: p, rig: p.Map.Rig, ored: ored, laid: map[Cable]bool{}}
	l.lay()
	if s.Sequenced {
		p.leave(m, ored)
	}
	p.Broken = p.broken()
	return p
}

// Reaches lists the inputs that something leads to, with the output that does.
// It is not to be changed.
func (p *Patch) Reaches() map[routing.Input]*routing.Net {
	if p.reaches != nil {
		return p.reaches
	}
	p.reaches = map[routing.Input]*routing.Net{}
	for i := range p.nets {
		for _, in := range p.nets[i].Inputs() {
			p.reaches[in] = &p.nets[i]
		}
	}
	return p.reaches
}

// Plays tells whether a voice gets a pitch and a gate, its own or by its bank.
func (p *Patch) Plays(voice int) bool {
	rig := p.Map.Rig
	bank := rig.Voices[voice].Bank
	reaches := p.Reaches()
	pitch := reaches[routing.Input{Bank: bank, Voice: voice, Input: "pitch"}] != nil ||
		reaches[routing.Input{Bank: bank, Voice: -1, Input: "pitch"}] != nil && !slices.Contains(p.Broken, voice)
	gate := reaches[routing.Input{Bank: bank, Voice: voice, Input: "gate"}] != nil ||
		slices.ContainsFunc(p.ors, func(o or) bool { return o.bank == bank })
	return pitch && gate
}

// broken lists the voices beside a common pitch jack in use whose own plug
// breaks its normal.
func (p *Patch) broken() (voices []int) {
	rig, reaches := p.Map.Rig, p.Reaches()
	for i, v := range rig.Voices {
		b := &rig.Banks[v.Bank]
		if rig.Kinds[b.Kind].GroupPitch == profiles.GroupNormal &&
			reaches[routing.Input{Bank: v.Bank, Voice: -1, Input: "pitch"}] != nil &&
			reaches[routing.Input{Bank: v.Bank, Voice: i, Input: "pitch"}] != nil {
			voices = append(voices, i)
		}
	}
	return voices
}

// outlet is the jack that a net comes out of.
func outlet(rig *profiles.Rig, n *routing.Net) Jack {
	kind := "cv"
	if n.GateJack {
		kind = "gate"
	}
	return Jack{rig.Interfaces[n.Interface].Name, fmt.Sprintf("%s %d", kind, n.Jack)}
}
