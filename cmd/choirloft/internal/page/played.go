package page

import (
	"net/http"
	"strings"
	"sync"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// played is a song as it was played with some overrides. Nothing changes it any more but
// for the sketch, which is made when somebody listens.
type played struct {
	plan   *plan.Plan
	song   Song
	replay *study.Replay
	result *contract.Replay
	lanes  *contract.Lanes
	marks  []contract.LaneMark

	sketching sync.Mutex
	sketched  *sketched
}

// occasion is what was played: a rig, a song and overrides.
type occasion struct {
	rig  *profiles.Rig
	song *midi.Song
	set  string
}

// memory keeps what was played last: whoever chooses among its losses, or listens to it,
// need not wait for it again.
type memory struct {
	mu   sync.Mutex
	last occasion
	kept *played
}

func (m *memory) find(what occasion) *played {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.last != what {
		return nil
	}
	return m.kept
}

func (m *memory) keep(what occasion, x *played) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.last, m.kept = what, x
}

// asked is a song as a request asks for it, played.
func (s *server) asked(w http.ResponseWriter, r *http.Request) (question, *played, error) {
	q, p, o, song, err := s.ask(w, r, true)
	if err != nil {
		return q, nil, err
	}
	x, err := s.perform(p, o, song)
	return q, x, err
}

// perform plays a song, or finds it played.
func (s *server) perform(p *plan.Plan, o plan.Overrides, song Song) (*played, error) {
	what := occasion{p.Unchanged, song.MIDI, strings.Join(o.Flags(), "\x00")}
	if x := s.memory.find(what); x != nil {
		return x, nil
	}
	replay, spans, err := p.Lanes(song.MIDI)
	if err != nil {
		return nil, err
	}
	result := contract.NewResult(p, song.Name, song.MIDI, replay)
	if err := result.Listen(p, song.MIDI, replay); err != nil {
		return nil, err
	}
	x := &played{plan: p, song: song, replay: replay, result: contract.NewReplay(p, result), lanes: contract.NewLanes(p, song.MIDI, replay, spans)}
	x.marks = x.result.MarksOn(x.lanes)
	say.Fill(x.result)
	s.memory.keep(what, x)
	return x, nil
}
