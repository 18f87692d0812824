package slow_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/internal/slow"
	"choirloft/midi"
)

func unison(n int, short alloc.WhenShort) func(*alloc.Config, *alloc.Part) {
	return func(_ *alloc.Config, p *alloc.Part) { p.Unison = alloc.Unison{Voices: n, WhenShort: short} }
}

// stacks prints takes and drops with the unison in mind: "A>1,2,3" is a note
// by its key on three voices, "!60" whom it takes them from, "(3)" what that
// keeps, "@" when, in ms. "-" is a drop, and "?" says that the note waits.
func stacks(ds []alloc.Decision) string {
	var words []string
	for i := 0; i < len(ds); {
		d := ds[i]
		n := 1
		for i+n < len(ds) && ds[i+n].Kind == d.Kind && ds[i+n].Note == d.Note && ds[i+n].At == d.At {
			n++
		}
		if d.Kind == alloc.Drop {
			words = append(words, fmt.Sprintf("%d-@%d", d.Key, d.At.Milliseconds()))
		}
		if d.Kind == alloc.Defer {
			words = append(words, fmt.Sprintf("%d?@%d", d.Key, d.At.Milliseconds()))
		}
		if d.Kind == alloc.Take || d.Kind == alloc.Reattack {
			word := fmt.Sprintf("%d>", d.Key)
			if d.Kind == alloc.Reattack {
				word = fmt.Sprintf("%d=", d.Key)
			}
			for k, e := range ds[i : i+n] {
				if k > 0 {
					word += ","
				}
				word += fmt.Sprint(e.Voice + 1)
				if e.Kind == alloc.Take && e.Was >= alloc.Pedal {
					word += fmt.Sprintf("!%d", e.CutKey)
					if e.CutLeft > 0 {
						word += fmt.Sprintf("(%d)", e.CutLeft)
					}
				}
			}
			words = append(words, fmt.Sprintf("%s@%d", word, d.At.Milliseconds()))
		}
		i += n
	}
	return strings.Join(words, " ")
}

// Three voices a note on eight, and six shared out evenly among whoever sounds;
// these and the rest are worked by hand from the sentence on the rule.
func TestUnison(t *testing.T) {
	const (
		four = "60 0–2000, 62 500–2000, 64 1000–2000, 65 1500–2000"
		five = "60 0–2500, 62 500–1500, 64 1000–2500, on 65 2000, on 67 3000"
	)
	regrow := func(_ *alloc.Config, p *alloc.Part) {
		p.Unison = alloc.Unison{Voices: 4, WhenShort: alloc.Elastic, Regrow: true}
	}
	for _, row := range []rule{
		{"blocks of three", 8, 0, alloc.PickLowest, alloc.StealOldest, unison(3, alloc.Blocks), four,
			"60>1,2,3@0 62>4,5,6@500 64>1!60,2!60,3!60@1000 65>4!62,5!62,6!62@1500"},
		{"thin, three", 8, 0, alloc.PickLowest, alloc.StealOldest, unison(3, alloc.Thin), four,
			"60>1,2,3@0 62>4,5,6@500 64>7,8@1000 65>1!60,2!60,3!60@1500"},
		// 64 takes its voices by the giver, 3 of 60 and 6 of 62; decisions come in ascending voice number.
		{"elastic", 6, 0, alloc.PickLowest, alloc.StealOldest, unison(6, alloc.Elastic), five,
			"60>1,2,3,4,5,6@0 62>4!60(3),5!60(3),6!60(3)@500 64>3!60(2),6!62(2)@1000 65>4,5@2000 67>1,2,3@3000"},

		// V2 is out: blocks {1,2} plays thinned, {3,4}; 5 is idle.
		{"blocks, one out", 5, 0, alloc.PickLowest, alloc.StealOldest, func(c *alloc.Config, p *alloc.Part) {
			unison(2, alloc.Blocks)(c, p)
			c.Voices[1].State = alloc.Out
		}, "60 0–900, 62 10–900, 64 20–900", "60>1@0 62>3,4@10 64>1!60@20"},
		// A spare is left out of the count: {1,3}; 4 is idle.
		{"blocks, a spare", 4, 0, alloc.PickLowest, alloc.StealOldest, func(c *alloc.Config, p *alloc.Part) {
			unison(2, alloc.Blocks)(c, p)
			c.Voices[1].State = alloc.Spare
		}, "60 0–900, 62 10–900", "60>1,3@0 62>1!60,3!60@10"},
		{"blocks that are named", 4, 0, alloc.PickLowest, alloc.StealOldest, func(c *alloc.Config, p *alloc.Part) {
			unison(2, alloc.Blocks)(c, p)
			p.Unison.Blocks = [][]int{{0, 2}, {1, 3}}
		}, "60 0–900, 62 10–900", "60>1,3@0 62>2,4@10"},
		// After the block of V1 comes that of V2, and round again, though V3 is the last voice taken.
		{"blocks that interleave, round-robin", 5, 0, alloc.PickRoundRobin, alloc.StealOldest, func(c *alloc.Config, p *alloc.Part) {
			unison(2, alloc.Blocks)(c, p)
			p.Unison.Blocks = [][]int{{4, 0}, {1, 2}}
		}, "60 0–5, 62 10–15, 64 20–25, 65 30–35", "60>1,5@0 62>2,3@10 64>1,5@20 65>2,3@30"},
		// The pointer stands after the last voice of the stack.
		{"blocks, round-robin", 4, 0, alloc.PickRoundRobin, alloc.StealOldest, unison(2, alloc.Blocks),
			"60 0–5, 62 10–15, 64 20–25", "60>1,2@0 62>3,4@10 64>1,2@20"},
		{"blocks, struck again", 4, 0, alloc.PickLowest, alloc.StealOldest, unison(2, alloc.Blocks),
			"60 0–900, 60 10–900", "60>1,2@0 60=1,2@10"},

		// Tails, the quietest first: at 600 V1 has fallen for 400 ms, V2 for 300. One is enough for two: V3 is free.
		{"thin, tails", 3, 1000, alloc.PickLowest, alloc.StealOldest, unison(2, alloc.Thin),
			"on 50 0, off 50 200, 60 300–900, 62 600–900", "50>1,2@0 60>1,3@300 62>2@600"},
		// Three of the victim's voices, no more than the two asked for: 60 has been two all along.
		{"thin, one victim", 4, 0, alloc.PickLowest, alloc.StealOldest, unison(2, alloc.Thin),
			"on 60 0, on 62 1, on 64 2, on 65 3", "60>1,2@0 62>3,4@1 64>1!60,2!60@2 65>3!62,4!62@3"},

		// Two of three voices are not enough for 62 until 60 ends.
		{"wait", 3, 0, alloc.PickLowest, alloc.StealOldest, unison(2, alloc.Wait),
			"60 0–500, 62 100–900, 64 200–300", "60>1,2@0 62?@100 64?@200 64-@300 62>1,2@500"},
		{"wait, the key is up before the pedal", 2, 0, alloc.PickLowest, alloc.StealOldest, unison(2, alloc.Wait),
			"cc64 0 127, on 60 0, 62 100–300, cc64 400 0", "60>1,2@0 62?@100 62-@300"},
		// Struck again it waits in its place, before 64; what it was before never sounds.
		{"wait, struck again", 2, 0, alloc.PickLowest, alloc.StealOldest, unison(2, alloc.Wait),
			"60 0–500, on 62 100, on 64 150, on 62 200, off 62 250", "60>1,2@0 62?@100 64?@150 62-@200 62?@200 62>1,2@500 64-@3000"},
		// A tail is as good as a free voice.
		{"wait, tails", 2, 1000, alloc.PickLowest, alloc.StealOldest, unison(2, alloc.Wait),
			"60 0–500, 62 600–900", "60>1,2@0 62>1,2@600"},

		// But not where tails may not be taken: that of 60 ends at 100 + 1000.
		{"wait, hard none", 2, 1000, alloc.PickLowest, alloc.StealHardNone, unison(2, alloc.Wait),
			"60 0–100, 62 200–1500", "60>1,2@0 62?@200 62>1,2@1100"},
		// V3 and V4 are free, but V1 is the next.
		{"wait, strict", 4, 0, alloc.PickStrictRoundRobin, alloc.StealOldest, unison(2, alloc.Wait),
			"60 0–40, 62 10–20, 64 30–90", "60>1,2@0 62>3,4@10 64?@30 64>1,2@40"},
		{"wait, fixed", 4, 0, alloc.PickFixed, alloc.StealOldest, func(c *alloc.Config, p *alloc.Part) {
			unison(2, alloc.Wait)(c, p)
			p.Fixed = map[midi.Key]int{60: 2}
		}, "60 0–40, 61 10–20", "60>3@0 61?@10 61-@20"},
		// k = 3 on two voices: oldest gives its only one.
		{"elastic, too many", 2, 0, alloc.PickLowest, alloc.StealOldest, unison(2, alloc.Elastic),
			"on 60 0, on 62 1, on 64 2", "60>1,2@0 62>2!60(1)@1 64>1!60@2"},
		// 5 over 2: 3 and 2; over 3: 2, 2, 1: 60 gives its highest.
		{"elastic, five", 5, 0, alloc.PickLowest, alloc.StealOldest, unison(5, alloc.Elastic),
			"on 60 0, on 62 1, on 64 2", "60>1,2,3,4,5@0 62>4!60(3),5!60(3)@1 64>3!60(2)@2"},
		// 62 ends: 60 grows to all four again. 3 and 4 go to it, the lowest first.
		{"elastic, regrow", 4, 0, alloc.PickLowest, alloc.StealOldest, regrow,
			"on 60 0, 62 1–500", "60>1,2,3,4@0 62>3!60(2),4!60(2)@1 60>3,4@500"},
	} {
		t.Run(row.name, func(t *testing.T) { require.Equal(t, row.want, stacks(row.run(t))) })
	}
}

// Positions are places in ascending voice number at the take, and stay; detune
// goes by them, or by the voice.
func TestUnisonDetune(t *testing.T) {
	for _, row := range []struct {
		set  func(u *alloc.Unison)
		want string
	}{
		{func(u *alloc.Unison) { u.Detune = []float64{-10, 10} },
			"60@1 59.9 0/3, 60@2 60.1 1/3, 60@3 60.0 2/3, 62@2 61.9 0/2, 62@3 62.1 1/2"},
		{func(u *alloc.Unison) { u.ByVoice = []float64{10, 20, 30} },
			"60@1 60.1 0/3, 60@2 60.2 1/3, 60@3 60.3 2/3, 62@2 62.2 0/2, 62@3 62.3 1/2"},
	} {
		cfg := rig(3, 0, alloc.PickLowest, alloc.StealOldest)
		cfg.Parts[0].Unison = alloc.Unison{Voices: 3, WhenShort: alloc.Elastic}
		// 62 may not have V1: k = 2 share two voices, one each, and 60 is above its share.
		cfg.Parts[0].Unison.WhenShort = alloc.Thin
		row.set(&cfg.Parts[0].Unison)
		cfg.Voices[0].State, cfg.Voices[0].Keys = alloc.Limited, alloc.KeyRange{Low: 60, High: 60}
		var words []string
		for _, d := range slow.Run(cfg, song(t, "on 60 0, on 62 10"), ms(end), alloc.Future{}) {
			if d.Kind == alloc.Take {
				words = append(words, fmt.Sprintf("%d@%d %.1f %d/%d", d.Key, d.Voice+1, d.Pitch, d.Position, d.Of))
			}
		}
		require.Equal(t, row.want, strings.Join(words, ", "))
	}
}

// 58, 60, 63 and now 61 share the three voices that may play it: the stealing
// rule takes one, and where classes compete the oldest is the held 58, not the
// tail of 59.
func TestElasticStealRuleWithMixedClasses(t *testing.T) {
	cfg := rig(4, 1000, alloc.PickLowest, alloc.StealOldest)
	cfg.Voices[3].State, cfg.Voices[3].Keys = alloc.Limited, alloc.KeyRange{Low: 63, High: 63}
	unison(2, alloc.Elastic)(&cfg, &cfg.Parts[0])
	cfg.Parts[0].MixClasses = true
	text := "on 58 0, on 60 10, on 59 20, on 63 30, off 59 40, on 61 50"
	require.Equal(t, "58>1,2,3@0 60>3!58(2)@10 59>2!58(1)@20 63>4@30 61>1!58@50",
		stacks(slow.Run(cfg, song(t, text), ms(end), alloc.Future{})))
}

// By voice detunes single voices too.
func TestDetuneByVoice(t *testing.T) {
	cfg := rig(2, 0, alloc.PickLowest, alloc.StealOldest)
	cfg.Parts[0].Unison.ByVoice = []float64{0, 25}
	require.Equal(t, "60.000@0 62.250@10", pitches(slow.Run(cfg, song(t, "on 60 0, on 62 10"), ms(end), alloc.Future{})))
}

// threeParts are a bass below 40, chords, and a lead from 70, with reserved voices.
func threeParts(c *alloc.Config, p *alloc.Part) {
	bass, lead, chord := *p, *p, *p
	bass.Keys, bass.Reserve, bass.Limit, bass.Priority = alloc.KeyRange{Low: 0, High: 39}, 1, 1, 1
	lead.Keys, lead.Reserve, lead.Limit, lead.Priority = alloc.KeyRange{Low: 70, High: 127}, 1, 2, 2
	chord.Keys, chord.Reserve, chord.Limit, chord.Priority = alloc.KeyRange{Low: 40, High: 69}, 3, 5, 3
	c.Parts = []alloc.Part{bass, lead, chord}
}

// pair splits the keys at 60: the lower part with reserve r and limit m, the
// upper with R and M, of equal priority unless said.
func pair(r, m, upperR, upperM int) func(*alloc.Config, *alloc.Part) {
	return func(c *alloc.Config, p *alloc.Part) {
		lower, upper := *p, *p
		lower.Keys.High, lower.Reserve, lower.Limit = 59, r, m
		upper.Keys.Low, upper.Reserve, upper.Limit = 60, upperR, upperM
		c.Parts = []alloc.Part{lower, upper}
	}
}

func TestReserves(t *testing.T) {
	for _, row := range []rule{
		{"11", 6, 0, alloc.PickLowest, alloc.StealOldest, threeParts,
			"on 36 0, on 48 0, on 52 0, on 55 0, on 59 0, on 62 500, on 79 800, on 81 1000, off 79 1200, on 65 1300",
			"36>1 48>2 52>3 55>4 59>5 62>2!48 79>6 81>3!52 65>6"},
		// Two voices, the upper part's reserve 1: the second lower note finds free − 1 = 0.
		{"others' reserve", 2, 0, alloc.PickLowest, alloc.StealOldest, pair(0, 0, 1, 0),
			"on 40 0, on 41 1", "40>1 41>1!40"},
		{"one more voice", 3, 0, alloc.PickLowest, alloc.StealOldest, pair(0, 0, 1, 0),
			"on 40 0, on 41 1", "40>1 41>2"},
		// The reserve is in use: nothing is kept back any more.
		{"reserve in use", 2, 0, alloc.PickLowest, alloc.StealOldest, pair(0, 0, 1, 0),
			"on 60 0, on 41 1", "60>1 41>2"},
		{"own reserve first", 2, 0, alloc.PickLowest, alloc.StealOldest, pair(1, 0, 1, 0),
			"on 40 0, on 60 1", "40>1 60>2"},
		// u = 1 = r is not above the reserve: 60 is safe, 40 goes though it is newer.
		{"not from a reserve", 2, 0, alloc.PickLowest, alloc.StealOldest, pair(0, 0, 1, 0),
			"on 60 0, on 40 1, on 41 2", "60>1 40>2 41>2!40"},
		{"from above a reserve", 3, 0, alloc.PickLowest, alloc.StealOldest, pair(0, 0, 1, 0),
			"on 60 0, on 61 1, on 40 2, on 41 3", "60>1 61>2 40>3 41>1!60"},
		{"limit", 3, 0, alloc.PickLowest, alloc.StealOldest, pair(0, 1, 0, 0),
			"on 60 0, on 40 1, on 41 2", "60>1 40>2 41>2!40"},
		// A tail is free to be had, or not: V2 still rings at 200.
		{"tails are kept as well", 2, 1000, alloc.PickLowest, alloc.StealOldest, pair(0, 0, 1, 0),
			"60 0–100, on 40 100, on 41 200", "60>1 40>2 41>2!40"},
		{"a tail of its reserve", 2, 1000, alloc.PickLowest, alloc.StealOldest, pair(0, 0, 1, 0),
			"60 0–100, on 40 100, on 61 200", "60>1 40>2 61>1~60(-6.0)"},
		{"dropped", 2, 0, alloc.PickLowest, alloc.StealNone, pair(0, 0, 1, 0),
			"on 40 0, on 41 1", "40>1 41-"},
		// Re-attack needs no room.
		{"re-attack at the limit", 2, 0, alloc.PickLowest, alloc.StealOldest, pair(0, 1, 0, 0),
			"on 40 0, on 40 1", "40>1 40=1"},
	} {
		t.Run(row.name, func(t *testing.T) { require.Equal(t, row.want, takes(row.run(t))) })
	}
}

func TestReserveCause(t *testing.T) {
	for _, steal := range []alloc.StealRule{alloc.StealNone, alloc.StealOldest} {
		row := rule{"", 2, 0, alloc.PickLowest, steal, pair(0, 0, 1, 0), "on 40 0, on 41 1", ""}
		ds := row.run(t)
		require.Equal(t, alloc.CauseReserve, ds[1].Cause, "a voice is free") // V2 is kept for keys from 60
	}
	row := rule{"", 2, 0, alloc.PickLowest, alloc.StealNone, pair(0, 0, 1, 0), "on 60 0, on 40 1, on 41 2", ""}
	require.Equal(t, alloc.CauseShortage, row.run(t)[2].Cause, "three keys on two voices")
}

func mono(mode alloc.Mode, press, back bool) func(*alloc.Config, *alloc.Part) {
	return func(_ *alloc.Config, p *alloc.Part) {
		p.Mode, p.ReattackPress, p.ReattackReturn = mode, press, back
	}
}

// line prints the pitches of a mono part: "48@0" attacks, "~52@200" slides;
// "." is where the gate goes low.
func line(ds []alloc.Decision) string {
	var words []string
	for _, d := range ds {
		at := d.At.Milliseconds()
		switch d.Kind {
		case alloc.Take, alloc.Reattack:
			words = append(words, fmt.Sprintf("%d@%d", d.Key, at))
		case alloc.Slide:
			words = append(words, fmt.Sprintf("~%d@%d", d.Key, at))
		case alloc.Release:
			words = append(words, fmt.Sprintf(".%d", at))
		}
	}
	return strings.Join(words, " ")
}

func TestMono(t *testing.T) {
	const three = "48 0–1000, 52 200–600, 55 400–500"
	firstOff := func(c *alloc.Config, p *alloc.Part) {
		mono(alloc.MonoLast, false, false)(c, p)
		p.SameKey = alloc.RetriggerFirstOff
	}
	for _, row := range []rule{
		{"legato", 1, 0, 0, 0, mono(alloc.MonoLast, false, false), three, "48@0 ~52@200 ~55@400 ~52@500 ~48@600 .1000"},
		{"re-attack on press", 1, 0, 0, 0, mono(alloc.MonoLast, true, false), three, "48@0 52@200 55@400 ~52@500 ~48@600 .1000"},
		{"re-attack on press and return", 1, 0, 0, 0, mono(alloc.MonoLast, true, true), three, "48@0 52@200 55@400 52@500 48@600 .1000"},
		{"low", 1, 0, 0, 0, mono(alloc.MonoLow, true, true), three, "48@0 .1000"},
		{"high", 1, 0, 0, 0, mono(alloc.MonoHigh, false, false), "60 0–900, 55 100–200, 64 300–400", "60@0 ~64@300 ~60@400 .900"},
		// The lowest goes: the next lowest, not the last pressed.
		{"low, return", 1, 0, 0, 0, mono(alloc.MonoLow, false, false), "48 0–100, 52 10–900, 55 20–900", "48@0 ~52@100 ~55@900 .900"},
		// Pressed again 48 is the last.
		{"to the top", 1, 0, 0, 0, mono(alloc.MonoLast, false, false), "on 48 0, on 52 10, on 48 20, off 48 30, off 48 40, off 52 50", "48@0 ~52@10 ~48@20 ~52@40 .50"},
		{"first-off", 1, 0, 0, 0, firstOff, "on 48 0, on 52 10, on 48 20, off 48 30, off 48 40, off 52 50", "48@0 ~52@10 ~48@20 ~52@30 .50"},
		// No key is down when 52 comes: an attack.
		{"pedal", 1, 0, 0, 0, mono(alloc.MonoLast, false, false), "cc64 0 127, 48 0–100, 52 200–300, cc64 400 0", "48@0 52@200 .400"},
		// Sostenuto latches 48 alone: under it the gate stays, under 52 it goes low.
		{"sostenuto", 1, 0, 0, 0, mono(alloc.MonoLast, false, false), "48 0–100, cc66 50 127, 48 200–900, 52 300–400, cc66 950 0", "48@0 48@200 ~52@300 ~48@400 .950"},
		{"sostenuto, another key", 1, 0, 0, 0, mono(alloc.MonoLast, false, false), "48 0–300, cc66 50 127, 52 200–400, cc66 950 0", "48@0 ~52@200 .400"},
		{"sostenuto, back to its key", 1, 0, 0, 0, mono(alloc.MonoLast, false, false), "48 0–400, cc66 50 127, 52 200–300, cc66 950 0", "48@0 ~52@200 ~48@300 .950"},
		{"all notes off", 1, 0, 0, 0, mono(alloc.MonoLast, false, false), "on 48 0, on 52 10, cc123 20 0, off 52 30", "48@0 ~52@10 .20"},
		{"all sound off", 1, 0, 0, 0, mono(alloc.MonoLast, false, false), "on 48 0, on 52 10, cc64 15 127, cc120 20 0, off 52 30", "48@0 ~52@10 .20"},
	} {
		t.Run(row.name, func(t *testing.T) { require.Equal(t, row.want, line(row.run(t))) })
	}
}

// Mono with low priority: the keys that do not win are notes that never
// sound. Legato supersedes.
func TestMonoReference(t *testing.T) {
	cfg := rig(1, 0, alloc.PickLowest, alloc.StealOldest)
	steps := song(t, "48 0–1000, 52 200–600, 55 400–500")
	for _, row := range []struct {
		mode alloc.Mode
		want string
	}{
		{alloc.MonoLow, "0–1000 200–200s 400–400s"},
		{alloc.MonoLast, "0–200s 200–400s 400–1000"},
	} {
		cfg.Parts[0].Mode = row.mode
		var words []string
		for _, n := range slow.Reference(cfg, steps, ms(end)).Notes {
			word := fmt.Sprintf("%d–%d", n.Start.Milliseconds(), n.End.Milliseconds())
			if n.Superseded {
				word += "s"
			}
			words = append(words, word)
		}
		require.Equal(t, row.want, strings.Join(words, " "))
	}
}

// Under first-off the off at 20 belongs to the first note of 59 and ends the
// second, whose key is down until 500: swallowed, on one gate as on many.
func TestMonoSwallows(t *testing.T) {
	cfg := rig(1, 0, alloc.PickLowest, alloc.StealOldest)
	cfg.Parts[0].SameKey = alloc.RetriggerFirstOff
	for _, mode := range []alloc.Mode{alloc.Poly, alloc.MonoLast} {
		cfg.Parts[0].Mode = mode
		notes := slow.Reference(cfg, song(t, "on 59 0, on 59 10, off 59 20, off 59 500"), ms(end)).Notes
		require.Equal(t, ms(20), notes[1].End)
		require.True(t, notes[1].Swallowed)
	}
}

// A mono part that has lost its voice: a return emits nothing, a press takes
// a voice like any note.
func TestMonoStolen(t *testing.T) {
	row := rule{"", 1, 0, alloc.PickLowest, alloc.StealOldest, func(c *alloc.Config, p *alloc.Part) {
		pair(0, 0, 0, 0)(c, p)
		c.Parts[0].Mode = alloc.MonoLast
	}, "on 40 0, on 41 10, 60 20–30, off 41 40, on 42 50", ""}
	require.Equal(t, "40>1 60>1!41 42>1", takes(row.run(t)))
}

func TestGlide(t *testing.T) {
	cfg := rig(1, 0, alloc.PickLowest, alloc.StealOldest)
	cfg.Parts[0].Mode, cfg.Parts[0].Glide, cfg.Parts[0].ReattackReturn = alloc.MonoLast, ms(70), true
	for _, d := range slow.Run(cfg, song(t, "48 0–100, 52 10–50"), ms(end), alloc.Future{}) {
		wants := d.Kind == alloc.Take || d.Kind == alloc.Slide || d.Kind == alloc.Reattack
		require.Equal(t, wants, d.Glide == ms(70), d.Kind)
	}
}

// step is one on a channel from 0.
func step(at int, kind midi.StepKind, channel midi.Channel, key midi.Key, value uint16) midi.Step {
	return midi.Step{At: ms(at), Kind: kind, Channel: channel, Key: key, Value: value}
}

// Full down is all of the range: 48 of a member and 2 of its manager.
func TestPerNoteChannels(t *testing.T) {
	on := func(at int, c midi.Channel, key midi.Key) midi.Step { return step(at, midi.StepNoteOn, c, key, 100) }
	lower := midi.Zone{AnyPort: true, Members: 3}
	upper := midi.Zone{AnyPort: true, Members: 3, Upper: true}
	for _, row := range []struct {
		name  string
		zone  midi.Zone
		steps []midi.Step
		want  string
	}{
		{"bends add up", lower, []midi.Step{on(0, 1, 60), step(10, midi.StepBend, 1, 0, 0), step(20, midi.StepBend, 0, 0, 0)},
			"60.000@0 12.000@10 10.000@20"},
		{"of the manager's own notes its bend alone", lower, []midi.Step{on(0, 0, 60), step(20, midi.StepBend, 0, 0, 0)},
			"60.000@0 58.000@20"},
		{"upper", upper, []midi.Step{on(0, 14, 60), step(10, midi.StepBend, 14, 0, 0), step(20, midi.StepBend, 15, 0, 0)},
			"60.000@0 12.000@10 10.000@20"},
		{"range of all members", lower, []midi.Step{step(0, midi.StepBendRange, 2, 0, 2400), on(1, 1, 60), step(10, midi.StepBend, 1, 0, 0)},
			"60.000@1 36.000@10"},
		{"range of the manager", lower, []midi.Step{step(0, midi.StepBendRange, 0, 0, 700), on(1, 1, 60), step(10, midi.StepBend, 0, 0, 0)},
			"60.000@1 53.000@10"},
		{"not outside of the zone", lower, []midi.Step{on(0, 3, 60), on(0, 4, 61), on(0, 15, 62)}, "60.000@0"},
		{"nor of the upper", upper, []midi.Step{on(0, 12, 60), on(0, 11, 61), on(0, 0, 62)}, "60.000@0"},
		{"a larger zone", lower, []midi.Step{step(0, midi.StepZone, 0, 0, 4), on(1, 4, 60), on(1, 5, 61)}, "60.000@1"},
		{"no zone", lower, []midi.Step{step(0, midi.StepZone, 0, 0, 0), on(1, 0, 60), on(1, 1, 61)}, ""},
		// Without a manager the wheel of channel 2 has the part's range, 2.
		{"bent at once when its zone goes", lower, []midi.Step{on(0, 1, 60), step(10, midi.StepBend, 1, 0, 0), step(20, midi.StepBend, 0, 0, 0),
			step(30, midi.StepZone, 0, 0, 0)}, "60.000@0 12.000@10 10.000@20 58.000@30"},
		{"not set on another channel", lower, []midi.Step{step(0, midi.StepZone, 1, 0, 0), on(1, 1, 61)}, "61.000@1"},
		// The upper zone takes 12 members, 3…14: one is left to the lower's 1 and 2… 14 − 12.
		{"the newer wins", lower, []midi.Step{step(0, midi.StepZone, 15, 0, 12), on(1, 2, 60), on(1, 3, 61)}, "60.000@1"},
	} {
		t.Run(row.name, func(t *testing.T) {
			cfg := rig(4, 0, alloc.PickLowest, alloc.StealOldest)
			cfg.Parts[0].Sources, cfg.Parts[0].Zones = nil, []midi.Zone{row.zone}
			require.Equal(t, row.want, pitches(slow.Run(cfg, row.steps, ms(end), alloc.Future{})))
		})
	}
}

// The manager's pedals hold the members' notes; CC120 on it silences them.
func TestPerNotePedals(t *testing.T) {
	for _, row := range []struct {
		name  string
		steps []midi.Step
		want  string
	}{
		{"sustain", []midi.Step{step(0, midi.StepSustain, 0, 0, 127), step(1, midi.StepNoteOn, 1, 60, 100),
			step(100, midi.StepNoteOff, 1, 60, 64), step(500, midi.StepSustain, 0, 0, 0)}, "1:1–500"},
		{"a member that comes later", []midi.Step{step(0, midi.StepSustain, 0, 0, 127), step(1, midi.StepZone, 0, 0, 5),
			step(2, midi.StepNoteOn, 5, 60, 100), step(100, midi.StepNoteOff, 5, 60, 64), step(500, midi.StepSustain, 0, 0, 0)}, "1:2–500"},
		{"a member that comes later, though its channel was used", []midi.Step{step(0, midi.StepBend, 5, 0, 0), step(0, midi.StepSustain, 0, 0, 127),
			step(1, midi.StepZone, 0, 0, 5), step(2, midi.StepNoteOn, 5, 60, 100), step(100, midi.StepNoteOff, 5, 60, 64),
			step(500, midi.StepSustain, 0, 0, 0)}, "1:2–500"},
		{"sostenuto", []midi.Step{step(1, midi.StepNoteOn, 1, 60, 100), step(50, midi.StepSostenuto, 0, 0, 127),
			step(100, midi.StepNoteOff, 1, 60, 64), step(500, midi.StepSostenuto, 0, 0, 0)}, "1:1–500"},
		{"all notes off", []midi.Step{step(1, midi.StepNoteOn, 1, 60, 100), step(100, midi.StepNotesOff, 0, 0, 0)}, "1:1–100"},
		{"all sound off", []midi.Step{step(1, midi.StepNoteOn, 3, 60, 100), step(1, midi.StepSustain, 3, 0, 127),
			step(100, midi.StepSoundOff, 0, 0, 0)}, "1:1–100"},
		{"reset", []midi.Step{step(0, midi.StepSustain, 0, 0, 127), step(1, midi.StepNoteOn, 1, 60, 100),
			step(100, midi.StepNoteOff, 1, 60, 64), step(200, midi.StepReset, 0, 0, 0)}, "1:1–200"},
	} {
		t.Run(row.name, func(t *testing.T) {
			cfg := rig(4, 0, alloc.PickLowest, alloc.StealOldest)
			cfg.Parts[0].Sources, cfg.Parts[0].Zones = nil, []midi.Zone{{AnyPort: true, Members: 3}}
			require.Equal(t, row.want, gates(slow.Run(cfg, row.steps, ms(end), alloc.Future{})))
		})
	}
}

// A performance that hangs on the last bits of a level says so.
func TestDoubt(t *testing.T) {
	cfg := rig(2, 0, alloc.PickLowest, alloc.StealQuietest)
	for i := range cfg.Voices {
		cfg.Voices[i].Envelope = alloc.Envelope{Decay: ms(100), Sustain: 0}
	}
	for text, want := range map[string]bool{
		// −60·50/100 dB from v100, and v10 from 10 ms later is 20 − 6 dB below: no tie.
		"on 60 0 v100, on 61 10 v10, on 62 50": false,
		// 20/60·100 ms later and a tenth of the velocity: equal but for rounding.
		"on 60 0 v100, on 61 50 v100, on 62 100": false,
		"on 60 0 v100, on 61 0 v100, on 62 100":  false, // equal by origin
		"on 60 0 v50, on 61 0 v50, on 62 100":    false,
	} {
		_, doubt := slow.Play(cfg, song(t, text), ms(end), alloc.Future{})
		require.Equal(t, want, doubt, text)
	}
	// Both rise on one curve, and are struck again at 50 ms: equal, but if V1 took it up again
	// at 10 ms, by another way.
	for i := range cfg.Voices {
		cfg.Voices[i].Envelope = alloc.Envelope{Attack: ms(1000), Sustain: 1}
	}
	for text, want := range map[string]bool{
		"on 60 0, on 61 0, on 60 50, on 61 50, on 62 100":           false,
		"on 60 0, on 61 0, on 60 10, on 60 50, on 61 50, on 62 100": true,
	} {
		_, doubt := slow.Play(cfg, song(t, text), ms(end), alloc.Future{})
		require.Equal(t, want, doubt, text)
	}
	cfg.Voices[0].Envelope = alloc.Envelope{Decay: ms(100), Sustain: 0}
	// −30 dB a second: V2 sustains what V1 has decayed to, within 10^−9.
	cfg.Voices[1].Envelope = alloc.Envelope{Sustain: 0.001 * (1 + 1e-12)}
	_, doubt := slow.Play(cfg, song(t, "on 60 0, on 61 0, on 62 100"), ms(end), alloc.Future{})
	require.True(t, doubt)
}
