package link

import (
	"cmp"
	"slices"
	"time"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// Load is what a song sends over the links of a rig.
type Load struct {
	Ports []Port // those that carry something, by interface and port
	// Smear is the chord that the 5-pin links of the rig spread furthest
	// between them.
	Smear Smear
	End   time.Duration // of the song
	// Notes are those of the reference: marks are indexes into them.
	Notes []study.Note
}

// Port is one port of an interface.
type Port struct {
	Interface int // index into Rig.Interfaces
	Port      midi.Port
	Link      profiles.Link
	Traffic   // of USB without Busy, of an audio link only Messages and Bytes
	Frames    // of USB, which all ports of an interface share; nothing of other links
	// SetUp is how long it takes to set bend ranges and first bends, of a 5-pin
	// link. That is apart: a song that begins in less has its first notes late.
	SetUp time.Duration
}

// Share is the share of the song in which a port is busy: 0–1, or above where
// it is still busy past the end; 0 for what is not counted.
func (l *Load) Share(p *Port) float64 {
	if l.End <= 0 {
		return 0
	}
	return float64(p.Busy) / float64(l.End)
}

// Of is what a song sends over the links of a plan, dealt to its voices. The
// error is a *[deal.Error] where it cannot be dealt.
func Of(p *plan.Plan, song *midi.Song) (*Load, error) {
	d, err := deal.New(p, song, deal.Options{})
	if err != nil {
		return nil, err
	}
	ref := d.Passes[0].Replay.Reference
	return send(d).load(&Load{End: ref.End, Notes: ref.Notes, Smear: Smear{Mark: NoMark}}), nil
}

// load sends what there is through the links.
func (s *sender) load(l *Load) *Load {
	var all sentTogether
	packets := map[int]map[midi.Port][]time.Duration{} // by interface
	for _, to := range s.places() {
		p := Port{Interface: to.box, Port: to.port, Link: s.d.Plan.Rig.Interfaces[to.box].Link}
		list := s.sent[to]
		switch p.Link {
		case profiles.DIN:
			traffic, arrivals := Queue(list)
			p.Traffic = traffic
			before, _ := Queue(s.setUp[to])
			p.SetUp = before.Busy
			all.add(to, list, arrivals)
		case profiles.USB, profiles.USBHigh:
			p.Frames = frames[p.Link]
			p.Traffic = counted(list)
			if packets[to.box] == nil {
				packets[to.box] = s.packets(to.box, p.Frames)
			}
			arrivals := packets[to.box][to.port]
			p.Late, p.Smear = latest(list, arrivals), widest(list, arrivals)
		default:
			p.Traffic = counted(list)
		}
		l.Ports = append(l.Ports, p)
	}
	l.Smear = all.widest()
	return l
}

// frames are those of the links that have some.
var frames = map[profiles.Link]Frames{profiles.USB: fullSpeed, profiles.USBHigh: highSpeed}

// packets sends what all ports of an interface have through its one cable; it gives
// the arrivals of each port.
func (s *sender) packets(box int, f Frames) map[midi.Port][]time.Duration {
	var all []Message
	var from []midi.Port
	for _, to := range s.places() {
		if to.box == box {
			all = append(all, s.sent[to]...)
			for range s.sent[to] {
				from = append(from, to.port)
			}
		}
	}
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(all[a].At, all[b].At) })
	sorted := make([]Message, len(all))
	for n, i := range order {
		sorted[n] = all[i]
	}
	by := map[midi.Port][]time.Duration{}
	for n, at := range f.Send(sorted) {
		by[from[order[n]]] = append(by[from[order[n]]], at)
	}
	return by
}

// places lists the ports that something is sent to, by interface and port.
func (s *sender) places() (all []place) {
	for to := range s.sent {
		all = append(all, to)
	}
	slices.SortFunc(all, func(a, b place) int { return cmp.Or(cmp.Compare(a.box, b.box), cmp.Compare(a.port, b.port)) })
	return all
}

// counted is what a link without a queue carries. It knows no running status.
func counted(list []Message) Traffic {
	t := Traffic{Messages: len(list), Late: Late{Mark: NoMark}, Smear: Smear{Mark: NoMark}}
	for _, m := range list {
		t.Bytes += m.Size
	}
	return t
}

// sentTogether is what several ports send.
type sentTogether struct {
	messages []Message
	arrivals []time.Duration
	from     []place
}

func (t *sentTogether) add(from place, messages []Message, arrivals []time.Duration) {
	t.messages, t.arrivals = append(t.messages, messages...), append(t.arrivals, arrivals...)
	for range messages {
		t.from = append(t.from, from)
	}
}

// widest is the chord that is spread furthest over all ports.
func (t *sentTogether) widest() Smear {
	order := make([]int, len(t.messages))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(t.messages[a].At, t.messages[b].At), cmp.Compare(t.from[a].box, t.from[b].box),
			cmp.Compare(t.from[a].port, t.from[b].port), cmp.Compare(t.arrivals[a], t.arrivals[b]))
	})
	messages, arrivals := make([]Message, len(order)), make([]time.Duration, len(order))
	for n, i := range order {
		messages[n], arrivals[n] = t.messages[i], t.arrivals[i]
	}
	return widest(messages, arrivals)
}
