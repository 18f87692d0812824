package study_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// decided runs the engine alone and puts its decisions into words, one string
// an instant: "100: 60 on 1,2 (60 gives 2)".
func decided(t *testing.T, cfg alloc.Config, p study.Performance) []string {
	t.Helper()
	e, err := alloc.New(cfg)
	require.NoError(t, err)
	var all []string
	say := func(d *alloc.Decision) {
		word := ""
		switch d.Kind {
		case alloc.Take:
			word = fmt.Sprintf("%d on V%d", d.Key, d.Voice+1)
			if d.Cut != alloc.NoNote && d.Was >= alloc.Pedal {
				word += fmt.Sprintf(" from %d", d.CutKey)
				if d.CutLeft > 0 {
					word += fmt.Sprintf(" which keeps %d", d.CutLeft)
				}
			}
		case alloc.Reattack:
			word = fmt.Sprintf("%d again on V%d", d.Key, d.Voice+1)
		case alloc.Slide:
			word = fmt.Sprintf("%d legato on V%d", d.Key, d.Voice+1)
		case alloc.Drop:
			word = fmt.Sprintf("%d dropped", d.Key)
		case alloc.Release:
			word = fmt.Sprintf("%d off V%d", d.Key, d.Voice+1)
		default:
			return
		}
		all = append(all, fmt.Sprintf("%d: %s", d.At/ms, word))
	}
	for _, s := range p.Steps {
		e.Feed(&s, say)
	}
	e.Finish(p.End, say)
	return all
}

func unison(n int, w alloc.WhenShort) func(*study.Rules) {
	return func(r *study.Rules) {
		rules(alloc.PickLowest, alloc.StealOldest)(r)
		r.Config.Parts[0].Unison = alloc.Unison{Voices: n, WhenShort: w}
	}
}

// Unison 3 on 8 voices, lowest, oldest: worked by hand.
func TestUnisonOfThree(t *testing.T) {
	const notes = "60 0-2000, 62 500-2000, 64 1000-2000, 65 1500-2000"
	r, err := study.Play(rig(8, 0, unison(3, alloc.Blocks)), song(t, 2000, notes))
	require.NoError(t, err)
	require.Equal(t, []string{"V1 held-cut @1000, 1000 lost outer", "V4 held-cut @1500, 500 lost outer", "V1", "V4"}, told(r))
	require.Equal(t, 2, r.Rig.Tally.Damaged(), "one note, three voices")
	require.Zero(t, r.Voices[6].Takes+r.Voices[7].Takes, "7 and 8 are idle")

	r, err = study.Play(rig(8, 0, unison(3, alloc.Thin)), song(t, 2000, notes))
	require.NoError(t, err)
	require.Equal(t, []string{"V1 held-cut @1500, 500 lost outer", "V4", "V7", "V1"}, told(r))
	require.Equal(t, 2, r.Outcomes[2].Fewest)
	require.Equal(t, 1, r.Rig.Tally.Thinned)

	r, err = study.Play(rig(4, 0, unison(3, alloc.Thin)), song(t, 1000, "60 0-900, 62 100-900"))
	require.NoError(t, err)
	require.Equal(t, 1, r.Rig.Tally.Thinned, "one voice of three")
}

// Elastic, six voices: worked by hand.
func TestElasticGivesAndTakes(t *testing.T) {
	p := song(t, 4000, "60 0-2500, 62 500-1500, 64 1000-2500, 65 2000-3500, 67 3000-3500")
	cfg := rig(6, 0, unison(6, alloc.Elastic)).Config
	got := strings.Join(decided(t, cfg, p), "\n")
	require.Equal(t, strings.Join([]string{
		"0: 60 on V1", "0: 60 on V2", "0: 60 on V3", "0: 60 on V4", "0: 60 on V5", "0: 60 on V6",
		"500: 62 on V4 from 60 which keeps 3", "500: 62 on V5 from 60 which keeps 3", "500: 62 on V6 from 60 which keeps 3",
		"1000: 64 on V3 from 60 which keeps 2", "1000: 64 on V6 from 62 which keeps 2",
		"1500: 62 off V4", "1500: 62 off V5",
		"2000: 65 on V4", "2000: 65 on V5",
		"2500: 60 off V1", "2500: 60 off V2", "2500: 64 off V3", "2500: 64 off V6",
		"3000: 67 on V1", "3000: 67 on V2", "3000: 67 on V3",
		"3500: 65 off V4", "3500: 65 off V5", "3500: 67 off V1", "3500: 67 off V2", "3500: 67 off V3",
	}, "\n"), got)
	require.Equal(t, 5, strings.Count(got, "which keeps"), "voice-takes from sounding notes")
}

// Reserved voices and priorities on six shared voices: worked by hand.
func TestReservedVoices(t *testing.T) {
	cfg := rig(6, 0, rules(alloc.PickLowest, alloc.StealOldest)).Config
	all := cfg.Parts[0]
	cfg.Parts = nil
	for n, p := range []struct {
		name           string
		reserve, limit int
	}{{"bass", 1, 1}, {"lead", 1, 2}, {"chord", 3, 5}} {
		part := all
		part.Name, part.Reserve, part.Limit, part.Priority = p.name, p.reserve, p.limit, n+1
		part.Sources = []alloc.Source{{AnyPort: true, Channels: 1 << n}}
		cfg.Parts = append(cfg.Parts, part)
	}
	const bass, lead, chord = 0, 1, 2
	var steps []midi.Step
	play := func(at int, channel midi.Channel, kind midi.StepKind, keys ...midi.Key) {
		for _, k := range keys {
			steps = append(steps, midi.Step{At: time.Duration(at) * ms, Kind: kind, Channel: channel, Key: k, Value: 100})
		}
	}
	play(0, bass, midi.StepNoteOn, 36)
	play(0, chord, midi.StepNoteOn, 48, 52, 55, 59)
	play(500, chord, midi.StepNoteOn, 62)
	play(800, lead, midi.StepNoteOn, 79)
	play(1000, lead, midi.StepNoteOn, 81)
	play(1200, lead, midi.StepNoteOff, 79)
	play(1300, chord, midi.StepNoteOn, 65)
	got := decided(t, cfg, study.Performance{Steps: steps, End: 1400 * ms})
	require.Equal(t, []string{
		"0: 36 on V1", "0: 48 on V2", "0: 52 on V3", "0: 55 on V4", "0: 59 on V5",
		"500: 62 on V2 from 48", "800: 79 on V6", "1000: 81 on V3 from 52", "1200: 79 off V6", "1300: 65 on V6",
	}, got[:10])
}

// Mono, 48 0–1000, 52 200–600, 55 400–500: worked by hand.
func TestMonoPriorities(t *testing.T) {
	p := song(t, 2000, "48 0-1000, 52 200-600, 55 400-500")
	mono := func(mode alloc.Mode, press, back bool) []string {
		return decided(t, rig(4, 0, func(r *study.Rules) {
			q := &r.Config.Parts[0]
			q.Mode, q.ReattackPress, q.ReattackReturn = mode, press, back
		}).Config, p)
	}
	require.Equal(t, []string{"0: 48 on V1", "200: 52 legato on V1", "400: 55 legato on V1",
		"500: 52 legato on V1", "600: 48 legato on V1", "1000: 48 off V1"}, mono(alloc.MonoLast, false, false))
	require.Equal(t, []string{"0: 48 on V1", "200: 52 again on V1", "400: 55 again on V1",
		"500: 52 legato on V1", "600: 48 legato on V1", "1000: 48 off V1"}, mono(alloc.MonoLast, true, false))
	require.Equal(t, []string{"0: 48 on V1", "200: 52 again on V1", "400: 55 again on V1",
		"500: 52 again on V1", "600: 48 again on V1", "1000: 48 off V1"}, mono(alloc.MonoLast, true, true))
	require.Equal(t, []string{"0: 48 on V1", "1000: 48 off V1"}, mono(alloc.MonoLow, false, false))

	r, err := study.Play(rig(4, 0, func(r *study.Rules) { r.Config.Parts[0].Mode = alloc.MonoLast }), p)
	require.NoError(t, err)
	require.Equal(t, 1, r.Rig.Demand.Held, "one gate at a time")
	require.Equal(t, []string{"V1 superseded", "V1 superseded", "V1"}, told(r))
	require.Equal(t, []string{"48 0-200", "52 200-400", "55 400-1000"}, gates(r.Reference))
}

// Sostenuto keeps a key that was down when it was pressed, also if that key
// has been pressed again since, has lost the gate meanwhile, or sounds again
// only when another key goes up.
func TestLatchOfAMonoKeyPressedAgain(t *testing.T) {
	for _, c := range []struct {
		name string
		mode alloc.Mode
		song string
		want []string
	}{
		// 48 sounds; 60, latched at 100 and pressed again at 200, gets the gate at 300.
		{"while another key sounds", alloc.MonoLow,
			"on 48 0, on 60 50, cc66 down 100, on 60 200, off 48 300, off 60 400, off 60 500, cc66 up 1000",
			[]string{"0: 48 on V1", "300: 60 legato on V1", "1000: 60 off V1"}},
		// 60 is new at 200: sostenuto has not met it.
		{"and one that was not down", alloc.MonoLow,
			"on 48 0, cc66 down 100, on 60 200, off 48 300, off 60 500, cc66 up 1000",
			[]string{"0: 48 on V1", "300: 60 legato on V1", "500: 60 off V1"}},
		// Kept from 150, pressed again at 200: when 62 goes up it is still latched.
		{"while kept, then covered", alloc.MonoLast,
			"on 60 0, cc66 down 100, off 60 150, on 60 200, on 62 300, off 62 400, off 60 500, cc66 up 1000",
			[]string{"0: 60 on V1", "200: 60 again on V1", "300: 62 legato on V1", "400: 60 legato on V1", "1000: 60 off V1"}},
		{"62 is not latched by 60", alloc.MonoLast,
			"on 60 0, cc66 down 100, off 60 150, on 62 300, off 62 400, cc66 up 1000",
			[]string{"0: 60 on V1", "300: 62 again on V1", "400: 62 off V1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rig(1, 0, func(r *study.Rules) { r.Config.Parts[0].Mode = c.mode })
			require.Equal(t, c.want, decided(t, r.Config, song(t, 2000, c.song)))
		})
	}
}

// bends returns the times, keys and pitches of what is bent.
func bends(t *testing.T, cfg alloc.Config, p study.Performance) []string {
	t.Helper()
	e, err := alloc.New(cfg)
	require.NoError(t, err)
	var all []string
	say := func(d *alloc.Decision) {
		if d.Kind == alloc.Bend {
			require.EqualValues(t, 1, d.Of, "a note, or a tail, of one voice")
			all = append(all, fmt.Sprintf("%d: %d to %.0f", d.At/ms, d.Key, d.Pitch))
		}
	}
	for _, s := range p.Steps {
		e.Feed(&s, say)
	}
	e.Finish(p.End, say)
	return all
}

// A tail on a per-note channel follows its bend until the channel plays
// another note, sounding or not; then the channel is that note's (MIDI
// Polyphonic Expression 1.0, 2.2: a channel a note; 48 semitones each way). A
// bend of 0 is all the way down.
func TestTailOfAPerNoteChannel(t *testing.T) {
	perNote := func(p *alloc.Part) { p.Sources, p.Zones = nil, []midi.Zone{{AnyPort: true, Members: 15}} }
	for _, c := range []struct {
		name   string
		change func(*alloc.Part)
		song   string
		want   []string
	}{
		{"channel used again", perNote, "c2 60 0-100, c2 bend 0 200, c2 70 300-900, c2 bend 8192 400",
			[]string{"200: 60 to 12", "400: 70 to 70"}},
		{"other channel", perNote, "c2 60 0-100, c3 70 300-900, c2 bend 0 400", []string{"400: 60 to 12"}},
		{"channel of many notes", func(*alloc.Part) {}, "c2 60 0-100, c2 70 300-900, c2 bend 0 400", []string{"400: 60 to 58", "400: 70 to 68"}},
		// 50 loses to 45, which sounds: it is never heard, and has the channel all the same.
		{"by a key that never sounds", func(p *alloc.Part) { perNote(p); p.Mode = alloc.MonoLow },
			"c2 40 0-100, c3 45 150-900, c2 50 300-600, c2 bend 0 400", nil},
		{"by a key that follows on", func(p *alloc.Part) { perNote(p); p.Mode = alloc.MonoLast },
			"c2 40 0-100, c3 45 150-900, c2 50 300-900, c2 bend 0 400", []string{"400: 50 to 2"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rig(2, time.Second, func(r *study.Rules) {
				part := &r.Config.Parts[0]
				part.Pick, part.BendTails = alloc.PickLongestIdle, true
				c.change(part)
			})
			require.Equal(t, c.want, bends(t, r.Config, song(t, 2000, c.song)))
		})
	}
}

// A note that waits and is bent out of the window meanwhile begins when the
// bend brings it back: 70 with nearly 2 semitones up is above 71.
func TestWaitsForABend(t *testing.T) {
	r := rig(2, 0, func(r *study.Rules) {
		unison(2, alloc.Wait)(r)
		r.Config.Parts[0].OutOfRange = alloc.DropNote
		for i := range r.Config.Voices {
			r.Config.Voices[i].Window = alloc.Window{Bounded: true, Low: 48, High: 71}
		}
	})
	p := song(t, 2000, "60 0-300, c2 70 100-1000, c2 bend 16383 200, c2 bend 8192 400")
	require.Equal(t, []string{"0: 60 on V1", "0: 60 on V2", "300: 60 off V1", "300: 60 off V2",
		"400: 70 on V1", "400: 70 on V2", "1000: 70 off V1", "1000: 70 off V2"}, decided(t, r.Config, p))
}

// Strict round-robin gives a note the next two voices whatever they do, and waits while
// they sound: 64 for V1 and V2, though V3 and V4 are silent from 200 on. When 60 is struck
// again, on its own voices, the next two are V3 and V4.
func TestWaitsForTheTurn(t *testing.T) {
	r := rig(4, 0, unison(2, alloc.Wait))
	r.Config.Parts[0].Pick = alloc.PickStrictRoundRobin
	p := song(t, 2000, "on 60 0, 62 50-200, 64 100-1000, on 60 300, off 60 800, off 60 900")
	require.Equal(t, []string{"0: 60 on V1", "0: 60 on V2", "50: 62 on V3", "50: 62 on V4", "200: 62 off V3", "200: 62 off V4",
		"300: 60 again on V1", "300: 60 again on V2", "300: 64 on V3", "300: 64 on V4",
		"900: 60 off V1", "900: 60 off V2", "1000: 64 off V3", "1000: 64 off V4"}, decided(t, r.Config, p))
}

// Of key pressure and channel pressure a note has what came last, also on a voice that it
// gets only later: 80, not 50, where 64 waited for its voices, and where 60 grows again.
func TestPressureThatCameLast(t *testing.T) {
	for _, c := range []struct {
		how  alloc.WhenShort
		key  midi.Key
		off  midi.Key
		want []uint8 // of all takes
	}{{alloc.Wait, 64, 60, []uint8{0, 0, 80, 80}}, {alloc.Elastic, 60, 64, []uint8{0, 0, 0, 80}}} {
		r := rig(2, 0, unison(2, c.how))
		r.Config.Parts[0].Unison.Regrow = true
		e, err := alloc.New(r.Config)
		require.NoError(t, err)
		var got []uint8
		for _, s := range []midi.Step{{Kind: midi.StepNoteOn, Key: 60, Value: 64}, {At: 100 * ms, Kind: midi.StepNoteOn, Key: 64, Value: 64},
			{At: 200 * ms, Kind: midi.StepKeyPressure, Key: c.key, Value: 50}, {At: 250 * ms, Kind: midi.StepChannelPressure, Value: 80},
			{At: 300 * ms, Kind: midi.StepNoteOff, Key: c.off}} {
			e.Feed(&s, func(d *alloc.Decision) {
				if d.Kind == alloc.Take {
					got = append(got, d.Pressure)
				}
			})
		}
		require.Equal(t, c.want, got)
	}
}

// Channel 16 is a member of the lower zone and bent down by all of its range when RPN 6 makes
// it the manager of an upper one with channel 15, where 59 sounds. The bend of a manager
// is of 2 semitones, of a member 48 (M1-100-UM, from memory): the note goes to 57, whether
// it is fed or played from a script.
func TestAMemberBecomesAManager(t *testing.T) {
	r := rig(1, 0, func(r *study.Rules) {
		r.Config.Parts[0].Sources = nil
		r.Config.Parts[0].Zones = []midi.Zone{{AnyPort: true, Upper: true, Members: 1}, {AnyPort: true, Members: 15}}
	})
	p := study.Performance{End: time.Second, Steps: []midi.Step{{Kind: midi.StepBend, Channel: 15},
		{At: 100 * ms, Kind: midi.StepNoteOn, Channel: 14, Key: 59, Value: 64}, {At: 200 * ms, Kind: midi.StepZone, Channel: 15, Value: 1}}}
	for _, steps := range [][]midi.Step{p.Steps, slices.Clone(p.Steps)} {
		h := study.NewRehearsal(study.Performance{Steps: steps, End: p.End}, study.NewReference(r, p))
		_, err := h.Score(r)
		require.NoError(t, err)
		require.Equal(t, []float64{57, 59}, []float64{h.Outcomes()[0].Low, h.Outcomes()[0].High})
	}
}

// Same-key gives a note of three the voices on its key, the newest first, and strict
// round-robin goes on from the last of these: 60 was on V1, the oldest, and on V3, so V2 is next, which
// sounds until 500, though V4 and V5 are silent.
func TestWaitsForTheTurnAfterItsKey(t *testing.T) {
	r := rig(5, 0, func(r *study.Rules) {
		unison(3, alloc.Wait)(r)
		r.Config.Parts[0].Pick, r.Config.Parts[0].Second = alloc.PickSameKey, alloc.PickStrictRoundRobin
		single(r)
		r.Config.Parts[1].Pick = alloc.PickLowest
		third := r.Config.Parts[1]
		third.Name, third.Sources = "third", []alloc.Source{{AnyPort: true, Channels: 4}}
		r.Config.Parts = append(r.Config.Parts, third)
	})
	p := song(t, 2000, "c2 60 0-30, c2 62 10-500, c3 60 20-30, 60 100-1000")
	require.Equal(t, []string{"0: 60 on V1", "10: 62 on V2", "20: 60 on V3", "30: 60 off V1", "30: 60 off V3",
		"500: 62 off V2", "500: 60 on V1", "500: 60 on V2", "500: 60 on V3",
		"1000: 60 off V1", "1000: 60 off V2", "1000: 60 off V3"}, decided(t, r.Config, p))
}

// A note is dropped as out of range if it lies outside of the range of all voices of its part together,
// 36–84; the range of one that has no limit has none.
func TestRangeOfAPart(t *testing.T) {
	for _, c := range []struct {
		unlimited bool
		want      []string
	}{
		{false, []string{"0: 20 dropped", "100: 36 on V1", "200: 36 off V1", "200: 84 on V1", "300: 84 off V1", "300: 90 dropped"}},
		{true, []string{"0: 20 on V1", "100: 20 off V1", "100: 36 on V1", "200: 36 off V1", "200: 84 on V1", "300: 84 off V1", "300: 90 on V1", "400: 90 off V1"}},
	} {
		r := rig(3, 0, func(r *study.Rules) {
			r.Config.Parts[0].Pick, r.Config.Parts[0].OutOfRange = alloc.PickLowest, alloc.DropNote
			for i, w := range []alloc.Window{{Bounded: true, Low: 48, High: 60}, {Bounded: !c.unlimited, Low: 36, High: 72}, {Bounded: true, Low: 60, High: 84}} {
				r.Config.Voices[i].Window = w
			}
		})
		require.Equal(t, c.want, decided(t, r.Config, song(t, 1000, "20 0-100, 36 100-200, 84 200-300, 90 300-400")))
	}
}

// What a unison of three that thins takes from the four voices of a note of another part: as many
// as its limit leaves, where it has one of them already, and as many as the other has not reserved. By hand.
func TestThinTakesWhatItMay(t *testing.T) {
	for _, c := range []struct {
		limit, reserve int
		want           []string
	}{
		{0, 0, []string{"200: 72 on V1 from 60 which keeps 1", "200: 72 on V2 from 60 which keeps 1", "200: 72 on V3 from 60 which keeps 1"}},
		{3, 0, []string{"200: 72 on V1 from 60 which keeps 2", "200: 72 on V2 from 60 which keeps 2"}},
		{0, 3, []string{"200: 72 on V1 from 60 which keeps 3"}},
		{2, 2, []string{"200: 72 on V1 from 60 which keeps 3"}},
	} {
		r := rig(5, 0, func(r *study.Rules) {
			unison(4, alloc.Thin)(r)
			single(r)
			p := &r.Config.Parts[1]
			r.Config.Parts[0].Reserve, p.Limit = c.reserve, c.limit
			p.Steal, p.Unison = alloc.StealOldest, alloc.Unison{Voices: 3, WhenShort: alloc.Thin}
		})
		got := decided(t, r.Config, song(t, 2000, "60 0-2000, c2 70 100-2000, c2 72 200-2000"))
		require.Equal(t, append([]string{"0: 60 on V1", "0: 60 on V2", "0: 60 on V3", "0: 60 on V4", "100: 70 on V5"}, c.want...),
			got[:5+len(c.want)], "%+v", c)
		require.NotContains(t, got[5+len(c.want)], "72 on")
	}
}

// A note without a voice is dropped, and not counted as thinned too; each part's demand is of its own notes.
func TestDroppedIsNotThinned(t *testing.T) {
	r, err := study.Play(rig(2, 0, func(r *study.Rules) {
		unison(2, alloc.Thin)(r)
		r.Config.Parts[0].Steal = alloc.StealNone
		single(r)
	}), song(t, 2000, "60 0-1000, 62 100-500, c2 70 1200-1300"))
	require.NoError(t, err)
	require.Equal(t, []string{"V1", "dropped 400 lost outer", "V1"}, told(r))
	require.Zero(t, r.Rig.Tally.Thinned)
	require.Equal(t, []int{4, 1}, []int{r.Parts[0].Demand.Held, r.Parts[1].Demand.Held})
}

// The loudest that each note is, by hand, with an attack of 100 ms, and half the level left at 300 ms after:
// 48 reaches full, 60 stops at 50 ms, where 1.3 − 0.3·√(1.3/0.3) = 0.6755, and 52, which follows
// legato long after 48 was full, begins at 0.5005 and falls.
func TestLoudestOfANote(t *testing.T) {
	rules := rig(2, 0, func(r *study.Rules) {
		r.Config.Parts[0].Mode = alloc.MonoLast
		for i := range r.Config.Voices {
			r.Config.Voices[i].Envelope = alloc.Envelope{Attack: 100 * ms, Decay: 300 * ms, Sustain: 0.5}
		}
	})
	ref := study.NewReference(rules, song(t, 2000, "48 0-1000, 52 400-600, 60 1200-1250"))
	for i, want := range []float64{1, 0.5005, 0.6755} {
		require.InDelta(t, want, ref.Notes[i].Peak, 1e-4, "note %d", i)
	}
}

// The pitches that a note asks for are those of its bends too: 2 semitones up, less a 8192nd.
func TestBendsAreAskedFor(t *testing.T) {
	r, err := study.Play(rig(1, 0, nil), song(t, 1000, "60 0-500, bend 16383 200, bend 8192 300"))
	require.NoError(t, err)
	require.InDelta(t, 60, r.Outcomes[0].Low, 1e-9)
	require.InDelta(t, 60+2*8191.0/8192, r.Outcomes[0].High, 1e-9)
}

// Tails of 1000 ms: the second note begins at the instant at which the first one's tail ends, which
// counts as together, so two voices settle it. By hand.
func TestSettled(t *testing.T) {
	p := song(t, 9000, "60 0-500, 62 1500-1600, 64 5000-5100")
	for _, c := range []struct {
		change func(*study.Rules)
		want   int
	}{
		{func(*study.Rules) {}, 2},
		{func(r *study.Rules) { r.Config.Parts[0].TailsUnknown = true }, 0},
		{func(r *study.Rules) { r.Config.Parts[0].Pick = alloc.PickLowest }, 0},
		{func(r *study.Rules) { r.Gap = 995 * ms }, 2}, // and 5 ms of a shortest gate
		{func(r *study.Rules) { r.Gap = 996 * ms }, 0},
		{func(r *study.Rules) { r.Config.Parts[0].Reserve = 1 }, 0},
		{func(r *study.Rules) { r.Config.Parts[0].Limit = 1 }, 0},
		{func(r *study.Rules) { r.Config.Parts[0].Unison.Voices = 2 }, 0},
		{func(r *study.Rules) { r.Config.Parts[0].Unison.Voices = 1 }, 2},
	} {
		r := rig(3, 1000*ms, func(r *study.Rules) {
			r.Config.Parts[0].Pick = alloc.PickLongestIdle
			c.change(r)
		})
		require.Equal(t, c.want, study.Settled(r, study.NewReference(r, p)))
	}
	short := rig(3, 1000*ms, nil)
	short.Config.Parts[0].Pick = alloc.PickLongestIdle
	require.Equal(t, 1, study.Settled(short, study.NewReference(short, song(t, 9000, "60 0-500, 62 1501-1600"))))
}

// By hand: who waits begins when another note has what is promised to its part. Bass has one
// voice promised and takes V1, which pairs may not use; from then on V2 and V3 are a pair's.
func TestWaitingEndsWhereAPromiseIsKept(t *testing.T) {
	cfg := rig(3, 0, unison(2, alloc.Wait)).Config
	cfg.Voices[1].Bank, cfg.Voices[2].Bank = 1, 1
	bass := cfg.Parts[0]
	cfg.Parts[0].Banks, cfg.Parts[0].Sources = []int{1}, []alloc.Source{{AnyPort: true, Channels: 1}}
	bass.Banks, bass.Sources = []int{0, 1}, []alloc.Source{{AnyPort: true, Channels: 2}}
	bass.Unison, bass.Reserve = alloc.Unison{}, 1
	cfg.Parts = append(cfg.Parts, bass)
	require.Equal(t, []string{"100: 36 on V1", "100: 60 on V2", "100: 60 on V3", "200: 36 off V1", "300: 60 off V2", "300: 60 off V3"},
		decided(t, cfg, song(t, 400, "60 0-300, c2 36 100-200")))
}

// By hand: strict round-robin goes on behind the voices of a key struck again. At 300 ms V1 is
// next and held, so 64 waits; 60 struck again is on V1 and V2, behind which V3 and V4 are silent.
func TestWaitingEndsWhereAKeyIsStruckAgain(t *testing.T) {
	cfg := rig(4, 0, func(r *study.Rules) {
		unison(2, alloc.Wait)(r)
		r.Config.Parts[0].Pick = alloc.PickStrictRoundRobin
	}).Config
	require.Equal(t, []string{"0: 60 on V1", "0: 60 on V2", "100: 62 on V3", "100: 62 on V4", "200: 62 off V3", "200: 62 off V4",
		"400: 60 again on V1", "400: 60 again on V2", "400: 64 on V3", "400: 64 on V4",
		"500: 60 off V1", "500: 60 off V2", "600: 64 off V3", "600: 64 off V4"},
		decided(t, cfg, song(t, 700, "60 0-450, 62 100-200, 64 300-600, 60 400-500")))
}

// By hand, banks filled, deaf to tails: at 300 ms only V2 has a tail, and its bank has no voice
// left then. At 700 V1 has fallen silent, so it plays what begins; nothing is taken.
func TestABankWithoutTails(t *testing.T) {
	cfg := rig(2, 200*ms, rules(alloc.PickBankFill, alloc.StealOldest)).Config
	cfg.Voices[1].Bank = 1
	cfg.Parts[0].Banks, cfg.Parts[0].TailsUnknown = []int{0, 1}, true
	require.Equal(t, []string{"0: 60 on V1", "100: 62 on V2", "200: 62 off V2", "300: 64 on V2", "400: 60 off V1",
		"700: 65 on V1", "800: 64 off V2", "900: 65 off V1"},
		decided(t, cfg, song(t, 1000, "60 0-400, 62 100-200, 64 300-800, 65 700-900")))
}

// By hand, a voice for each of two parts without tails. Low: two notes overlap by 50 ms, so
// one is damaged. High: 2 sound at 200–250 and 300–400 ms and 3 between, one too many for 150 ms
// and two for 50, and two notes are damaged. The rack's bounds are their sums. Two offs have
// no note: one falls to each part, and one is for none. All notes but the first of
// each part begin as late as the gap is; an instant is late too.
func TestTalliesOfParts(t *testing.T) {
	for _, gap := range []time.Duration{1, 3 * ms} {
		rules := rig(2, 0, func(r *study.Rules) {
			rules(alloc.PickLowest, alloc.StealOldest)(r)
			r.Gap, r.Config.Voices[1].Bank = gap, 1
			high := r.Config.Parts[0]
			r.Config.Parts[0].Sources = []alloc.Source{{AnyPort: true, Channels: 1}}
			high.Banks, high.Sources = []int{1}, []alloc.Source{{AnyPort: true, Channels: 2}}
			r.Config.Parts = append(r.Config.Parts, high)
		})
		r, err := study.Play(rules, song(t, 2000, "48 0-100, 50 50-150, off 40 600, "+
			"c2 60 0-1000, c2 62 200-300, c2 64 250-400, c2 off 41 700, c2 off 42 800, c3 off 43 900"))
		require.NoError(t, err)
		low, high, all := &r.Parts[0], &r.Parts[1], &r.Rig
		require.Equal(t, []study.Bound{{Unavoidable: 50 * ms, FewestDamaged: 1}, {Unavoidable: 250 * ms, FewestDamaged: 2},
			{Unavoidable: 300 * ms, FewestDamaged: 3}}, []study.Bound{low.Bound, high.Bound, all.Bound})
		require.Equal(t, []int{1, 2, 4}, []int{low.Tally.Orphan, high.Tally.Orphan, all.Tally.Orphan})
		require.Equal(t, []int{1, 2, 3}, []int{low.Tally.Late, high.Tally.Late, all.Tally.Late})
		require.Equal(t, []int{1, 1, 2}, []int{low.Voices, high.Voices, all.Voices})
	}
}

// By hand: 60 spreads over all voices, gives two to 62 and loses its first to 40. When 62 ends
// V3 takes the first place and V4 the last. A part that may have one voice of a note, the oldest
// of which it would take, takes the lowest.
func TestThinUnderALimitTakesTheLowest(t *testing.T) {
	cfg := rig(4, 0, unison(4, alloc.Elastic)).Config
	one := cfg.Parts[0]
	cfg.Parts[0].Unison.Regrow, cfg.Parts[0].Sources = true, []alloc.Source{{AnyPort: true, Channels: 1}}
	single, thin := one, one
	single.Unison, single.Sources = alloc.Unison{}, []alloc.Source{{AnyPort: true, Channels: 2}}
	thin.Unison, thin.Limit, thin.Sources = alloc.Unison{Voices: 3, WhenShort: alloc.Thin}, 1, []alloc.Source{{AnyPort: true, Channels: 4}}
	cfg.Parts = append(cfg.Parts, single, thin)
	require.Equal(t, []string{"0: 60 on V1", "0: 60 on V2", "0: 60 on V3", "0: 60 on V4",
		"100: 62 on V3 from 60 which keeps 2", "100: 62 on V4 from 60 which keeps 2", "200: 40 on V1 from 60 which keeps 1",
		"300: 62 off V3", "300: 62 off V4", "300: 60 on V3", "300: 60 on V4", "400: 72 on V2 from 60 which keeps 2"},
		decided(t, cfg, song(t, 1000, "60 0-1000, 62 100-300, c2 40 200-900, c3 72 400-800"))[:12])
}

// By hand: V1 and V2 track keys up to 59, the others are held. A mono part that waits with 60
// need not with 50.
func TestWaitingEndsWithALowerKey(t *testing.T) {
	cfg := rig(4, 0, unison(2, alloc.Wait)).Config
	for i := range 2 {
		cfg.Voices[i].State, cfg.Voices[i].Keys = alloc.Limited, alloc.KeyRange{High: 59}
	}
	high := cfg.Parts[0]
	high.Unison, high.Sources = alloc.Unison{}, []alloc.Source{{AnyPort: true, Channels: 2}}
	cfg.Parts[0].Mode, cfg.Parts[0].Sources = alloc.MonoLast, []alloc.Source{{AnyPort: true, Channels: 1}}
	cfg.Parts = append(cfg.Parts, high)
	require.Equal(t, []string{"0: 70 on V3", "0: 72 on V4", "200: 60 dropped", "200: 50 on V1", "200: 50 on V2"},
		decided(t, cfg, song(t, 1000, "c2 70 0-900, c2 72 0-900, 60 100-500, 50 200-400"))[:5])
}

// Gates that are triggers fall after their pulse, or with their key if that is sooner, and
// not within the minimum gate of 5 ms; neither keys nor pedals hold them. In a mono part a key
// that comes while the gate is high changes the pitch, and one that comes later opens it
// again: worked by hand.
func TestPulse(t *testing.T) {
	const mono, attacks = "48 0-1000, 52 200-600, 55 205-500", "48 0-1000, 52 200-250"
	for _, c := range []struct {
		name   string
		pulse  time.Duration
		change func(*alloc.Part)
		song   string
		want   []string
	}{
		{"keys", 20 * ms, nil, "60 0-1000, 64 10-15, 67 500-502, 69 600-620",
			[]string{"0: 60 on V1", "10: 64 on V2", "15: 64 off V2", "20: 60 off V1", "500: 67 on V1", "505: 67 off V1", "600: 69 on V1", "620: 69 off V1"}},
		{"below the minimum gate", 3 * ms, nil, "60 0-1000", []string{"0: 60 on V1", "5: 60 off V1"}},
		{"the key again", 20 * ms, nil, "on 60 0, on 60 10, off 60 50, on 60 60, off 60 70, off 60 100",
			[]string{"0: 60 on V1", "10: 60 again on V1", "30: 60 off V1", "60: 60 on V1", "80: 60 off V1"}},
		{"pedal", 20 * ms, nil, "cc64 down 0, on 60 5, off 60 10, cc64 up 900", []string{"5: 60 on V1", "25: 60 off V1"}},
		{"sostenuto", 20 * ms, nil, "on 60 0, cc66 down 1, off 60 10, cc66 up 900", []string{"0: 60 on V1", "20: 60 off V1"}},
		{"no off", 20 * ms, nil, "on 60 0", []string{"0: 60 on V1", "20: 60 off V1"}},
		{"mono", 20 * ms, func(p *alloc.Part) { p.Mode = alloc.MonoLast }, mono,
			[]string{"0: 48 on V1", "20: 48 off V1", "200: 52 on V1", "205: 55 legato on V1", "220: 55 off V1"}},
		{"legato", 300 * ms, func(p *alloc.Part) { p.Mode = alloc.MonoLast }, attacks,
			[]string{"0: 48 on V1", "200: 52 legato on V1", "250: 48 legato on V1", "300: 48 off V1"}},
		{"attacks", 300 * ms, func(p *alloc.Part) { p.Mode, p.ReattackPress, p.ReattackReturn = alloc.MonoLast, true, true }, attacks,
			[]string{"0: 48 on V1", "200: 52 again on V1", "250: 48 again on V1", "550: 48 off V1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rig(2, 0, func(r *study.Rules) {
				p := &r.Config.Parts[0]
				p.Pick, p.Pulse = alloc.PickLowest, c.pulse
				if c.change != nil {
					c.change(p)
				}
			})
			require.Equal(t, c.want, decided(t, r.Config, song(t, 2000, c.song)))
		})
	}
}

// A manager that plays nothing bends what its members play, whether the song is fed or plays from a script: up by
// nearly 2 semitones (M1-100-UM, from memory).
func TestAManagerBendsItsMembers(t *testing.T) {
	r := rig(1, 0, func(r *study.Rules) {
		r.Config.Parts[0].Sources, r.Config.Parts[0].Zones = nil, []midi.Zone{{AnyPort: true, Members: 15}}
	})
	p := song(t, 1000, "c2 60 0-500, bend 16383 200")
	for _, steps := range [][]midi.Step{p.Steps, slices.Clone(p.Steps)} {
		h := study.NewRehearsal(study.Performance{Steps: steps, End: p.End}, study.NewReference(r, p))
		_, err := h.Score(r)
		require.NoError(t, err)
		require.InDeltaSlice(t, []float64{60, 62}, []float64{h.Outcomes()[0].Low, h.Outcomes()[0].High}, 1e-3)
	}
}

// By hand: a channel that becomes a member at 200 gets the pedal that its manager has down. Sustain keeps its note
// until 900; sostenuto was pressed before, so that it has not met the note, not even where it is told again that it is down.
func TestAMemberGetsThePedals(t *testing.T) {
	cfg := rig(1, 0, func(r *study.Rules) {
		zone := r.Config.Parts[0]
		zone.Sources, zone.Zones = nil, []midi.Zone{{AnyPort: true, Members: 1}}
		r.Config.Parts = append(r.Config.Parts, zone)
		r.Config.Parts[0].Sources = []alloc.Source{{AnyPort: true, Channels: 4}} // channel 3 in any case
	}).Config
	for pedal, off := range map[string]string{"cc64 down 100, cc64 up 900": "900: 60 off V1", "cc66 down 100, cc66 down 250, cc66 up 900": "300: 60 off V1", "cc66 up 900": "300: 60 off V1"} {
		p := song(t, 1000, "c3 60 0-300, "+pedal)
		at := slices.IndexFunc(p.Steps, func(s midi.Step) bool { return s.At > 200*ms })
		p.Steps = slices.Insert(p.Steps, at, midi.Step{At: 200 * ms, Kind: midi.StepZone, Value: 2})
		require.Equal(t, []string{"0: 60 on V1", off}, decided(t, cfg, p), pedal)
	}
}
