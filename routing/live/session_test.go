package live

import (
	"math"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/midi/stream"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

const (
	ms   = time.Millisecond
	head = "rig: R\ninterfaces: {main: {profile: cv16-gate16}}\n"
)

func planOf(t require.TestingT, text string) *plan.Plan {
	rig, faults := profiles.Read("rig.yaml", []byte(head+text), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	return p
}

// far is what stands at the other end of the outputs: it reads bytes back and
// knows which gates are high.
type far struct {
	t       require.TestingT
	parsers map[int]*stream.Parser
	high    map[[2]int]uint8 // by port and channel: the key
	said    []stream.Message
}

func newFar(t require.TestingT) *far {
	return &far{t: t, parsers: map[int]*stream.Parser{}, high: map[[2]int]uint8{}}
}

func (f *far) hear(port int, data []byte) {
	if f.parsers[port] == nil {
		f.parsers[port] = &stream.Parser{}
	}
	for _, b := range data {
		m, ok, broken := f.parsers[port].Next(b)
		require.False(f.t, broken)
		if !ok {
			continue
		}
		f.said = append(f.said, m)
		at := [2]int{port, int(m.Status & 0x0F)}
		switch m.Status >> 4 {
		case 9:
			require.NotContains(f.t, f.high, at, "a voice has one gate")
			f.high[at] = m.Data1
		case 8:
			require.Equal(f.t, f.high[at], m.Data1)
			delete(f.high, at)
		}
	}
}

func session(t require.TestingT, p *plan.Plan, o Options) (*Session, *far) {
	s, err := New(p, o)
	require.NoError(t, err)
	f := newFar(t)
	s.Send(f.hear)
	return s, f
}

// decisions replays the log of a session, as replay would read it, and returns
// what the engine decides.
func decisions(t require.TestingT, s *Session, p *plan.Plan) (all []alloc.Decision, song *midi.Song) {
	var file disk
	log, err := s.NewLogFile(&file)
	require.NoError(t, err)
	require.NoError(t, log.Append(s.Logged(nil)))
	song, err = midi.Read(file.data, midi.Options{})
	require.NoError(t, err)
	require.Empty(t, song.Warnings)
	engine, err := alloc.New(p.Rules.Config)
	require.NoError(t, err)
	keep := func(d *alloc.Decision) { all = append(all, *d) }
	given := p.Performance(song)
	for i := range given.Steps {
		engine.Feed(&given.Steps[i], keep)
	}
	engine.Finish(given.End, keep)
	return all, song
}

var walls = []string{
	"banks: {K: {voices: 4}}\n",
	"banks: {K: {voices: 3}, L: {voices: 2}}\nparts: {low: {channel: 1, keys: 0-59, banks: [L], mode: mono last, glide: 30 ms}, high: {channel: [1, 2], keys: 60-127, banks: [K], steal: oldest}}\n",
	"banks: {K: {voices: 6}}\nparts: {p: {unison: {voices: 2, when_short: elastic}, tails: unknown, same_key: stack fifo}}\n",
	"banks: {K: {voices: 6}}\nparts: {p: {unison: {voices: 3, when_short: wait}, pick: round-robin, same_key: retrigger first-off}}\n",
	"banks: {K: {voices: 8}}\nparts: {p: {channel: mpe lower 7, steal: quietest}}\n",
	"banks: {K: {voices: 6}}\nparts: {p: {channel: 1, out_of_range: clamp, unison: {voices: 2}}, q: {channel: 2, out_of_range: fold, mode: mono last}}\n",
	"banks: {K: {voices: 5}}\nparts: {a: {channel: 1, reserve: 2}, b: {channel: 2, limit: 2, pick: random, steal: none}}\ntiming: {gap: 0 ms, min_gate: 0 ms, lead: 0 ms}\n",
	"banks: {K: {voices: 2}}\nparts: {p: {pick: lowest}}\ngear: {a: {does: trigger, pulse: 2 ms}, b: {does: trigger, pulse: 30 ms}}\n" +
		"wiring: [{from: main.gate 1, to: a}, {from: a, to: K1.gate}, {from: main.gate 2, to: b}, {from: b, to: K2.gate}]\n",
}

// TestReplayIsLive: whatever bytes come in, in whatever pieces, the log replays
// to the decisions that were taken, and no gate is high after the stop.
func TestReplayIsLive(t *testing.T) {
	plans := make([]*plan.Plan, len(walls))
	for i, w := range walls {
		plans[i] = planOf(t, w)
	}
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(plans).Draw(t, "plan")
		var live []alloc.Decision
		s, f := session(t, p, Options{Inputs: 2, Events: 1 << 20, Watch: func(d *alloc.Decision) { live = append(live, *d) }})
		at := time.Duration(0)
		byteOf := rapid.OneOf(rapid.SampledFrom([]byte{0x90, 0x90, 0x80, 0x91, 0x81, 0xB0, 0xE0, 0xD0, 0xFE, 0xF0, 0xF7, 60, 62, 48, 64, 66, 123, 0, 100}), rapid.Byte())
		for range rapid.IntRange(0, 60).Draw(t, "reads") {
			at += time.Duration(rapid.SampledFrom([]int{0, 100, 999, 1000, 2500, 7000, 50_000, 400_000, 5_000_000}).Draw(t, "wait")) * time.Microsecond
			port := rapid.IntRange(0, 1).Draw(t, "port")
			switch rapid.IntRange(0, 9).Draw(t, "what") {
			case 0:
				s.Advance(at)
			case 1:
				s.Ended(port, at)
			default:
				s.Receive(port, rapid.SliceOfN(byteOf, 1, 24).Draw(t, "bytes"), at)
			}
			if next, ok := s.Next(); ok && next > s.Now() && rapid.Bool().Draw(t, "timer") {
				at = max(at, next)
				s.Advance(at)
			}
			s.Send(f.hear)
		}
		s.Stop(at)
		s.Send(f.hear)
		require.Empty(t, f.high, "gates after the stop")
		want, song := decisions(t, s, p)
		require.Equal(t, want, live)

		replay, err := p.Replay(song)
		require.NoError(t, err)
		// A late note that is cut live counts as cut, however little it loses by that.
		require.LessOrEqual(t, s.LateStarts, replay.Rig.Tally.Endings[study.LateStart])
		decided, dropped := 0, 0
		for i := range want {
			if want[i].Kind == alloc.Drop {
				decided++
			}
		}
		for i := range replay.Outcomes {
			if replay.Outcomes[i].Ending == study.Dropped {
				dropped++
			}
		}
		require.Equal(t, decided, s.Dropped)
		// Of the tails of a unison the loudest counts afterwards: it may be the one that
		// its own key cut.
		require.GreaterOrEqual(t, s.Tails, replay.Rig.Tally.TailCuts())
		require.Equal(t, afterwards(p, replay), figuresOf(s))
		// Afterwards a note struck again at once has lost nothing; live nobody knows.
		require.LessOrEqual(t, dropped, s.Dropped)
	})
}

// figures are those that are the same live and afterwards.
type figures struct {
	notes, late, waited, clamped, folded int
	mostLate, longestWait, allWaits      time.Duration
	mostMissed                           float64
}

func figuresOf(s *Session) figures {
	return figures{s.Notes, s.Late, s.Waited, s.Clamped, s.Folded, s.MostLate, s.LongestWait, s.AllWaits, s.MostMissed}
}

// afterwards counts what became of the notes of a song, one by one.
func afterwards(p *plan.Plan, r *study.Replay) (f figures) {
	f.notes = len(r.Outcomes)
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		folds := p.Rules.Config.Parts[r.Reference.Notes[i].Part].OutOfRange == alloc.Fold
		switch {
		case o.Missed != 0 && folds:
			f.folded++
		case o.Missed != 0:
			f.clamped++
			f.mostMissed = max(f.mostMissed, math.Abs(o.Missed))
		}
		switch {
		case o.Waited > 0:
			f.waited++
			f.longestWait = max(f.longestWait, o.Waited)
			f.allWaits += o.Waited
		case o.Late > 0:
			f.late++
			f.mostLate = max(f.mostLate, o.Late)
		}
	}
	return f
}

// TestWaits: three voices, a unison of three that waits. Worked out by hand: from the
// release on, a gate must be low for the gap before the voices are struck again, so a
// note that finds them in use waits for them and is no late note of the gap.
func TestWaits(t *testing.T) {
	p := planOf(t, "banks: {K: {voices: 3}}\nparts: {p: {unison: {voices: 3, when_short: wait}}}\n")
	s, _ := session(t, p, Options{})
	s.Receive(0, []byte{0x90, 60, 100}, 100*ms)
	s.Receive(0, []byte{0x90, 64, 100}, 200*ms) // waits for 50 ms and whole
	s.Receive(0, []byte{0x80, 60, 0}, 250*ms)
	s.Receive(0, []byte{0x80, 64, 0}, 400*ms)
	s.Stop(time.Second)
	require.Equal(t, []int{2, 6, 1, 0, 0}, []int{s.Notes, s.Takes, s.Waited, s.LateStarts, s.Late})
	for _, wait := range []time.Duration{s.LastWait, s.LongestWait, s.AllWaits} {
		require.InDelta(t, 50, float64(wait)/float64(ms), 0.01, "the log puts each event a microsecond after the one before")
	}
}

// TestUnisonTail: the three voices of a note are in their tails when another key takes
// them: one note lost its tail.
func TestUnisonTail(t *testing.T) {
	s, _ := session(t, planOf(t, "banks: {K: {voices: 3}}\nparts: {p: {unison: {voices: 3}}}\n"), Options{})
	s.Receive(0, []byte{0x90, 60, 100}, 100*ms)
	s.Receive(0, []byte{0x80, 60, 0}, 2000*ms)
	s.Receive(0, []byte{0x90, 64, 100}, 2001*ms)
	s.Stop(3 * time.Second)
	require.Equal(t, []int{2, 6, 1}, []int{s.Notes, s.Takes, s.Tails})
}

// TestWrongPitch: an output of 0 V to 5 V at a volt an octave reaches 61 keys; a key
// an octave above the last is 1200 cents off. It is counted once, however many voices
// and bends it has.
func TestWrongPitch(t *testing.T) {
	for rule, want := range map[string][]int{"clamp": {1, 0}, "fold": {0, 1}} {
		p := planOf(t, "banks: {K: {voices: 4}}\nparts: {p: {out_of_range: "+rule+", unison: {voices: 2, spread: 0 cents}}}\n")
		s, _ := session(t, p, Options{})
		s.Receive(0, []byte{0x90, 60, 100, 127, 100, 0xE0, 0, 80, 0xE0, 0, 64, 0x80, 127, 0, 0xE0, 0, 0}, 100*ms)
		s.Stop(time.Second)
		require.Equal(t, want, []int{s.Clamped, s.Folded}, rule)
	}
}

// TestSongs plays real songs live, byte by byte as they come: each event at its
// time, those of one tick in one read.
func TestSongs(t *testing.T) {
	data, err := os.ReadFile("../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	rig, err := profiles.Load("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{Voices: plan.All(10)})
	require.NoError(t, err)
	s := playSong(t, p, song)
	require.Positive(t, s.Takes)

	// the song itself, replayed, loses as many notes: within an instant live has
	// another order, offs and ons as they stand in the file, which this song keeps
	replay, err := p.Replay(song)
	require.NoError(t, err)
	require.Equal(t, replay.Rig.Tally.Endings[study.Dropped], s.Dropped)
	require.Equal(t, replay.Rig.Tally.TailCuts(), s.Tails)
}

// playSong plays a song live, holds the log to the decisions that were taken, and
// the outputs to being silent in the end.
func playSong(t *testing.T, p *plan.Plan, song *midi.Song) *Session {
	var live []alloc.Decision
	s, f := session(t, p, Options{Inputs: 128, Events: 1 << 20, Watch: func(d *alloc.Decision) { live = append(live, *d) }})
	for i := 0; i < len(song.Events); {
		var read []byte
		tick, port := song.Events[i].Tick, song.Events[i].Port
		for ; i < len(song.Events) && song.Events[i].Tick == tick && song.Events[i].Port == port; i++ {
			e := &song.Events[i]
			read = append(read, e.Status, e.Data1)
			if k := e.Kind(); k != midi.ProgramChange && k != midi.ChannelPressure {
				read = append(read, e.Data2)
			}
		}
		at := song.Tempo.At(tick)
		for next, ok := s.Next(); ok && next < at; next, ok = s.Next() {
			s.Advance(next)
			s.Send(f.hear)
		}
		s.Receive(int(port), read, at)
		s.Send(f.hear)
	}
	s.Stop(song.Duration())
	s.Send(f.hear)
	require.Empty(t, f.high)
	want, _ := decisions(t, s, p)
	require.Equal(t, len(want), len(live))
	for i := range want {
		if want[i] != live[i] {
			require.Equal(t, want[i], live[i], "decision %d", i)
		}
	}
	return s
}

// TestCorpora plays the songs of two open collections live (Debian's
// simutrans-data and openttd-openmsx).
func TestCorpora(t *testing.T) {
	p := planOf(t, "banks: {K: {voices: 12}}\n")
	for _, file := range corpora.Songs(t) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		song, err := midi.Read(data, midi.Options{})
		require.NoError(t, err, file)
		playSong(t, p, song)
	}
}

// TestLostByte takes each byte in turn out of a stream with running status. As
// long as the loss shows, nothing stands when all keys are up; what does not
// show is let go at the end of the input.
func TestLostByte(t *testing.T) {
	p := planOf(t, walls[0])
	whole := []byte{0x90, 60, 100, 64, 100, 0x80, 60, 64, 0x90, 67, 100, 0x80, 64, 64, 67, 64, 0xB0, 64, 127, 0x90, 62, 90, 0x80, 62, 64, 0xB0, 64, 0}
	for i := range whole {
		s, f := session(t, p, Options{})
		at := time.Duration(0)
		for _, b := range slices.Delete(slices.Clone(whole), i, i+1) {
			at += 20 * ms
			s.Receive(0, []byte{b}, at)
			s.Send(f.hear)
		}
		broken := s.Broken
		s.Receive(0, []byte{0x80}, at+20*ms) // the next status byte shows what was begun
		s.Advance(at + time.Second)
		s.Send(f.hear)
		if broken > 0 || s.Broken > 0 {
			require.Empty(t, f.high, "without byte %d", i)
		}
		s.Ended(0, at+2*time.Second)
		s.Advance(at + 3*time.Second)
		s.Send(f.hear)
		require.Empty(t, f.high, "without byte %d, and the input ended", i)
	}
}

// MIDI 1.0, from memory: after active sensing, silence of 300 ms means that the
// line is torn.
func TestActiveSensing(t *testing.T) {
	p := planOf(t, walls[0])
	s, f := session(t, p, Options{})
	s.Receive(0, []byte{0x90, 60, 100, 0xFE}, 10*ms)
	s.Send(f.hear)
	require.Len(t, f.high, 1)
	s.Advance(339 * ms)
	require.Zero(t, s.LetGo)
	next, ok := s.Next()
	require.True(t, ok)
	require.Equal(t, 340*ms, next)
	s.Advance(next)
	s.Send(f.hear)
	require.Empty(t, f.high)
	require.Equal(t, 1, s.LetGo)

	s, f = session(t, p, Options{}) // without it, silence means nothing
	s.Receive(0, []byte{0x90, 60, 100}, 10*ms)
	s.Advance(time.Hour)
	s.Send(f.hear)
	require.Len(t, f.high, 1)
	s.Receive(0, []byte{0xFF}, time.Hour) // system reset
	s.Advance(time.Hour + time.Second)
	s.Send(f.hear)
	require.Empty(t, f.high)
}

// The gap in bytes: one voice, gap 3 ms, minimum gate 5 ms. A from 0, B 500
// to 502: low at 500, the bend at 502, high at 503, low at 508.
func TestGapDelaysTheNote(t *testing.T) {
	p := planOf(t, "banks: {K: {voices: 1}}\nparts: {p: {bend_range: 12}}\n")
	s, f := session(t, p, Options{})
	heard := func(at time.Duration) (words []stream.Message) {
		s.Advance(at)
		f.said = nil
		s.Send(f.hear)
		return f.said
	}
	s.Receive(0, []byte{0x90, 60, 100}, 0)
	require.Equal(t, []stream.Message{{Status: 0x90, Data1: 60, Data2: 100}}, heard(1*ms))
	s.Receive(0, []byte{0x90, 62, 90}, 500*ms)
	require.Equal(t, []stream.Message{{Status: 0x80, Data1: 60, Data2: 64}}, heard(501*ms))
	s.Receive(0, []byte{0x80, 62, 0}, 502*ms)
	require.Empty(t, heard(502*ms+900*time.Microsecond))
	require.Equal(t, []stream.Message{{Status: 0x90, Data1: 62, Data2: 90}}, heard(503*ms+10*time.Microsecond))
	require.Empty(t, heard(507*ms))
	require.Equal(t, []stream.Message{{Status: 0x80, Data1: 62, Data2: 64}}, heard(508*ms+10*time.Microsecond))
	require.Equal(t, []any{1, 3 * ms, 1}, []any{s.Late, s.MostLate, s.Held})
}

// A note that waits for the voices of its unison, with an overlap of 80 ms: at
// 81 ms it has begun late, at 80 not, and one that is cut then counts as cut.
func TestLateStart(t *testing.T) {
	const wall = "banks: {K: {voices: 2}}\nparts: {p: {channel: 1, unison: {voices: 2, when_short: wait}}, q: {channel: 2, steal: oldest}}\n"
	for _, c := range []struct {
		at                  time.Duration // of the second note; the first ends at 500 ms
		cut                 bool
		late, held, damaged int
	}{{420 * ms, false, 0, 0, 0}, {419 * ms, false, 1, 0, 1}, {419 * ms, true, 0, 1, 1}} {
		s, _ := session(t, planOf(t, wall), Options{Inputs: 1})
		s.Receive(0, []byte{0x90, 60, 100}, 0)
		s.Receive(0, []byte{0x90, 62, 100}, c.at)
		s.Receive(0, []byte{0x80, 60, 64}, 500*ms)
		if c.cut {
			s.Receive(0, []byte{0x91, 70, 100, 72, 100}, 600*ms)
		}
		s.Receive(0, []byte{0x80, 62, 64}, 900*ms)
		s.Stop(1000 * ms)
		require.Equal(t, []int{c.late, c.held, c.damaged}, []int{s.LateStarts, s.Held, s.Damaged()}, "%v", c)
		require.Empty(t, s.waits)
		require.LessOrEqual(t, len(s.fates), 2, "no more than voices")
	}
}

// A mono part glides by steps of 5 ms to where it goes: 12 semitones in 20 ms,
// of a range of 26, bends by 8192·3/26 a step.
func TestGlide(t *testing.T) {
	p := planOf(t, "banks: {K: {voices: 1}}\nparts: {p: {mode: mono last, glide: 20 ms}}\n")
	s, f := session(t, p, Options{})
	require.Equal(t, 26, s.BendRange())
	s.Receive(0, []byte{0x90, 60, 100}, 0)
	s.Advance(50 * ms)
	s.Send(f.hear)
	f.said = nil
	s.Receive(0, []byte{0x90, 72, 100}, 100*ms-Tick)
	for next, ok := s.Next(); ok && next < 200*ms; next, ok = s.Next() {
		s.Advance(next)
	}
	s.Send(f.hear)
	var bends []int
	for _, m := range f.said {
		require.Equal(t, uint8(0xE0), m.Status)
		bends = append(bends, int(m.Data1)|int(m.Data2)<<7)
	}
	require.Equal(t, []int{8192 + 945, 8192 + 1890, 8192 + 2836, 8192 + 3781}, bends) // 945.23 a step
}

func TestMacrosAreHandedOn(t *testing.T) {
	p := planOf(t, "banks: {K: {voices: 2}}\nmacros: {bite: {from: CC 74 on 16, to: [K.cutoff]}}\n")
	s, f := session(t, p, Options{})
	f.said = nil
	s.Receive(0, []byte{0xBF, 74, 33, 0xBE, 74, 34, 0xBF, 75, 35}, 0)
	s.Send(f.hear)
	require.Len(t, f.said, 1)
	require.Equal(t, []uint8{74, 33}, []uint8{f.said[0].Data1, f.said[0].Data2})
}

func TestRefused(t *testing.T) {
	_, err := New(planOf(t, "banks: {K: {voices: 2}}\nparts: {p: {steal: least-lost}}\n"), Options{})
	require.EqualError(t, err, "part p steals by least-lost, which looks ahead, and nobody can live")
	rig, faults := profiles.Read("rig.yaml", []byte("rig: R\nbanks: {K: {voices: 2}}\n"), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	_, err = New(p, Options{})
	require.ErrorContains(t, err, "the rig has no interface")
}

// FuzzBytes: no stream, in whatever pieces, makes a session fail or leaves a
// gate high after the stop.
func FuzzBytes(f *testing.F) {
	f.Add([]byte{0x90, 60, 100, 62, 100, 0xFE, 0x80, 60, 64})
	f.Add([]byte{0xB0, 101, 0, 100, 6, 6, 3, 0x91, 60, 100, 0xE1, 0, 0x60})
	p := planOf(f, walls[1])
	f.Fuzz(func(t *testing.T, data []byte) {
		s, far := session(t, p, Options{})
		for i, b := range data {
			at := time.Duration(i) * time.Duration(b) * 10 * time.Microsecond
			s.Receive(0, data[i:min(len(data), i+1+int(b&3))], at)
			s.Send(far.hear)
		}
		s.Stop(s.Now() + time.Second)
		s.Send(far.hear)
		require.Empty(t, far.high)
		s.Receive(0, []byte{0x90, 60, 100}, time.Hour)
		s.Advance(time.Hour)
		s.Send(far.hear)
		require.Empty(t, far.high)
	})
}

// chord is four notes on and off, with bends between.
func chord() (reads [][]byte) {
	for _, key := range []byte{48, 55, 60, 127} {
		reads = append(reads, []byte{0x90, key, 100}, []byte{0xE0, 0, key})
	}
	for _, key := range []byte{48, 55, 60, 127} {
		reads = append(reads, []byte{0x80, key, 64})
	}
	return reads
}

func TestNoAllocation(t *testing.T) {
	for _, wall := range []string{"banks: {K: {voices: 3}}\n", walls[3], "banks: {K: {voices: 8}}\nparts: {p: {unison: {voices: 2}}}\n"} {
		noAllocation(t, wall)
	}
}

func noAllocation(t *testing.T, wall string) {
	s, _ := session(t, planOf(t, wall), Options{})
	reads, at := chord(), time.Duration(0)
	drop := func(int, []byte) {}
	play := func() {
		for _, r := range reads {
			at += 2 * ms
			s.Receive(0, r, at)
			s.Next()
			s.Send(drop)
		}
	}
	for range 200 {
		play()
	}
	require.Zero(t, testing.AllocsPerRun(100, play), wall)
}

func BenchmarkEvent(b *testing.B) {
	s, _ := session(b, planOf(b, "banks: {K: {voices: 8}}\n"), Options{})
	reads, at, i := chord(), time.Duration(0), 0
	drop := func(int, []byte) {}
	b.ReportAllocs()
	for b.Loop() {
		at += 2 * ms
		s.Receive(0, reads[i%len(reads)], at)
		s.Next()
		s.Send(drop)
		i++
	}
}
