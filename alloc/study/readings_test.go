package study_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// Where the rules in words could be read in two ways: the reading that
// [alloc.Readings] states, worked by hand. Times are in milliseconds.
func TestReadings(t *testing.T) {
	strict := rules(alloc.PickStrictRoundRobin, alloc.StealNone)
	part := func(base func(*study.Rules), change func(*alloc.Part)) func(*study.Rules) {
		return func(r *study.Rules) { base(r); change(&r.Config.Parts[0]) }
	}
	quietest := rules(alloc.PickLowest, alloc.StealQuietest)
	unknown := part(quietest, func(p *alloc.Part) { p.TailsUnknown = true })
	outer := rules(alloc.PickLowest, alloc.StealProtectOuter)
	mixed := part(outer, func(p *alloc.Part) { p.MixClasses = true })
	mixedQuietest := part(quietest, func(p *alloc.Part) { p.MixClasses = true })
	sameKey := part(rules(alloc.PickSameKey, alloc.StealNone), func(p *alloc.Part) { p.SameKey = alloc.StackLIFO })
	competes := part(outer, func(p *alloc.Part) { p.NewcomerCompetes = true })
	// The tail on 1 is down by 60·100/1000 = 6 dB at 800, that on 2 by 30.
	const twoTails = "60 0-700, 64 100-300, 67 800-900"
	// 55 is on the pedal, 50 held and older, 40 the bass; 60 comes.
	const innerPedal = "40 0-2000, 50 100-2000, cc64 down 150, 55 200-300, 60 400-2000"
	// 70 has gone into its tail, 50 is held and older; 60 comes.
	const youngTail = "40 0-2000, 50 100-2000, 70 200-400, 60 500-2000"
	for _, c := range []struct {
		name   string
		voices int
		t60    int
		change func(*study.Rules)
		song   string
		want   []string
	}{
		// 64 and 65 ask V1, which sounds, though V2 is free: a drop moves no pointer.
		{"strict round-robin with none", 2, 0, strict, "60 0-1000, 62 100-200, 64 300-400, 65 500-600, 67 1100-1200",
			[]string{"V1", "V2", "dropped 100 lost outer", "dropped 100 lost outer", "V1"}},
		{"strict round-robin with none takes a tail", 2, 1000, strict, "60 0-100, 62 200-500, 64 400-500",
			[]string{"V1 tail-cut @400 -18 dB", "V2", "V1"}},
		// At 500 key 60 is struck again behind 62: its first sounding ends there and
		// gives way, though 64 ends last. For itself it then takes 64's voice.
		{"fewest-cuts and a note that ends now", 2, 0, rules(alloc.PickLowest, alloc.StealFewestCuts),
			"on 60 0, 64 0-2000, on 62 500, on 60 500, off 62 600, off 60 900, off 60 900",
			[]string{"V1 superseded", "V2 held-cut @500, 1500 lost outer", "V1", "V2"}},
		// 60 and 61 end at 500: 62 takes the lower voice, 60 then the other, and 61
		// that of 64, which ends last.
		{"two that end now: the lowest number", 3, 0, rules(alloc.PickLowest, alloc.StealFewestCuts),
			"64 0-2000, on 60 0, on 61 0, on 62 500, on 60 500, on 61 500, off 62 600, off 60 600, off 60 600, off 61 600, off 61 600",
			[]string{"V1 held-cut @500, 1500 lost outer", "V2 superseded", "V3 superseded", "V2", "V3", "V1"}},
		// The same where another part may have V2 and V3 alone.
		{"two that end now in two banks", 3, 0, func(r *study.Rules) {
			rules(alloc.PickLowest, alloc.StealFewestCuts)(r)
			r.Config.Voices[1].Bank, r.Config.Voices[2].Bank = 1, 1
			other := r.Config.Parts[0]
			r.Config.Parts[0].Banks, r.Config.Parts[0].Sources = []int{0, 1}, []alloc.Source{{AnyPort: true, Channels: 1}}
			other.Banks, other.Sources = []int{1}, []alloc.Source{{AnyPort: true, Channels: 2}}
			r.Config.Parts = append(r.Config.Parts, other)
		}, "on 60 0, on 61 0, 64 0-2000, on 62 500, on 60 500, on 61 500, off 62 600, off 60 600, off 60 600, off 61 600, off 61 600",
			[]string{"V1 superseded", "V2 superseded", "V3 held-cut @500, 1500 lost outer", "V1", "V2", "V3"}},
		// The first 62 of 500 ends as it begins: 60, which ends then too, goes first.
		{"least-lost and a newcomer that ends now", 1, 0, rules(alloc.PickLowest, alloc.StealLeastLost),
			"on 60 0, on 62 500, on 62 500, on 60 500, off 62 600, off 62 600, off 60 700, off 60 700",
			[]string{"V1 superseded", "V1 superseded", "V1 born-cut @500, 100 lost outer", "V1"}},
		{"quietest: FREE before TAIL", 3, 1000, quietest, twoTails, []string{"V1", "V2", "V3"}},
		{"quietest: FREE and TAIL alike, tails unknown", 3, 1000, unknown, twoTails, []string{"V1 tail-cut @800 -6 dB", "V2", "V1"}},
		{"quietest chooses among tails", 2, 1000, quietest, twoTails, []string{"V1", "V2 tail-cut @800 -30 dB", "V2"}},
		{"quietest does not, tails unknown", 2, 1000, unknown, twoTails, []string{"V1 tail-cut @800 -6 dB", "V2", "V1"}},
		// 62 has begun in silence at this instant: it is quieter than any tail.
		{"quietest, tails before notes", 2, 1000, quietest, "60 0-500, 62 600-900, 64 600-900",
			[]string{"V1 tail-cut @600 -6 dB", "V2", "V1"}},
		{"quietest without class order", 2, 1000, mixedQuietest, "60 0-500, 62 600-900, 64 600-900",
			[]string{"V1", "V2 born-cut @600, 300 lost outer", "V2"}},
		// V1 has gone low last, V2 was attacked last.
		{"same-key, newest by attack", 2, 0, sameKey, "60 0-400, 60 100-300, 60 1000-1100", []string{"V1", "V2", "V2"}},
		{"struck again at once without a voice", 1, 0, rules(alloc.PickLowest, alloc.StealNone),
			"48 0-1000, on 60 500, on 60 500, off 60 600, off 60 600", []string{"V1", "V0 superseded", "dropped 100 lost outer"}},
		{"protect-outer", 3, 0, outer, innerPedal, []string{"V1", "V2", "V3 pedal-cut @400, 1600 lost", "V3"}},
		{"protect-outer without class order", 3, 0, mixed, innerPedal, []string{"V1", "V2 held-cut @400, 1600 lost", "V3", "V2"}},
		{"protect-outer and a young tail", 3, 1000, outer, youngTail, []string{"V1", "V2", "V3 tail-cut @500 -6 dB", "V3"}},
		{"protect-outer without class order and a young tail", 3, 1000, mixed, youngTail,
			[]string{"V1", "V2 held-cut @500, 1500 lost", "V3", "V2"}},
		// The tail is oldest, and goes though its key is that of the new bass.
		{"protect-outer without class order and a tail in the bass", 3, 1000, mixed, "40 0-400, 50 100-2000, 70 200-2000, 40 500-2000",
			[]string{"V1 tail-cut @500 -6 dB", "V2", "V3", "V1"}},
		{"protect-outer: nothing inner, so the top", 2, 0, mixed, "40 0-2000, 70 100-2000, 60 500-2000",
			[]string{"V1", "V2 held-cut @500, 1500 lost outer", "V2"}},
		{"protect-outer: only the bass is left", 1, 0, competes, "40 0-2000, 60 500-2000", []string{"V1 held-cut @500, 1500 lost outer", "V1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := study.Play(rig(c.voices, time.Duration(c.t60)*ms, c.change), song(t, 2000, c.song))
			require.NoError(t, err)
			require.Equal(t, c.want, told(r))
		})
	}
}

// Without a minimum gate a note without length gets none, but it asked for a
// voice: where it finds none it is dropped, and loses no time.
func TestNoteWithoutLengthAndMinimumGate(t *testing.T) {
	p := song(t, 2000, "48 0-1000")
	p.Steps = append(p.Steps[:1:1],
		midi.Step{At: 500 * ms, Kind: midi.StepNoteOn, Key: 60, Value: 100, Zero: true},
		midi.Step{At: 500 * ms, Kind: midi.StepNoteOff, Key: 60}, p.Steps[1])
	for _, c := range []struct {
		voices int
		want   []string
	}{
		{1, []string{"V1", "dropped 0 lost outer"}},
		{2, []string{"V1", "V2"}},
	} {
		r, err := study.Play(rig(c.voices, 0, func(r *study.Rules) {
			rules(alloc.PickLowest, alloc.StealNone)(r)
			r.Config.MinGate = 0
		}), p)
		require.NoError(t, err)
		require.Equal(t, c.want, told(r))
	}
}

// A tail is cut by its own key where the key has the same number and the note
// the same part, whatever its channel.
func TestOwnKey(t *testing.T) {
	for _, c := range []struct {
		name     string
		channels [2]uint16 // of two parts
		key      midi.Key
		want     study.Ending
	}{
		{"same part, other channel", [2]uint16{3, 0}, 60, study.TailCutOwnKey},
		{"other part", [2]uint16{1, 2}, 60, study.TailCutOtherKey},
		{"other key", [2]uint16{3, 0}, 61, study.TailCutOtherKey},
	} {
		t.Run(c.name, func(t *testing.T) {
			rules := rig(1, 1000*ms, func(r *study.Rules) {
				r.Config.Parts = append(r.Config.Parts, r.Config.Parts[0])
				for i, channels := range c.channels {
					r.Config.Parts[i].Sources = []alloc.Source{{AnyPort: true, Channels: channels}}
				}
			})
			p := song(t, 2000, "60 0-500")
			p.Steps = append(p.Steps, midi.Step{At: 600 * ms, Kind: midi.StepNoteOn, Channel: 1, Key: c.key, Value: 100},
				midi.Step{At: 700 * ms, Kind: midi.StepNoteOff, Channel: 1, Key: c.key})
			r, err := study.Play(rules, p)
			require.NoError(t, err)
			require.Equal(t, c.want, r.Outcomes[0].Ending)
		})
	}
}

// Two voices that rest on their sustain are equal, though one began earlier: the
// lower number is given up. Before, it is the one that fell first. V2 is full at 105 ms
// and V1 at 305. From a level of 1 to a sustain of 0.5 a float64 tells the rest of the fall
// from nothing for ln(0.5/0.5) + 54·ln 2 = 37.43 time constants of 300/6.908 ms, which is 1626 ms;
// on a sustain of 1 nothing falls.
func TestQuietestOfEqualVoices(t *testing.T) {
	for _, c := range []struct {
		sustain float64
		at      int
		want    string // given up
	}{{0.5, 1800, "V2"}, {0.5, 1940, "V1"}, {0.5, 5000, "V1"}, {1, 320, "V1"}} {
		r, err := study.Play(rig(2, 0, func(r *study.Rules) {
			r.Config.Parts[0].Steal = alloc.StealQuietest
			for i := range r.Config.Voices {
				r.Config.Voices[i].Envelope.Sustain = c.sustain
			}
		}), song(t, 9000, fmt.Sprintf("60 0-200, 62 100-9000, 64 300-9000, 66 %d-9000", c.at)))
		require.NoError(t, err)
		want := []string{"V1", "V2", "V1", c.want}
		lost := fmt.Sprintf(" held-cut @%d, %d lost", c.at, 9000-c.at)
		if c.want == "V1" {
			want[2] += lost
		} else {
			want[1] += lost + " outer"
		}
		require.Equal(t, want, told(r), "%+v", c)
	}
}
