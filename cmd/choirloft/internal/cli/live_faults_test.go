package cli

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/wire"
	"choirloft/midi/corpora"
	"choirloft/routing/live"
	"choirloft/routing/plan"
)

const smallWall = "rig: W\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 4}}\n"

func smallRig(t *testing.T) (dir, rig string) {
	dir = scratch(t, map[string]string{"rig.yaml": smallWall})
	return dir, filepath.Join(dir, "rig.yaml")
}

// listener accepts connections one by one.
func listener(t *testing.T) (l net.Listener, name string) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { l.Close() })
	return l, "tcp://" + l.Addr().String()
}

// waitsAt is where it says that it waits for connections.
func (l *lived) waitsAt(t *testing.T) (from string) {
	soon(t, func() bool {
		_, at, ok := strings.Cut(l.stderr.String(), "waiting for a connection to tcp://")
		from, _, _ = strings.Cut(at, "\n")
		return ok && strings.Contains(at, "\n")
	}, "it says where it waits")
	return from
}

// fair is a clock that leaves out what the machine gives to others: of a sleep it
// counts no more than twice what was asked for. Where nobody else is busy it goes
// as all clocks do.
type fair struct{ gone atomic.Int64 }

// newFair starts a clock that goes until the test is over.
func newFair(t *testing.T) *fair {
	f := &fair{}
	go func() {
		const step = 2 * time.Millisecond
		for at := time.Now(); t.Context().Err() == nil; {
			time.Sleep(step)
			now := time.Now()
			f.gone.Add(int64(min(now.Sub(at), 2*step)))
			at = now
		}
	}()
	return f
}

func (f *fair) now() time.Duration { return time.Duration(f.gone.Load()) }

// atOnce holds something to happening within a second.
func atOnce(t *testing.T, what func() bool, message string) {
	t.Helper()
	clock := newFair(t)
	soon(t, func() bool { return what() || clock.now() > time.Second }, message)
	require.LessOrEqual(t, clock.now(), time.Second, message)
}

// TestLiveEndDies: an end that died is told within a second though nothing is
// played, whether it closed or was torn off; the one that comes back hears first
// that all is low, and then what is played.
func TestLiveEndDies(t *testing.T) {
	corpora.Patient(t)
	for _, linger := range []int{-1, 0} { // closed in order; torn off
		for n := range rounds(t) {
			t.Run(fmt.Sprint(linger, " ", n), func(t *testing.T) {
				endDies(t, linger, n)
			})
		}
	}
}

func endDies(t *testing.T, linger, n int) {
	_, rig := smallRig(t)
	ends, to := listener(t)
	keys, hand := io.Pipe()
	l := startLive(t, keys, rig, "--out", to, "--quiet")
	c, err := ends.Accept()
	require.NoError(t, err)
	e := newEar()
	go e.listen(c)
	hand.Write([]byte{0x90, 60, 100, 64, 100})
	soon(t, func() bool { return e.up() == 2 }, "two notes")
	time.Sleep(time.Duration(n%7) * 3 * time.Millisecond)
	require.NoError(t, c.(*net.TCPConn).SetLinger(linger))
	c.Close()
	atOnce(t, func() bool { return strings.Contains(l.stderr.String(), "output 1 (") }, "it is told")
	require.Contains(t, l.stderr.String(), ": nobody is at the other end any more; waiting for it to come back\n")
	again, err := ends.Accept()
	require.NoError(t, err)
	soon(t, func() bool { return strings.Contains(l.stderr.String(), "): it is there, and plays\n") }, "that is told too")
	back := newEar()
	go back.listen(again)
	soon(t, func() bool {
		hand.Write([]byte{0x90, 67, 100, 0x80, 67, 64, 0x90, 69, 100})
		return back.struck() > 0
	}, "it plays on")
	l.end(t)
	soon(t, back.over, "closed")
	require.Zero(t, back.up())
}

// TestLiveEndThatListensOn: an end that will say nothing more still listens.
func TestLiveEndThatListensOn(t *testing.T) {
	corpora.Patient(t)
	_, rig := smallRig(t)
	ends, to := listener(t)
	keys, hand := io.Pipe()
	l := startLive(t, keys, rig, "--out", to, "--quiet")
	c, err := ends.Accept()
	require.NoError(t, err)
	e := newEar()
	go e.listen(c)
	require.NoError(t, c.(*net.TCPConn).CloseWrite())
	time.Sleep(1200 * time.Millisecond)
	hand.Write([]byte{0x90, 60, 100})
	soon(t, func() bool { return e.up() == 1 }, "a note")
	require.NotContains(t, l.stderr.String(), "output 1 (")
	l.end(t)
	soon(t, func() bool { return e.over() && e.up() == 0 }, "low")
}

// TestLiveEndSaysGarbage: what an end says to an output is forgotten and holds
// nobody up; garbage that comes in is counted, and leaves nothing standing.
func TestLiveEndSaysGarbage(t *testing.T) {
	for n := range rounds(t) {
		_, rig := smallRig(t)
		ends, to := listener(t)
		l := startLive(t, nil, rig, "--in", "tcp://:0", "--out", to, "--quiet")
		c, err := ends.Accept()
		require.NoError(t, err)
		e := newEar()
		go e.listen(c)
		in, err := net.Dial("tcp", l.waitsAt(t))
		require.NoError(t, err)
		garbage := garbageOf(uint64(n), 1<<20)
		said := make(chan error, 1)
		go func() {
			_, err := c.Write(garbage)
			said <- err
		}()
		_, err = in.Write(garbage[:1<<16])
		require.NoError(t, err)
		_, err = in.Write([]byte{0xF7, 0x90, 60, 100})
		require.NoError(t, err)
		select {
		case err := <-said:
			require.NoError(t, err)
		case <-time.After(longest):
			t.Fatal("nobody reads what the end says")
		}
		soon(t, func() bool { return e.struck() > 0 }, "it plays")
		if n%2 == 0 {
			in.Close()
			soon(t, func() bool { return e.up() == 0 }, "let go when the input ends")
		}
		l.end(t)
		soon(t, func() bool { return e.over() && e.up() == 0 }, "low")
	}
}

// garbageOf is bytes without sense, the same for the same seed (xorshift).
func garbageOf(seed uint64, n int) []byte {
	data, x := make([]byte, n), seed*2654435761+88172645463325252
	for i := range data {
		x ^= x << 13
		x ^= x >> 7
		x ^= x << 17
		data[i] = byte(x)
	}
	return data
}

// TestLiveSecondConnection: one client at a time, and the second hears that at
// once, as does the player; the first plays on.
func TestLiveSecondConnection(t *testing.T) {
	_, rig := smallRig(t)
	to, e, _ := collectFrom(t)
	l := startLive(t, nil, rig, "--in", "tcp://:0", "--out", to, "--quiet")
	from := l.waitsAt(t)
	first, err := net.Dial("tcp", from)
	require.NoError(t, err)
	first.Write([]byte{0x90, 60, 100})
	soon(t, func() bool { return e.up() == 1 }, "the first plays")
	second, err := net.Dial("tcp", from)
	require.NoError(t, err)
	clock := newFair(t)
	second.SetReadDeadline(time.Now().Add(longest))
	_, err = second.Read(make([]byte, 1))
	require.Error(t, err)
	require.NotErrorIs(t, err, os.ErrDeadlineExceeded, "refused")
	require.Less(t, clock.now(), time.Second, "at once")
	atOnce(t, func() bool {
		return strings.Contains(l.stderr.String(), "a second connection, from "+second.LocalAddr().String()+", is refused: one is there already")
	}, "aloud")
	first.Write([]byte{0x90, 62, 100})
	soon(t, func() bool { return e.up() == 2 }, "the first plays on")
	first.Close()
	third, err := net.Dial("tcp", from)
	require.NoError(t, err)
	third.Write([]byte{0x90, 64, 100})
	soon(t, func() bool { return e.struck() == 3 && e.up() == 1 }, "and then another")
	l.end(t)
}

// TestLiveMIDIFile: a MIDI file is no stream, and is told so wherever it comes in.
func TestLiveMIDIFile(t *testing.T) {
	dir, rig := smallRig(t)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "song.mid"), []byte(noNotes), 0o666))
	const why = ": this is a MIDI file, want the bytes of an instrument as they are played"
	const wayOut = "    choirloft replay plays it, choirloft write deals it to the voices\n"
	raw := filepath.Join(dir, "raw")
	got := run(t, noNotes, "live", rig, "--out", raw)
	require.Equal(t, "choirloft: -"+why+"\n"+wayOut, got.stderr)
	require.Equal(t, exitUsage, got.status)
	got = run(t, "", "live", rig, "--in", filepath.Join(dir, "song.mid"), "--out", raw)
	require.Equal(t, "choirloft: "+filepath.Join(dir, "song.mid")+why+"\n"+wayOut, got.stderr)
	require.Equal(t, exitUsage, got.status)

	to, e, _ := collectFrom(t)
	l := startLive(t, nil, rig, "--in", "tcp://:0", "--out", to, "--quiet")
	from := l.waitsAt(t)
	c, err := net.Dial("tcp", from)
	require.NoError(t, err)
	for i := range noNotes { // byte by byte
		if _, err = c.Write([]byte(noNotes[i : i+1])); err != nil {
			break
		}
		time.Sleep(2 * time.Millisecond)
	}
	soon(t, func() bool { return strings.Contains(l.stderr.String(), why+"; it is not played\n"+wayOut) }, "told")
	c, err = net.Dial("tcp", from)
	require.NoError(t, err)
	c.Write([]byte{0x90, 0x4D, 0x54}) // M and T are data bytes here
	soon(t, func() bool { return e.up() == 1 }, "the next connection plays")
	l.end(t)
}

// TestLiveText: text is no stream either, whether it is named or piped in; nothing is
// opened for it.
func TestLiveText(t *testing.T) {
	dir, rig := smallRig(t)
	notes := filepath.Join(dir, "notes.txt")
	require.NoError(t, os.WriteFile(notes, []byte("größer als 1\n"), 0o666))
	const want = ", want the bytes of an instrument as they are played\n"
	const text = ": this is text" + want + "    a recording of raw MIDI bytes plays, and so does a FIFO or a device\n"
	for _, c := range []struct{ in, stdin, stderr string }{
		{rig, "", rig + ": this is a rig file" + want + "    the rig stands first in the call, --in names an instrument\n"},
		{notes, "", notes + text},
		{"-", smallWall, "-" + text},
	} {
		out := filepath.Join(dir, "out")
		got := run(t, c.stdin, "live", rig, "--in", c.in, "--out", out, "--quiet")
		require.Equal(t, call{exitUsage, "", "choirloft: " + c.stderr}, got)
		if c.in != "-" {
			require.NoFileExists(t, out)
		}
	}
	// what might be the middle of a stream is played
	got := run(t, "ABCDEFGHIJ\x90\x40\x40", "live", rig, "--out", "/dev/null", "--quiet")
	require.Equal(t, exitFine, got.status, got.stderr)
}

// TestLiveNothingSounds: a rig without a voice in service plays nothing, and says so.
func TestLiveNothingSounds(t *testing.T) {
	dir := scratch(t, map[string]string{"rig.yaml": "rig: W\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2, out: [1, 2]}}\n"})
	for _, outs := range [][]string{nil, {"--out", filepath.Join(dir, "o")}} {
		got := run(t, "\x90\x3c\x64", append([]string{"live", filepath.Join(dir, "rig.yaml")}, outs...)...)
		require.Equal(t, call{exitUsage, "", "choirloft: no voice is in service, so nothing can be played\n    take voices off the list under out, or play another rig\n"}, got)
		require.NoFileExists(t, filepath.Join(dir, "o"))
	}
}

// TestLiveNobodyListens: an output where nobody listens is told once, in plain words,
// however often it is tried; and so is that it is there.
func TestLiveNobodyListens(t *testing.T) {
	corpora.Patient(t)
	_, rig := smallRig(t)
	free, to := listener(t)
	at := free.Addr().String()
	free.Close()
	l := startLive(t, nil, rig, "--in", "tcp://:0", "--out", to, "--quiet")
	away := "choirloft: output 1 (" + to + "): nobody listens there; trying again\n"
	soon(t, func() bool { return strings.Contains(l.stderr.String(), away) }, "told")
	time.Sleep(time.Second)
	require.Equal(t, 1, strings.Count(l.stderr.String(), "output 1 ("), l.stderr.String())
	ends, err := net.Listen("tcp", at)
	require.NoError(t, err)
	defer ends.Close()
	soon(t, func() bool { return strings.Contains(l.stderr.String(), "): it is there, and plays\n") }, "back")
	l.end(t)
}

// TestLiveTCPCalls: what cannot be among ports is said in plain words.
func TestLiveTCPCalls(t *testing.T) {
	_, rig := smallRig(t)
	taken, _ := listener(t)
	_, port, err := net.SplitHostPort(taken.Addr().String())
	require.NoError(t, err)
	for _, c := range []struct{ in, out, stderr string }{
		{"tcp://:17001", "tcp://:17001", "--out tcp://:17001: this is also read, as --in tcp://:17001\n    name another port for one of them\n"},
		{"-", "tcp://:99999", "--out: tcp://:99999: found port 99999, want a number from 1 to 65535\n"},
		{"-", "tcp://:80x", "--out: tcp://:80x: found port 80x, want a number from 1 to 65535\n"},
		{"-", "tcp://127.0.0.1:0", "--out: tcp://127.0.0.1:0: found port 0, want a number from 1 to 65535\n"},
		{"-", "tcp://:" + port, "tcp://:" + port + ": this port is taken by another program\n    choose another port, or tcp://:0 to let the system choose\n"},
	} {
		got := run(t, "", "live", rig, "--in", c.in, "--out", c.out, "--quiet")
		require.Equal(t, call{exitUsage, "", "choirloft: " + c.stderr}, got)
	}
}

// TestLivePanic: whichever decision fails, in a read or in a timer, all gates are
// low, the log has what came, one sentence says so, and the status is 3.
func TestLivePanic(t *testing.T) {
	for n := 1; n <= 2*rounds(t); n++ {
		dir, rig := smallRig(t)
		ends, to := listener(t)
		var stdout bytes.Buffer
		var stderr lines
		keys, hand := io.Pipe()
		log := filepath.Join(dir, "log.mid")
		l := &playLive{app: &app{keys, &stdout, &stderr}, ins: []string{"-"}, outs: []string{to}, log: log, quiet: true}
		decisions := 0
		l.watch = func(*alloc.Decision) {
			if decisions++; decisions == n {
				panic("planted")
			}
		}
		status := make(chan int, 1)
		go func() { status <- l.report(l.run(t.Context(), rig)) }()
		c, err := ends.Accept()
		require.NoError(t, err)
		e := newEar()
		go e.listen(c)
		go func() {
			for i := 0; ; i++ {
				key := byte(40 + i%60)
				if _, err := hand.Write([]byte{0x90, key, 100, 0x80, key - 2, 0}); err != nil {
					return
				}
			}
		}()
		select {
		case s := <-status:
			require.Equal(t, exitFailed, s)
		case <-time.After(longest):
			t.Fatal("it does not end")
		}
		keys.Close()
		soon(t, func() bool { return e.over() && e.up() == 0 }, "low")
		require.Equal(t, bugSentence, stderr.String())
		data, err := os.ReadFile(log)
		require.NoError(t, err)
		require.NotEmpty(t, logEvents(t, data))
	}
}

// TestLivePanicElsewhere: so it is where a timer or the monitor fails.
func TestLivePanicElsewhere(t *testing.T) {
	_, rig := smallRig(t)
	p, err := (&app{stderr: io.Discard}).buildPlan(t.Context(), rig, plan.Overrides{})
	require.NoError(t, err)
	ends, to := listener(t)
	pl := playerTo(t, p, to)
	c, err := ends.Accept()
	require.NoError(t, err)
	e := newEar()
	go e.listen(c)
	pl.receive(0, []byte{0x90, 60, 100})
	soon(t, func() bool { return e.up() == 1 }, "a note")
	ended := make(chan struct{})
	pl.end = func() { close(ended) }
	pl.clock = func() time.Duration { panic("no clock") }
	go pl.tick(t.Context())
	<-ended
	soon(t, func() bool { return e.up() == 0 }, "low")
	require.ErrorContains(t, pl.failed, "no clock")
}

// TestLiveStderrIsStopped: somebody who does not read what is said holds no note
// up, and the session ends when it is told to.
func TestLiveStderrIsStopped(t *testing.T) {
	corpora.Patient(t)
	_, rig := smallRig(t)
	to, e, _ := collectFrom(t)
	keys, hand := io.Pipe()
	never := &blocked{release: make(chan struct{})}
	defer close(never.release)
	ctx, cancel := context.WithCancel(t.Context())
	status := make(chan int, 1)
	var stdout bytes.Buffer
	go func() {
		status <- Run(ctx, []string{"live", rig, "--in", "-", "--in", "tcp://:0", "--out", to}, keys, &stdout, never)
	}()
	time.Sleep(1100 * time.Millisecond) // the monitor has begun to write
	for key := byte(40); key < 80; key++ {
		_, err := hand.Write([]byte{0x90, key, 100})
		require.NoError(t, err)
		atOnce(t, func() bool { return e.struck() == int(key)-39 }, "a note")
	}
	cancel()
	select {
	case s := <-status:
		require.Equal(t, exitFine, s)
	case <-time.After(longest):
		t.Fatal("it does not end")
	}
	soon(t, func() bool { return e.up() == 0 }, "low")
	require.Contains(t, stdout.String(), "40 notes")
}

// TestTellerWaitsForNobody: however much is said to somebody who does not read, it
// takes no time; what is lost is counted when he reads again. 64 messages wait,
// and one is being written.
func TestTellerWaitsForNobody(t *testing.T) {
	stderr := &blocked{release: make(chan struct{})}
	teller := newTeller(&app{stderr: stderr}, func() {})
	said := make(chan struct{})
	go func() {
		defer close(said)
		for range 1000 {
			teller.say("a message", "")
		}
	}()
	select {
	case <-said:
	case <-time.After(longest):
		t.Fatal("who says something waits")
	}
	close(stderr.release)
	soon(t, func() bool { return strings.Contains(stderr.heard.String(), " messages could not be shown in time") }, "told")
	teller.stop()
	require.LessOrEqual(t, strings.Count(stderr.heard.String(), "a message\n"), 66)
}

// blocked is a stream that takes nothing until it is released.
type blocked struct {
	release chan struct{}
	heard   lines
}

func (b *blocked) Write(data []byte) (int, error) {
	<-b.release
	return b.heard.Write(data)
}

// TestPlayerAllocatesNothing: an event from the return of a read to the write over
// TCP, with the guard's board and the log, costs no memory.
func TestPlayerAllocatesNothing(t *testing.T) {
	_, rig := smallRig(t)
	p, err := (&app{stderr: io.Discard}).buildPlan(t.Context(), rig, plan.Overrides{})
	require.NoError(t, err)
	pl := playerTo(t, p, sinkAddress(t))
	pl.receive(0, []byte{0x90, 60, 100})
	bend, room := []byte{0xE0, 0, 64}, make([]byte, 0, 1<<17)
	play := func() { // each bend of a note that sounds goes out at once
		bend[1] = (bend[1] + 1) % 128
		pl.receive(0, bend)
		room = pl.session.Logged(room)
	}
	for range 500 {
		play()
	}
	before := pl.latency.total
	require.Zero(t, testing.AllocsPerRun(500, play))
	require.Equal(t, 501, pl.latency.total-before, "each was written")
	require.Zero(t, pl.overrun+pl.outputs[0].unsent)
}

// playerTo is a player with a guard and a log, connected to one output.
func playerTo(t *testing.T, p *plan.Plan, to string) *player {
	session, err := live.New(p, live.Options{Events: 1 << 30})
	require.NoError(t, err)
	quiet := func(string, string) {}
	l := &playLive{app: &app{}}
	ends, err := l.parse("--out", []string{to})
	require.NoError(t, err)
	outs, err := openers(ends, false, quiet)
	require.NoError(t, err)
	pl := newPlayer(session, wire.Streams{}, byPort(outs), quiet)
	ctx, cancel := context.WithCancel(t.Context())
	dismiss := l.guard(ctx, pl)
	l.connect(ctx, pl, byPort(outs))
	t.Cleanup(func() {
		cancel()
		dismiss()
	})
	return pl
}
