package link

import (
	"strings"
	"time"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
)

// mostLate is by how much a note may be late before there is something to say:
// where players begin to feel a delay (common practice).
const mostLate = 10 * time.Millisecond

// Findings says which ports of a rig hold up the notes of a song.
func (l *Load) Findings(rig *profiles.Rig, song *midi.Song) (found []routing.Finding) {
	for i := range l.Ports {
		p := &l.Ports[i]
		if p.Late.By <= mostLate {
			continue
		}
		box := &rig.Interfaces[p.Interface]
		usb := p.Frames.Events > 0
		facts := []routing.Fact{routing.Number("port", int(p.Port)+1, ""), routing.Named("interface", box.Name),
			routing.Number("late", milliseconds(p.Late.By), "ms").Assume(usb).Main(), routing.Named("at", l.bar(song, p.Late.Mark))}
		if p.Smear.Notes > 0 {
			facts = append(facts, routing.Number("chord", p.Smear.Notes, "notes"), routing.Number("spread", milliseconds(p.Smear.Spread), "ms").Assume(usb),
				routing.Named("chord_at", l.bar(song, p.Smear.Mark)))
		}
		if usb {
			facts = append(facts, routing.Number("packet", p.Frames.Events, "messages"))
		} else {
			facts = append(facts, routing.Number("usb_packet", fullSpeed.Events, "messages"))
		}
		f := routing.New(routing.LinkLate, "interfaces."+box.Name+".link", facts...)
		f.Pos = position(rig, f.Where)
		found = append(found, f)
	}
	return found
}

// bar is where a note stands in a song.
func (l *Load) bar(song *midi.Song, mark int) string {
	return song.Meter.Position(l.Notes[mark].Tick).String()
}

func milliseconds(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

// position is where the rig says what stands at a path, or the nearest above.
func position(rig *profiles.Rig, path string) profiles.Pos {
	for path != "" {
		if pos, ok := rig.Given(path); ok {
			return pos
		}
		path = path[:max(0, strings.LastIndexByte(path, '.'))]
	}
	return profiles.Pos{}
}
