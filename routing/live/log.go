package live

import (
	"fmt"

	"choirloft/midi"
)

// log keeps the events of a session, in pieces, so that what is kept never
// moves.
type log struct {
	pieces [][]midi.Event
	count  int
	full   bool
}

// pieceSize is how many events are made room for at once: a megabyte.
const pieceSize = 1 << 16

func (l *log) add(e midi.Event, most int) {
	if l.count >= most {
		l.full = l.full || most > 0
		return
	}
	if l.count%pieceSize == 0 {
		l.pieces = append(l.pieces, make([]midi.Event, 0, pieceSize))
	}
	last := &l.pieces[len(l.pieces)-1]
	*last = append(*last, e)
	l.count++
}

// Full tells whether the log had no room for all that came.
func (s *Session) Full() bool { return s.log.full }

// The log's ticks are microseconds: a quarter of 32 000 of them lasts 32 ms. A
// signature of 125 quarters makes bars of four seconds.
const (
	logDivision = 32_000
	logBeats    = 125
)

// Score is a song of all events that came, in the order in which they did: a
// track a port, a microsecond a tick, no two events at one tick. Replayed, it
// gives the same decisions.
func (s *Session) Score() *midi.Score {
	d := midi.Division{Ticks: logDivision}
	score := &midi.Score{
		Name:  "live log",
		Texts: []string{fmt.Sprintf("events as they came in, for %s [%s]; a tick is a microsecond", s.plan.Rig.Name, s.plan.Rig.Fingerprint())},
		Tempo: midi.NewTempoMap(d, []midi.TempoChange{{Micros: logDivision}}),
		Meter: midi.NewMeterMap(d, []midi.Signature{{Beats: logBeats, Unit: 4}}),
		End:   midi.Tick(s.now / Tick),
	}
	for port := range s.inputs {
		t := midi.ScoreTrack{Name: fmt.Sprintf("input %d", port+1), Port: midi.Port(port)}
		for _, piece := range s.log.pieces {
			for _, e := range piece {
				if int(e.Port) == port {
					t.Events = append(t.Events, e)
				}
			}
		}
		score.Tracks = append(score.Tracks, t)
	}
	return score
}
