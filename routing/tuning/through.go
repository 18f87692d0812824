package tuning

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing"
)

// Through is what a key went through on its way to the jack while it was read.
type Through uint8

// What a key may have gone through.
const (
	NotSaid            Through = iota
	Nothing                    // the interface by itself, without bend
	ThroughCorrections         // those that the rig has
)

// ParseThrough reads what somebody says of it: nothing or corrections.
func ParseThrough(text string) (Through, error) {
	switch text {
	case "nothing":
		return Nothing, nil
	case "corrections":
		return ThroughCorrections, nil
	}
	return NotSaid, fmt.Errorf("found %q, want nothing or corrections", shown(text))
}

// Say says what keys went through of which the readings do not say it themselves.
func Say(rig *profiles.Rig, readings []Reading, through Through) {
	boxes, now := Boxes(rig), routing.Corrections(rig)
	for i := range readings {
		if m := &readings[i]; m.Keyed && m.Through == NotSaid {
			m.Through = through
			m.Volts = m.sent(boxes[m.Voice], &now[m.Voice], rig.A4)
		}
	}
}

// sent is what the jack gave for the key of a reading: the corrected volts where
// it went through a correction, up to the ends of the window.
func (m *Reading) sent(box *profiles.Interface, now *profiles.Correction, a4 profiles.Hertz) profiles.Volts {
	volts := routing.VoltsAt(box, a4, float64(m.Key))
	if m.Through == ThroughCorrections {
		volts = max(box.Window.Low, min(box.Window.High, now.Apply(volts)))
	}
	return volts
}

// through reads what a key went through, if the head of the readings says so.
func (x *interpreter) through(r row, out *Reading) {
	c, ok := r.cells["through"]
	if !ok {
		return
	}
	var err error
	if out.Through, err = ParseThrough(c.text); err != nil && !x.refused[c.pos] {
		x.refused[c.pos] = true // the head stands for all rows: one fault
		x.fault(c, "", "%v", err)
	}
}

// noticed is by how many cents two corrections must differ at a reading before it
// matters which of them it went through.
const noticed = 0.5

// unsaid tells whether the correction that the readings ask for would take the
// place of another, and nothing says whether they went through that one: read
// through it, they only say what it has left.
func (v *Voice) unsaid(now *profiles.Correction, a4 profiles.Hertz) bool {
	moved, changed := false, false
	for _, m := range v.Readings {
		if !m.Used || !m.Keyed || m.Through != NotSaid {
			continue
		}
		apart := func(volts profiles.Volts) bool {
			cents := 100 * (routing.PitchAt(v.Box, a4, volts) - routing.PitchAt(v.Box, a4, now.Apply(m.Volts)))
			return !(cents < noticed && cents > -noticed)
		}
		moved = moved || apart(m.Volts)
		changed = changed || apart(v.Correction.Apply(m.Volts))
	}
	return moved && changed
}
