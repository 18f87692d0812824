package reach

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
)

// The window of keys 36–96 is that of 0–5 V with 0 V at key 36 (12·5 + 1 =
// 61 keys). A window that moves by k semitones reaches 36 + k to 96 + k.
func TestFit(t *testing.T) {
	for _, c := range []struct {
		low, high      float64
		octaves, shift any // nil if none fits
	}{
		{36, 96, 0, 0},
		{35, 95, nil, -1},
		{35, 84, 1, -1},
		{24, 40, 1, -12},
		{23, 40, 2, -13},
		{37, 97, nil, 1},
		{48, 97, -1, 1},
		{109, 110, -2, 14},
		{29, 95, nil, nil},     // 67 keys
		{36, 96.06, nil, nil},  // six cents of detune: wider than the window
		{50, 96.06, -1, 1},     // and here they only lead over its edge
		{50, 96 + 1e-12, 0, 0}, // what arithmetic adds is forgiven
		{34.0002, 80, 1, -2},   // a bend of two semitones down
		{29, 36, 1, -7},        // the bass of the demo
		{35.5, 95.5, nil, nil}, // half a semitone off: no whole one mends it
	} {
		r := Range{Notes: 1, Low: c.low, High: c.high}
		r.fit(alloc.Window{Bounded: true, Low: 36, High: 96})
		is(t, c.octaves, r.Octaves, "octaves of %v-%v", c.low, c.high)
		is(t, c.shift, r.Shift, "zero key of %v-%v", c.low, c.high)
	}
}

// is compares a number that may not be there.
func is(t *testing.T, want any, got *int, message string, args ...any) {
	t.Helper()
	if want == nil {
		require.Nil(t, got, append([]any{message}, args...)...)
		return
	}
	require.NotNil(t, got, append([]any{message}, args...)...)
	require.Equal(t, want, *got, append([]any{message}, args...)...)
}

// Of all shifts that fit, the one found is the smallest: by trying them all.
func TestFitAgainstTryingAll(t *testing.T) {
	w := alloc.Window{Bounded: true, Low: 36, High: 96}
	fits := func(low, high float64, moved int) bool { return low+float64(moved) >= 36 && high+float64(moved) <= 96 }
	best := func(low, high float64, step int) *int {
		for n := range 140 {
			for _, k := range []int{-n * step, n * step} {
				if fits(low, high, k) {
					return &k
				}
			}
		}
		return nil
	}
	for low := 0.0; low < 128; low += 3.5 {
		for high := low; high < 128; high += 2.5 {
			r := Range{Notes: 1, Low: low, High: high}
			r.fit(w)
			if want := best(low, high, 12); want == nil {
				require.Nil(t, r.Octaves)
			} else {
				require.Equal(t, *want/12, *r.Octaves, "%v-%v", low, high)
			}
			// moving the window up is moving the notes down
			if want := best(low, high, 1); want == nil {
				require.Nil(t, r.Shift)
			} else {
				require.Equal(t, -*want, *r.Shift, "%v-%v", low, high)
			}
		}
	}
}

// With hertz per volt a window may reach down without end, and no zero key is
// anywhere; without a window there is nothing to say.
func TestWindowsWithoutAnEnd(t *testing.T) {
	r := Range{Notes: 1, Low: 10, High: 97}
	r.fit(alloc.Window{Bounded: true, Low: math.Inf(-1), High: 96})
	require.Nil(t, r.Shift)
	require.Nil(t, r.Octaves)
	low, high := r.WindowKeys()
	require.Equal(t, []int{-1000, 96}, []int{low, high})
	r = Range{Notes: 1, Low: 10, High: 97}
	r.fit(alloc.Window{})
	require.Nil(t, r.Shift)
}

const rigText = `
rig: R
interfaces: {main: {profile: cv8-gate8}}
banks: {K: {voices: 4}}
parts:
  low: {channel: 1}
  high: {channel: 2, bend_range: 12%s}
`

// play plays steps on a rig with parts low and high, and returns what is found.
func play(t *testing.T, more string, steps ...midi.Step) ([]Range, []routing.Finding) {
	t.Helper()
	text := []byte(rigText)
	text = []byte(string(text[:len(text)-len("%s}\n")]) + more + "}\n")
	rig, faults := profiles.Read("rig.yaml", text, nil)
	require.Empty(t, faults)
	m := routing.NewMap(rig)
	cfg := alloc.Config{MinGate: 5 * time.Millisecond, FreeDB: -60}
	for range rig.Voices {
		cfg.Voices = append(cfg.Voices, alloc.Voice{Window: alloc.Window{Bounded: true, Low: 36, High: 96},
			Envelope: alloc.Envelope{Attack: time.Millisecond, Sustain: 1}})
	}
	for i := range rig.Parts {
		p := &rig.Parts[i]
		cfg.Parts = append(cfg.Parts, alloc.Part{Name: p.Name, Sources: p.Sources, Keys: p.Keys, Velocities: p.Velocities,
			Banks: p.Banks, Pick: p.Pick, Second: p.Second, Steal: p.Steal, BendRange: p.BendRange, OutOfRange: p.OutOfRange, Transpose: p.Transpose, Priority: 1})
	}
	played, err := study.Play(study.Rules{Config: cfg, LimitDB: -40}, study.Performance{Steps: steps, End: 20 * time.Second})
	require.NoError(t, err)
	var meter midi.MeterMap // 4/4 with 500 ticks a quarter note: 2000 a bar
	parts := Parts(&cfg, played, &meter)
	boxes, on := Interfaces(m, &cfg, played, &meter)
	return parts, Finder{rig, &cfg}.Find(parts, boxes, on)
}

// note is a key that is down for a quarter note of half a second.
func note(channel midi.Channel, key midi.Key, bar int) []midi.Step {
	at := time.Duration(bar-1) * 2 * time.Second
	tick := midi.Tick(2000 * (bar - 1))
	return []midi.Step{
		{Kind: midi.StepNoteOn, Channel: channel, Key: key, Value: 100, At: at, Tick: tick},
		{Kind: midi.StepNoteOff, Channel: channel, Key: key, At: at + 500*time.Millisecond, Tick: tick + 500},
	}
}

func join(lists ...[]midi.Step) (all []midi.Step) {
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}

// Keys 29 and 33 in bars 1 and 2 miss 36 by 700 and 300 cents; 95 is fine. That
// is 67 keys of 61. The low part fits with 29 at 0 V, or 24, an octave off.
func TestTooManyKeys(t *testing.T) {
	parts, found := play(t, "", join(note(0, 29, 1), note(0, 33, 2), note(1, 95, 3))...)
	require.Equal(t, []Bar{{1, 1, 700}, {2, 1, 300}}, parts[0].Bars)
	require.Equal(t, 2, parts[0].Missed)
	require.InDelta(t, 700, parts[0].WorstCents, 1e-9)
	require.Zero(t, parts[1].Missed)
	require.Len(t, found, 2)
	require.Equal(t, routing.WindowTooNarrow, found[0].Code)
	require.Equal(t, "the song plays F1-B6 (29-95), 67 keys; the CV range of main has C2-C7 (36-96), 61 keys. No key at 0 V fits all of it", found[0].Text)
	require.Equal(t, "low needs zero_key 29 (F1), or by whole octaves 24 (C1). Give it voices on an interface of its own, or tune its voices lower and transpose it", found[0].Hint)
	require.InDelta(t, 67, *found[0].Value, 0)
	require.Equal(t, routing.OutOfReach, found[1].Code)
	require.Equal(t, "2 notes of low out of range and clamped, by up to 700.0 cents, in bars 1-2. It plays F1-A1 (29-33), the CV range has C2-C7 (36-96)", found[1].Text)
	require.Equal(t, "transpose: 12 fits all of it", found[1].Hint)
}

// The same with one key fewer at the top and more at the bottom of the window:
// 29 to 89 are 61 keys, which the zero key 29 fits.
func TestAnotherZeroKeyFits(t *testing.T) {
	_, found := play(t, "", join(note(0, 29, 1), note(1, 89, 3))...)
	require.Equal(t, routing.ZeroKeyOff, found[0].Code)
	require.Equal(t, "zero_key: 29", found[0].Hint)
	_, found = play(t, "", join(note(0, 29, 1), note(1, 90, 3))...) // 62 keys
	require.Equal(t, routing.WindowTooNarrow, found[0].Code)
	_, found = play(t, "", join(note(0, 36, 1), note(1, 96, 3))...) // at both edges
	require.Empty(t, found)
}

// Key 90 bent by 12·8191/8192 semitones wants 101.99854, 599.854
// cents too much; the octave below fits it.
func TestABendLeadsOut(t *testing.T) {
	bend := midi.Step{Kind: midi.StepBend, Channel: 1, Value: 16383}
	parts, found := play(t, "", append([]midi.Step{bend}, note(1, 90, 1)...)...)
	require.InDelta(t, 90+12*8191.0/8192, parts[1].High, 1e-9)
	require.Equal(t, []int{90, 90}, []int{parts[1].LowKey, parts[1].HighKey})
	require.InDelta(t, -599.854, parts[1].WorstCents, 1e-3)
	require.Equal(t, -1, *parts[1].Octaves)
	require.Equal(t, 6, *parts[1].Shift) // ⌈101.99854 − 96⌉
	require.Equal(t, routing.ZeroKeyOff, found[0].Code)
}

// What a part is to write is the whole of its transpose: 90 and 12 is 102, an octave above what
// fits, so 0. 48 semitones are the most that a rig takes.
func TestTransposeIsWhatToWrite(t *testing.T) {
	_, found := play(t, ", transpose: 12", note(1, 90, 1)...)
	require.Equal(t, "transpose: 0 fits all of it", found[1].Hint)
	_, found = play(t, ", transpose: -48", note(1, 60, 1)...) // 12, of 36 at least
	require.Equal(t, "transpose: -24 fits all of it", found[1].Hint)
}

// What is folded or dropped is told too, in its own words.
func TestOtherWaysOutOfRange(t *testing.T) {
	_, found := play(t, ", out_of_range: fold", note(1, 100, 2)...)
	require.Equal(t, "1 note of high out of range and moved by octaves, by up to 1200.0 cents, in bar 2. It plays E7-E7 (100-100), the CV range has C2-C7 (36-96)", found[1].Text)
	_, found = play(t, ", out_of_range: drop", note(1, 100, 2)...)
	require.Equal(t, "1 note of high out of range and dropped, in bar 2. It plays E7-E7 (100-100), the CV range has C2-C7 (36-96)", found[1].Text)
}

func TestBars(t *testing.T) {
	n, runs := bars([]Bar{{Bar: 5}, {Bar: 1}, {Bar: 2}, {Bar: 3}, {Bar: 5}})
	require.Equal(t, 4, n)
	require.Equal(t, []string{"1-3", "5"}, runs)
}
