package slow_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/internal/slow"
	"choirloft/midi"
)

const end = 3000 // ms, of every song here

// The expected values, unless a row says otherwise, are worked by hand from the
// sentences of the rules.
func TestScenarios(t *testing.T) {
	const (
		pickSong  = "60 0–500, 62 200–900, 64 300–400, 65 600–700, 67 800–850"
		tailSong  = "60 0–500, 64 600–700, 67 800–900"
		fiveSong  = "48 0–2000, 52 100–2000, 55 200–2000, 60 300–2000, 64 400–2000"
		chordSong = "36 0–900, 52 0–900, 55 0–900, 59 0–900, 62 0–900"
		pedalSong = "cc64 0 127, cc64 2000 0, 48 0–1000, 52 250–350, 55 450–550, 57 700–900"
		againSong = "cc64 0 127, cc64 1000 0, 60 50–150, 60 300–400"
		v0Song    = "on 60 0 v100, on 60 200 v90, off 60 300, off 60 500"
		outSong   = "48 0–2000, 52 100–2000, 55 200–2000, 60 300–2000"
		latchSong = "on 48 0, cc66 300 127, on 52 350, off 52 450, off 48 500, cc64 800 127, cc66 900 0, cc64 1200 0"
	)
	rows := []struct {
		name   string
		voices int
		t60    int
		pick   alloc.PickRule
		steal  alloc.StealRule
		set    func(c *alloc.Config, p *alloc.Part)
		song   string
		takes  string
		gates  string // not looked at if empty
	}{
		{"picking: lowest", 3, 0, alloc.PickLowest, alloc.StealOldest, nil, pickSong,
			"60>1 62>2 64>3 65>1 67>1", "3:300–400 1:0–500 1:600–700 1:800–850 2:200–900"},
		{"picking: round-robin", 3, 0, alloc.PickRoundRobin, alloc.StealOldest, nil, pickSong,
			"60>1 62>2 64>3 65>1 67>3", ""},
		{"picking: longest-idle", 3, 0, alloc.PickLongestIdle, alloc.StealOldest, nil, pickSong,
			"60>1 62>2 64>3 65>3 67>1", ""},

		{"tails unknown", 2, 1000, alloc.PickLowest, alloc.StealOldest, tailsUnknown, tailSong,
			"60>1 64>1~60(-6.0) 67>1~64(-6.0)", ""},
		{"tails known", 2, 1000, alloc.PickLowest, alloc.StealOldest, nil, tailSong,
			"60>1 64>2 67>1~60(-18.0)", ""},

		{"five on four: oldest", 4, 0, alloc.PickLowest, alloc.StealOldest, nil, fiveSong,
			"48>1 52>2 55>3 60>4 64>1!48", "1:0–400+ 2:100–2000 3:200–2000 4:300–2000 1:400–2000"},
		{"five on four: lowest", 4, 0, alloc.PickLowest, alloc.StealLowest, nil, fiveSong,
			"48>1 52>2 55>3 60>4 64>1!48", ""},
		{"five on four: newest", 4, 0, alloc.PickLowest, alloc.StealNewest, nil, fiveSong,
			"48>1 52>2 55>3 60>4 64>4!60", ""},
		{"five on four: protect-outer", 4, 0, alloc.PickLowest, alloc.StealProtectOuter, nil, fiveSong,
			"48>1 52>2 55>3 60>4 64>2!52", ""},
		{"five on four: none", 4, 0, alloc.PickLowest, alloc.StealNone, nil, fiveSong,
			"48>1 52>2 55>3 60>4 64-", ""},

		{"chord at one instant: oldest", 4, 0, alloc.PickLowest, alloc.StealOldest, nil, chordSong,
			"36>1 52>2 55>3 59>4 62>1!36", ""},
		{"chord at one instant: protect-outer", 4, 0, alloc.PickLowest, alloc.StealProtectOuter, nil, chordSong,
			"36>1 52>2 55>3 59>4 62>2!52", ""},
		{"chord at one instant: none", 4, 0, alloc.PickLowest, alloc.StealNone, nil, chordSong,
			"36>1 52>2 55>3 59>4 62-", ""},

		{"pedal: class order", 3, 200, alloc.PickLowest, alloc.StealOldest, nil, pedalSong,
			"48>1 52>2 55>3 57>2?52", "2:250–700+ 1:0–2000 3:450–2000 2:700–2000"},
		{"pedal: class order off", 3, 200, alloc.PickLowest, alloc.StealOldest,
			func(_ *alloc.Config, p *alloc.Part) { p.MixClasses = true }, pedalSong,
			"48>1 52>2 55>3 57>1!48", "1:0–700+ 2:250–2000 3:450–2000 1:700–2000"},

		{"same key under the pedal: retrigger", 4, 0, alloc.PickLowest, alloc.StealOldest, nil, againSong,
			"60>1 60=1", "1:50–300+ 1:300–1000"},
		{"same key under the pedal: stack fifo", 4, 0, alloc.PickLowest, alloc.StealOldest, sameKey(alloc.StackFIFO), againSong,
			"60>1 60>2", "1:50–1000 2:300–1000"},

		{"velocity 0 and overlap: retrigger first-off", 4, 0, alloc.PickLowest, alloc.StealOldest, sameKey(alloc.RetriggerFirstOff), v0Song,
			"60>1 60=1", "1:0–200+ 1:200–300"},
		{"velocity 0 and overlap: retrigger counted", 4, 0, alloc.PickLowest, alloc.StealOldest, nil, v0Song,
			"60>1 60=1", "1:0–200+ 1:200–500"},
		{"velocity 0 and overlap: stack fifo", 4, 0, alloc.PickLowest, alloc.StealOldest, sameKey(alloc.StackFIFO), v0Song,
			"60>1 60>2", "1:0–300 2:200–500"},
		{"velocity 0 and overlap: stack lifo", 4, 0, alloc.PickLowest, alloc.StealOldest, sameKey(alloc.StackLIFO), v0Song,
			"60>1 60>2", "2:200–300 1:0–500"},

		{"one voice out", 4, 0, alloc.PickRoundRobin, alloc.StealOldest,
			func(c *alloc.Config, _ *alloc.Part) { c.Voices[1].State = alloc.Out }, outSong,
			"48>1 52>3 55>4 60>1!48", "1:0–300+ 3:100–2000 4:200–2000 1:300–2000"},

		{"sostenuto", 4, 0, alloc.PickLowest, alloc.StealOldest, nil, latchSong,
			"48>1 52>2", "2:350–450 1:0–1200"},
		{"sostenuto: all notes off changes nothing", 4, 0, alloc.PickLowest, alloc.StealOldest, nil,
			latchSong + ", cc123 600 0", "48>1 52>2", "2:350–450 1:0–1200"},
		{"sostenuto: all sound off", 4, 0, alloc.PickLowest, alloc.StealOldest, nil,
			latchSong + ", cc120 600 0", "48>1 52>2", "2:350–450 1:0–600"},

		{"off and on at one tick: off first", 1, 0, alloc.PickLowest, alloc.StealOldest, nil,
			"on 60 0, on 60 480, off 60 480, off 60 960", "60>1 60>1", "1:0–480 1:480–960"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			cfg := rig(row.voices, row.t60, row.pick, row.steal)
			if row.set != nil {
				row.set(&cfg, &cfg.Parts[0])
			}
			got := slow.Run(cfg, song(t, row.song), ms(end), alloc.Future{})
			require.Equal(t, row.takes, takes(got))
			if row.gates != "" {
				require.Equal(t, row.gates, gates(got))
			}
		})
	}
}

func tailsUnknown(_ *alloc.Config, p *alloc.Part) { p.TailsUnknown = true }

func sameKey(s alloc.SameKey) func(*alloc.Config, *alloc.Part) {
	return func(_ *alloc.Config, p *alloc.Part) { p.SameKey = s }
}

// Off and on at one tick: in strict file order under first-off the second
// note is swallowed where it starts.
func TestStrictFileOrderSwallows(t *testing.T) {
	cfg := rig(1, 0, alloc.PickLowest, alloc.StealOldest)
	cfg.Parts[0].SameKey = alloc.RetriggerFirstOff
	steps := filed(t, "on 60 0, on 60 480, off 60 480, off 60 960")
	require.Equal(t, "1:0–480+ 1:480–480", gates(slow.Run(cfg, steps, ms(end), alloc.Future{})))
	notes := slow.Reference(cfg, steps, ms(end)).Notes
	require.False(t, notes[0].Swallowed)
	require.True(t, notes[0].Superseded)
	require.True(t, notes[1].Swallowed)
}

// 0 V is key 36, window 0–5 V, so keys 36–96 exactly. Wanted is
// 90 + 12·8191/8192 = 101.99854; clamped to 96, 599.85 cents short.
func TestClamp(t *testing.T) {
	cfg := rig(1, 0, alloc.PickLowest, alloc.StealOldest)
	cfg.Voices[0].Window = alloc.Window{Bounded: true, Low: 36, High: 96}
	cfg.Parts[0].BendRange = 12
	d := slow.Run(cfg, song(t, "bend 0 16383, 90 0–500"), ms(end), alloc.Future{})[0]
	require.Equal(t, 96.0, d.Pitch)
	require.InDelta(t, -599.85, d.Missed, 0.005)

	// Range 2: 4.66665 V, which is 36 + 12·4.66665 = 91.9998.
	d = slow.Run(cfg, song(t, "range 0 2, bend 0 16383, 90 0–500"), ms(end), alloc.Future{})[0]
	require.InDelta(t, 4.66665, (d.Pitch-36)/12, 0.000005)
	require.Zero(t, d.Missed)
}

// Five on four: the stolen key's off at 2000 is no orphan, and each rule loses
// 1600 ms: what is cut at 400 would have lasted until 2000.
func TestReferenceIgnoresVoices(t *testing.T) {
	cfg := rig(4, 0, alloc.PickLowest, alloc.StealOldest)
	r := slow.Reference(cfg, song(t, "48 0–2000, 52 100–2000, 55 200–2000, 60 300–2000, 64 400–2000"), ms(end))
	require.Zero(t, r.Orphans)
	require.Len(t, r.Notes, 5)
	for i, n := range r.Notes {
		require.Equal(t, ms(100*i), n.Start)
		require.Equal(t, ms(2000), n.End)
	}
}

func TestReference(t *testing.T) {
	type gate struct{ start, keyUp, end int }
	rows := []struct {
		name string
		rule alloc.SameKey
		song string
		want []gate
		flag func(n slow.Note) bool
		set  []bool // flag of each note
	}{
		// Pedal down until 2000.
		{"pedal", 0, "cc64 0 127, cc64 2000 0, 48 0–1000, 52 250–350", []gate{{0, 1000, 2000}, {250, 350, 2000}},
			func(n slow.Note) bool { return n.Superseded }, []bool{false, false}},
		// The same key again under the pedal: the first note's interval is cut at the re-attack.
		{"retrigger", 0, "cc64 0 127, cc64 1000 0, 60 50–150, 60 300–400", []gate{{50, 150, 300}, {300, 400, 1000}},
			func(n slow.Note) bool { return n.Superseded }, []bool{true, false}},
		// A minimum gate of 5 ms: 2 ms become 5.
		{"short", 0, "60 0–2, 60 100–105, 60 200–206", []gate{{0, 5, 5}, {100, 105, 105}, {200, 206, 206}},
			func(n slow.Note) bool { return n.Stuck }, []bool{false, false, false}},
		// The key is up at 2 with no pedal down: a pedal pressed at 3 comes too late.
		{"short, pedal too late", 0, "60 0–2, cc64 3 127", []gate{{0, 5, 5}},
			func(n slow.Note) bool { return n.Stuck }, []bool{false}},
		// Struck again within the minimum gate: cut at the re-attack.
		{"short, again", 0, "60 0–2, 60 3–100", []gate{{0, 3, 3}, {3, 100, 100}},
			func(n slow.Note) bool { return n.Superseded }, []bool{true, false}},
		// Missing offs are stuck, extended to the end (3000).
		{"stuck", 0, "on 60 0, 62 0–100", []gate{{0, 3000, 3000}, {0, 100, 100}},
			func(n slow.Note) bool { return n.Stuck }, []bool{true, false}},
		{"pedal to the end is not stuck", 0, "60 0–100, cc64 50 127", []gate{{0, 100, 3000}},
			func(n slow.Note) bool { return n.Stuck }, []bool{false}},
		// A common tone and a legato overlap: the new one dies at the old one's off.
		{"first-off swallows", alloc.RetriggerFirstOff, "60 0–1060, 60 1000–2000", []gate{{0, 1000, 1000}, {1000, 1060, 1060}},
			func(n slow.Note) bool { return n.Swallowed }, []bool{false, true}},
		// On the pedal it lives on: until its own off, and no harm is done, or until the pedal lets go.
		{"first-off under the pedal", alloc.RetriggerFirstOff, "cc64 0 127, 60 0–1060, 60 1000–2000, cc64 2100 0",
			[]gate{{0, 1000, 1000}, {1000, 1060, 2100}},
			func(n slow.Note) bool { return n.Swallowed }, []bool{false, false}},
		{"first-off, pedal up before its off", alloc.RetriggerFirstOff, "cc64 0 127, 60 0–1060, 60 1000–2000, cc64 1500 0",
			[]gate{{0, 1000, 1000}, {1000, 1060, 1500}},
			func(n slow.Note) bool { return n.Swallowed }, []bool{false, true}},
		{"counted does not", 0, "60 0–1060, 60 1000–2000", []gate{{0, 1000, 1000}, {1000, 2000, 2000}},
			func(n slow.Note) bool { return n.Swallowed }, []bool{false, false}},
		// CC120 waits for no minimum gate, CC123 does.
		{"all sound off", 0, "on 60 0, cc120 2 0, on 62 100, cc123 102 0", []gate{{0, 2, 2}, {100, 105, 105}},
			func(n slow.Note) bool { return n.Stuck }, []bool{false, false}},
		// CC64 up lets go what sostenuto has not latched; latched is what was down at 100.
		{"sustain up under sostenuto", 0, "cc66 100 127, 60 0–200, 62 150–250, cc64 120 127, cc64 400 0, cc66 600 0",
			[]gate{{0, 200, 600}, {150, 250, 400}},
			func(n slow.Note) bool { return n.Stuck }, []bool{false, false}},
		// On the pedal and let go within the minimum gate: pressing it again does not help.
		{"short, pedal up and down", 0, "cc64 0 127, 60 0–1, cc64 2 0, cc64 3 127, cc64 4 0, cc64 4 127", []gate{{0, 1, 5}},
			func(n slow.Note) bool { return n.Stuck }, []bool{false}},
		// CC121 lets go what the pedals kept.
		{"reset", 0, "60 0–100, cc64 50 127, cc121 700 0", []gate{{0, 100, 700}},
			func(n slow.Note) bool { return n.Stuck }, []bool{false}},
		// CC123 clears the count: struck twice, one off is enough afterwards.
		{"notes off clears the count", 0, "on 60 0, on 60 100, cc126 200 0, 60 300–400",
			[]gate{{0, 100, 100}, {100, 200, 200}, {300, 400, 400}},
			func(n slow.Note) bool { return n.Superseded }, []bool{true, false, false}},
		// Sostenuto latches only what is down at its press, and hands it on.
		{"sostenuto", 0, "60 0–200, cc66 100 127, 60 300–400, 62 150–250, cc66 600 0",
			[]gate{{0, 200, 300}, {150, 250, 250}, {300, 400, 600}},
			func(n slow.Note) bool { return n.Superseded }, []bool{true, false, false}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			cfg := rig(1, 0, alloc.PickLowest, alloc.StealOldest)
			cfg.MinGate = ms(5)
			cfg.Parts[0].SameKey = row.rule
			r := slow.Reference(cfg, song(t, row.song), ms(end))
			require.Len(t, r.Notes, len(row.want))
			for i, n := range r.Notes {
				require.Equal(t, row.want[i], gate{int(n.Start.Milliseconds()), int(n.KeyUp.Milliseconds()), int(n.End.Milliseconds())}, "note %d", i)
				require.Equal(t, row.set[i], row.flag(n), "note %d", i)
			}
		})
	}
}

// An off whose on is not in the song is an orphan, counted for every part
// whose keys it falls to; an on that no part takes is no note.
func TestOrphansAndUnmapped(t *testing.T) {
	cfg := rig(1, 0, alloc.PickLowest, alloc.StealOldest)
	cfg.Parts = append(cfg.Parts, cfg.Parts[0], cfg.Parts[0])
	cfg.Parts[0].Keys = alloc.KeyRange{Low: 0, High: 59}
	cfg.Parts[1].Keys = alloc.KeyRange{Low: 50, High: 69}
	cfg.Parts[2].Sources = []alloc.Source{{Port: midi.Port(3), Channels: 0xFFFF}}
	r := slow.Reference(cfg, song(t, "off 40 0, off 55 0, off 80 0, 55 10–20, off 55 30, 80 40–50, 60 60–70"), ms(end))
	require.Equal(t, 4, r.Orphans)                     // 40, 55, 80, 55 again
	require.Equal(t, []int{3, 2, 0}, r.PartOrphans)    // 40 55 55; 55 55
	require.Equal(t, 1, r.Unmapped)                    // 80
	require.Equal(t, 3, len(r.Notes))                  // 55 twice, 60
	require.Equal(t, []int{0, 1, 1}, partsOf(r.Notes)) // first part first
	require.Equal(t, []midi.Key{55, 55, 60}, keys(r.Notes))
}

func partsOf(notes []slow.Note) []int {
	var parts []int
	for _, n := range notes {
		parts = append(parts, n.Part)
	}
	return parts
}

func keys(notes []slow.Note) []midi.Key {
	var keys []midi.Key
	for _, n := range notes {
		keys = append(keys, n.Key)
	}
	return keys
}
