package advise

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// TestNothingOnTheListIsBeaten: of small racks every setting is played by the test as well,
// and by nothing of the search: none beats a line of the list by less or as much effort and lines.
func TestNothingOnTheListIsBeaten(t *testing.T) {
	ranks := []string{"1", "2", "3"}
	for i := range corpora.Some(2, 12) {
		var notes []note
		song := rapid.Custom(func(t *rapid.T) *midi.Song {
			for range rapid.IntRange(10, 24).Draw(t, "notes") {
				on := rapid.IntRange(0, 3000).Draw(t, "on")
				notes = append(notes, note{rapid.IntRange(1, 2).Draw(t, "channel"), rapid.IntRange(40, 80).Draw(t, "key"), on, on + rapid.IntRange(100, 900).Draw(t, "length")})
			}
			return songOf(t, notes)
		}).Example(i)
		s := session(t, rigText(2, 2, "300 ms", "  one: {channel: 1, banks: [K]}\n  two: {channel: 2}\n"), song)
		kinds := []string{banksFlag, "--priority"}
		a := find(t, Options{Work: plenty, Kinds: kinds}, s)
		if a.Now.Clean() {
			continue
		}
		one, two := seatsOf(notes, 1), seatsOf(notes, 2)
		all := len(one) * len(two) * 9 // three ranks for each of two parts
		require.True(t, a.Whole)
		require.EqualValues(t, all, a.Of)
		require.Equal(t, all, a.Tried)
		sound(t, a, s)
		for n := range all {
			o, lines := plan.Overrides{}, 0
			for at, v := range []struct{ flag, typed, now string }{{banksFlag, "one=" + one[n/9%len(one)], "one=K"}, {banksFlag, "two=" + two[n/9/len(one)], "two=K,L"},
				{"--priority", "one=" + ranks[n%3], "one=1"}, {"--priority", "two=" + ranks[n/3%3], "two=1"}} {
				if v.typed != v.now {
					require.NoError(t, o.Add(v.flag, v.typed), at)
					if lines++; strings.Contains(v.typed, "/") {
						lines += 2 // the keys of the part, and another part
					}
				}
			}
			f := figures(t, s, o)
			for k := range a.Fixes {
				x := &a.Fixes[k]
				require.False(t, lines <= x.Lines && f.beats(&x.Figures), "%s is beaten by %v", flagsOf(x), o.Flags())
			}
			if len(a.Fixes) == 0 && lines > 0 {
				require.False(t, f.Heard < a.Now.Heard-sameHeard && len(f.prices(&a.Now)) == 0, o.Flags())
			}
		}
		found := newFinder([]*whatif.Session{s}, Options{Kinds: kinds, Work: plenty})
		found.left = plenty
		list, err := found.play(context.Background(), []state{found.as()})
		require.NoError(t, err)
		found.now = list[0]
		require.NoError(t, found.search(context.Background()))
		climbed := found.toll(found.best(Setting))
		_, err = found.whole(context.Background())
		require.NoError(t, err)
		require.LessOrEqual(t, climbed, 1.1*found.toll(found.best(Setting))+0.5, "by climbing alone nearly as good as the best of all")
	}
}

// seatsOf are all seats on two banks of a part with the notes of a channel: one, the other, both, and
// its keys on both at the keys with a quarter, half and three quarters of its notes below.
func seatsOf(notes []note, channel int) []string {
	seats, keys := []string{"K", "L", "K,L"}, []int(nil)
	for _, n := range notes {
		if n.channel == channel {
			keys = append(keys, n.key)
		}
	}
	slices.Sort(keys)
	for _, share := range []float64{0.25, 0.5, 0.75} {
		key := keys[int(share*float64(len(keys)))]
		for _, text := range []string{fmt.Sprintf("K/%d/L", key), fmt.Sprintf("L/%d/K", key)} {
			if key > keys[0] && !slices.Contains(seats, text) {
				seats = append(seats, text)
			}
		}
	}
	return seats
}

// best is the best of what was played so far with no more effort than some.
func (f *finder) best(most Effort) *tried {
	best := f.now
	for _, t := range f.known {
		if t.ok && t.effort <= most && (f.better(t, best) || !f.better(best, t) && slices.Compare(t.state, best.state) < 0) {
			best = t
		}
	}
	return best
}
