package routing

import "choirloft/profiles"

// InputsOf lists the jacks that a target of a rig stands for.
func InputsOf(rig *profiles.Rig, t profiles.Target) []Input { return jacksOf(rig, t) }

// EndsOf lists the jacks that a lane of the map leads to; none for what is only
// wired, all of which is in its wires.
func (m *Map) EndsOf(l *Lane) []Input { return m.ends(l) }

// Lanes lists all lanes: those of voices, shared ones, macros.
func (m *Map) Lanes() []*Lane { return m.lanes() }

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
