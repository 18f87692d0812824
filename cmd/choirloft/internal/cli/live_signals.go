package cli

import (
	"os"
	"os/signal"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"choirloft/cmd/choirloft/internal/wire"
)

// signals ends a session in order, whatever asks for it: an interrupt, the end of
// the terminal, a kill that can be heard.
type signals struct {
	heard chan os.Signal
	done  chan struct{}
	once  sync.Once
	found atomic.Int64 // when a write last found that nobody reads, in ns
}

// newSignals listens until it is released; then a signal ends the process. One
// that whoever called the program wants ignored, as nohup does, stays so.
func newSignals(end func()) *signals {
	s := &signals{heard: make(chan os.Signal, 8), done: make(chan struct{})}
	for _, sig := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT, syscall.SIGPIPE} {
		if sig == syscall.SIGHUP && signal.Ignored(sig) {
			continue
		}
		signal.Notify(s.heard, sig)
	}
	wire.Unstoppable()
	go s.run(end)
	return s
}

func (s *signals) run(end func()) {
	for {
		select {
		case <-s.done:
			return
		case sig := <-s.heard:
			if sig == syscall.SIGPIPE && s.ours() {
				continue
			}
			end()
		}
	}
}

// broken is called when a write has found that nobody reads: the system then also
// sends a signal, which ends nothing here. An output is opened again, and the
// music needs no monitor.
func (s *signals) broken() { s.found.Store(time.Now().UnixNano()) }

// ours tells whether a broken pipe is one of those that are written to. It may be
// known a little after the signal.
func (s *signals) ours() bool {
	const known = time.Second / 2
	came := time.Now()
	for time.Since(came) < known {
		if came.UnixNano()-s.found.Load() < int64(known) {
			return true
		}
		time.Sleep(10 * time.Millisecond)
	}
	return false
}

// release gives the signals back.
func (s *signals) release() {
	s.once.Do(func() {
		signal.Stop(s.heard)
		close(s.done)
	})
}
