package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"net"
	"time"

	"choirloft/cmd/choirloft/internal/wire"
)

// playedTo is an output and what it is connected to.
type playedTo struct {
	opener  *wire.Opener
	sink    *wire.Sink // nil while nothing is connected
	stalled bool
	lost    bool          // it cannot be opened again
	told    bool          // that no guard holds it
	writer  io.Writer     // that the guard holds
	said    string        // what was said last of why it is not there; empty while it is
	fault   error         // of the end itself, as a disk that is full; nil if somebody is gone
	leftOut int           // bytes that it did not take
	unsent  int           // bytes for it while it was not there
	unread  int           // bytes that it took and that nobody had read when it was last looked at
	broken  chan struct{} // to whoever connects it again
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
		o.unsent += len(data)
		return
	case o.stalled:
		p.overrun++
		o.leftOut += len(data)
		return
	}
	if n, err := o.sink.Write(data); err != nil {
		o.leftOut += len(data) - n
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
			p.say(fmt.Sprintf("output %d (%s) does not keep up: its gates go low as soon as it takes bytes again", port+1, o.opener.Name), "")
		}
		o.stalled = true
		p.wakeAt(p.clock() + retryStall)
		return
	}
	p.broke()
	p.close(port)
	next := "; waiting for it to come back"
	if !wire.Gone(err) {
		o.fault, next = err, "; trying again"
	}
	if o.opener.Kind == wire.Standard {
		next = ""
	}
	p.away(port, wire.Plain(err)+next)
	o.broken <- struct{}{}
}

// away says once why an output is not there.
func (p *player) away(port int, why string) {
	if o := &p.outputs[port]; o.said != why {
		o.said = why
		p.say(fmt.Sprintf("output %d (%s): %s", port+1, o.opener.Name, why), "")
	}
}

// back says that an output is there for which somebody was told to wait.
func (p *player) back(port int) {
	o := &p.outputs[port]
	if o.said != "" && o.fault == nil {
		o.said = ""
		p.say(fmt.Sprintf("output %d (%s): it is there, and plays", port+1, o.opener.Name), "")
	}
}

// missing says of outputs that wait for a reader that they do.
func (p *player) missing() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for port := range p.outputs {
		if o := &p.outputs[port]; o.opener != nil && o.sink == nil && o.said == "" && o.opener.Kind == wire.Path {
			p.away(port, "waiting for something to read it")
		}
	}
}

// close lets go of an output, and lets the guard do so.
func (p *player) close(port int) {
	o := &p.outputs[port]
	o.sink.Close()
	o.sink, o.writer, o.unread = nil, nil, 0
	if p.guard != nil {
		p.guard.Drop(port)
	}
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
		overrun, leftOut := p.overrun, o.leftOut
		p.session.Send(p.send)
		if o.stalled {
			still = true
			p.overrun, o.leftOut = overrun, leftOut // it was no music
		}
	}
	return still
}

// connect keeps an output connected until the context ends. Ready hears of the
// first time.
func (p *player) connect(ctx context.Context, port int, ready func()) {
	defer p.rescue()
	o := &p.outputs[port]
	for wait := retryFirst; ctx.Err() == nil; wait = min(2*wait, retryMost) {
		w, err := o.opener.Write(ctx, p.streams)
		if err != nil {
			if ctx.Err() != nil {
				return
			}
			p.unopened(port, err)
			pause(ctx, wait)
			continue
		}
		p.hold(port, w)
		since := time.Now()
		if !p.connected(port, wire.NewSink(w, p.board.Of(port))) {
			return
		}
		ready()
		select {
		case <-ctx.Done():
			return
		case <-o.broken:
		}
		if o.opener.Kind == wire.Standard {
			p.loseForGood(port)
			return
		}
		if time.Since(since) > retryMost {
			wait = retryFirst
		}
		pause(ctx, wait)
	}
}

// unopened says that an output cannot be opened yet.
func (p *player) unopened(port int, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.away(port, wire.Plain(err)+"; trying again")
}

// connected takes an output into use; false where that comes too late.
func (p *player) connected(port int, sink *wire.Sink) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.stopped {
		sink.Close()
		return false
	}
	o := &p.outputs[port]
	o.sink, o.stalled = sink, false
	p.back(port)
	p.session.Greet(port)
	p.session.Send(p.send)
	go p.watch(port, sink)
	return true
}

// watch notices that an output is gone though nothing is played.
func (p *player) watch(port int, sink *wire.Sink) {
	defer p.rescue()
	its := func(do func() error) error {
		p.mu.Lock()
		defer p.mu.Unlock()
		if p.outputs[port].sink != sink {
			return net.ErrClosed
		}
		err := do()
		if err == nil || errors.Is(err, wire.ErrOverrun) {
			return nil
		}
		p.fail(port, err)
		return err
	}
	sink.Watch(func() error { return its(sink.Probe) }, func(err error) { its(func() error { return err }) })
}

// loseForGood says that an output cannot be opened again, and ends the session if
// it was the last.
func (p *player) loseForGood(port int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.outputs[port].lost = true
	for i := range p.outputs {
		if o := &p.outputs[i]; o.opener != nil && !o.lost {
			return
		}
	}
	p.failed = fmt.Errorf("output %d (%s): nobody reads it any more, and standard output cannot be opened again", port+1, p.outputs[port].opener.Name)
	p.end()
}

// hold gives an output to the guard before anything is written to it.
func (p *player) hold(port int, w io.Writer) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.outputs[port].writer = w
	p.guarded(port)
}

// guarded lets the guard hold an output.
func (p *player) guarded(port int) {
	o := &p.outputs[port]
	if p.guard == nil || o.writer == nil {
		return
	}
	err := p.guard.Hold(port, o.writer)
	if err != nil {
		p.broke() // a guard that is gone may be among those who do not read
	}
	if err == nil || o.told {
		return
	}
	o.told = true
	p.say(fmt.Sprintf("output %d (%s): no guard can hold it: its notes may hang if the program is killed", port+1, o.opener.Name), "")
}

// regain gives all outputs to a new guard.
func (p *player) regain() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for port := range p.outputs {
		p.guarded(port)
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
