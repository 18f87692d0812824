package wire

import (
	"errors"
	"io"
	"os"
	"sync"
	"sync/atomic"
	"time"
)

// ErrOverrun is the error of a write that the other end did not take in time.
var ErrOverrun = errors.New("the other end does not take the bytes in time")

const (
	patience  = 20 * time.Millisecond // that a write may wait
	little    = time.Millisecond      // that it may after one that waited in vain
	queueSize = 64 << 10              // bytes that wait for an end without deadlines
)

// Sink is an output that is open. A write never waits for longer than 20 ms, nor the
// one after it for longer than 1 ms: it then fails with ErrOverrun, and what was cut
// off is lost. Where the system
// knows no deadlines, bytes wait in a queue instead, which may overrun.
type Sink struct {
	to       io.WriteCloser
	standing Standing
	deadline func(time.Time) error // nil where a queue stands between
	queue    *queue
	late     bool // the last write waited in vain
	closed   atomic.Bool
}

// NewSink takes an output over, and keeps in mind what its bytes leave standing.
func NewSink(to io.WriteCloser, standing Standing) *Sink {
	s := &Sink{to: to, standing: standing}
	if d, ok := to.(interface{ SetWriteDeadline(time.Time) error }); ok && d.SetWriteDeadline(time.Time{}) == nil {
		s.deadline = d.SetWriteDeadline
		return s
	}
	s.queue = newQueue(to, standing)
	return s
}

// Write writes all of data, which is whole channel messages, or fails.
func (s *Sink) Write(data []byte) (int, error) {
	if s.queue != nil {
		return s.queue.put(data)
	}
	wait := patience
	if s.late {
		wait = little
	}
	s.standing.before(data)
	n, err := s.inTime(data, wait)
	// A busy machine may have let the time pass before anything was tried.
	for again := 0; err == ErrOverrun && again < 3 && ready(s.to); again++ {
		var more int
		more, err = s.inTime(data[n:], wait)
		n += more
	}
	s.standing.written(data[:n])
	s.late = err == ErrOverrun
	return n, err
}

func (s *Sink) inTime(data []byte, wait time.Duration) (int, error) {
	if err := s.deadline(time.Now().Add(wait)); err != nil {
		return 0, err
	}
	n, err := s.to.Write(data)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		err = ErrOverrun
	}
	return n, err
}

// AllOff puts the output low: see [Standing.AllOff].
func (s *Sink) AllOff() error {
	_, err := s.Write(s.standing.AllOff(nil))
	return err
}

// Rest waits until what was written has gone out, until a time at most, and tells
// whether it has, or nobody is there to take it. If so nobody need put this output
// low.
func (s *Sink) Rest(until time.Time) bool {
	if s.queue != nil && !s.queue.drained(until) {
		return false
	}
	s.standing.rest()
	return true
}

// Err is why an output with a queue takes nothing more; nil while it does. Of others
// each Write says so.
func (s *Sink) Err() error {
	if s.queue == nil {
		return nil
	}
	s.queue.mu.Lock()
	defer s.queue.mu.Unlock()
	return s.queue.err
}

// Unread is how many bytes the other end has not read, where the system says so of a
// pipe or FIFO; else 0.
func (s *Sink) Unread() int { return unread(s.to) }

// Close closes the output; what waits in a queue is lost.
func (s *Sink) Close() error {
	s.closed.Store(true)
	if s.queue != nil {
		s.queue.end()
	}
	return s.to.Close()
}

// queue lets a goroutine write.
type queue struct {
	mu       sync.Mutex
	filled   *sync.Cond
	standing Standing
	waiting  []byte
	writing  bool
	err      error
	closed   bool
}

func newQueue(to io.Writer, standing Standing) *queue {
	q := &queue{waiting: make([]byte, 0, queueSize), standing: standing}
	q.filled = sync.NewCond(&q.mu)
	go q.run(to)
	return q
}

// put appends what there is room for, all or nothing.
func (q *queue) put(data []byte) (int, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.err != nil {
		return 0, q.err
	}
	if len(q.waiting)+len(data) > queueSize {
		return 0, ErrOverrun
	}
	q.waiting = append(q.waiting, data...)
	q.filled.Signal()
	return len(data), nil
}

func (q *queue) run(to io.Writer) {
	piece := make([]byte, 0, queueSize)
	q.mu.Lock()
	defer q.mu.Unlock()
	for {
		for len(q.waiting) == 0 && !q.closed {
			q.filled.Wait()
		}
		if q.closed {
			return
		}
		piece, q.waiting, q.writing = q.waiting, piece[:0], true
		q.mu.Unlock()
		q.standing.before(piece)
		n, err := to.Write(piece)
		q.standing.written(piece[:n])
		q.mu.Lock()
		q.writing = false
		if err != nil {
			q.err = err
			return
		}
	}
}

// drained waits until all is written or nothing more can be, until a time at most,
// and tells whether it is so.
func (q *queue) drained(until time.Time) bool {
	for {
		q.mu.Lock()
		err, done := q.err, len(q.waiting) == 0 && !q.writing
		q.mu.Unlock()
		if err != nil || done {
			return true
		}
		if time.Now().After(until) {
			return false
		}
		time.Sleep(time.Millisecond)
	}
}

func (q *queue) end() {
	q.mu.Lock()
	q.closed = true
	q.filled.Signal()
	q.mu.Unlock()
}
