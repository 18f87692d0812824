package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"choirloft/cmd/choirloft/internal/wire"
	"choirloft/routing/live"
)

// player carries bytes between endpoints and a session. It is the only place
// where a session meets the clock. Whoever reads also writes: between the return
// of a read and the call of a write there is no other goroutine.
type player struct {
	clock   func() time.Duration // since the start
	streams wire.Streams
	once    bool // an input that ends does not come back
	say     func(message, hint string)
	end     func()      // ends the session
	guard   *wire.Guard // nil where there is none
	board   *wire.Board // what stands on the outputs, by port
	broke   func()      // hears of a write that found nobody

	mu      sync.Mutex // of all that follows; let go by defer, for a panic must not keep it
	session *live.Session
	outputs []playedTo // by port
	timer   chan struct{}
	armed   time.Duration // when the timer goroutine wakes; never if it sleeps
	latency latency
	read    time.Duration // when the bytes were read that are being played
	first   bool          // nothing has been written for them yet
	send    func(port int, data []byte)
	overrun int
	stopped bool  // outputs that come now come too late
	failed  error // why the session cannot go on
	refused error // what came in is nothing to play
	// standing are the outputs of which it is not known, in the end, that they are low.
	standing []int
}

const (
	never      = time.Duration(1<<63 - 1)
	retryFirst = 250 * time.Millisecond
	retryMost  = 2 * time.Second
	retryStall = 50 * time.Millisecond
)

func newPlayer(s *live.Session, streams wire.Streams, outputs map[int]*wire.Opener, say func(message, hint string)) *player {
	start := time.Now()
	p := &player{clock: func() time.Duration { return time.Since(start) }, streams: streams, say: say, end: func() {}, board: wire.NewBoard(), broke: func() {},
		session: s, outputs: make([]playedTo, 128), timer: make(chan struct{}, 1), armed: never}
	p.send = p.write
	s.Send(func(int, []byte) {}) // outputs are greeted when they are there
	for port, opener := range outputs {
		p.outputs[port] = playedTo{opener: opener, broken: make(chan struct{}, 1)}
	}
	return p
}

// receive plays what was read from an input.
func (p *player) receive(port int, data []byte) {
	at := p.clock()
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.stopped {
		return
	}
	p.read, p.first = at, true
	p.session.Receive(port, data, at)
	p.session.Send(p.send)
	p.first = false
	p.wake()
}

// ended says that an input is gone.
func (p *player) ended(port int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.stopped {
		return
	}
	p.session.Ended(port, p.clock())
	p.session.Send(p.send)
	p.wake()
}

// wake lets the timer know of something earlier than it waits for.
func (p *player) wake() {
	if next, ok := p.session.Next(); ok {
		p.wakeAt(next)
	}
}

func (p *player) wakeAt(t time.Duration) {
	if t < p.armed {
		p.armed = t
		select {
		case p.timer <- struct{}{}:
		default:
		}
	}
}

// tick lets happen what is due when nothing comes in, until the context ends.
func (p *player) tick(ctx context.Context) {
	defer p.rescue()
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-timer.C:
		case <-p.timer:
		}
		timer.Reset(p.advance())
	}
}

// advance lets the time pass and returns how long there is to wait.
func (p *player) advance() time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.stopped {
		return time.Hour
	}
	p.session.Advance(p.clock())
	p.session.Send(p.send)
	p.armed = never
	if p.unstall() {
		p.armed = p.clock() + retryStall
	}
	if next, ok := p.session.Next(); ok {
		p.armed = min(p.armed, next)
	}
	if p.armed == never {
		return time.Hour
	}
	return max(0, p.armed-p.clock())
}

// rest waits until gaps and minimum gates that have begun are over.
func (p *player) rest(most time.Duration) {
	until := p.clock() + most
	for {
		next, ok := p.next()
		if !ok || next > until {
			return
		}
		time.Sleep(time.Millisecond)
	}
}

func (p *player) next() (time.Duration, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.stopped {
		return 0, false
	}
	return p.session.Next()
}

// listen reads an input, and opens it again when it ends, until it ends for good
// or the context does.
func (p *player) listen(ctx context.Context, port int, from *wire.Opener) {
	defer p.rescue()
	buffer := make([]byte, 4096)
	said := ""
	for wait := retryFirst; ctx.Err() == nil; {
		r, err := from.Read(ctx, p.streams)
		if err == nil {
			wait = retryFirst
			if said != "" {
				said = ""
				p.say(fmt.Sprintf("input %d (%s): it is back", port+1, from.Name), "")
			}
			err = p.readAll(ctx, port, r, buffer, from.Ends())
		}
		if ctx.Err() != nil {
			return
		}
		last := from.Ends() || p.once
		said = p.inputEnded(port, from.Name, err, last, said)
		if last {
			return
		}
		pause(ctx, wait)
		wait = min(2*wait, retryMost)
	}
}

// inputEnded says that an input has ended, once for each reason, and returns what was
// said.
func (p *player) inputEnded(port int, name string, err error, last bool, before string) (said string) {
	switch {
	case errors.Is(err, errMIDIFile), errors.Is(err, errText):
		file := midiFile(name)
		if errors.Is(err, errText) {
			file = textFile(name)
		}
		if !last {
			p.say(fmt.Sprintf("input %d (%s): %s; it is not played", port+1, name, file.message), file.hint)
			return ""
		}
		p.mu.Lock()
		defer p.mu.Unlock()
		p.refused = file
		return ""
	case last && errors.Is(err, io.EOF):
		return ""
	case last:
		said = ": " + wire.Plain(err)
	case errors.Is(err, io.EOF):
		said = " has ended and its keys are released; waiting for it to come back"
	default:
		said = ": " + wire.Plain(err) + "; trying again"
	}
	if said != before {
		p.say(fmt.Sprintf("input %d (%s)%s", port+1, name, said), "")
	}
	return said
}

// pause waits, or until the context ends.
func pause(ctx context.Context, wait time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(wait):
	}
}

// readAll plays what comes until it ends. A file, or what is piped in, is refused
// where it begins as a MIDI file or as text.
func (p *player) readAll(ctx context.Context, port int, r io.ReadCloser, buffer []byte, ends bool) error {
	stop := context.AfterFunc(ctx, func() { r.Close() })
	defer stop()
	defer r.Close()
	begun := 0 // bytes of a MIDI file's beginning; −1 where there was another
	for first := true; ; first = false {
		n, err := r.Read(buffer)
		if first && ends && isText(buffer[:n]) {
			p.ended(port)
			return errText
		}
		if begun >= 0 {
			begun = begins(begun, buffer[:n])
		}
		if begun == len(fileBegins) {
			p.ended(port)
			return errMIDIFile
		}
		if n > 0 {
			p.receive(port, buffer[:n])
		}
		if err != nil {
			p.ended(port)
			return err
		}
	}
}
