package alloc_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
)

// fourVoices are two banks of two voices and a part on both.
func fourVoices() alloc.Config {
	c := alloc.Config{FreeDB: -60}
	for i := range 4 {
		c.Voices = append(c.Voices, alloc.Voice{Bank: i / 2, Envelope: alloc.Envelope{Sustain: 1}})
	}
	c.Parts = []alloc.Part{{Name: "p", Banks: []int{0, 1}, Second: alloc.PickLongestIdle}}
	return c
}

// Both sides of every limit of a configuration: what is refused says what it found.
func TestConfigsThatAreRefused(t *testing.T) {
	for _, c := range []struct {
		change func(*alloc.Config, *alloc.Part)
		want   string // in the error; empty for none
	}{
		{func(c *alloc.Config, p *alloc.Part) {}, ""},
		{func(c *alloc.Config, p *alloc.Part) { c.FreeDB = 0 }, ""},
		{func(c *alloc.Config, p *alloc.Part) { c.FreeDB = 0.5 }, "free level 0.5 dB and minimum gate 0s"},
		{func(c *alloc.Config, p *alloc.Part) { c.MinGate = -1 }, "minimum gate -1ns"},
		{func(c *alloc.Config, p *alloc.Part) { c.Voices[1].Bank = 2 }, "voice 3: bank 1 after bank 2"},
		{func(c *alloc.Config, p *alloc.Part) { c.Voices[0].Bank, c.Voices[1].Bank = 1, 0 }, "voice 2: bank 0 after bank 1"},
		{func(c *alloc.Config, p *alloc.Part) { c.Voices[0].Bank = -1 }, "voice 1: bank -1"},
		{func(c *alloc.Config, p *alloc.Part) { c.Voices[3].Envelope.Attack = -1 }, "voice 4: bank 1, envelope"},
		{func(c *alloc.Config, p *alloc.Part) { c.Voices[3].Envelope.Decay = -1 }, "voice 4: bank 1, envelope"},
		{func(c *alloc.Config, p *alloc.Part) { c.Voices[3].Envelope.Release = -1 }, "voice 4: bank 1, envelope"},
		{func(c *alloc.Config, p *alloc.Part) { c.Voices[3].Envelope.Sustain = 0 }, ""},
		{func(c *alloc.Config, p *alloc.Part) { c.Voices[3].Envelope.Sustain = -0.1 }, "voice 4: bank 1, envelope"},
		{func(c *alloc.Config, p *alloc.Part) { c.Voices[3].Envelope.Sustain = 1.1 }, "voice 4: bank 1, envelope"},
		{func(c *alloc.Config, p *alloc.Part) { c.Voices[3].Envelope.Sustain = math.NaN() }, "voice 4: bank 1, envelope"},
		{func(c *alloc.Config, p *alloc.Part) { p.Banks = []int{0, 2} }, "part p: no voice in bank 2"},
		{func(c *alloc.Config, p *alloc.Part) { p.Unison.Voices = 4 }, ""},
		{func(c *alloc.Config, p *alloc.Part) { p.Unison.Voices = 5 }, "part p: unison of 5, allowed are 1 to the 4 voices"},
		{func(c *alloc.Config, p *alloc.Part) { p.Unison.Voices = -1 }, "part p: unison of -1"},
		{func(c *alloc.Config, p *alloc.Part) { p.Unison.ByVoice = make([]float64, 4) }, ""},
		{func(c *alloc.Config, p *alloc.Part) { p.Unison.ByVoice = make([]float64, 3) }, "part p: detunes of 3 voices, there are 4"},
		{func(c *alloc.Config, p *alloc.Part) { p.Unison.ByVoice = make([]float64, 1) }, "part p: detunes of 1 voices, there are 4"},
		{func(c *alloc.Config, p *alloc.Part) { p.Unison.Blocks = [][]int{{0, 1}, {2, 3}} }, ""},
		{func(c *alloc.Config, p *alloc.Part) { p.Unison.Blocks = [][]int{{0, 1}, {2, 4}} }, "part p: no voice 5 for a block"},
		{func(c *alloc.Config, p *alloc.Part) { p.Unison.Blocks = [][]int{{-1, 1}} }, "part p: no voice 0 for a block"},
		{func(c *alloc.Config, p *alloc.Part) { p.Unison.Blocks = [][]int{{0, 1}, {1, 2}} }, "part p: voice 2 in two blocks, allowed is one"},
		{func(c *alloc.Config, p *alloc.Part) { p.Transpose = -48 }, ""},
		{func(c *alloc.Config, p *alloc.Part) { p.Transpose = 48 }, ""},
		{func(c *alloc.Config, p *alloc.Part) { p.Transpose = -49 }, "part p: transpose -49, allowed are -48 to 48"},
		{func(c *alloc.Config, p *alloc.Part) { p.Transpose = 49 }, "part p: transpose 49, allowed are -48 to 48"},
		{func(c *alloc.Config, p *alloc.Part) { p.Reserve = 1 }, ""},
		{func(c *alloc.Config, p *alloc.Part) { p.Reserve, p.Limit = 1, 1 }, ""},
		{func(c *alloc.Config, p *alloc.Part) { p.Reserve, p.Limit = 2, 1 }, "part p: reserve 2, limit 1"},
		{func(c *alloc.Config, p *alloc.Part) { p.Reserve = -1 }, "part p: reserve -1"},
		{func(c *alloc.Config, p *alloc.Part) { p.Limit = -1 }, "part p: reserve 0, limit -1"},
		{func(c *alloc.Config, p *alloc.Part) { p.Pick = alloc.PickSameKey }, ""},
		{func(c *alloc.Config, p *alloc.Part) { p.Pick, p.Second = alloc.PickSameKey, alloc.PickSameKey }, "part p: same-key cannot be its own second rule"},
		{func(c *alloc.Config, p *alloc.Part) { p.Second = alloc.PickSameKey }, ""},
		{func(c *alloc.Config, p *alloc.Part) {
			c.Voices, p.Banks = make([]alloc.Voice, alloc.MaxVoices), []int{0}
		}, ""},
		{func(c *alloc.Config, p *alloc.Part) {
			c.Voices, p.Banks = make([]alloc.Voice, alloc.MaxVoices+1), []int{0}
		}, "4097 voices, at most 4096"},
	} {
		cfg := fourVoices()
		c.change(&cfg, &cfg.Parts[0])
		_, err := alloc.New(cfg)
		if c.want == "" {
			require.NoError(t, err)
			continue
		}
		require.ErrorContains(t, err, c.want)
		require.NotContains(t, err.Error(), "\n", "one fault")
	}
}

// Every fault is told, not the first alone.
func TestEveryFaultOfAConfig(t *testing.T) {
	cfg := fourVoices()
	cfg.MinGate, cfg.Parts[0].Transpose, cfg.Parts[0].Limit = -time.Second, 60, -1
	_, err := alloc.New(cfg)
	require.Len(t, strings.Split(err.Error(), "\n"), 3)
}

// What [alloc.Part.WaitsFor] says, by hand: a fixed map has one voice for a key.
func TestWaitsFor(t *testing.T) {
	for _, c := range []struct {
		unison       alloc.Unison
		pick, second alloc.PickRule
		want         int
	}{
		{alloc.Unison{WhenShort: alloc.Wait}, alloc.PickLowest, 0, 0},
		{alloc.Unison{Voices: 1, WhenShort: alloc.Wait}, alloc.PickLowest, 0, 0},
		{alloc.Unison{Voices: 2, WhenShort: alloc.Thin}, alloc.PickLowest, 0, 0},
		{alloc.Unison{Voices: 2, WhenShort: alloc.Wait}, alloc.PickLowest, 0, 2},
		{alloc.Unison{Voices: 2, WhenShort: alloc.Wait}, alloc.PickFixed, 0, 1},
		{alloc.Unison{Voices: 2, WhenShort: alloc.Wait}, alloc.PickSameKey, alloc.PickFixed, 1},
		{alloc.Unison{Voices: 2, WhenShort: alloc.Wait}, alloc.PickLowest, alloc.PickFixed, 2},
	} {
		p := alloc.Part{Unison: c.unison, Pick: c.pick, Second: c.second}
		require.Equal(t, c.want, p.WaitsFor(), "%+v", c)
	}
}

// Every rule has a name that is read as it, and a sentence; other names are refused
// with those that are allowed.
func TestNamesOfRules(t *testing.T) {
	for i, name := range alloc.PickNames() {
		rule, err := alloc.ParsePick(name)
		require.NoError(t, err)
		require.Equal(t, alloc.PickRule(i), rule)
	}
	for i, name := range alloc.StealNames() {
		rule, err := alloc.ParseSteal(name)
		require.NoError(t, err)
		require.Equal(t, alloc.StealRule(i), rule)
	}
	for i, name := range alloc.SameKeyNames() {
		rule, err := alloc.ParseSameKey(name)
		require.NoError(t, err)
		require.Equal(t, alloc.SameKey(i), rule)
	}
	for i, name := range alloc.OutOfRangeNames() {
		rule, err := alloc.ParseOutOfRange(name)
		require.NoError(t, err)
		require.Equal(t, alloc.OutOfRange(i), rule)
	}
	rule, err := alloc.ParseSteal("loudest")
	require.ErrorContains(t, err, `unknown "loudest", allowed are `+strings.Join(alloc.StealNames(), ", "))
	require.Zero(t, rule)
	for name, want := range map[string]string{"nearest": "picking", "lowest": "picking", "oldest": "stealing", "retrigger counted": "same-key", "clamp": ""} {
		kind, ok := alloc.KindOfRule(name)
		require.Equal(t, want, kind)
		require.Equal(t, want != "", ok, name)
	}
	names := map[string][]string{"pick": alloc.PickNames(), "steal": alloc.StealNames(), "same_key": alloc.SameKeyNames(), "when_short": alloc.WhenShortNames()}
	for _, k := range alloc.Rules() {
		if k.Key == "tails" {
			continue
		}
		require.Len(t, k.Rules, len(names[k.Key]), k.Key)
		for i, r := range k.Rules {
			require.Equal(t, names[k.Key][i], r.Name)
			require.NotEmpty(t, r.About, r.Name)
		}
	}
}
