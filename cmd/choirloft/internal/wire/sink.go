package wire

import (
	"errors"
	"io"
	"os"
	"sync"
	"time"
)

// ErrOverrun is the error of a write that the other end did not take in time.
var ErrOverrun = errors.New("the other end does not take the bytes in time")

const (
	patience  = 20 * time.Millisecond // that a write may wait
	queueSize = 64 << 10              // bytes that wait for an end without deadlines
)

// Sink is an output that is open. A write never waits for longer than 20 ms: it
// then fails with ErrOverrun, and what was cut off is lost. Where the system
// knows no deadlines, bytes wait in a queue instead, which may overrun.
type Sink struct {
	to       io.WriteCloser
	deadline func(time.Time) error // nil where a queue stands between
	queue    *queue
}

// NewSink takes an output over.
func NewSink(to io.WriteCloser) *Sink {
	s := &Sink{to: to}
	if d, ok := to.(interface{ SetWriteDeadline(time.Time) error }); ok && d.SetWriteDeadline(time.Time{}) == nil {
		s.deadline = d.SetWriteDeadline
		return s
	}
	s.queue = newQueue(to)
	return s
}

// Write writes all of data or fails.
func (s *Sink) Write(data []byte) (int, error) {
	if s.queue != nil {
		return s.queue.put(data)
	}
	if err := s.deadline(time.Now().Add(patience)); err != nil {
		return 0, err
	}
	n, err := s.to.Write(data)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		err = ErrOverrun
	}
	return n, err
}

// Close lets what waits go out, for a second at most, and closes the output.
func (s *Sink) Close() error {
	if s.queue != nil {
		s.queue.drain(time.Second)
	}
	return s.to.Close()
}

// queue lets a goroutine write.
type queue struct {
	mu      sync.Mutex
	filled  *sync.Cond
	waiting []byte
	writing bool
	err     error
	closed  bool
}

func newQueue(to io.Writer) *queue {
	q := &queue{waiting: make([]byte, 0, queueSize)}
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
		if len(q.waiting) == 0 {
			return
		}
		piece, q.waiting, q.writing = q.waiting, piece[:0], true
		q.mu.Unlock()
		_, err := to.Write(piece)
		q.mu.Lock()
		q.writing = false
		if err != nil {
			q.err = err
			return
		}
	}
}

// drain waits until all is written, for so long at most, and ends the queue.
func (q *queue) drain(most time.Duration) {
	for until := time.Now().Add(most); time.Now().Before(until); time.Sleep(time.Millisecond) {
		q.mu.Lock()
		done := q.err != nil || len(q.waiting) == 0 && !q.writing
		q.mu.Unlock()
		if done {
			break
		}
	}
	q.mu.Lock()
	q.closed = true
	q.filled.Signal()
	q.mu.Unlock()
}
