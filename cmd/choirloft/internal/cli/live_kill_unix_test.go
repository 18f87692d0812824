//go:build linux || darwin

package cli

import (
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// process is the command live in a process of its own.
type process struct {
	*exec.Cmd
	keys   io.WriteCloser // its standard input
	stderr lines
	done   chan struct{}
}

// startProcess starts it; prepare may change what it is started with.
func startProcess(t *testing.T, prepare func(*exec.Cmd), args ...string) *process {
	program, err := os.Executable()
	require.NoError(t, err)
	p := &process{Cmd: &exec.Cmd{Path: program, Args: append([]string{"choirloft", "live"}, args...)}, done: make(chan struct{})}
	p.Stderr = &p.stderr
	hear := make(chan os.Signal, 1)
	signal.Notify(hear, syscall.SIGHUP) // a nohup that the tests run under is not handed on
	t.Cleanup(func() { signal.Stop(hear) })
	if prepare != nil {
		prepare(p.Cmd)
	}
	if p.Stdin == nil {
		p.keys, err = p.StdinPipe()
		require.NoError(t, err)
	}
	require.NoError(t, p.Start())
	go func() {
		p.Wait()
		close(p.done)
	}()
	t.Cleanup(func() {
		p.Process.Kill()
		<-p.done
	})
	return p
}

// ends waits for the end of the process and returns its status.
func (p *process) ends(t *testing.T) int {
	select {
	case <-p.done:
	case <-time.After(longest):
		t.Fatal("it does not end: " + p.stderr.String())
	}
	return p.ProcessState.ExitCode()
}

// outputs are the kinds of ends that are tried.
var outputs = []string{"tcp", "fifo", "stdout", "file"}

// endOf makes an end of a kind with an ear at it. A file is heard by reading.
func endOf(t *testing.T, kind, dir string) (name string, e *ear, prepare func(*exec.Cmd), reread func()) {
	e = newEar()
	prepare, reread = func(*exec.Cmd) {}, func() {}
	switch kind {
	case "tcp":
		l, err := net.Listen("tcp", "127.0.0.1:0")
		require.NoError(t, err)
		t.Cleanup(func() { l.Close() })
		go func() {
			if c, err := l.Accept(); err == nil {
				e.listen(c)
			}
		}()
		return "tcp://" + l.Addr().String(), e, prepare, reread
	case "fifo":
		name = filepath.Join(dir, "fifo")
		makeFIFO(t, name)
		go func() {
			if f, err := os.Open(name); err == nil {
				e.listen(f)
			}
		}()
		return name, e, prepare, reread
	case "stdout":
		r, w, err := os.Pipe()
		require.NoError(t, err)
		go e.listen(r)
		return "-", e, func(cmd *exec.Cmd) {
			cmd.Stdout = w
			t.Cleanup(func() { w.Close() })
		}, func() { w.Close() }
	}
	name = filepath.Join(dir, "raw")
	return name, e, prepare, func() {
		data, _ := os.ReadFile(name) // before it is made, nothing
		e.mu.Lock()
		e.status, e.data, e.ons, e.ended = 0, nil, 0, true
		clear(e.high)
		clear(e.pedals)
		e.mu.Unlock()
		e.Write(data)
	}
}

// sent is a message and when it was sent.
type sent struct {
	at      time.Duration // by the clock of the round
	message [3]byte
}

// improvise plays at random until it may no more, and returns what it played.
func improvise(keys io.Writer, random *rand.Rand, clock *fair, until time.Time) (all []sent) {
	var down []byte
	for time.Now().Before(until) {
		m := [3]byte{0x90, byte(36 + random.IntN(48)), 100}
		switch n := random.IntN(10); {
		case n < 4 && len(down) > 0:
			i := random.IntN(len(down))
			m[0], m[1] = 0x80, down[i]
			down = append(down[:i], down[i+1:]...)
		case n == 9:
			m = [3]byte{0xB0, 64, byte(127 * random.IntN(2))}
		default:
			down = append(down, m[1])
		}
		if _, err := keys.Write(m[:]); err != nil {
			return all
		}
		all = append(all, sent{clock.now(), m})
		time.Sleep(time.Duration(random.IntN(20)) * time.Millisecond)
	}
	return all
}

// TestLiveIsKilled sends every signal that ends a program at random moments while
// chords are played into ends of every kind. However it ends, no key and no pedal is
// down afterwards, and the log has all that came; but for the last second, if it was
// killed unheard.
func TestLiveIsKilled(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	for _, sig := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT, syscall.SIGPIPE, syscall.SIGKILL} {
		t.Run(sig.String(), func(t *testing.T) {
			var stood, events atomic.Int64
			var running sync.WaitGroup
			places := make(chan struct{}, 6)
			for n := range rounds(t) {
				places <- struct{}{}
				running.Go(func() {
					defer func() { <-places }()
					kind := outputs[n%len(outputs)]
					t.Run(fmt.Sprint(kind, " ", n), func(t *testing.T) {
						high, sent := killed(t, sig, kind, uint64(n))
						if high > 0 {
							stood.Add(1)
						}
						events.Add(int64(sent))
					})
				})
			}
			running.Wait()
			require.Positive(t, stood.Load(), "something stood when it was killed")
			t.Logf("%s: %d rounds, %d with keys down at that moment, %d messages, nothing stands", sig, rounds(t), stood.Load(), events.Load())
		})
	}
}

// unread is for how long a busy machine may leave unread what was sent: that has not
// come when a signal does.
const unread = 250 * time.Millisecond

// killed is one round. It returns how many keys and pedals were down at the moment,
// and how many messages had been sent.
func killed(t *testing.T, sig syscall.Signal, kind string, seed uint64) (high, events int) {
	dir := scratch(t, map[string]string{"rig.yaml": livedWall})
	log := filepath.Join(dir, "log.mid")
	one, low, prepare, reread := endOf(t, kind, dir)
	two, upper, _, _ := endOf(t, "tcp", dir)
	p := startProcess(t, prepare, filepath.Join(dir, "rig.yaml"), "--out", one, "--out", two, "--log", log)
	random := rand.New(rand.NewPCG(seed, uint64(sig)))
	played := make(chan []sent)
	clock := newFair(t)
	first := sent{clock.now(), [3]byte{0x90, 35, 100}}
	p.keys.Write(first.message[:])
	soon(t, func() bool { again(kind, reread); return low.struck() > 0 }, "it plays")
	lasts := time.Duration(random.IntN(1500)) * time.Millisecond
	go func() { played <- improvise(p.keys, random, clock, time.Now().Add(lasts+200*time.Millisecond)) }()
	time.Sleep(lasts)
	again(kind, reread)
	high = low.up() + upper.up()
	at := clock.now()
	require.NoError(t, p.Process.Signal(sig))
	status := p.ends(t)
	all := append([]sent{first}, <-played...)
	reread()
	soon(t, func() bool {
		again(kind, reread)
		return low.over() && upper.over() && low.up()+upper.up() == 0
	}, fmt.Sprintf("%d keys and pedals are down", low.up()+upper.up()))
	data, err := os.ReadFile(log)
	require.NoError(t, err)
	kept := logEvents(t, data)
	want := 0
	for _, s := range all {
		if s.at < at-time.Second || sig != syscall.SIGKILL && s.at < at-unread {
			want++
		}
	}
	require.GreaterOrEqual(t, len(kept), want, "the log has what came")
	for i, s := range all[:want] {
		require.Equal(t, s.message, kept[i], "in order")
	}
	if sig != syscall.SIGKILL {
		require.Equal(t, exitFine, status, p.stderr.String())
	}
	return high, len(all)
}

// again reads a file again; other ends are heard as they speak.
func again(kind string, reread func()) {
	if kind == "file" {
		reread()
	}
}
