package routing

import "choirloft/profiles"

// InputsOf lists the jacks that a target of a rig stands for.
func InputsOf(rig *profiles.Rig, t profiles.Target) []Input { return jacksOf(rig, t) }

// EndsOf lists the jacks that a lane of the map leads to; none for what is only
// wired, all of which is in its wires.
func (m *Map) EndsOf(l *Lane) []Input { return m.ends(l) }

// Lanes lists all lanes: those of voices, shared ones, macros.
func (m *Map) Lanes() []*Lane { return m.lanes() }
