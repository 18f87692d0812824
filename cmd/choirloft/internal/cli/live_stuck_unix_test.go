//go:build linux || darwin

package cli

import (
	"io"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// deaf makes an end that takes nothing until it is asked to.
func deaf(t *testing.T, kind, dir string) (name string, e *ear, prepare func(*exec.Cmd), hear func()) {
	e, prepare = newEar(), func(*exec.Cmd) {}
	switch kind {
	case "tcp":
		l, name := listener(t)
		came := make(chan net.Conn, 1)
		go func() {
			if c, err := l.Accept(); err == nil {
				came <- c
			}
		}()
		return name, e, prepare, func() { go e.listen(<-came) }
	case "fifo":
		name = filepath.Join(dir, "fifo")
		makeFIFO(t, name)
		f, err := os.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK, 0)
		require.NoError(t, err)
		return name, e, prepare, func() { go e.listen(f) }
	}
	r, w, err := os.Pipe()
	require.NoError(t, err)
	return "-", e, func(cmd *exec.Cmd) {
			cmd.Stdout = w
			t.Cleanup(func() { w.Close() })
		}, func() {
			w.Close()
			go e.listen(r)
		}
}

// TestLiveEndNeverReads fills an end that takes nothing, and ends the program: by a
// signal that it hears, or by one that it does not. When the end takes bytes at
// last, it also takes those that put its gates low.
func TestLiveEndNeverReads(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	for _, kind := range []string{"tcp", "fifo", "stdout"} {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			for n := range rounds(t) {
				neverReads(t, kind, syscall.SIGTERM, n, 3)
				neverReads(t, kind, syscall.SIGKILL, n, 3)
			}
		})
	}
}

// deafFor is for how long a connection may take nothing before the system gives it
// up as dead, less a second; on a busy machine a round may take longer, and is no
// trial of the program then.
const deafFor = 3 * time.Second

func neverReads(t *testing.T, kind string, sig syscall.Signal, n, tries int) {
	dir, rig := smallRig(t)
	to, e, prepare, hear := deaf(t, kind, dir)
	p := startProcess(t, prepare, rig, "--out", to, "--quiet")
	p.keys.Write([]byte{0x90, 60, 100, 64, 100, 67, 100})
	deafSince := time.Now()
	fill(t, p)
	random := rand.New(rand.NewPCG(uint64(n), uint64(sig)))
	time.Sleep(time.Duration(random.IntN(60)) * time.Millisecond)
	p.Process.Signal(sig)
	p.ends(t)
	hear()
	soon(t, func() bool { return e.over() }, kind+" by "+sig.String()+" ends")
	if kind == "tcp" && e.up() > 0 && time.Since(deafSince) > deafFor && tries > 0 {
		t.Logf("deaf for %v: tried again", time.Since(deafSince))
		neverReads(t, kind, sig, n, tries-1)
		return
	}
	require.Positive(t, e.struck())
	require.Zero(t, e.up(), kind+" by "+sig.String())
}

// fill bends until an output is full.
func fill(t *testing.T, p *process) {
	bends := make([]byte, 0, 3*1024)
	for i := range 1024 {
		bends = append(bends, 0xE0, byte(i&127), byte(i/128+32))
	}
	for until := time.Now().Add(longest); !strings.Contains(p.stderr.String(), "does not keep up"); {
		require.True(t, time.Now().Before(until), "it never stalls")
		_, err := p.keys.Write(bends)
		require.NoError(t, err)
	}
}

// TestLiveReaderDies: a FIFO or a pipe that nobody reads any more is told within a
// second though nothing is played. The FIFO is opened again; standard output cannot
// be: the session ends, and the log is whole.
func TestLiveReaderDies(t *testing.T) {
	t.Parallel()
	dir, rig := smallRig(t)
	fifo := filepath.Join(dir, "fifo")
	makeFIFO(t, fifo)
	p := startProcess(t, nil, rig, "--out", fifo, "--quiet")
	for range 3 {
		f, err := os.Open(fifo)
		require.NoError(t, err)
		buffer, n := make([]byte, 1), 0
		for n == 0 { // the guard may have had it open a little longer, and then it ends at once
			if n, _ = f.Read(buffer); n == 0 {
				f.Close()
				f, err = os.Open(fifo)
				require.NoError(t, err)
			}
		}
		e := newEar()
		go func() {
			for { // what the guard had to say ends too, and the program comes after
				if _, err := io.Copy(e, f); err != nil {
					return
				}
				time.Sleep(time.Millisecond)
			}
		}()
		soon(t, func() bool {
			p.keys.Write([]byte{0x90, 60, 100, 0x80, 60, 64, 0x90, 64, 100})
			return e.struck() > 0
		}, "it plays")
		told := strings.Count(p.stderr.String(), "output 1 (")
		f.Close()
		atOnce(t, func() bool { return strings.Count(p.stderr.String(), "output 1 (") > told }, "told")
	}
	p.keys.Close()
	p.ends(t)

	r, w, err := os.Pipe()
	require.NoError(t, err)
	log := filepath.Join(dir, "log.mid")
	p = startProcess(t, func(cmd *exec.Cmd) { cmd.Stdout = w }, rig, "--out", "-", "--quiet", "--log", log)
	w.Close()
	p.keys.Write([]byte{0x90, 60, 100})
	_, err = r.Read(make([]byte, 1))
	require.NoError(t, err)
	time.Sleep(50 * time.Millisecond)
	r.Close()
	require.Equal(t, exitFailed, p.ends(t))
	require.Contains(t, p.stderr.String(), "standard output cannot be opened again")
	data, err := os.ReadFile(log)
	require.NoError(t, err)
	require.Equal(t, [3]byte{0x90, 60, 100}, logEvents(t, data)[0])
}

// TestLiveStderrDies: the music needs nobody who reads what is said.
func TestLiveStderrDies(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	_, rig := smallRig(t)
	to, e, _, _ := endOf(t, "tcp", "")
	r, w, err := os.Pipe()
	require.NoError(t, err)
	p := startProcess(t, func(cmd *exec.Cmd) { cmd.Stderr = w }, rig, "--out", to)
	w.Close()
	p.keys.Write([]byte{0x90, 60, 100})
	soon(t, func() bool { return e.up() == 1 }, "a note")
	r.Close()
	for key := byte(61); key < 64; key++ { // the monitor writes each second
		p.keys.Write([]byte{0x90, key, 100})
		soon(t, func() bool { return e.struck() == int(key)-59 }, "a note")
		time.Sleep(time.Second)
	}
	require.Equal(t, 4, e.up())
	p.keys.Close()
	require.Equal(t, exitFine, p.ends(t))
	soon(t, func() bool { return e.over() && e.up() == 0 }, "low")
}

// TestLiveStderrIsFull: a pipe that nobody empties holds no note up, and a signal
// still ends it.
func TestLiveStderrIsFull(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	_, rig := smallRig(t)
	to, e, _, _ := endOf(t, "tcp", "")
	r, w, err := os.Pipe()
	require.NoError(t, err)
	defer r.Close()
	w.SetWriteDeadline(time.Now().Add(100 * time.Millisecond))
	for err = nil; err == nil; { // until it is full
		_, err = w.Write(make([]byte, 4096))
	}
	p := startProcess(t, func(cmd *exec.Cmd) { cmd.Stderr, cmd.Stdout = w, w }, rig, "--out", to, "--in", "-", "--in", "tcp://:0")
	w.Close()
	time.Sleep(1500 * time.Millisecond)
	for key := byte(40); key < 80; key++ {
		p.keys.Write([]byte{0x90, key, 100})
		atOnce(t, func() bool { return e.struck() == int(key)-39 }, "a note")
	}
	p.Process.Signal(syscall.SIGTERM)
	require.Equal(t, exitFailed, p.ends(t)) // what happened could not be printed
	soon(t, func() bool { return e.over() && e.up() == 0 }, "low")
}

// TestLiveFIFOTakesNoFile: a MIDI file that is sent into a FIFO is refused, and what
// comes next plays.
func TestLiveFIFOTakesNoFile(t *testing.T) {
	dir, rig := smallRig(t)
	in := filepath.Join(dir, "in")
	makeFIFO(t, in)
	to, e, _ := collectFrom(t)
	l := startLive(t, nil, rig, "--in", in, "--out", to, "--quiet")
	send := func(data string) {
		f, err := os.OpenFile(in, os.O_WRONLY, 0)
		require.NoError(t, err)
		io.WriteString(f, data)
		f.Close()
	}
	send(noNotes)
	soon(t, func() bool { return strings.Contains(l.stderr.String(), "this is a MIDI file") }, "told")
	send("\x90\x3c\x64")
	soon(t, func() bool { return e.struck() == 1 }, "it plays")
	l.end(t)
}
