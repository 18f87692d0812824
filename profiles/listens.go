package profiles

import (
	"fmt"
	"math/bits"
	"strconv"
	"strings"

	"choirloft/alloc"
	"choirloft/midi"
)

// Listens returns what the part listens to, as a rig file writes it: 5,
// [1, 2], port 2 channel 5, mpe lower 7, none. Channels and ports count from 1.
func (p *Part) Listens() string {
	if p.Zone == NoZone && len(p.Sources) > 0 {
		return channelText(p.Sources)
	}
	if p.Zone == NoZone || p.Members == maxMembers {
		return p.Zone.String()
	}
	return p.Zone.String() + " " + strconv.Itoa(p.Members)
}

// ReadListens reads one channel, a zone or none as a rig file has it: a part that listens to that,
// and nothing else. Channels and ports count from 1.
func ReadListens(text string) (Part, error) {
	v, c := listenWord.parse(&reader{middleC: C4}, written{text: text})
	if c != nil {
		return Part{}, fmt.Errorf("%s", c.message)
	}
	l := v.(listens)
	return Part{Sources: l.sources, Zone: l.zone, Members: l.members}, nil
}

// PerNote returns the part with a zone and nothing else, as of a song; no part is
// in one without members.
func PerNote(z midi.Zone) Part {
	switch {
	case z.Members == 0:
		return Part{}
	case z.Upper:
		return Part{Zone: UpperZone, Members: z.Members}
	}
	return Part{Zone: LowerZone, Members: z.Members}
}

// channelText writes channels as a rig file does.
func channelText(sources []alloc.Source) string {
	var all []string
	for _, s := range sources {
		for set := s.Channels; set != 0; set &= set - 1 {
			channel := midi.Channel(bits.TrailingZeros16(set)).String()
			if !s.AnyPort {
				channel = "port " + s.Port.String() + " channel " + channel
			}
			all = append(all, channel)
		}
	}
	if len(all) == 1 {
		return all[0]
	}
	return "[" + strings.Join(all, ", ") + "]"
}
