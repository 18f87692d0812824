package routing

import (
	"fmt"
	"slices"

	"choirloft/midi"
	"choirloft/profiles"
)

// Messages.
//
// A voice has a channel of its own: the voices of an interface in ascending
// number take the channels of its first port, then those of the next. Its
// pitch and gate are moved by notes there, its velocity and pressure by theirs,
// and further inputs by CC 102 to 113 in the order of its kind's inputs.
//
// A macro keeps its controller and channel, on the port that the rig names or
// else the first. All other shared lanes take what belongs to their jack: CC 20
// to 31 for the last twelve CVs, the last one first, on channel 1, for the
// twelve before them on channel 2 and so on; gates in the same way by CC 114 to
// 119. So a message stays as long as the jack does, and no two jacks of an
// interface have one in common but for macros. These controllers are undefined
// in the MIDI specification (from memory).
//
// On an interface for audio, a jack is a channel of audio instead.

// controllers is a run of controller numbers.
type controllers struct{ first, count int }

var (
	sharedCVs     = controllers{20, 12}
	sharedGates   = controllers{114, 6}
	furtherInputs = controllers{102, 12}
)

const channels = 16 // of a MIDI port

// address is the part of an [Outlet] that is about messages.
type address struct {
	message   string
	addressed bool
	port      midi.Port
	channel   midi.Channel
}

// speaker gives messages to lanes. Lanes on one jack share that of the first.
type speaker struct {
	*packer
	said map[jackKey]address
}

// address gives every lane with a jack its message. Macros come before voices,
// and these before banks.
func (p *packer) address() {
	s := &speaker{p, map[jackKey]address{}}
	s.macros()
	s.voices()
	for _, lanes := range slices.Concat(p.lanes.banks, [][]*Lane{p.lanes.wires}) {
		for _, l := range lanes {
			if l.Fits() {
				s.say(l, p.sharedAddress(l))
			}
		}
	}
}

func (s *speaker) say(l *Lane, a address) {
	key := s.key(profiles.Jack{Interface: l.Interface, Gate: l.GateJack, Number: l.Jack})
	if first, ok := s.said[key]; ok {
		a = first
	}
	s.said[key] = a
	l.Message, l.Addressed, l.Port, l.Channel = a.message, a.addressed, a.port, a.channel
}

func (s *speaker) macros() {
	for i, l := range s.lanes.macros {
		if !l.Fits() {
			continue
		}
		m := &s.rig.Macros[i]
		channel := int(m.Channel)
		if !m.AnyPort {
			channel += int(m.Port) * channels
		}
		s.say(l, s.onPort(l, channel, fmt.Sprintf("CC %d", m.Controller)))
	}
}

func (s *speaker) voices() {
	count := make([]int, len(s.boxes)) // of voices on each interface
	for _, lanes := range s.lanes.voices {
		if at := home(lanes); at >= 0 {
			s.voice(lanes, at, count[at])
			count[at]++
		}
	}
}

// voice gives messages to the lanes of a voice whose interface and channel
// there are given. A further input on another interface is addressed by its
// jack, since the voice has no channel there.
func (s *speaker) voice(lanes []*Lane, at, channel int) {
	further := 0
	for _, l := range lanes {
		message := voiceMessage(l.Input)
		if message == "" {
			message = furtherInputs.name(further)
			further++
		}
		switch {
		case !l.Fits():
		case l.Interface != at && !l.core():
			s.say(l, s.sharedAddress(l))
		default:
			s.say(l, s.onPort(l, channel, message))
		}
	}
}

// voiceMessage is what moves an input of a voice, empty where a controller
// has to.
func voiceMessage(input string) string {
	switch input {
	case pitchInput, gateInput:
		return "note"
	case velocityInput, pressureInput:
		return input
	}
	return ""
}

// sharedAddress is the message that belongs to a jack.
func (p *packer) sharedAddress(l *Lane) address {
	run := sharedCVs
	if l.GateJack {
		run = sharedGates
	}
	place := p.rig.Interfaces[l.Interface].Jacks(l.GateJack) - l.Jack
	return p.onPort(l, place/run.count, run.name(place%run.count))
}

// name is the controller at a place of the run, empty past its end.
func (c controllers) name(place int) string {
	if place >= c.count {
		return ""
	}
	return fmt.Sprintf("CC %d", c.first+place)
}

// onPort is a message on a channel, counted through all ports of the lane's
// interface. It is empty past the last port and without a message, and a
// channel of audio on an interface for audio.
func (p *packer) onPort(l *Lane, channel int, message string) address {
	f := &p.rig.Interfaces[l.Interface]
	switch {
	case f.Link == profiles.Audio:
		return address{message: fmt.Sprintf("audio %d", l.Jack)}
	case message == "" || channel >= f.Ports*channels:
		return address{}
	}
	return address{message, true, midi.Port(channel / channels), midi.Channel(channel % channels)}
}
