package study_test

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// The scenarios were invented for this project and worked by hand from the
// rules. Times are in milliseconds.

const ms = time.Millisecond

// rig returns V voices in one bank and one part, T60 0, with the defaults of a
// rig file otherwise.
func rig(voices int, t60 time.Duration, change func(*study.Rules)) study.Rules {
	r := study.Rules{Gap: 3 * ms, Lead: ms, Overlap: 80 * ms, LimitDB: -40,
		Config: alloc.Config{MinGate: 5 * ms, FreeDB: -60}}
	for range voices {
		r.Config.Voices = append(r.Config.Voices, alloc.Voice{Envelope: alloc.Envelope{
			Attack: 5 * ms, Decay: 300 * ms, Sustain: 1, Release: t60}})
	}
	r.Config.Parts = []alloc.Part{{Name: "all", Sources: []alloc.Source{{AnyPort: true, Channels: 0xFFFF}},
		Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127}, Banks: []int{0},
		Second: alloc.PickLongestIdle, BendRange: 2, Priority: 1}}
	if change != nil {
		change(&r)
	}
	return r
}

func rules(pick alloc.PickRule, steal alloc.StealRule) func(*study.Rules) {
	return func(r *study.Rules) { r.Config.Parts[0].Pick, r.Config.Parts[0].Steal = pick, steal }
}

// song makes a performance of words like "60 0-500" (key 60, on at 0, off at
// 500), "cc64 down 0", "cc123 600" and "bend 16383 0", parted by commas; "c2"
// or "c3" before a word puts it on that channel. Events of one instant are ordered as the
// midi package orders them.
func song(t *testing.T, end int, words string) study.Performance {
	t.Helper()
	return songOf(t, end, words)
}

func songOf(t require.TestingT, end int, words string) study.Performance {
	channel := midi.Channel(0)
	var steps []midi.Step
	add := func(at string, s midi.Step) {
		n, err := strconv.Atoi(at)
		require.NoError(t, err)
		s.At, s.Tick, s.Channel = time.Duration(n)*ms, midi.Tick(n), channel
		steps = append(steps, s)
	}
	num := func(s string) uint16 {
		n, err := strconv.Atoi(s)
		require.NoError(t, err)
		return uint16(n)
	}
	for _, w := range strings.Split(words, ",") {
		f := strings.Fields(w)
		if channel = 0; f[0] == "c2" || f[0] == "c3" {
			channel, f = midi.Channel(f[0][1]-'1'), f[1:]
		}
		switch {
		case f[0] == "cc64" || f[0] == "cc66":
			kind := map[string]midi.StepKind{"cc64": midi.StepSustain, "cc66": midi.StepSostenuto}[f[0]]
			add(f[2], midi.Step{Kind: kind, Value: map[string]uint16{"down": 127, "up": 0}[f[1]]})
		case f[0] == "cc123":
			add(f[1], midi.Step{Kind: midi.StepNotesOff})
		case f[0] == "cc120":
			add(f[1], midi.Step{Kind: midi.StepSoundOff})
		case f[0] == "bend":
			add(f[2], midi.Step{Kind: midi.StepBend, Value: num(f[1])})
		case f[0] == "on":
			add(f[2], midi.Step{Kind: midi.StepNoteOn, Key: midi.Key(num(f[1])), Value: 100})
		case f[0] == "off":
			add(f[2], midi.Step{Kind: midi.StepNoteOff, Key: midi.Key(num(f[1]))})
		default:
			on, off, found := strings.Cut(f[1], "-")
			require.True(t, found, w)
			add(on, midi.Step{Kind: midi.StepNoteOn, Key: midi.Key(num(f[0])), Value: 100})
			add(off, midi.Step{Kind: midi.StepNoteOff, Key: midi.Key(num(f[0]))})
		}
	}
	slices.SortStableFunc(steps, func(a, b midi.Step) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(late(a), late(b)))
	})
	return study.Performance{Steps: steps, End: time.Duration(end) * ms}
}

func late(s midi.Step) int {
	if s.Kind == midi.StepNoteOn {
		return 1
	}
	return 0
}

// told puts what became of each note into words: voice, then the loss if any.
func told(r *study.Replay) []string {
	var all []string
	for i, o := range r.Outcomes {
		s := fmt.Sprintf("V%d", o.Voice+1)
		switch o.Ending {
		case study.Complete:
		case study.Superseded:
			s += " superseded"
		case study.TailCutOtherKey, study.TailCutOwnKey, study.TailCutInaudible:
			s += fmt.Sprintf(" tail-cut @%d %.0f dB", o.At/ms, o.LevelDB)
		case study.Dropped:
			s = fmt.Sprintf("dropped %d lost", o.Lost/ms)
		default:
			name := map[study.Ending]string{study.BornCut: "born-cut", study.HeldCut: "held-cut",
				study.OverlapOnly: "overlap-only", study.PedalCut: "pedal-cut", study.LateStart: "late-start"}[o.Ending]
			s += fmt.Sprintf(" %s @%d, %d lost", name, o.At/ms, o.Lost/ms)
		}
		if o.Outer {
			s += " outer"
		}
		_ = i
		all = append(all, s)
	}
	return all
}

func TestScenarios(t *testing.T) {
	const five = "48 0-2000, 52 100-2000, 55 200-2000, 60 300-2000, 64 400-2000"
	const chord = "36 0-2000, 52 0-2000, 55 0-2000, 59 0-2000, 62 0-2000"
	const picking = "60 0-500, 62 200-900, 64 300-400, 65 600-700, 67 800-850"
	const tails = "60 0-500, 64 600-700, 67 800-900"
	const pedal = "cc64 down 0, 48 0-1000, 52 250-350, 55 450-550, 57 700-900, cc64 up 2000"
	unknown := func(r *study.Rules) {
		rules(alloc.PickLowest, alloc.StealOldest)(r)
		r.Config.Parts[0].TailsUnknown = true
	}
	mixed := func(r *study.Rules) {
		rules(alloc.PickLowest, alloc.StealOldest)(r)
		r.Config.Parts[0].MixClasses = true
	}
	low := alloc.PickLowest
	for _, c := range []struct {
		name   string
		voices int
		t60    time.Duration
		change func(*study.Rules)
		song   string
		want   []string
	}{
		{"picking: lowest", 3, 0, rules(low, alloc.StealProtectOuter), picking, []string{"V1", "V2", "V3", "V1", "V1"}},
		{"picking: round-robin", 3, 0, rules(alloc.PickRoundRobin, alloc.StealProtectOuter), picking, []string{"V1", "V2", "V3", "V1", "V3"}},
		{"picking: longest-idle", 3, 0, rules(alloc.PickLongestIdle, alloc.StealProtectOuter), picking, []string{"V1", "V2", "V3", "V3", "V1"}},
		{"tails unknown", 2, 1000 * ms, unknown, tails, []string{"V1 tail-cut @600 -6 dB", "V1 tail-cut @800 -6 dB", "V1"}},
		{"tails known", 2, 1000 * ms, rules(low, alloc.StealOldest), tails, []string{"V1 tail-cut @800 -18 dB", "V2", "V1"}},
		{"five on four: oldest", 4, 0, rules(low, alloc.StealOldest), five, []string{"V1 held-cut @400, 1600 lost outer", "V2", "V3", "V4", "V1"}},
		{"five on four: lowest", 4, 0, rules(low, alloc.StealLowest), five, []string{"V1 held-cut @400, 1600 lost outer", "V2", "V3", "V4", "V1"}},
		{"five on four: newest", 4, 0, rules(low, alloc.StealNewest), five, []string{"V1", "V2", "V3", "V4 held-cut @400, 1600 lost", "V4"}},
		{"five on four: protect-outer", 4, 0, rules(low, alloc.StealProtectOuter), five, []string{"V1", "V2 held-cut @400, 1600 lost", "V3", "V4", "V2"}},
		{"five on four: none", 4, 0, rules(low, alloc.StealNone), five, []string{"V1", "V2", "V3", "V4", "dropped 1600 lost outer"}},
		{"chord at one instant: oldest", 4, 0, rules(low, alloc.StealOldest), chord, []string{"V1 born-cut @0, 2000 lost outer", "V2", "V3", "V4", "V1"}},
		{"chord at one instant: protect-outer", 4, 0, rules(low, alloc.StealProtectOuter), chord, []string{"V1", "V2 born-cut @0, 2000 lost", "V3", "V4", "V2"}},
		{"chord at one instant: none", 4, 0, rules(low, alloc.StealNone), chord, []string{"V1", "V2", "V3", "V4", "dropped 2000 lost outer"}},
		{"pedal: class order", 3, 200 * ms, rules(low, alloc.StealOldest), pedal, []string{"V1", "V2 pedal-cut @700, 1300 lost", "V3", "V2"}},
		{"pedal: mixed", 3, 200 * ms, mixed, pedal, []string{"V1 held-cut @700, 1300 lost outer", "V2", "V3", "V1"}},
		{"one out", 4, 0, func(r *study.Rules) {
			rules(alloc.PickRoundRobin, alloc.StealOldest)(r)
			r.Config.Voices[1].State = alloc.Out
		}, "48 0-2000, 52 100-2000, 55 200-2000, 60 300-2000",
			[]string{"V1 held-cut @300, 1700 lost outer", "V3", "V4", "V1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := study.Play(rig(c.voices, c.t60, c.change), song(t, 2000, c.song))
			require.NoError(t, err)
			require.Equal(t, c.want, told(r))
			require.Zero(t, r.Rig.Tally.Orphan, "a stolen key's own off is no orphan")
		})
	}
}

// gates lists when each note's gate should be high, as "key on-off".
func gates(r *study.Reference) []string {
	var all []string
	for _, n := range r.Notes {
		all = append(all, fmt.Sprintf("%d %d-%d", n.Key, n.Start/ms, n.End/ms))
	}
	return all
}

func TestScenariosOfGates(t *testing.T) {
	for _, c := range []struct {
		name string
		rule alloc.SameKey
		song string
		want []string
	}{
		{"same key under the pedal: retrigger", alloc.RetriggerCounted, "cc64 down 0, 60 50-150, 60 300-400, cc64 up 1000", []string{"60 50-300", "60 300-1000"}},
		{"same key under the pedal: stack", alloc.StackFIFO, "cc64 down 0, 60 50-150, 60 300-400, cc64 up 1000", []string{"60 50-1000", "60 300-1000"}},
		{"velocity 0 and overlap: first-off", alloc.RetriggerFirstOff, "60 0-300, 60 200-500", []string{"60 0-200", "60 200-300"}},
		{"velocity 0 and overlap: counted", alloc.RetriggerCounted, "60 0-300, 60 200-500", []string{"60 0-200", "60 200-500"}},
		{"velocity 0 and overlap: stack fifo", alloc.StackFIFO, "60 0-300, 60 200-500", []string{"60 0-300", "60 200-500"}},
		{"velocity 0 and overlap: stack lifo", alloc.StackLIFO, "60 0-300, 60 200-500", []string{"60 0-500", "60 200-300"}},
		{"sostenuto", alloc.RetriggerCounted, "48 0-500, cc66 down 300, 52 350-450, cc64 down 800, cc66 up 900, cc64 up 1200", []string{"48 0-1200", "52 350-450"}},
		{"sostenuto: with CC123", alloc.RetriggerCounted, "48 0-500, cc66 down 300, 52 350-450, cc123 600, cc64 down 800, cc66 up 900, cc64 up 1200", []string{"48 0-1200", "52 350-450"}},
		{"sostenuto: with CC120", alloc.RetriggerCounted, "48 0-500, cc66 down 300, 52 350-450, cc120 600, cc64 down 800, cc66 up 900, cc64 up 1200", []string{"48 0-600", "52 350-450"}},
		{"off and on at one tick: off first", alloc.RetriggerCounted, "60 0-480, 60 480-960", []string{"60 0-480", "60 480-960"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := study.Play(rig(4, 0, func(r *study.Rules) { r.Config.Parts[0].SameKey = c.rule }), song(t, 1000, c.song))
			require.NoError(t, err)
			require.Equal(t, c.want, gates(r.Reference))
			require.Zero(t, r.Rig.Tally.Damaged())
			require.Zero(t, r.Rig.Tally.Orphan)
		})
	}
}

// Off and on at one tick, in strict file order under first-off: the off that stands behind
// the second note-on swallows it.
func TestStrictFileOrderSwallows(t *testing.T) {
	p := song(t, 1000, "on 60 0, on 60 480, off 60 960")
	p.Steps = slices.Insert(p.Steps, 2, midi.Step{At: 480 * ms, Kind: midi.StepNoteOff, Key: 60})
	r, err := study.Play(rig(1, 0, func(r *study.Rules) { r.Config.Parts[0].SameKey = alloc.RetriggerFirstOff }), p)
	require.NoError(t, err)
	require.Equal(t, []string{"60 0-480", "60 480-485"}, gates(r.Reference), "the swallowed note keeps the minimum gate")
	require.Equal(t, 1, r.Rig.Tally.Swallowed)
}

// 0 V at key 36, 0–5 V, so keys 36–96; key 90, full bend up.
func TestClamp(t *testing.T) {
	for _, c := range []struct {
		bendRange      float64
		pitch, missed  float64
		clampedToCount int
	}{
		// 90 + 12·8191/8192 = 101.998535…; clamped to 96: −599.8535 cents
		{12, 96, -599.8535, 1},
		// 90 + 2·8191/8192 = 91.9997559 = (91.9997559 − 36)/12 = 4.66665 V
		{2, 91.9997559, 0, 0},
	} {
		rules := rig(1, 0, func(r *study.Rules) {
			r.Config.Voices[0].Window = alloc.Window{Bounded: true, Low: 36, High: 96}
			r.Config.Parts[0].BendRange = c.bendRange
		})
		p := song(t, 1000, "bend 16383 0, 90 100-500")
		r, err := study.Play(rules, p)
		require.NoError(t, err)
		require.InDelta(t, c.missed, r.Outcomes[0].Missed, 1e-4)
		require.Equal(t, c.clampedToCount, r.Rig.Tally.Clamped)
		wanted := 90 + c.bendRange*8191/8192
		require.InDeltaSlice(t, []float64{wanted, wanted}, []float64{r.Outcomes[0].Low, r.Outcomes[0].High}, 1e-6)
		e, err := alloc.New(rules.Config)
		require.NoError(t, err)
		for _, s := range p.Steps {
			e.Feed(&s, func(d *alloc.Decision) {
				if d.Kind == alloc.Take {
					require.InDelta(t, c.pitch, d.Pitch, 1e-6)
				}
			})
		}
	}
}

// Keys 36–96 are in range: a key below or above is moved by the fewest octaves that
// bring it there, also from 12 and from 13 semitones outside, and its bend goes along.
func TestFold(t *testing.T) {
	rules := rig(1, 0, func(r *study.Rules) {
		r.Config.Voices[0].Window = alloc.Window{Bounded: true, Low: 36, High: 96}
		r.Config.Parts[0].OutOfRange = alloc.Fold
	})
	for key, pitch := range map[int]float64{0: 36, 11: 47, 23: 47, 24: 36, 35: 47, 36: 36, 60: 60, 96: 96, 97: 85, 108: 96, 109: 85, 127: 91} {
		e, err := alloc.New(rules.Config)
		require.NoError(t, err)
		taken := 0
		for _, s := range song(t, 1000, fmt.Sprintf("bend 4096 0, %d 100-500", key)).Steps {
			e.Feed(&s, func(d *alloc.Decision) {
				if d.Kind == alloc.Take { // a bend of half its range down is a semitone
					require.InDelta(t, max(36, pitch-1), d.Pitch, 1e-6, "key %d", key)
					taken++
				}
			})
		}
		require.Equal(t, 1, taken)
	}
}

// One voice, gap 3, minimum gate 5: 62 comes 3 ms late.
func TestGap(t *testing.T) {
	r, err := study.Play(rig(1, 0, nil), song(t, 1000, "60 0-1000, 62 500-502"))
	require.NoError(t, err)
	require.Equal(t, []string{"V1 held-cut @500, 500 lost outer", "V1"}, told(r))
	require.Equal(t, 3*ms, r.Outcomes[1].Late)
	require.Equal(t, 1, r.Rig.Tally.Late)
	r, err = study.Play(rig(1, 0, nil), song(t, 1000, "on 60 0, on 60 500, off 60 900, off 60 900"))
	require.NoError(t, err)
	require.Equal(t, 3*ms, r.Outcomes[1].Late, "struck again")
}
