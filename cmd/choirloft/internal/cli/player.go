package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"sync"
	"time"

	"choirloft/alloc/crew"
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
	say     func(string)

	mu      sync.Mutex // of all that follows
	session *live.Session
	outputs []playedTo // by port
	timer   chan struct{}
	armed   time.Duration // when the timer goroutine wakes; never if it sleeps
	latency latency
	read    time.Duration // when the bytes were read that are being played
	first   bool          // nothing has been written for them yet
	send    func(port int, data []byte)
	overrun int
	unsent  int  // bytes for outputs that were not there
	stopped bool // outputs that come now come too late
	bug     error
	end     func() // ends the session, for a bug of ours
}

// playedTo is an output and what it is connected to.
type playedTo struct {
	opener  *wire.Opener
	sink    *wire.Sink // nil while nothing is connected
	stalled bool
	broken  chan struct{} // to whoever connects it again
}

const (
	never      = time.Duration(1<<63 - 1)
	retryFirst = 250 * time.Millisecond
	retryMost  = 2 * time.Second
	retryStall = 50 * time.Millisecond
)

func newPlayer(s *live.Session, streams wire.Streams, outputs map[int]*wire.Opener, say func(string)) *player {
	start := time.Now()
	p := &player{clock: func() time.Duration { return time.Since(start) }, streams: streams, say: say, session: s,
		outputs: make([]playedTo, 128), timer: make(chan struct{}, 1), armed: never}
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
	p.session.Ended(port, p.clock())
	p.session.Send(p.send)
	p.wake()
}

// guard does what belongs to the session. A bug of ours that it meets ends the
// session: gates must go low before anything else is said of it. So all that
// holds the lock gives it back by defer.
func (p *player) guard(do func()) {
	err := crew.Catch(func() error { do(); return nil })
	if err == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.bug == nil {
		p.bug = err
	}
	p.end()
}

// write hands bytes to an output; what is not connected loses them.
func (p *player) write(port int, data []byte) {
	if p.first {
		p.latency.add(p.clock() - p.read)
		p.first = false
	}
	o := &p.outputs[port]
	switch {
	case o.sink == nil:
		p.unsent += len(data)
		return
	case o.stalled:
		p.overrun++
		return
	}
	if _, err := o.sink.Write(data); err != nil {
		p.fail(port, err)
	}
}

// fail deals with an output that did not take all. One that stalls is tried
// again; one that broke is connected again.
func (p *player) fail(port int, err error) {
	o := &p.outputs[port]
	if errors.Is(err, wire.ErrOverrun) {
		p.overrun++
		if !o.stalled {
			go p.say(fmt.Sprintf("output %d (%s) does not keep up: its gates go low as soon as it takes bytes again", port+1, o.opener.Name))
		}
		o.stalled = true
		p.wakeAt(p.clock() + retryStall)
		return
	}
	o.sink.Close()
	o.sink = nil
	go p.say(fmt.Sprintf("output %d (%s): %s", port+1, o.opener.Name, reason(err)))
	o.broken <- struct{}{}
}

// unstall tries outputs that stalled with what puts their gates low.
func (p *player) unstall() (still bool) {
	for port := range p.outputs {
		o := &p.outputs[port]
		if o.sink == nil || !o.stalled {
			continue
		}
		o.stalled = false
		p.session.Greet(port)
		p.session.Send(p.send)
		still = still || o.stalled
	}
	return still
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

// listen reads an input, and opens it again when it ends, until it ends for good
// or the context does.
func (p *player) listen(ctx context.Context, port int, from *wire.Opener) {
	buffer := make([]byte, 4096)
	for wait := retryFirst; ctx.Err() == nil; {
		r, err := from.Read(ctx, p.streams)
		if err == nil {
			wait = retryFirst
			err = p.readAll(ctx, port, r, buffer)
		}
		if ctx.Err() != nil {
			return
		}
		if from.Ends() || p.once {
			if err != nil && !errors.Is(err, io.EOF) {
				p.say(fmt.Sprintf("input %d (%s): %s", port+1, from.Name, reason(err)))
			}
			return
		}
		if errors.Is(err, io.EOF) {
			p.say(fmt.Sprintf("input %d (%s) has ended, its keys are let go; waiting for it to come back", port+1, from.Name))
		} else {
			p.say(fmt.Sprintf("input %d (%s): %s; trying again", port+1, from.Name, reason(err)))
		}
		select {
		case <-ctx.Done():
		case <-time.After(wait):
		}
		wait = min(2*wait, retryMost)
	}
}

func (p *player) readAll(ctx context.Context, port int, r io.ReadCloser, buffer []byte) error {
	stop := context.AfterFunc(ctx, func() { r.Close() })
	defer stop()
	defer r.Close()
	for {
		n, err := r.Read(buffer)
		if n > 0 {
			p.receive(port, buffer[:n])
		}
		if err != nil {
			p.ended(port)
			return err
		}
	}
}

// connect keeps an output connected until the context ends. Ready hears of the
// first time.
func (p *player) connect(ctx context.Context, port int, ready func()) {
	for wait := retryFirst; ctx.Err() == nil; {
		o := &p.outputs[port]
		w, err := o.opener.Write(ctx, p.streams)
		if err != nil {
			if ctx.Err() != nil {
				return
			}
			p.say(fmt.Sprintf("output %d (%s): %s; trying again", port+1, o.opener.Name, reason(err)))
			select {
			case <-ctx.Done():
			case <-time.After(wait):
			}
			wait = min(2*wait, retryMost)
			continue
		}
		wait = retryFirst
		if !p.greet(port, w) {
			w.Close()
			return
		}
		ready()
		select {
		case <-ctx.Done():
			return
		case <-o.broken:
		}
	}
}

// greet gives an output that is open what it needs to know. It returns false
// where that is too late.
func (p *player) greet(port int, w io.WriteCloser) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.stopped {
		return false
	}
	o := &p.outputs[port]
	o.sink, o.stalled = wire.NewSink(w), false
	p.session.Greet(port)
	p.session.Send(p.send)
	return true
}

// stop puts every gate low and closes the outputs. After a bug of ours, or where
// it meets one, it asks the engine nothing: every key that was ever on goes off,
// since nobody knows what was written. It returns the bug.
func (p *player) stop() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.stopped = true
	if p.bug == nil {
		p.bug = crew.Catch(p.low)
	}
	if p.bug != nil {
		for _, port := range p.session.Ports() {
			p.outputs[port].stalled = false
			p.session.Greet(port)
		}
		p.session.Send(p.write)
	}
	for port := range p.outputs {
		if o := &p.outputs[port]; o.sink != nil {
			o.sink.Close()
			o.sink = nil
		}
	}
	return p.bug
}

// low ends the session, as it ends in peace.
func (p *player) low() error {
	p.unstall()
	p.session.Stop(p.clock())
	p.session.Send(p.send)
	return nil
}

// next is when something is due though nothing comes in.
func (p *player) next() (time.Duration, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.session.Next()
}

// look fills a view in and returns the latency that 99.9 % keep within.
func (p *player) look(v *live.View) time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.session.Look(v)
	return p.latency.within(0.999)
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

// latency counts how long it took from the return of a read to the call of a
// write, by whole microseconds; the last counts all that is longer.
type latency struct {
	counts [2048]int
	total  int
	worst  time.Duration
}

func (l *latency) add(d time.Duration) {
	l.counts[min(max(d, 0)/time.Microsecond, time.Duration(len(l.counts)-1))]++
	l.total++
	l.worst = max(l.worst, d)
}

// within is the time that a share of all did not take longer than: to the
// microsecond above, and never above what the longest took.
func (l *latency) within(share float64) time.Duration {
	left := int(math.Ceil(share*float64(l.total) - 1e-6))
	for i, n := range l.counts[:len(l.counts)-1] {
		if left -= n; left <= 0 {
			return min(time.Duration(i+1)*time.Microsecond, l.worst)
		}
	}
	return l.worst
}
