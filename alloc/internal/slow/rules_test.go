package slow_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/internal/slow"
	"choirloft/midi"
)

type rule struct {
	name   string
	voices int
	t60    int
	pick   alloc.PickRule
	steal  alloc.StealRule
	set    func(c *alloc.Config, p *alloc.Part)
	song   string
	want   string
}

func (r rule) run(t *testing.T) []alloc.Decision {
	cfg := rig(r.voices, r.t60, r.pick, r.steal)
	if r.set != nil {
		r.set(&cfg, &cfg.Parts[0])
	}
	steps := song(t, r.song)
	return slow.Run(cfg, steps, ms(end), slow.Reference(cfg, steps, ms(end)).Future())
}

// Every row is worked by hand from the sentence on its rule.
func TestPicking(t *testing.T) {
	for _, row := range []rule{
		// Never used last: V1 (60) is nearest to 61, V2 (72) to 70 and 90; V3 waits.
		{"nearest", 3, 0, alloc.PickNearest, alloc.StealOldest, nil,
			"60 0–100, 72 0–100, 70 200–250, 61 300–400, 90 500–600", "60>1 72>2 70>2 61>1 90>2"},
		{"nearest, both as far", 2, 0, alloc.PickNearest, alloc.StealOldest, nil,
			"60 0–100, 64 0–100, 62 200–300", "60>1 64>2 62>1"},
		// The tail of the same key is taken before a free voice; 61 falls back.
		{"same-key", 3, 1000, alloc.PickSameKey, alloc.StealOldest,
			func(_ *alloc.Config, p *alloc.Part) { p.Second = alloc.PickLowest },
			"60 0–100, 62 0–100, 60 600–700, 61 650–700", "60>1 62>2 60>1~60(-30.0) 61>3"},
		// No voice is free; V1 would be the first to be stolen, but V2 played the key.
		{"same-key, nothing free", 2, 1000, alloc.PickSameKey, alloc.StealOldest, nil,
			"60 0–100, 62 0–100, 62 600–700", "60>1 62>2 62>2~62(-30.0)"},
		// Both last played 60: V2 attacked later.
		{"same-key, newest", 3, 0, alloc.PickSameKey, alloc.StealOldest, sameKey(alloc.StackFIFO),
			"60 0–100, 60 50–100, 60 200–300", "60>1 60>2 60>2"},
		// Banks {1,2} {3,4}: one busy in each after two, then the lower bank again.
		{"bank-spread", 4, 0, alloc.PickBankSpread, alloc.StealOldest, twoBanks,
			"60 0–900, 61 10–900, 62 20–900, 63 30–900", "60>1 61>3 62>2 63>4"},
		{"bank-fill", 4, 0, alloc.PickBankFill, alloc.StealOldest, twoBanks,
			"60 0–900, 61 10–900, 62 20–900, 63 30–900", "60>1 61>2 62>3 63>4"},
		// V2 is held when its turn comes: a steal, though V3 is free.
		{"strict round-robin", 3, 0, alloc.PickStrictRoundRobin, alloc.StealOldest, nil,
			"60 0–100, 61 10–900, 62 20–100, 63 200–300, 64 210–300", "60>1 61>2 62>3 63>1 64>2!61"},
		{"strict round-robin skips out", 3, 0, alloc.PickStrictRoundRobin, alloc.StealOldest,
			func(c *alloc.Config, _ *alloc.Part) { c.Voices[1].State = alloc.Out },
			"60 0–100, 61 10–100, 62 200–300", "60>1 61>3 62>1"},
		// The pointer moves on a re-attack too: after 60 on V1 again comes V2, free by then, not V4.
		{"round-robin, re-attack", 4, 0, alloc.PickRoundRobin, alloc.StealOldest, nil,
			"60 0–900, 61 10–20, 62 20–30, 60 100–900, 63 200–300", "60>1 61>2 62>3 60=1 63>2"},
		{"fixed", 2, 0, alloc.PickFixed, alloc.StealOldest,
			func(_ *alloc.Config, p *alloc.Part) { p.Fixed = map[midi.Key]int{60: 1, 61: 0, 62: 1} },
			"60 0–900, 62 100–900, 63 200–300, 61 300–400", "60>2 62>2!60 63- 61>1"},
		{"spare and out", 4, 0, alloc.PickLowest, alloc.StealNone,
			func(c *alloc.Config, _ *alloc.Part) {
				c.Voices[0].State, c.Voices[2].State = alloc.Spare, alloc.Out
			}, "60 0–900, 61 10–900, 62 20–900", "60>2 61>4 62-"},
		// Limited to 40–59 as sounding: key 55 sounds 67 here, 47 sounds 59.
		{"limited", 2, 0, alloc.PickLowest, alloc.StealOldest,
			func(c *alloc.Config, p *alloc.Part) {
				c.Voices[0].State, c.Voices[0].Keys = alloc.Limited, alloc.KeyRange{Low: 40, High: 59}
				p.Transpose = 12
			}, "55 0–900, 47 10–900, 48 20–900", "67>2 59>1 60>2!67"},
		// Unknown to the part, V1 is in its tail at 600, off since 100; V2 since 200; V3 never played.
		{"longest-idle, tails unknown", 3, 1000, alloc.PickLongestIdle, alloc.StealOldest, tailsUnknown,
			"60 0–100, 61 0–200, 62 600–900, 63 700–900", "60>1 61>2 62>3 63>1~60(-36.0)"},
	} {
		t.Run(row.name, func(t *testing.T) { require.Equal(t, row.want, takes(row.run(t))) })
	}
}

func twoBanks(c *alloc.Config, p *alloc.Part) {
	c.Voices[2].Bank, c.Voices[3].Bank = 1, 1
	p.Banks = []int{0, 1}
}

func competes(_ *alloc.Config, p *alloc.Part) { p.NewcomerCompetes = true }

func mixed(_ *alloc.Config, p *alloc.Part) { p.MixClasses = true }

// Every row is worked by hand from the sentence on its rule.
func TestStealing(t *testing.T) {
	const (
		held = "60 0–900 v50, 64 10–900 v90, 62 20–900 v40, 63 30–900 v70"
		// 60 is on the pedal from 50, 64 and 62 are held.
		pedal = "cc64 0 127, 60 0–50, on 64 10, on 62 20, 63 100–900"
		// V1 −6 dB, V2 −12 dB at 300.
		tails = "60 0–200, 61 10–100, 62 300–900"
	)
	for _, row := range []rule{
		{"highest", 3, 0, alloc.PickLowest, alloc.StealHighest, nil, held, "60>1 64>2 62>3 63>2!64"},
		{"softest", 3, 0, alloc.PickLowest, alloc.StealSoftest, nil, held, "60>1 64>2 62>3 63>3!62"},
		// All at full: level × velocity is velocity alone.
		{"quietest", 3, 0, alloc.PickLowest, alloc.StealQuietest, nil, held, "60>1 64>2 62>3 63>3!62"},
		// Decay to 0 in 60 ms: −60 dB at 60. V1 (v50, 30 ms old) −30 dB, V2 (v90, 20 ms) −20, V3 (v40, 10 ms) −10.
		{"quietest, decayed", 3, 0, alloc.PickLowest, alloc.StealQuietest,
			func(c *alloc.Config, _ *alloc.Part) {
				for i := range c.Voices {
					c.Voices[i].Envelope.Decay, c.Voices[i].Envelope.Sustain = ms(60), 0
				}
			}, held, "60>1 64>2 62>3 63>1!60"},
		{"newcomer softest", 3, 0, alloc.PickLowest, alloc.StealSoftest, competes,
			"60 0–900 v50, 64 10–900, 62 20–900, 63 30–900 v49", "60>1 64>2 62>3 63-"},
		{"newcomer as soft", 3, 0, alloc.PickLowest, alloc.StealSoftest, competes,
			"60 0–900 v50, 64 10–900, 62 20–900, 63 30–900 v50", "60>1 64>2 62>3 63-"},
		{"newcomer is not in the pedal class", 3, 0, alloc.PickLowest, alloc.StealNewest, competes, pedal, "60>1 64>2 62>3 63>1?60"},
		{"newcomer competes with all when mixed", 3, 0, alloc.PickLowest, alloc.StealNewest,
			func(c *alloc.Config, p *alloc.Part) { mixed(c, p); competes(c, p) }, pedal, "60>1 64>2 62>3 63-"},
		{"pedal before held", 3, 0, alloc.PickLowest, alloc.StealNewest, nil, pedal, "60>1 64>2 62>3 63>1?60"},
		{"mixed", 3, 0, alloc.PickLowest, alloc.StealNewest, mixed, pedal, "60>1 64>2 62>3 63>3!62"},
		{"tail: quietest", 2, 1000, alloc.PickLowest, alloc.StealNewest, nil, tails, "60>1 61>2 62>2~61(-12.0)"},
		// Mixed and oldest: V1 attacked at 0.
		{"tail: mixed", 2, 1000, alloc.PickLowest, alloc.StealOldest, mixed, tails, "60>1 61>2 62>1~60(-6.0)"},
		{"none takes tails", 2, 1000, alloc.PickLowest, alloc.StealNone, nil, tails, "60>1 61>2 62>2~61(-12.0)"},
		{"hard none does not", 2, 1000, alloc.PickLowest, alloc.StealHardNone, nil, tails, "60>1 61>2 62-"},
		// Equal release, equal level: the older attack.
		{"tail: oldest", 2, 1000, alloc.PickLowest, alloc.StealNewest, nil,
			"60 50–100, 61 40–100, 62 300–900", "61>1 60>2 62>1~61(-12.0)"},

		// 60 and 64 are outer; 61 (pedal) before 62 (held, older).
		{"protect-outer: inner pedal first", 4, 0, alloc.PickLowest, alloc.StealProtectOuter, nil,
			"on 60 0, on 64 10, on 62 20, cc64 25 127, 61 30–40, 63 100–900", "60>1 64>2 62>3 61>4 63>4?61"},
		// 65 is new and highest, 64 becomes inner.
		{"protect-outer: new top", 2, 0, alloc.PickLowest, alloc.StealProtectOuter, nil,
			"on 60 0, on 64 10, on 65 20", "60>1 64>2 65>2!64"},
		// Nothing inside: the top, then the bass.
		{"protect-outer: top", 2, 0, alloc.PickLowest, alloc.StealProtectOuter, nil,
			"on 60 0, on 64 10, on 62 20", "60>1 64>2 62>2!64"},
		{"protect-outer: bass", 1, 0, alloc.PickLowest, alloc.StealProtectOuter, nil,
			"on 60 0, on 64 10", "60>1 64>1!60"},
		{"protect-outer: never the newcomer", 2, 0, alloc.PickLowest, alloc.StealProtectOuter, competes,
			"on 60 0, on 64 10, on 62 20", "60>1 64>2 62>2!64"},

		// 2 voices, 0–250, 100–2000, 200–2000, 300–2000. Fewest damaged is 1: the
		// third note, tied with the second, is given up and the fourth finds V1 free.
		{"fewest-cuts", 2, 0, alloc.PickLowest, alloc.StealFewestCuts, nil,
			"60 0–250, 62 100–2000, 64 200–2000, 65 300–2000", "60>1 62>2 64- 65>1"},
		// The first 62 ends at 300 anyway, where it is struck again; only that second 62 is damaged.
		{"fewest-cuts, what ends now", 1, 0, alloc.PickLowest, alloc.StealFewestCuts, nil,
			"62 100–400, 60 300–400, 62 300–500, 60 400–500", "62>1 60>1!62 62- 60>1"},
		// Least loss is 1.75 s: 50 ms of the first, 1700 ms of the fourth.
		{"least-lost", 2, 0, alloc.PickLowest, alloc.StealLeastLost, nil,
			"60 0–250, 62 100–2000, 64 200–2000, 65 300–2000", "60>1 62>2 64>1!60 65-"},
		// Worths (see Future) 0, 1, 2 and, at 300, 2: first the one of 0, then that of 1.
		{"least-audible", 2, 0, alloc.PickLowest, alloc.StealLeastAudible, nil,
			"60 0–250, 62 100–2000, 64 200–2000, 65 300–2000", "60>1 62>2 64>1!60 65>2!62"},
		// Worths 0, 0, 0 and 1: of equal ones the newcomer, then the lowest number.
		{"least-audible, all alike", 2, 0, alloc.PickLowest, alloc.StealLeastAudible, nil,
			"on 60 0, on 61 10, on 62 20, on 64 30", "60>1 61>2 62- 64>1!60"},
		// Worths 3, 0 and 1, but the first 63 ends where 61 begins.
		{"least-audible, what ends now", 1, 0, alloc.PickLowest, alloc.StealLeastAudible, nil,
			"63 100–400, 61 300–400, 63 300–500", "63>1 61>1!63 63>1!61"},
		// Keys from 72 are a second part's, with the lower priority: it may not take from the
		// first, which takes from it first though V1 is older, and then from itself.
		{"priorities", 2, 0, alloc.PickLowest, alloc.StealOldest, func(c *alloc.Config, p *alloc.Part) {
			low := *p
			p.Keys.High, low.Keys.Low, low.Priority = 71, 72, 2
			c.Parts = append(c.Parts, low)
			c.Parts[0].Keys.High = 71
		}, "on 60 0, on 72 10, on 62 20, on 73 30, on 64 40", "60>1 72>2 62>2!72 73- 64>1!60"},
		// Ends alike, the pedal note counts no less than the held one.
		{"least-lost, pedal", 2, 0, alloc.PickLowest, alloc.StealLeastLost, nil,
			"cc64 0 127, on 60 0, off 60 10, 62 20–300, cc64 200 0, 64 100–900", "60>1 62>2 64>1?60"},
	} {
		t.Run(row.name, func(t *testing.T) { require.Equal(t, row.want, takes(row.run(t))) })
	}
}

// causes prints the cause of every take and drop, "*" if an outer voice is hit.
func causes(ds []alloc.Decision) string {
	names := []string{"none", "shortage", "pedal", "tail", "rule", "range"}
	var words []string
	for _, d := range ds {
		if d.Kind == alloc.Take || d.Kind == alloc.Drop {
			word := names[d.Cause]
			if d.Outer {
				word += "*"
			}
			words = append(words, word)
		}
	}
	return strings.Join(words, " ")
}

func TestCauses(t *testing.T) {
	narrow := func(c *alloc.Config, p *alloc.Part) {
		c.Voices[0].Window = alloc.Window{Bounded: true, Low: 48, High: 60}
		p.OutOfRange = alloc.DropNote
	}
	for _, row := range []rule{
		{"three keys on two voices, the bass goes", 2, 0, alloc.PickLowest, alloc.StealOldest, nil,
			"on 60 0, on 64 10, on 62 20", "none none shortage*"},
		{"and an inner one", 3, 0, alloc.PickLowest, alloc.StealProtectOuter, nil,
			"on 60 0, on 64 10, on 62 20, on 63 30", "none none none shortage"},
		{"two keys and one on the pedal", 2, 0, alloc.PickLowest, alloc.StealOldest, nil,
			"cc64 0 127, 60 0–10, on 64 10, on 62 20", "none none pedal*"},
		{"a tail", 1, 1000, alloc.PickLowest, alloc.StealOldest, nil, "60 0–10, 62 100–200", "none tail"},
		{"strict round-robin though V1 is free", 2, 0, alloc.PickStrictRoundRobin, alloc.StealOldest, nil,
			"60 0–10, on 61 5, 62 20–30, 63 40–50", "none none none rule*"},
		{"dropped, the top", 1, 0, alloc.PickLowest, alloc.StealNone, nil, "on 60 0, on 62 10", "none shortage*"},
		{"dropped, an inner one", 2, 0, alloc.PickLowest, alloc.StealNone, nil,
			"on 60 0, on 64 0, on 62 10", "none none shortage"},
		{"out of the window, both ends", 1, 0, alloc.PickLowest, alloc.StealOldest, narrow,
			"48 0–10, 60 20–30, 61 40–50, 47 60–70", "none none range* range*"},
	} {
		t.Run(row.name, func(t *testing.T) { require.Equal(t, row.want, causes(row.run(t))) })
	}
}

// pitches prints every pitch that is set, and cents missed in brackets.
func pitches(ds []alloc.Decision) string {
	var words []string
	for _, d := range ds {
		if d.Kind == alloc.Take || d.Kind == alloc.Reattack || d.Kind == alloc.Bend {
			word := fmt.Sprintf("%.3f@%d", d.Pitch, d.At.Milliseconds())
			if d.Missed != 0 {
				word += fmt.Sprintf("(%.0f)", d.Missed)
			}
			words = append(words, word)
		}
	}
	return strings.Join(words, " ")
}

func TestPitch(t *testing.T) {
	window := func(rule alloc.OutOfRange) func(*alloc.Config, *alloc.Part) {
		return func(c *alloc.Config, p *alloc.Part) {
			c.Voices[0].Window = alloc.Window{Bounded: true, Low: 48, High: 60}
			p.OutOfRange = rule
		}
	}
	bendTails := func(_ *alloc.Config, p *alloc.Part) { p.BendTails = true }
	for _, row := range []rule{
		// Half down of the default 2 semitones, full down of 12: all of the range.
		{"bend and its range", 1, 0, alloc.PickLowest, 0, nil,
			"60 0–900, bend 10 4096, range 20 12, bend 30 0", "60.000@0 59.000@10 54.000@20 48.000@30"},
		{"reset centres, keeps the range", 1, 0, alloc.PickLowest, 0, nil,
			"60 0–900, range 5 12, bend 10 4096, cc121 20 0, bend 30 4096", "60.000@0 54.000@10 60.000@20 54.000@30"},
		{"tails stay", 1, 1000, alloc.PickLowest, 0, nil, "60 0–100, bend 200 0", "60.000@0"},
		{"tails bend", 1, 1000, alloc.PickLowest, 0, bendTails, "60 0–100, bend 200 0, bend 1100 4096", "60.000@0 58.000@200"},
		{"clamp", 1, 0, alloc.PickLowest, 0, window(alloc.Clamp), "61 0–100, 40 200–300", "60.000@0(-100) 48.000@200(800)"},
		{"fold", 1, 0, alloc.PickLowest, 0, window(alloc.Fold), "61 0–100, 40 200–300, 85 400–500", "49.000@0(-1200) 52.000@200(1200) 49.000@400(-3600)"},
		{"bent out of the window", 1, 0, alloc.PickLowest, 0, window(alloc.DropNote), "49 0–100, bend 50 0", "49.000@0 48.000@50(100)"},
	} {
		t.Run(row.name, func(t *testing.T) { require.Equal(t, row.want, pitches(row.run(t))) })
	}
}

// Channel pressure moves all voices of the channel, key pressure those of its
// key; tails hear neither. A note starts with the pressure of its channel.
func TestPressure(t *testing.T) {
	r := rule{voices: 3, t60: 1000, pick: alloc.PickLowest,
		song: "press 0 5, 60 0–100, 62 10–900, press 20 7, poly 62 30 9, press 200 8, cc121 300 0"}
	var got []string
	for _, d := range r.run(t) {
		if d.Kind == alloc.Take || d.Kind == alloc.Pressure {
			got = append(got, fmt.Sprintf("%d:%d@%d", d.Key, d.Pressure, d.At.Milliseconds()))
		}
	}
	require.Equal(t, "60:5@0 62:5@10 60:7@20 62:7@20 62:9@30 62:8@200 62:0@300", strings.Join(got, " "))
}

// The levels at which V1 is found when 61 takes it at 200, by the formulas of
// the envelope.
func TestEnvelope(t *testing.T) {
	tau := 100 / math.Log(1.3/0.3) // of an attack of 100 ms
	stab := 1.3 * (1 - math.Exp(-50/tau))
	rows := []struct {
		name string
		env  alloc.Envelope
		song string
		want float64
	}{
		// A stab of 50 ms never got up to full; 150 ms of 1 s are −9 dB.
		{"stab", alloc.Envelope{Attack: ms(100), Sustain: 1, Release: ms(1000)}, "60 0–50", 20*math.Log10(stab) - 9},
		{"still held in the attack", alloc.Envelope{Attack: ms(100), Sustain: 1}, "60 150–900", 20 * math.Log10(stab)},
		{"stopped at full", alloc.Envelope{Attack: ms(100), Sustain: 1}, "60 0–900", 0},
		// From full at 100 ms, 100 ms of a decay of 300: 0.5 + 0.5·10^−1.
		{"decay", alloc.Envelope{Attack: ms(100), Decay: ms(300), Sustain: 0.5}, "60 0–900", 20 * math.Log10(0.55)},
		// A decayed pluck releases from its sustain: −20 dB, then 100 ms of 1 s.
		{"pluck", alloc.Envelope{Sustain: 0.1, Release: ms(1000)}, "60 0–100", -26},
		// 60 again at 150 starts from the level it has, 10^(−6/20): it has 50 ms to rise.
		{"re-attack", alloc.Envelope{Attack: ms(100), Sustain: 1, Release: ms(1000)}, "60 -100–50, 60 150–900",
			20 * math.Log10(1.3-(1.3-math.Pow(10, -0.3))*math.Exp(-50/tau))},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			cfg := rig(1, 0, alloc.PickLowest, alloc.StealOldest)
			cfg.Voices[0].Envelope = row.env
			ds := slow.Run(cfg, song(t, row.song+", 61 200–300"), ms(end), alloc.Future{})
			var last alloc.Decision
			for _, d := range ds {
				if d.Kind == alloc.Take {
					last = d
				}
			}
			require.EqualValues(t, 61, last.Key)
			require.InDelta(t, row.want, last.CutDB, 1e-9)
		})
	}
}

// A tail is free at the first instant at which it is at −60 dB: T60 after a
// release from full, T60·(60 − 6.02…)/60 after one from half.
func TestTailExpires(t *testing.T) {
	for _, row := range []struct {
		sustain float64
		song    string
		want    string
	}{
		{1, "60 0–100, 61 1100–1200", "60>1 61>1"},
		{1, "60 0–100, 61 1099–1200", "60>1 61>1~60(-59.9)"},
		{0.5, "60 0–100, 61 999–1200", "60>1 61>1~60(-60.0)"}, // silent at 100 + 899.66 = 999.66
		{0.5, "60 0–100, 61 1000–1200", "60>1 61>1"},
	} {
		cfg := rig(1, 1000, alloc.PickLowest, alloc.StealOldest)
		cfg.Voices[0].Envelope.Sustain = row.sustain
		require.Equal(t, row.want, takes(slow.Run(cfg, song(t, row.song), ms(end), alloc.Future{})), row.song)
	}
}
