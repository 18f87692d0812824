package deal

import (
	"fmt"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// Home is where messages for a voice, or a macro, go.
type Home struct {
	Interface int       // index into Rig.Interfaces
	Port      midi.Port // in the file, where the ports of all interfaces are counted through
	Channel   midi.Channel
	Device    string // interface and port, as the file names it
}

// mostPorts is how many ports a file can tell apart.
const mostPorts = 128

// HomeOf returns where a lane's messages go; ok is false where it has no
// address of MIDI.
func HomeOf(rig *profiles.Rig, o *routing.Outlet) (h Home, ok bool) {
	if !o.Fits() || !o.Addressed {
		return Home{}, false
	}
	port := int(o.Port)
	for i := range o.Interface {
		port += rig.Interfaces[i].Ports
	}
	if port >= mostPorts {
		return Home{}, false
	}
	device := rig.Interfaces[o.Interface].Name + " " + o.Port.String()
	return Home{o.Interface, midi.Port(port), o.Channel, device}, true
}

// Homes returns the homes of the voices that play, by index; of others the
// interface is −1. Of voices that have one pitch jack in common the first is sent what moves
// it, and the others what opens their gates; where they have one gate in common too they are
// sent nothing.
func Homes(p *plan.Plan) ([]Home, error) {
	return homesWhere(p, func(voice int) bool { _, plays := p.LeaderOf(voice); return plays })
}

// homesWhere is Homes for other voices.
func homesWhere(p *plan.Plan, wanted func(voice int) bool) ([]Home, error) {
	if len(p.Rig.Interfaces) == 0 {
		return nil, &Error{"the rig has no interface, so no voice has a port and a channel", "name the interface under interfaces, such as {main: {profile: cv16-gate16}}"}
	}
	homes := make([]Home, len(p.Rig.Voices))
	var lost []string
	taken := channels{}
	for i := range homes {
		homes[i].Interface = -1
		if !wanted(i) {
			continue
		}
		h, ok := laneHome(p, i, "pitch")
		if !ok {
			lost = append(lost, p.Rig.Voices[i].Name)
			continue
		}
		gate, gated := laneHome(p, i, "gate")
		switch leader, _ := p.LeaderOf(i); {
		case p.Rules.Config.Voices[leader].InTurn:
			return nil, &Error{fmt.Sprintf("%s has its pitch from a jack of several voices that open in turn, and one note moves pitch and gate", p.Rig.Voices[i].Name),
				"write gates: together in its bank, or drive it by CVs (link: audio)"}
		case leader != i && (!gated || taken.by(gate) == leader): // all of it comes with the first
			continue
		case leader != i:
			h = gate
		case !taken.has(h) && gated && gate.Interface == h.Interface && gate != h && !taken.has(gate):
			return nil, &Error{fmt.Sprintf("%s has its pitch or its gate from a jack of another voice, which is out of service", p.Rig.Voices[i].Name),
				"put that voice into service, or give this one jacks of its own"}
		}
		homes[i] = h
		wired := []Home{h}
		if other, twice := taken[gate.at()]; gated && gate != h && !(twice && p.Map.Together(i, other)) {
			wired = append(wired, gate)
		}
		for _, h := range wired {
			at := h.at()
			if other, twice := taken[at]; twice {
				if gated && at == gate.at() && sharesGate(p.Rig, i) && sharesGate(p.Rig, other) {
					return nil, &Error{fmt.Sprintf("voices %s and %s share a gate jack, and by MIDI a note opens the gate of its own channel alone", p.Rig.Voices[other].Name, p.Rig.Voices[i].Name),
						"drive them by CVs (link: audio), play them as one stack of a unison, or give each its own gate jack"}
				}
				return nil, &Error{fmt.Sprintf("voices %s and %s have a jack or a channel in common, so they cannot be dealt to apart",
					p.Rig.Voices[other].Name, p.Rig.Voices[i].Name), "take one of them out of service, or give it jacks of its own"}
			}
			taken[at] = i
		}
	}
	if len(lost) > 0 {
		return nil, &Error{nameless(lost), "choirloft map says which jack and channel each voice has"}
	}
	return homes, nil
}

// sharesGate tells whether the rig says that one envelope is for a voice and others of its bank.
func sharesGate(rig *profiles.Rig, voice int) bool {
	return rig.Banks[rig.Voices[voice].Bank].Shared == profiles.SharedGate
}

// channels are the voices that ports and channels are taken by.
type channels map[[2]int]int

func (c channels) has(h Home) bool { _, ok := c[h.at()]; return ok }

// by is the voice that a home is taken by, or −1.
func (c channels) by(h Home) int {
	if voice, ok := c[h.at()]; ok {
		return voice
	}
	return -1
}

func (h Home) at() [2]int { return [2]int{int(h.Port), int(h.Channel)} }

// laneHome is the home of a lane of a voice.
func laneHome(p *plan.Plan, voice int, input string) (Home, bool) {
	lane := p.Map.Voices[voice].Lane(input)
	if lane == nil {
		return Home{}, false
	}
	return HomeOf(p.Rig, &lane.Outlet)
}

func nameless(voices []string) string {
	const most = 8
	switch n := len(voices); {
	case n > most:
		return unit.First(voices, most) + " voices have no MIDI channel"
	case n > 1:
		return unit.Named("voice", voices, most) + " have no MIDI channel"
	}
	return unit.Named("voice", voices, most) + " has no MIDI channel"
}
