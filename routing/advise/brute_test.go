package advise

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/midi/corpora"
	"choirloft/routing/plan"
)

// choice is a setting of a part with all its values, of which one is how it is.
type choice struct{ flag, part, now, values string }

// small are racks of up to six voices and two parts, and the settings that a test plays all of: at most
// 1 800 together.
var small = []struct {
	rig     string
	choices []choice
}{
	{rigText(1, 3, "200 ms", "  one: {channel: 1}\n  two: {channel: 2}\n"), []choice{
		{"--reserve", "one", "0", "0 1 2 3"}, {"--reserve", "two", "0", "0 1 2 3"}, {"--limit", "one", "", "1 2"}, {"--limit", "two", "", "1 2"},
		{"--priority", "one", "1", "1 2 3"}, {"--priority", "two", "1", "1 2 3"}}},
	{rigText(2, 3, "200 ms", "  one: {channel: [1, 2], unison: {voices: 2, spread: 8 cents}}\n"), []choice{
		{"--when-short", "one", "blocks", "blocks thin wait elastic"}, {"--pick", "one", "longest-idle", ""}, {"--steal", "one", "protect-outer", ""}}},
	{rigText(1, 3, "400 ms", "  one: {channel: [1, 2], tails: unknown}\n"), []choice{
		{"--pick", "one", "longest-idle", ""}, {"--steal", "one", "protect-outer", ""}, {"--same-key", "one", "retrigger counted", ""}}},
	{rigText(2, 2, "200 ms", "  one: {channel: 1, banks: [K]}\n  two: {channel: 2, banks: [L]}\n"), []choice{
		{"--same-key", "one", "retrigger counted", ""}, {"--same-key", "two", "retrigger counted", ""}, {"--banks", "one", "K", "K L K,L"}, {"--banks", "two", "L", "K L K,L"}}},
	{rigText(1, 2, "800 ms", "  line: {channel: [1, 2], tails: unknown, pick: lowest}\n"), []choice{
		{"--mode", "line", "poly", ""}, {"--pick", "line", "lowest", ""}, {"--steal", "line", "protect-outer", ""}}},
}

// names are the values of a choice.
func (c choice) names() []string {
	switch c.flag {
	case "--pick":
		var names []string
		for _, name := range plan.PickNames() {
			if name != "random" { // luck
				names = append(names, name)
			}
		}
		return names
	case "--mode":
		return []string{"poly", "mono last"}
	case "--steal":
		return alloc.StealNames()
	case "--same-key":
		return alloc.SameKeyNames()
	}
	return strings.Fields(c.values)
}

// TestSmallRacksByBruteForce: of small racks the test plays all settings of several kinds together by itself: nothing
// on the list is beaten by one that takes no more effort and changes no more.
func TestSmallRacksByBruteForce(t *testing.T) {
	for i, rack := range small {
		if corpora.Some(i%2, 0) != 0 {
			continue
		}
		notes := rapid.Custom(func(t *rapid.T) (notes []note) {
			for range rapid.IntRange(12, 20).Draw(t, "notes") {
				on, length := rapid.IntRange(0, 2500).Draw(t, "on"), rapid.IntRange(100, 700).Draw(t, "length")
				if rack.choices[0].flag == "--mode" {
					on, length = 200*len(notes), 150
				}
				notes = append(notes, note{rapid.IntRange(1, 2).Draw(t, "channel"), rapid.IntRange(50, 58).Draw(t, "key"), on, on + length})
			}
			return notes
		}).Example(i + 1)
		s := session(t, rack.rig, songOf(t, notes))
		var kinds []string
		for _, c := range rack.choices {
			kinds = append(kinds, c.flag)
		}
		a := find(t, Options{Work: plenty, Kinds: kinds}, s)
		require.True(t, a.Whole, "%d: %g settings", i, a.Of)
		require.False(t, a.Now.Clean(), "%d: a song that loses something", i)
		played := 0
		var choose func(o plan.Overrides, lines int, effort Effort, rest []choice)
		choose = func(o plan.Overrides, lines int, effort Effort, rest []choice) {
			if len(rest) == 0 {
				trial, err := s.Try(o)
				if err != nil {
					return // more is kept than there is
				}
				var f Figures
				f.add(trial)
				played++
				require.False(t, len(a.Fixes) == 0 && (&tried{Figures: f}).helpsOver(&a.Now), "%d: %v helps", i, o.Flags())
				for k := range a.Fixes {
					x := &a.Fixes[k]
					require.False(t, effort <= x.Effort && lines <= x.Lines && f.beats(&x.Figures), "%d: %s is beaten by %v", i, flagsOf(x), o.Flags())
				}
				return
			}
			c := rest[0]
			choose(o, lines, effort, rest[1:])
			for _, v := range c.names() {
				if rule, err := alloc.ParseSteal(v); v != c.now {
					more := effort
					if err == nil && rule.Foresight() && c.flag == "--steal" {
						more = max(more, Export)
					}
					choose(o.With(plan.MustParse(c.flag, c.part+"="+v)), lines+1, more, rest[1:])
				}
			}
		}
		choose(plan.Overrides{}, 0, Setting, rack.choices)
		t.Logf("%d: %d settings played, %d of the list stand", i, played, len(a.Fixes))
		require.Greater(t, played, 100)
	}
}
