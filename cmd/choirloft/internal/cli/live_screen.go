package cli

import (
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"

	"cmp"
	"context"
	"fmt"
	"io"
	"os"
	"slices"
	"sync"
	"time"

	"choirloft/routing/live"
)

// teller writes to standard error while a session runs, so that nobody who plays
// waits for a terminal that is stopped. What it cannot write in time is lost, and
// counted.
type teller struct {
	app      *app // that writes to standard error through this
	stderr   io.Writer
	messages chan message
	views    chan []string
	broke    func() // hears when nobody reads
	terminal bool
	height   int // lines of the monitor that stand at the end
	ended    chan struct{}
	stopped  chan struct{}
	once     sync.Once
	mu       sync.Mutex
	lost     int
}

type message struct{ text, hint string }

func newTeller(a *app, broke func()) *teller {
	t := &teller{stderr: a.stderr, messages: make(chan message, 64), views: make(chan []string, 1), broke: broke,
		terminal: isTerminal(a.stderr) && os.Getenv("TERM") != "dumb", ended: make(chan struct{}), stopped: make(chan struct{})}
	t.app = &app{stderr: t}
	go t.run()
	return t
}

// Write writes to standard error.
func (t *teller) Write(data []byte) (int, error) {
	n, err := t.stderr.Write(data)
	if err != nil {
		t.broke()
	}
	return n, err
}

// say hands a message over and does not wait.
func (t *teller) say(text, hint string) {
	select {
	case t.messages <- message{text, hint}:
	default:
		t.mu.Lock()
		t.lost++
		t.mu.Unlock()
	}
}

func (t *teller) run() {
	defer close(t.stopped)
	for {
		select {
		case m := <-t.messages:
			t.tell(m)
		case lines := <-t.views:
			t.show(lines)
		case <-t.ended:
			for len(t.messages) > 0 {
				t.tell(<-t.messages)
			}
			return
		}
	}
}

// stop waits a little for what is still to be said.
func (t *teller) stop() {
	t.once.Do(func() { close(t.ended) })
	select {
	case <-t.stopped:
	case <-time.After(500 * time.Millisecond):
	}
}

func (t *teller) tell(m message) {
	t.height = 0 // what is shown next stands below
	t.app.complain(m.text, m.hint)
	t.mu.Lock()
	lost := t.lost
	t.lost = 0
	t.mu.Unlock()
	if lost > 0 {
		t.app.complain(fmt.Sprintf("%s could not be shown in time", unit.Count(lost, "message")), "")
	}
}

// show prints the monitor, on a terminal over what it showed before.
func (t *teller) show(lines []string) {
	if t.terminal && t.height > 0 {
		fmt.Fprintf(t, "\x1b[%dA", t.height)
	}
	for _, line := range lines {
		if t.terminal {
			line = "\x1b[2K" + line
		}
		fmt.Fprintln(t, line)
	}
	t.height = len(lines)
}

// monitor shows what goes on: on a terminal in place, four times a second, else a
// line a second while something happens.
func (l *playLive) monitor(ctx context.Context, player *player, f *performance) {
	defer player.rescue()
	every := time.Second
	if f.teller.terminal {
		every = 250 * time.Millisecond
	}
	ticker := time.NewTicker(every)
	defer ticker.Stop()
	var view live.View
	events := -1
	var shown []string
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
		latency, stuck := player.look(&view)
		view.At = player.clock()
		if !f.teller.terminal && view.Events == events && slices.Equal(stuck, shown) {
			continue
		}
		select {
		case f.teller.views <- liveLines(f.plan, &view, latency, stuck, f.teller.terminal):
			events, shown = view.Events, stuck
		default: // what was shown last is not yet read
		}
	}
}

// look fills in a view and returns the latency that 99.9 % of the writes kept, and
// what is to be said of outputs that do not take bytes.
func (p *player) look(view *live.View) (latency time.Duration, stuck []string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.session.Look(view)
	for port := range p.outputs {
		o := &p.outputs[port]
		if o.sink == nil {
			continue
		}
		before := o.unread
		o.unread = o.sink.Unread()
		if o.stalled && o.leftOut > 0 {
			stuck = append(stuck, fmt.Sprintf("output %d does not take bytes, %s left out", port+1, unit.Count(o.leftOut, "byte")))
		} else if still := min(before, o.unread); still > 0 { // twice in a row
			stuck = append(stuck, fmt.Sprintf("output %d does not read, %s wait", port+1, unit.Count(still, "byte")))
		} else if o.leftOut > 0 {
			stuck = append(stuck, fmt.Sprintf("output %d: %s left out", port+1, unit.Count(o.leftOut, "byte")))
		}
	}
	return p.latency.within(0.999), stuck
}

// finish tells what happened.
func (l *playLive) finish(f *performance, player *player) error {
	player.mu.Lock() // an input that hangs in a read may still come
	defer player.mu.Unlock()
	if err := cmp.Or(player.failed, player.refused, f.log.failed()); err != nil {
		return err
	}
	var view live.View
	f.session.Look(&view)
	r := contract.NewLive(f.plan, contract.LiveInput{View: view, BendRange: f.session.BendRange(), Overruns: player.overrun, Outputs: player.account(),
		Measured: player.latency.total, Latency: player.latency.within(0.999), Worst: player.latency.worst, Log: l.log, LogFull: f.session.Full()})
	data, err := l.laidOut(&output{json: l.json}, r, say.Live(r))
	to := l.stdout
	if slices.Contains(l.outs, "-") {
		to = l.stderr
	}
	if err != nil {
		return err
	}
	return cmp.Or(l.printSoon(to, data), player.faulty())
}

// printSoon prints, but does not wait for ever for somebody who does not read.
func (l *playLive) printSoon(to io.Writer, data []byte) error {
	printed := make(chan error, 1)
	go func() {
		_, err := to.Write(data)
		printed <- err
	}()
	select {
	case err := <-printed:
		if err != nil {
			return fmt.Errorf("what happened cannot be printed: %s", reason(err))
		}
		return nil
	case <-time.After(lastWord):
		return statusError(exitFailed) // whoever does not read this does not read that either
	}
}

// lastWord is how long somebody who reads slowly is waited for.
const lastWord = 2 * time.Second
