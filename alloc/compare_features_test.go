package alloc_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/internal/slow"
	"choirloft/midi"
)

// compareFeature draws rigs whose parts all have one feature more, and checks
// that the engine decides what the slow reference decides. A song takes a tenth
// of a millisecond and few meet the rarer turns: each check draws ten.
func compareFeature(t *testing.T, change func(t *rapid.T, cfg *alloc.Config, p *alloc.Part)) {
	var c comparison
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			cfg := drawConfig(t)
			for i := range cfg.Parts {
				change(t, &cfg, &cfg.Parts[i])
			}
			c.same(t, cfg, drawFeaturePerformance(t, cfg))
		}
	})
	c.done(t)
}

// drawFeaturePerformance draws a song that reaches what the parts have: the
// channels of both zones.
func drawFeaturePerformance(t *rapid.T, cfg alloc.Config) performance {
	p := drawPerformance(t)
	if slices.ContainsFunc(cfg.Parts, func(p alloc.Part) bool { return len(p.Zones) > 0 }) {
		for i := range p.steps {
			s := &p.steps[i]
			s.Channel = rapid.SampledFrom([]midi.Channel{0, 1, 1, 2, 14, 14, 15}).Draw(t, "channel of a zone")
			if s.Kind <= midi.StepNoteOff || s.Kind == midi.StepKeyPressure {
				s.Key = 58 + s.Key%3 // so that offs find their notes
			}
			if s.Kind == midi.StepZone {
				s.Value = rapid.SampledFrom([]uint16{0, 1, 2, 12, 13, 14, 15}).Draw(t, "members")
			}
		}
	}
	return p
}

func TestReservesLikeTheSlowReference(t *testing.T) { compareFeature(t, drawReserve) }
func TestMonoLikeTheSlowReference(t *testing.T)     { compareFeature(t, drawMono) }
func TestZonesLikeTheSlowReference(t *testing.T)    { compareFeature(t, drawZones) }

func TestUnisonLikeTheSlowReference(t *testing.T) {
	for when, name := range map[alloc.WhenShort]string{alloc.Blocks: "blocks", alloc.Thin: "thin", alloc.Wait: "wait", alloc.Elastic: "elastic"} {
		t.Run(name, func(t *testing.T) {
			compareFeature(t, func(t *rapid.T, cfg *alloc.Config, p *alloc.Part) {
				drawUnison(t, cfg, p)
				p.Unison.WhenShort = when
			})
		})
	}
}

func TestAllFeaturesLikeTheSlowReference(t *testing.T) { compareFeature(t, drawFeatures) }

// Blocks are few, so that a rule seldom has two to choose from: here songs are dense, on two or
// three blocks that interleave, of all or some of the voices.
func TestDenseBlocksLikeTheSlowReference(t *testing.T) {
	var c comparison
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			cfg := drawVoices(t, 4, 6)
			p := &cfg.Parts[0]
			p.Unison = alloc.Unison{Voices: 2, WhenShort: alloc.Blocks}
			p.Unison.Blocks = drawBlocks(t, &cfg, p)
			p.Pick, p.Second = evenly(t, "pick", somePicks...), evenly(t, "second", somePicks[1:]...)
			c.same(t, cfg, drawDensePerformance(t))
		}
	})
	c.done(t)
}

var somePicks = []alloc.PickRule{alloc.PickSameKey, alloc.PickRandom, alloc.PickRoundRobin, alloc.PickLowest}

// drawFeatures gives a part any of the features, or several.
func drawFeatures(t *rapid.T, cfg *alloc.Config, p *alloc.Part) {
	if rapid.Bool().Draw(t, "reserve") {
		drawReserve(t, cfg, p)
	}
	if rapid.Bool().Draw(t, "mono") {
		drawMono(t, cfg, p)
	}
	if rapid.Bool().Draw(t, "zones") {
		drawZones(t, cfg, p)
	}
	if rapid.Bool().Draw(t, "unison") {
		drawUnison(t, cfg, p)
	}
	if rapid.IntRange(0, 3).Draw(t, "triggers") == 0 { // shorter than a minimum gate, as long, and as long as notes
		p.Pulse = rapid.SampledFrom([]time.Duration{time.Millisecond, 5 * time.Millisecond, 10 * time.Millisecond, 60 * time.Millisecond}).Draw(t, "pulse")
	}
}

func drawReserve(t *rapid.T, cfg *alloc.Config, p *alloc.Part) {
	p.Reserve = rapid.IntRange(0, 3).Draw(t, "reserve")
	if rapid.Bool().Draw(t, "limited") {
		p.Limit = p.Reserve + rapid.IntRange(0, 2).Draw(t, "above the reserve")
	}
}

func drawMono(t *rapid.T, _ *alloc.Config, p *alloc.Part) {
	p.Mode = alloc.Mode(rapid.IntRange(0, 3).Draw(t, "mode"))
	p.ReattackPress = rapid.Bool().Draw(t, "re-attack on press")
	p.ReattackReturn = rapid.Bool().Draw(t, "re-attack on return")
	p.Glide = rapid.SampledFrom([]time.Duration{0, 40 * time.Millisecond}).Draw(t, "glide")
}

func drawZones(t *rapid.T, _ *alloc.Config, p *alloc.Part) {
	if rapid.Bool().Draw(t, "channels too") {
		p.Sources = nil
	}
	p.Zones = []midi.Zone{{AnyPort: rapid.Bool().Draw(t, "zone on any port"), Port: midi.Port(rapid.IntRange(0, 1).Draw(t, "zone's port")),
		Upper: rapid.IntRange(0, 3).Draw(t, "upper") == 0, Members: rapid.IntRange(1, 15).Draw(t, "members")}}
}

// drawBlocks groups voices of a part at random: some stay out, and groups
// interleave. Where there are too few for one block it names none.
func drawBlocks(t *rapid.T, cfg *alloc.Config, p *alloc.Part) [][]int {
	var own []int
	for i, v := range cfg.Voices {
		if slices.Contains(p.Banks, v.Bank) && v.State != alloc.Spare {
			own = append(own, i)
		}
	}
	n := p.Unison.Voices
	own = rapid.Permutation(own).Draw(t, "named blocks")
	return slices.Collect(slices.Chunk(own[:len(own)/n*n], n))
}

func drawUnison(t *rapid.T, cfg *alloc.Config, p *alloc.Part) {
	p.Unison = alloc.Unison{
		Voices:    rapid.IntRange(1, min(4, len(cfg.Voices))).Draw(t, "unison"),
		WhenShort: alloc.WhenShort(rapid.IntRange(0, 3).Draw(t, "when short")),
		Regrow:    rapid.Bool().Draw(t, "regrow"),
		Detune:    []float64{-6, -4, 2, 6}[:rapid.IntRange(0, 4).Draw(t, "detunes")],
	}
	if rapid.Bool().Draw(t, "named blocks") {
		p.Unison.Blocks = drawBlocks(t, cfg, p)
	}
	if rapid.Bool().Draw(t, "detune by voice") {
		for i := range cfg.Voices {
			p.Unison.ByVoice = append(p.Unison.ByVoice, float64(i)-2.5)
		}
	}
}

// The reference run gives the notes that the slow one gives, whatever the parts
// have: mono gates and zones too.
func TestFeatureReferenceLikeTheSlowReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			cfg := drawConfig(t)
			for i := range cfg.Parts {
				if rapid.Bool().Draw(t, "mono") {
					drawMono(t, &cfg, &cfg.Parts[i])
				}
				if rapid.Bool().Draw(t, "zones") {
					drawZones(t, &cfg, &cfg.Parts[i])
				}
			}
			p := drawFeaturePerformance(t, cfg)
			require.Equal(t, slow.Reference(cfg, p.steps, p.end), notesOf(cfg, p), "%v", input{cfg, p})
		}
	})
}

// A tail may begin after the last event and end before the song does: at 5 ms,
// when the minimum gate of the first note is over, and 60 dB later.
func TestWaitsForATailThatBeginsLate(t *testing.T) {
	voice := alloc.Voice{Envelope: alloc.Envelope{Sustain: 1, Release: 80 * time.Millisecond}}
	cfg := alloc.Config{MinGate: 5 * time.Millisecond, FreeDB: -60, Voices: []alloc.Voice{voice, voice}, Parts: []alloc.Part{{
		Sources: []alloc.Source{{AnyPort: true, Channels: 1}}, Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127},
		Banks: []int{0}, Steal: alloc.StealHardNone, Unison: alloc.Unison{Voices: 2, WhenShort: alloc.Wait},
	}}}
	p := performance{end: 100 * time.Millisecond, steps: []midi.Step{
		{Kind: midi.StepNoteOn, Key: 60, Value: 100},
		{At: time.Millisecond, Kind: midi.StepNoteOff, Key: 60},
		{At: 2 * time.Millisecond, Kind: midi.StepNoteOn, Key: 62, Value: 100}}}
	var starts []time.Duration
	for _, d := range fast(t, cfg, p, alloc.Future{}) {
		if d.Kind == alloc.Take && d.Key == 62 {
			starts = append(starts, d.At)
		}
	}
	require.Equal(t, []time.Duration{85 * time.Millisecond, 85 * time.Millisecond}, starts)
}

// Strict round-robin asks voice 1 for key 62, which sounds all the time, and
// voice 2 for key 72, which voice 1 does not track. At 50 ms voices 2 and 3 go
// to 72, though it is the younger of the two that wait, and the next ones are 4
// and 5: they are silent, and 62 has its turn.
func TestWaitsForTheTurnThatAYoungerNoteMakes(t *testing.T) {
	cfg := alloc.Config{MinGate: 5 * time.Millisecond, FreeDB: -60}
	for i := range 5 {
		v := alloc.Voice{Envelope: alloc.Envelope{Sustain: 1}}
		if i == 0 {
			v.State, v.Keys = alloc.Limited, alloc.KeyRange{High: 64}
		}
		cfg.Voices = append(cfg.Voices, v)
	}
	for channel := range 2 {
		cfg.Parts = append(cfg.Parts, alloc.Part{Sources: []alloc.Source{{AnyPort: true, Channels: 1 << channel}},
			Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127}, Banks: []int{0}, Pick: alloc.PickLowest, Priority: 1})
	}
	cfg.Parts[1].Pick, cfg.Parts[1].Steal = alloc.PickStrictRoundRobin, alloc.StealNone
	cfg.Parts[1].Unison = alloc.Unison{Voices: 2, WhenShort: alloc.Wait}
	p := performance{end: 100 * time.Millisecond}
	for _, s := range []struct {
		at      int
		kind    midi.StepKind
		channel midi.Channel
		key     midi.Key
	}{
		{0, midi.StepNoteOn, 0, 60}, {10, midi.StepNoteOn, 1, 70}, {20, midi.StepNoteOn, 1, 71},
		{30, midi.StepNoteOn, 1, 62}, {40, midi.StepNoteOn, 1, 72}, {45, midi.StepNoteOff, 1, 71}, {50, midi.StepNoteOff, 1, 70},
	} {
		p.steps = append(p.steps, midi.Step{At: time.Duration(s.at) * time.Millisecond, Kind: s.kind, Channel: s.channel, Key: s.key, Value: 100})
	}
	takes := map[int16][]int32{}
	_, ds := new(comparison).same(t, cfg, p)
	for _, d := range ds {
		if d.Kind == alloc.Take && d.At == 50*time.Millisecond {
			takes[d.Key] = append(takes[d.Key], d.Voice+1)
		}
	}
	require.Equal(t, map[int16][]int32{72: {2, 3}, 62: {4, 5}}, takes)
}

// Two parts hear both channels: one plays each note on a voice, the other one note a time on two,
// and waits for them. All notes off, key by key, lets it slide from key to key, and it is by such
// a slide that one which waits gets its voices at last.
func TestSlideLetsPlayWhatWaits(t *testing.T) {
	cfg := alloc.Config{Voices: make([]alloc.Voice, 3), MinGate: 5 * time.Millisecond, FreeDB: -60}
	for i := range cfg.Voices {
		cfg.Voices[i].Envelope = alloc.Envelope{Sustain: 1}
	}
	each := alloc.Part{Sources: []alloc.Source{{AnyPort: true, Channels: 3}}, Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127},
		Banks: []int{0}, Pick: alloc.PickLongestIdle, Second: alloc.PickLongestIdle, Steal: alloc.StealProtectOuter, OutOfRange: alloc.Clamp,
		Priority: 1, Transpose: -2, Unison: alloc.Unison{Voices: 1}}
	mono := each
	mono.Pick, mono.Second, mono.Transpose, mono.Mode = alloc.PickSameKey, alloc.PickStrictRoundRobin, 0, alloc.MonoLast
	mono.Unison = alloc.Unison{Voices: 2, WhenShort: alloc.Wait, Blocks: [][]int{{0, 1}}}
	cfg.Parts = []alloc.Part{each, mono}
	ms := time.Millisecond
	p := performance{end: 9 * ms, steps: []midi.Step{{Kind: midi.StepNoteOn, Key: 58, Value: 1}, {Kind: midi.StepNoteOn, Channel: 1, Key: 59, Value: 1},
		{Kind: midi.StepNoteOn, Key: 62, Value: 1}, {Kind: midi.StepNoteOn, Key: 61, Value: 1}, {At: 6 * ms, Kind: midi.StepNoteOn, Key: 58, Value: 1},
		{At: 6 * ms, Kind: midi.StepNotesOff}}}
	_, ds := new(comparison).same(t, cfg, p)
	require.True(t, slices.ContainsFunc(ds, func(d alloc.Decision) bool { return d.Kind == alloc.Take && d.Part == 1 && d.At == 6*ms }))
}

// A script is of the parts that it was taken down by. Parts that differ from them in one
// respect alone are played as they are.
func TestScriptOfOtherParts(t *testing.T) {
	ms := time.Millisecond
	var p performance
	for _, s := range []midi.Step{
		{At: 0, Kind: midi.StepNoteOn, Key: 60, Value: 100}, {At: 50, Kind: midi.StepNoteOn, Channel: 1, Key: 64, Value: 20},
		{At: 100, Kind: midi.StepNoteOn, Key: 62, Value: 100}, {At: 150, Kind: midi.StepNoteOn, Key: 62, Value: 90},
		{At: 200, Kind: midi.StepNoteOff, Key: 62}, {At: 250, Kind: midi.StepNoteOff, Key: 62}, {At: 300, Kind: midi.StepNoteOff, Key: 60},
		{At: 310, Kind: midi.StepBend, Value: 0}, {At: 320, Kind: midi.StepNoteOff, Channel: 1, Key: 64},
		{At: 400, Kind: midi.StepNoteOn, Key: 40, Value: 100}, {At: 401, Kind: midi.StepNoteOff, Key: 40},
	} {
		s.At *= ms
		p.steps = append(p.steps, s)
	}
	p.end = time.Second
	base := plainRig()
	base.Voices = slices.Repeat([]alloc.Voice{{Envelope: alloc.Envelope{Sustain: 1, Release: time.Second}}}, 2)
	base.Parts[0].Sources, base.Parts[0].Mode = []alloc.Source{{AnyPort: true, Channels: 1}}, alloc.MonoLast
	_, script := alloc.Reference(base.Parts, base.MinGate, p.steps, p.end, func(alloc.Gate) {})
	plain := fast(t, base, p, alloc.Future{})
	for name, change := range map[string]func(*alloc.Config, *alloc.Part){
		"keys":         func(_ *alloc.Config, p *alloc.Part) { p.Keys.Low = 50 },
		"velocities":   func(_ *alloc.Config, p *alloc.Part) { p.Velocities[1] = 99 },
		"transpose":    func(_ *alloc.Config, p *alloc.Part) { p.Transpose = 1 },
		"same key":     func(_ *alloc.Config, p *alloc.Part) { p.SameKey = alloc.RetriggerFirstOff },
		"bend tails":   func(_ *alloc.Config, p *alloc.Part) { p.BendTails = !p.BendTails },
		"mode":         func(_ *alloc.Config, p *alloc.Part) { p.Mode = alloc.MonoLow },
		"press":        func(_ *alloc.Config, p *alloc.Part) { p.ReattackPress = !p.ReattackPress },
		"return":       func(_ *alloc.Config, p *alloc.Part) { p.ReattackReturn = !p.ReattackReturn },
		"pulse":        func(_ *alloc.Config, p *alloc.Part) { p.Pulse = 20 * ms },
		"sources":      func(_ *alloc.Config, p *alloc.Part) { p.Sources = []alloc.Source{{AnyPort: true, Channels: 2}} },
		"zones":        func(_ *alloc.Config, p *alloc.Part) { p.Zones = []midi.Zone{{AnyPort: true, Members: 3}} },
		"minimum gate": func(cfg *alloc.Config, _ *alloc.Part) { cfg.MinGate = 40 * ms },
	} {
		t.Run(name, func(t *testing.T) {
			cfg := base
			cfg.Parts = slices.Clone(base.Parts)
			change(&cfg, &cfg.Parts[0])
			want := fast(t, cfg, p, alloc.Future{})
			require.NotEqual(t, plain, want, "the song shows it")
			e, err := alloc.New(cfg)
			require.NoError(t, err)
			var got []alloc.Decision
			e.Play(script, func(d *alloc.Decision) { got = append(got, *d) })
			require.Equal(t, want, got)
		})
	}
}
