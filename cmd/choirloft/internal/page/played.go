package page

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"choirloft/alloc/crew"
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
	// listening says that what is heard is still to come; empty where it is there.
	listening string

	sketching sync.Mutex
	sketched  *sketched
}

// occasion is what was played: a rig, a song and overrides.
type occasion struct {
	rig  *profiles.Rig
	song *midi.Song
	set  string
}

// performance is a song that was played, and what is heard of it once that is known.
type performance struct {
	stop func() // listening

	ready chan struct{} // is closed once these are there
	whole *played
	err   error

	mu      sync.Mutex
	first   *played // before anybody has listened; nil once these are there
	waiting int     // for them
	past    bool    // another has been played since
}

// memory keeps what was played last: whoever chooses among its losses, or listens to it,
// need not wait for it again. It also keeps how many voices songs need until no loss is heard.
type memory struct {
	mu      sync.Mutex
	last    occasion
	kept    *performance
	demands plan.Demands
}

func (m *memory) find(what occasion) *performance {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.last != what {
		return nil
	}
	return m.kept
}

// keep keeps a performance in the place of the one before. Where nobody waits for that any
// more, nobody goes on listening to it.
func (m *memory) keep(what occasion, x *performance) {
	m.mu.Lock()
	before := m.kept
	m.last, m.kept = what, x
	m.mu.Unlock()
	if before != nil {
		before.leave(0)
	}
}

// leave takes somebody who waited away from a performance, or nobody where it is past.
func (x *performance) leave(who int) {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.waiting -= who
	if x.past = x.past || who == 0; x.past && x.waiting == 0 {
		x.stop()
	}
}

// wait waits for what is heard.
func (x *performance) wait(ctx context.Context) (*played, error) {
	x.mu.Lock()
	x.waiting++
	x.mu.Unlock()
	defer x.leave(1)
	select {
	case <-x.ready:
		return x.whole, x.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// blink is how long an answer waits at most for what is heard before it is given without: less
// than what one notices of a picture that follows a hand.
const blink = 30 * time.Millisecond

// soon is what is known within a blink: all, or what became of the notes.
func (x *performance) soon() (*played, error) {
	select {
	case <-x.ready:
		return x.whole, x.err
	case <-time.After(blink):
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.first == nil { // it has come this moment
		return x.whole, x.err
	}
	return x.first, nil
}

// asked is a song as a request asks for it, played. Where that would rather know soon, what is
// heard may be still to come.
func (s *server) asked(w http.ResponseWriter, r *http.Request) (question, *played, error) {
	q, p, o, song, err := s.ask(w, r, true)
	if err != nil {
		return q, nil, err
	}
	x, err := s.perform(r.Context(), p, o, song, q.Soon)
	return q, x, err
}

// perform plays a song and listens to it, or finds that done.
func (s *server) perform(ctx context.Context, p *plan.Plan, o plan.Overrides, song Song, soon bool) (*played, error) {
	for {
		x, err := s.performance(p, o, song)
		if err != nil {
			return nil, err
		}
		var y *played
		if soon {
			y, err = x.soon()
		} else {
			y, err = x.wait(ctx)
		}
		if !errors.Is(err, context.Canceled) || ctx.Err() != nil {
			return y, err
		} // else somebody else has played something meanwhile
	}
}

// performance plays a song, or finds it played, and begins to listen.
func (s *server) performance(p *plan.Plan, o plan.Overrides, song Song) (*performance, error) {
	what := occasion{p.Unchanged, song.MIDI, strings.Join(o.Flags(), "\x00")}
	if x := s.memory.find(what); x != nil {
		return x, nil
	}
	replay, spans, err := p.Lanes(song.MIDI)
	if err != nil {
		return nil, err
	}
	result := contract.NewResult(p, song.Name, song.MIDI, replay)
	first := &played{plan: p, song: song, replay: replay, result: contract.NewReplay(p, result), lanes: contract.NewLanes(p, song.MIDI, replay, spans), listening: say.Listening}
	first.finish()
	ctx, stop := context.WithCancel(context.Background())
	x := &performance{first: first, stop: stop, ready: make(chan struct{})}
	s.memory.keep(what, x)
	go x.listen(ctx, first, &s.memory.demands)
	return x, nil
}

// listen finds out what is heard.
func (x *performance) listen(ctx context.Context, first *played, known *plan.Demands) {
	var whole *played
	err := crew.Catch(func() (err error) {
		whole, err = first.heard(ctx, known)
		return err
	})
	x.mu.Lock()
	x.first, x.whole, x.err = nil, whole, err // a long song does not stand there twice
	x.mu.Unlock()
	close(x.ready)
}

// heard is the same with what is heard.
func (x *played) heard(ctx context.Context, known *plan.Demands) (*played, error) {
	song := x.song.MIDI
	l, err := x.plan.ListenWhile(ctx, known, song, x.replay, study.NewBudget(plan.Listening))
	if err != nil {
		return nil, err
	}
	result := *x.result
	result.Parts = slices.Clone(result.Parts)
	result.Hear(x.plan, song, x.replay, l)
	y := &played{plan: x.plan, song: x.song, replay: x.replay, result: &result, lanes: x.lanes}
	y.finish()
	return y, nil
}

// finish works out what follows from the rest.
func (x *played) finish() {
	x.marks = x.result.MarksOn(x.lanes)
	say.Fill(x.result)
}
