package alter

import (
	"slices"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
)

// heard is what a deed has a part listen to: a channel, or a zone of per-note channels.
type heard struct {
	source  alloc.Source // of one channel
	zone    profiles.Zone
	members int
}

// hear reads it from a deed.
func hear(d Deed) (h heard, err error) {
	if d.Zone != "" {
		p, err := profiles.ReadListens(d.Zone)
		if err != nil || p.Zone == profiles.NoZone {
			return h, refuse("", "found the zone %q, want one such as mpe lower, or mpe upper 7", d.Zone)
		}
		return heard{zone: p.Zone, members: p.Members}, nil
	}
	if d.Channel < 1 || d.Channel > 16 || d.Port < 0 || d.Port > 128 {
		return h, refuse("", "found channel %d on port %d, want a channel from 1 to 16, and a port from 1 to 128, or 0 for every port", d.Channel, d.Port)
	}
	h.source = alloc.Source{AnyPort: d.Port == 0, Channels: 1 << (d.Channel - 1)}
	if d.Port > 0 {
		h.source.Port = midi.Port(d.Port - 1)
	}
	return h, nil
}

// text is what a rig file says of a part that listens to nothing else.
func (h heard) text() string {
	p := profiles.Part{Zone: h.zone, Members: h.members}
	if h.zone == profiles.NoZone {
		p.Sources = []alloc.Source{h.source}
	}
	return p.Listens()
}

// channels are those of the zone, or the one.
func (h heard) channels() uint16 {
	if h.zone == profiles.NoZone {
		return h.source.Channels
	}
	return midi.Zone{Upper: h.zone == profiles.UpperZone, Members: h.members}.Channels()
}

// anyPort tells whether it is heard on every port.
func (h heard) anyPort() bool { return h.zone != profiles.NoZone || h.source.AnyPort }

// by tells whether a part listens to it.
func (h heard) by(p profiles.Part) bool {
	if h.zone != profiles.NoZone {
		return p.Zone == h.zone && p.Members == h.members
	}
	return p.Zone == profiles.NoZone && slices.ContainsFunc(p.Sources, func(s alloc.Source) bool {
		return s.Channels&h.source.Channels != 0 && (s.AnyPort || !h.source.AnyPort && s.Port == h.source.Port)
	})
}

// meets tells whether a part listens to some of it.
func (h heard) meets(p profiles.Part) bool {
	if p.Zone != profiles.NoZone {
		return midi.Zone{Upper: p.Zone == profiles.UpperZone, Members: p.Members}.Channels()&h.channels() != 0
	}
	return slices.ContainsFunc(p.Sources, func(s alloc.Source) bool {
		return s.Channels&h.channels() != 0 && (s.AnyPort || h.anyPort() || s.Port == h.source.Port)
	})
}

func channel(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	h, err := hear(d)
	if err != nil {
		return nil, err
	}
	if d.Part != "" {
		if err := t.listen(h, d.Part); err != nil {
			return nil, err
		}
	}
	if err := t.unhear(h, d.Part, d.Also && d.Part != ""); err != nil {
		return nil, err
	}
	return func(r *profiles.Rig) bool {
		for i := range r.Parts {
			p := &r.Parts[i]
			if p.Name == d.Part && !h.by(*p) || p.Name != d.Part && !d.Also && h.meets(*p) {
				return false
			}
		}
		return true
	}, nil
}

// listen has a part listen to something.
func (t *text) listen(h heard, name string) error {
	p, err := t.part(name)
	switch {
	case err != nil:
		return err
	case h.by(*p):
		return nil
	case p.Zone != profiles.NoZone:
		return refuse("give it to another part", "%s listens to %s, a channel for each note, and to nothing beside it", p.Name, p.Listens())
	case h.zone != profiles.NoZone && len(p.Sources) > 0:
		return refuse("give the zone to a new part", "%s listens to channels, and %s stands alone", p.Name, h.text())
	case h.zone != profiles.NoZone:
		t.set(h.text(), "parts", name, "channel")
		return nil
	}
	left, _ := h.without(p.Sources) // of every port where it is to be of every one
	t.set(listening(withSource(left, h.source)), "parts", name, "channel")
	return nil
}

// withSource adds a channel to those of its port, or as the last.
func withSource(to []alloc.Source, s alloc.Source) []alloc.Source {
	for i := range to {
		if to[i].AnyPort == s.AnyPort && to[i].Port == s.Port {
			to[i].Channels |= s.Channels
			return to
		}
	}
	return append(to, s)
}

// listening are channels as a rig file has them.
func listening(sources []alloc.Source) string { return (&profiles.Part{Sources: sources}).Listens() }

// without are channels less those that are heard; ok is false where some port would have to be left out
// of all.
func (h heard) without(sources []alloc.Source) (left []alloc.Source, ok bool) {
	ok = true
	for _, s := range sources {
		switch {
		case s.Channels&h.channels() == 0:
		case h.anyPort() || !s.AnyPort && s.Port == h.source.Port:
			s.Channels &^= h.channels()
		case s.AnyPort:
			ok = false
		}
		if s.Channels != 0 {
			left = append(left, s)
		}
	}
	return left, ok
}

// unhear has all parts but one listen to it no longer, unless they may also.
func (t *text) unhear(h heard, but string, also bool) error {
	for i := range t.rig.Parts {
		p := &t.rig.Parts[i]
		if also || p.Name == but || !h.meets(*p) {
			continue
		}
		left, ok := h.without(p.Sources)
		switch {
		case p.Zone != profiles.NoZone && (h.zone != p.Zone || h.members != p.Members):
			return refuse("move the zone as a whole, or write by hand what "+p.Name+" listens to",
				"%s listens to %s, which has some of that", p.Name, p.Listens())
		case !ok:
			return refuse("write by hand which ports "+p.Name+" listens to, such as channel: [port 1 channel 3, port 2 channel 3]",
				"%s listens to this channel on every port", p.Name)
		}
		t.set(listening(left), "parts", p.Name, "channel")
	}
	return nil
}
