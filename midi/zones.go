package midi

import "math/bits"

// Zone is a zone of per-note channels: a manager and the members next to it
// (MPE, M1-100-UM), as it stands until RPN 6 sets it.
type Zone struct {
	AnyPort bool
	Port    Port
	Upper   bool // manager 15 and members downward from 14, else 0 and upward from 1
	Members int  // 1–15
}

// Manager returns the channel that manages the zone.
func (z Zone) Manager() Channel {
	if z.Upper {
		return 15
	}
	return 0
}

// Channels returns the set of the zone's channels, bit 0 for the first.
func (z Zone) Channels() uint16 {
	lower := uint16(1)<<(z.Members+1) - 1
	if z.Upper {
		return bits.Reverse16(lower)
	}
	return lower
}

// Zones follows the zones of all ports: from those it begins with to what
// [Zones.Set] makes of them. What begins with none never has any: who plays no
// per-note channels pays no heed to RPN 6.
//
// It serves a live stream as well as a file.
type Zones struct {
	begin []Zone
	ports [128]*PortZones
}

// NewZones returns zones as they begin. Of two that overlap the later one has
// the channels.
func NewZones(begin []Zone) Zones { return Zones{begin: begin} }

// ZonesSet returns the zones of a port that steps set by RPN 6 before the first note
// of any, and keep; none where the port has others later.
func ZonesSet(steps []Step, port Port) []Zone {
	var zones PortZones
	notes := false
	for i := range steps {
		s := &steps[i]
		notes = notes || s.Kind == StepNoteOn
		if s.Kind != StepZone || s.Port != port || s.Channel != 0 && s.Channel != 15 {
			continue
		}
		was := zones
		if zones.set(s.Channel == 15, int(s.Value)); notes && zones != was {
			return nil
		}
	}
	var set []Zone
	for _, z := range []Zone{{Port: port, Members: zones.Lower}, {Port: port, Upper: true, Members: zones.Upper}} {
		if z.Members > 0 {
			set = append(set, z)
		}
	}
	return set
}

// On returns the zones of a port.
func (z *Zones) On(port Port) PortZones { return *z.on(port) }

func (z *Zones) on(port Port) *PortZones {
	at := &z.ports[port&127]
	if *at == nil {
		*at = &PortZones{}
		for _, b := range z.begin {
			if b.AnyPort || b.Port == port {
				(*at).set(b.Upper, b.Members)
			}
		}
	}
	return *at
}

// Set is RPN 6 on a channel: it gives the zone of which that is the manager so
// many members, 0–15, none of which ends it. It tells whether it counts: only
// channels 0 and 15 can be managers.
func (z *Zones) Set(port Port, manager Channel, members int) bool {
	if len(z.begin) == 0 || manager != 0 && manager != 15 {
		return false
	}
	z.on(port).set(manager == 15, members)
	return true
}

// PortZones is how many members the two zones of a port have, 0–15; 0 where
// there is no zone. They do not overlap.
type PortZones struct{ Lower, Upper int }

// set makes a zone of so many members; the other one gives way, if only for
// the manager.
func (z *PortZones) set(upper bool, members int) {
	members = min(max(members, 0), 15)
	this, other := &z.Lower, &z.Upper
	if upper {
		this, other = other, this
	}
	*this = members
	if members > 0 {
		*other = max(0, min(*other, 14-members))
	}
}

// Manager returns the channel that manages the zone of a channel, which may be
// that channel itself; ok is false outside of zones.
func (z PortZones) Manager(of Channel) (manager Channel, ok bool) {
	switch {
	case z.Lower > 0 && int(of) <= z.Lower:
		return 0, true
	case z.Upper > 0 && int(of) >= 15-z.Upper:
		return 15, true
	}
	return 0, false
}

// Members returns the members of the zone that a channel manages, from the
// first to before the end; none if it manages none.
func (z PortZones) Members(manager Channel) (first, end Channel) {
	switch manager {
	case 0:
		return 1, Channel(1 + z.Lower)
	case 15:
		return Channel(15 - z.Upper), 15
	}
	return 0, 0
}
