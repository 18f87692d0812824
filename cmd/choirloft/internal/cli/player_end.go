package cli

import (
	"errors"
	"fmt"
	"runtime/debug"
	"time"

	"choirloft/alloc/crew"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/wire"
	"choirloft/profiles/unit"
)

// insist is how long an output that takes nothing is tried when a session ends;
// then it is left to the guard.
const insist = time.Second

// stop puts every gate low and closes the outputs.
func (p *player) stop() {
	defer p.rescue()
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.stopped {
		p.stopped = true
		p.session.Stop(p.clock())
		p.session.Send(p.send)
	}
	p.hush(false)
}

// hush closes all outputs when they are low. Those that take nothing it tries for
// a while; where all is in doubt, what stands is taken from the bytes that were
// written.
func (p *player) hush(all bool) {
	until := time.Now().Add(insist)
	for port := range p.outputs {
		o := &p.outputs[port]
		if o.sink == nil {
			continue
		}
		for all || o.stalled {
			o.stalled = errors.Is(o.sink.AllOff(), wire.ErrOverrun)
			if !o.stalled || time.Now().After(until) {
				break
			}
			time.Sleep(5 * time.Millisecond)
		}
		if o.stalled || !o.sink.Rest(until) {
			p.standing = append(p.standing, port)
		} else if o.sink.Err() == nil {
			o.fault = nil // it took all in the end
		}
		o.unread = read(o.sink)
		o.sink.Close()
		o.sink = nil
	}
}

// read waits a little until all is read that an output took, and returns how many
// bytes are not.
func read(s *wire.Sink) (unread int) {
	for range 20 {
		if unread = s.Unread(); unread == 0 {
			break
		}
		time.Sleep(5 * time.Millisecond)
	}
	return unread
}

// faulty is why an output could not be played to in the end; nil where all could.
func (p *player) faulty() error {
	for port := range p.outputs {
		if o := &p.outputs[port]; o.fault != nil {
			return fmt.Errorf("output %d (%s): %s, and %s are missing from it", port+1, o.opener.Name, wire.Plain(o.fault), unit.Count(o.leftOut+o.unsent, "byte"))
		}
	}
	return nil
}

// account is what became of the bytes of every output.
func (p *player) account() (all []contract.LiveOutput) {
	for port := range p.outputs {
		if o := &p.outputs[port]; o.opener != nil {
			all = append(all, contract.LiveOutput{Output: port + 1, Name: o.opener.Name, LeftOutBytes: o.leftOut, UnsentBytes: o.unsent, UnreadBytes: o.unread})
		}
	}
	return all
}

// leftTo says who looks after outputs that take no bytes.
func (p *player) leftTo() string {
	if p.guard == nil {
		return "its notes may hang"
	}
	return "the guard goes on trying for a while to put its gates low"
}

// rescue is deferred by whatever runs while a session does: a panic first puts
// every gate low, and then ends the session.
func (p *player) rescue() {
	fault := recover()
	if fault == nil {
		return
	}
	bug := &crew.Panic{Value: fault, Stack: debug.Stack()}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.stopped = true
	p.hush(true)
	if p.failed == nil {
		p.failed = bug
	}
	p.end()
}
