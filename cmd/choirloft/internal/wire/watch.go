package wire

import (
	"errors"
	"io"
	"net"
	"time"
)

// glance is how often an end is looked at.
const glance = 200 * time.Millisecond

// Watch tells gone when the other end is, though nobody writes to it, and returns
// then or when the sink is closed. What the other end says is read and forgotten.
//
// One that will say nothing more may still listen: probe is then called a few
// times, to write something that changes nothing, until writing fails.
func (s *Sink) Watch(probe func() error, gone func(error)) {
	if c, ok := s.to.(net.Conn); ok {
		s.hear(c, probe, gone)
		return
	}
	to := bare(s.to)
	ticker := time.NewTicker(glance)
	defer ticker.Stop()
	for range ticker.C {
		if s.closed.Load() {
			return
		}
		if err := hungUp(to); err != nil {
			gone(err)
			return
		}
	}
}

// hear reads until there is nothing more to read.
func (s *Sink) hear(c net.Conn, probe func() error, gone func(error)) {
	buffer := make([]byte, 1024)
	for {
		_, err := c.Read(buffer)
		switch {
		case err == nil:
			continue
		case s.closed.Load() || errors.Is(err, net.ErrClosed):
			return
		case !errors.Is(err, io.EOF):
			gone(err)
			return
		}
		for range 4 {
			if probe() != nil || s.closed.Load() {
				return
			}
			time.Sleep(glance)
		}
		return
	}
}

// Probe writes what changes nothing: a pedal up that is up.
func (s *Sink) Probe() error {
	for channel := range byte(16) {
		if s.standing[0]>>channel&1 != 0 {
			_, err := s.Write([]byte{0xB0 | channel, 64, 0})
			return err
		}
	}
	return nil
}

// bare is what an output writes to.
func bare(to io.Writer) io.Writer {
	if n, ok := to.(nopCloser); ok {
		return n.Writer
	}
	return to
}
