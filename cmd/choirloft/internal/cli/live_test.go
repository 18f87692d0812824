package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/wire"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/midi/stream"
	"choirloft/profiles"
	"choirloft/routing/live"
	"choirloft/routing/plan"
)

const livedWall = "rig: Wall\ninterfaces: {main: {profile: cv24-gate24}}\nbanks: {K: {voices: 16}, L: {voices: 4}}\nparts: {p: {pick: round-robin}}\n"

// gates reads bytes back and knows which gates are high; safe for several
// goroutines.
type gates struct {
	mu     sync.Mutex
	parser stream.Parser
	high   map[uint8]uint8
	ons    int
	notes  []stream.Message
}

func newGates() *gates { return &gates{high: map[uint8]uint8{}} }

func (g *gates) Write(data []byte) (int, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	for _, b := range data {
		m, ok, _ := g.parser.Next(b)
		if !ok {
			continue
		}
		switch m.Status >> 4 {
		case 9:
			g.high[m.Status&15] = m.Data1
			g.ons++
			g.notes = append(g.notes, m)
		case 8:
			delete(g.high, m.Status&15)
		}
	}
	return len(data), nil
}

func (g *gates) up() int {
	g.mu.Lock()
	defer g.mu.Unlock()
	return len(g.high)
}

func (g *gates) struck() int {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.ons
}

// lived is a run of the command live in the background.
type lived struct {
	cancel context.CancelFunc
	status chan int
	stdout bytes.Buffer
	stderr lines
}

// lines is a standard error that may be read while it is written.
type lines struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lines) Write(data []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(data)
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// startLive runs a session within the test's own process, whose signals it hears: a
// broken pipe of another test would end it. So no test that calls it is parallel.
func startLive(t *testing.T, stdin io.Reader, args ...string) *lived {
	ctx, cancel := context.WithCancel(t.Context())
	l := &lived{cancel: cancel, status: make(chan int, 1)}
	go func() { l.status <- Run(ctx, append([]string{"live"}, args...), stdin, &l.stdout, &l.stderr) }()
	t.Cleanup(cancel)
	return l
}

func (l *lived) end(t *testing.T) string {
	l.cancel()
	select {
	case status := <-l.status:
		require.Equal(t, exitFine, status, l.stderr.String())
	case <-time.After(longest):
		t.Fatal("it does not end")
	}
	return l.stdout.String()
}

// longest is how long a busy machine may take for what has no time of its own.
const longest = 30 * time.Second

func soon(t *testing.T, what func() bool, message string) {
	t.Helper()
	require.Eventually(t, what, longest, 2*time.Millisecond, message)
}

// collectFrom accepts connections and reads what comes.
func collectFrom(t *testing.T) (address string, g *gates, drop func()) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { l.Close() })
	g = newGates()
	var mu sync.Mutex
	var last net.Conn
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			mu.Lock()
			last = c
			mu.Unlock()
			go io.Copy(g, c)
		}
	}()
	return "tcp://" + l.Addr().String(), g, func() {
		mu.Lock()
		defer mu.Unlock()
		last.Close()
	}
}

// TestLiveTwoPorts pipes a keyboard's bytes in: they come out dealt to two
// ports, a monitor runs, the stop puts all gates low, and the log replays.
func TestLiveTwoPorts(t *testing.T) {
	dir := scratch(t, map[string]string{"rig.yaml": livedWall})
	rig, log := filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "log.mid")
	one, low, _ := collectFrom(t)
	two, high, _ := collectFrom(t)
	keys, hand := io.Pipe()
	l := startLive(t, keys, rig, "--in", "-", "--out", one, "--out", two, "--log", log)
	for key := byte(40); key < 60; key++ {
		_, err := hand.Write([]byte{0x90, key, 100})
		require.NoError(t, err)
	}
	soon(t, func() bool { return low.up() == 16 && high.up() == 4 }, "twenty notes on two ports")
	soon(t, func() bool { return strings.Contains(l.stderr.String(), "held 20") }, "the monitor shows them")
	_, err := hand.Write([]byte{0x80, 40, 0, 0xB0}) // and a message that is cut by the end
	require.NoError(t, err)
	soon(t, func() bool { return low.up() == 15 }, "one is let go")
	out := l.end(t)
	soon(t, func() bool { return low.up()+high.up() == 0 }, "the stop puts every gate low")
	require.Contains(t, out, "none cut short or dropped")

	got := run(t, "", "replay", rig, log, "--json")
	require.Equal(t, exitFine, got.status, got.stderr)
	var r struct {
		Song    struct{ Notes int }
		Damaged int
		Flags   contract.Flags
	}
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	require.Equal(t, []int{20, 0, 19}, []int{r.Song.Notes, r.Damaged, r.Flags.Stuck})
	left, err := filepath.Glob(filepath.Join(dir, ".*"))
	require.NoError(t, err)
	require.Empty(t, left, "no half file")
}

// TestLiveSaysWhatReplaySays: live and the replay of its log state the same of notes
// that wait for their unison, and of those at the wrong pitch.
func TestLiveSaysWhatReplaySays(t *testing.T) {
	const wall = "rig: W\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 3}}\nparts: {p: {unison: {voices: 3, when_short: wait}}}\n"
	dir := scratch(t, map[string]string{"rig.yaml": wall})
	rig, log := filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "log.mid")
	keys, hand := io.Pipe()
	l := startLive(t, keys, rig, "--out", "/dev/null", "--log", log, "--json")
	play := func(data ...byte) {
		_, err := hand.Write(data)
		require.NoError(t, err)
		time.Sleep(20 * time.Millisecond)
	}
	play(0x90, 60, 100)
	play(64, 100)        // waits for some 20 ms
	play(0x80, 60, 0)    // and begins
	play(0x90, 127, 100) // waits too, and no output of 5 V reaches it
	play(0x80, 64, 0)
	soon(t, func() bool {
		return strings.Contains(l.stderr.String(), "; waited 2, last ") && strings.Contains(l.stderr.String(), "; wrong pitch 1")
	}, "the monitor shows it")
	var lived struct {
		Notes, Takes, Late, Waited, Clamped int
		LongestMS                           float64 `json:"longest_wait_ms"`
		WaitedMS                            float64 `json:"waited_ms"`
		MissedCents                         float64 `json:"missed_cents"`
	}
	require.NoError(t, json.Unmarshal([]byte(l.end(t)), &lived))
	got := run(t, "", "replay", rig, log, "--json")
	var r struct {
		Song         struct{ Notes int }
		Flags        contract.Flags
		Waited       int
		LongestWaitS float64 `json:"longest_wait_s"`
		WaitedS      float64 `json:"waited_s"`
	}
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	require.Equal(t, []int{3, 2, 0, 1}, []int{r.Song.Notes, r.Waited, r.Flags.Late - r.Waited, r.Flags.Clamped})
	require.Equal(t, []int{3, 2, 0, 1, 9}, []int{lived.Notes, lived.Waited, lived.Late, lived.Clamped, lived.Takes})
	require.InDelta(t, 1000*r.LongestWaitS, lived.LongestMS, 0.0005)
	require.InDelta(t, 1000*r.WaitedS, lived.WaitedMS, 0.0005)
	require.Greater(t, lived.LongestMS, 15.0)
	require.Positive(t, lived.MissedCents)
}

// TestLiveReconnects: an input that is torn off lets go of its keys, and plays
// again when it comes back; so do outputs.
func TestLiveReconnects(t *testing.T) {
	rig := filepath.Join(scratch(t, map[string]string{"rig.yaml": "rig: W\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 4}}\n"}), "rig.yaml")
	to, g, drop := collectFrom(t)
	l := startLive(t, nil, rig, "--in", "tcp://:0", "--out", to)
	var from string
	soon(t, func() bool {
		_, at, ok := strings.Cut(l.stderr.String(), "waiting for a connection to tcp://")
		from, _, _ = strings.Cut(at, "\n")
		return ok
	}, "it says where it waits")
	play := func() net.Conn {
		c, err := net.Dial("tcp", from)
		require.NoError(t, err)
		_, err = c.Write([]byte{0x90, 60, 100})
		require.NoError(t, err)
		return c
	}
	c := play()
	soon(t, func() bool { return g.up() == 1 }, "a note")
	c.Close()
	soon(t, func() bool { return g.up() == 0 }, "let go when torn off")
	c = play()
	soon(t, func() bool { return g.up() == 1 && g.struck() == 2 }, "and played again")
	drop()
	soon(t, func() bool {
		_, err := c.Write([]byte{0x80, 60, 0, 0x90, 60, 100})
		require.NoError(t, err)
		return g.struck() > 2
	}, "the output comes back")
	l.end(t)
	soon(t, func() bool { return g.up() == 0 }, "gates low")
	require.Contains(t, l.stderr.String(), "has ended and its keys are released")
}

// TestLiveOverrun: an output that takes nothing holds nobody up, and its gates
// are low when it takes bytes again.
func TestLiveOverrun(t *testing.T) {
	corpora.Patient(t)
	rig := filepath.Join(scratch(t, map[string]string{"rig.yaml": livedWall}), "rig.yaml")
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer listener.Close()
	stuck := make(chan net.Conn, 1)
	go func() {
		c, err := listener.Accept()
		if err == nil {
			stuck <- c
		}
	}()
	two, fine, _ := collectFrom(t)
	keys, hand := io.Pipe()
	l := startLive(t, keys, rig, "--out", "tcp://"+listener.Addr().String(), "--out", two)
	c := <-stuck
	// bends to all voices of the first port, until it is full
	for key := byte(40); key < 60; key++ {
		_, err := hand.Write([]byte{0x90, key, 100})
		require.NoError(t, err)
	}
	bends := make([]byte, 0, 4096)
	for i := range 1365 {
		bends = append(bends, 0xE0, byte(i&127), byte(i/128+32))
	}
	for until := time.Now().Add(longest); !strings.Contains(l.stderr.String(), "does not keep up"); {
		require.True(t, time.Now().Before(until), "the output never stalls")
		_, err := hand.Write(bends)
		require.NoError(t, err)
	}
	soon(t, func() bool { return fine.up() == 4 }, "the other port plays on")
	soon(t, func() bool { return strings.Contains(l.stderr.String(), " left out\n") }, "the monitor shows it")
	g := newGates()
	go io.Copy(g, c)
	soon(t, func() bool { return g.struck() >= 16 && g.up() == 0 }, "gates low once it takes bytes")
	require.Regexp(t, `; output 1( does not take bytes,|:) \d+ bytes left out\n`, l.stderr.String())
	out := l.end(t)
	require.Contains(t, out, "lost: an output did not keep up")
	require.Regexp(t, `Output\s1\s\(tcp://\S+\)\sdid\snot\stake\severything:\s\d+\sbytes\sleft\sout`, out)
}

func TestLiveStatus(t *testing.T) {
	dir := scratch(t, map[string]string{"rig.yaml": livedWall, "song.mid": ""})
	rig := filepath.Join(dir, "rig.yaml")
	for _, c := range []struct {
		name   string
		args   []string
		stderr string
	}{
		{"no output", []string{rig}, "choirloft: found 0 --outs, but the voices are on 2 ports: main 1 (K1 to K16), main 2 (L1 to L4)\n    give an --out for each, in this order; use /dev/null for a port you do not have\n"},
		{"an output twice", []string{rig, "--out", "-", "--out", "-"}, "choirloft: --out - stands here twice\n"},
		{"another scheme", []string{rig, "--out", "udp://x", "--out", "-"}, "choirloft: --out: found \"udp://x\", want - (standard input or output), a path, tcp://HOST:PORT to connect, tcp://:PORT to be connected to from this machine, or rtmidi://NAME\n"},
		{"no port", []string{rig, "--out", "tcp://host", "--out", "-"}, "choirloft: --out: found \"tcp://host\", want tcp://HOST:PORT or tcp://:PORT\n"},
		{"an input that is not there", []string{rig, "--in", filepath.Join(dir, "no"), "--out", "a", "--out", "b"}, "choirloft: DIR/no: no such file or directory\n    want a FIFO, a device or a file that is there; mkfifo makes a FIFO\n"},
		{"a folder", []string{rig, "--in", dir, "--out", "a", "--out", "b"}, "choirloft: DIR: this is a folder, want a FIFO or a device\n"},
		{"JSON among MIDI", []string{rig, "--out", "-", "--out", "b", "--json"}, "choirloft: --json and --out - cannot go together: MIDI bytes go to standard output\n    write them elsewhere\n"},
		{"a bend range that is none", []string{rig, "--out", "a", "--out", "b", "--bend-range", "x"}, "choirloft: --bend-range x: want semitones from 1 to 127\n    leave it out for one that covers the rig\n"},
		{"a bend range of nothing", []string{rig, "--out", "a", "--out", "b", "--bend-range", "0"}, "choirloft: --bend-range 0: want semitones from 1 to 127\n    leave it out for one that covers the rig\n"},
		{"a bend range past the last", []string{rig, "--out", "a", "--out", "b", "--bend-range", "128"}, "choirloft: --bend-range 128: want semitones from 1 to 127\n    leave it out for one that covers the rig\n"},
		{"a log of another kind", []string{rig, "--out", "a", "--out", "b", "--log", "x.txt"}, "choirloft: --log x.txt: want a name that ends in .mid\n"},
		{"a rule that looks ahead", []string{rig, "--out", "a", "--out", "b", "--steal", "least-lost"}, "choirloft: part p steals by least-lost, which looks ahead, and nobody can live\n    take another rule: --steal protect-outer\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := run(t, "", append([]string{"live"}, c.args...)...)
			require.Equal(t, c.stderr, strings.ReplaceAll(got.stderr, dir, "DIR"))
			require.Equal(t, exitUsage, got.status)
		})
	}
}

// TestLiveStandardOutput: bytes to standard output, everything else to standard
// error, also where the session ends by itself.
func TestLiveStandardOutput(t *testing.T) {
	rig := filepath.Join(scratch(t, map[string]string{"rig.yaml": "rig: W\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}}\n"}), "rig.yaml")
	got := run(t, "\x90\x3c\x64\x80\x3c\x40", "live", rig, "--out", "-")
	require.Equal(t, exitFine, got.status, got.stderr)
	g := newGates()
	g.Write([]byte(got.stdout))
	require.Equal(t, []int{1, 0}, []int{g.struck(), g.up()})
	require.Contains(t, got.stderr, "\nW: ")
	require.Contains(t, got.stderr, "1 note; none cut short or dropped.")
}

// soak plays paced chords over TCP loopback through a player, and returns it.
// Events come pace apart, for as many events.
func soak(t testing.TB, events int, pace time.Duration) (pl *player, log string) {
	rig, faults := profiles.Read("rig.yaml", []byte(livedWall), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	session, err := live.New(p, live.Options{Events: events + 1000})
	require.NoError(t, err)
	quiet := func(string, string) {}
	l := &playLive{app: &app{}}
	to, err := l.parse("--out", []string{sinkAddress(t), sinkAddress(t)})
	require.NoError(t, err)
	outs, err := openers(to, false, quiet)
	require.NoError(t, err)
	from, err := l.parse("--in", []string{"tcp://:0"})
	require.NoError(t, err)
	ins, err := openers(from, true, quiet)
	require.NoError(t, err)
	pl = newPlayer(session, wire.Streams{}, byPort(outs), quiet)
	pl.once = true
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	dismiss := l.guard(ctx, pl)
	defer dismiss()
	kept, err := keepLog(filepath.Join(t.TempDir(), "log.mid"), session, quiet)
	require.NoError(t, err)
	go kept.run(ctx, pl)
	l.connect(ctx, pl, byPort(outs))
	go pl.tick(ctx)
	done := make(chan struct{})
	go func() {
		defer close(done)
		pl.listen(ctx, 0, ins[0])
	}()
	c, err := net.Dial("tcp", ins[0].Address())
	require.NoError(t, err)
	start := time.Now()
	for i := range events {
		for until := start.Add(time.Duration(i) * pace); time.Now().Before(until); {
			if wait := time.Until(until); wait > 100*time.Microsecond {
				time.Sleep(wait - 50*time.Microsecond)
			}
		}
		key := byte(36 + i/2%48)
		message := []byte{0x90, key, 100}
		if i%2 == 1 {
			message = []byte{0x80, key, 64}
		}
		_, err := c.Write(message)
		require.NoError(t, err)
	}
	c.Close()
	<-done
	pl.rest(100 * time.Millisecond)
	cancel()
	pl.stop()
	kept.close(pl)
	require.NoError(t, kept.failed())
	return pl, kept.name
}

func byPort(outs []*wire.Opener) map[int]*wire.Opener {
	all := map[int]*wire.Opener{}
	for port, o := range outs {
		all[port] = o
	}
	return all
}

// sinkAddress is where somebody reads and forgets.
func sinkAddress(t testing.TB) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { l.Close() })
	go func() {
		for c, err := l.Accept(); err == nil; c, err = l.Accept() {
			go io.Copy(io.Discard, c)
		}
	}()
	return "tcp://" + l.Addr().String()
}

// TestLiveSoak plays for two seconds and holds the player to having played all
// of it. How fast is for BenchmarkLatency: tests share their processors.
func TestLiveSoak(t *testing.T) {
	corpora.Patient(t)
	const events = 4000
	p, log := soak(t, events, 500*time.Microsecond)
	require.Equal(t, events+3, p.session.Counts.Events) // the end of the input lets go of its channel
	require.Equal(t, events/2, p.session.Takes)
	require.Zero(t, p.session.Broken)
	require.Zero(t, p.overrun)
	require.Positive(t, p.latency.total)
	data, err := os.ReadFile(log)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	require.Empty(t, song.Warnings)
	require.Equal(t, events/2, song.NoteOns)
}

// BenchmarkLatency plays 100 000 events, 200 µs apart, and tells the time from
// the return of a read to the call of a write: 99.9 % within 50 µs are asked
// for.
func BenchmarkLatency(b *testing.B) {
	for b.Loop() {
		p, _ := soak(b, 100_000, 200*time.Microsecond)
		b.ReportMetric(float64(p.latency.within(0.5))/1e3, "µs/p50")
		b.ReportMetric(float64(p.latency.within(0.999))/1e3, "µs/p99.9")
		b.ReportMetric(float64(p.latency.worst)/1e3, "µs/worst")
	}
}

func TestLatencyCounts(t *testing.T) {
	var l latency
	for i := range 1000 {
		l.add(time.Duration(i) * time.Microsecond / 10)
	}
	l.add(time.Second)
	require.Equal(t, 50*time.Microsecond, l.within(0.4995))
	require.Equal(t, 100*time.Microsecond, l.within(0.999))
	require.Equal(t, time.Second, l.within(1))
	require.Equal(t, "1001", fmt.Sprint(l.total))
	// One of 627.2 µs and no other: nothing takes longer than the longest.
	l = latency{}
	l.add(627200 * time.Nanosecond)
	require.Equal(t, 627200*time.Nanosecond, l.within(0.999))
}

// A voice that has its pitch from the jack of another does on the monitor what that does; x is one that is out, and
// one beside it alone.
func TestMonitorShowsJoinedVoices(t *testing.T) {
	rig, faults := profiles.Read("r.yaml", []byte("rig: R\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 3, shared: pitch}, L: {voices: 3, out: [2]}}\nparts: {p: {banks: [K], mode: mono last}, q: {channel: 2, banks: [L]}}\n"), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	v := live.View{Voices: make([]live.VoiceView, 6)}
	v.Voices[0] = live.VoiceView{State: alloc.Held, Key: 60, Used: true}
	v.Voices[3] = live.VoiceView{State: alloc.Tail, Key: 62, Used: true}
	require.Equal(t, []string{"  K      C4     C4     C4", "  L      ~D4    x      ."}, bankLines(p, &v))
	v.Voices[0].State = alloc.Pedal
	require.Equal(t, "  K      (C4)   (C4)   (C4)", bankLines(p, &v)[0])
}
