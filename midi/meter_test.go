package midi

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestPosition(t *testing.T) {
	type at struct {
		tick Tick
		want string
	}
	for name, row := range map[string]struct {
		div        Division
		signatures []Signature
		places     []at
	}{
		"4/4 by default": {Division{Ticks: 96}, nil, []at{
			{0, "1:1:0"}, {95, "1:1:95"}, {96, "1:2:0"}, {383, "1:4:95"}, {384, "2:1:0"}, {-1, "1:1:0"},
		}},
		"3/4 then 4/4 from bar 3": {Division{Ticks: 10}, []Signature{{0, 3, 4}, {60, 4, 4}}, []at{
			{29, "1:3:9"}, {30, "2:1:0"}, {59, "2:3:9"}, {60, "3:1:0"}, {99, "3:4:9"}, {100, "4:1:0"},
		}},
		"6/8 counts eighths": {Division{Ticks: 96}, []Signature{{0, 6, 8}}, []at{
			{47, "1:1:47"}, {48, "1:2:0"}, {240, "1:6:0"}, {288, "2:1:0"},
		}},
		"pickup of one beat": {Division{Ticks: 96}, []Signature{{0, 1, 4}, {96, 4, 4}}, []at{
			{0, "1:1:0"}, {96, "2:1:0"}, {480, "3:1:0"},
		}},
		"a signature in mid-bar begins one": {Division{Ticks: 10}, []Signature{{45, 3, 4}}, []at{
			{44, "2:1:4"}, {45, "3:1:0"}, {75, "4:1:0"},
		}},
		"the last signature of a tick counts": {Division{Ticks: 10}, []Signature{{0, 2, 4}, {0, 3, 4}}, []at{
			{29, "1:3:9"}, {30, "2:1:0"},
		}},
		// 5 ticks a quarter: eighths begin at 0, 2.5, 5 and 7.5, so at 0, 3, 5 and 8.
		"beats between ticks": {Division{Ticks: 5}, []Signature{{0, 2, 8}}, []at{
			{2, "1:1:2"}, {3, "1:2:0"}, {4, "1:2:1"}, {5, "2:1:0"}, {7, "2:1:2"}, {8, "2:2:0"}, {10, "3:1:0"},
		}},
		// 7.5 ticks of bar, then a signature at 8: bar 2 would begin at 8 too.
		"a bar that ends between ticks": {Division{Ticks: 5}, []Signature{{0, 3, 8}, {8, 4, 4}}, []at{
			{7, "1:3:2"}, {8, "2:1:0"},
		}},
		"SMPTE: seconds and frames": {Division{Ticks: 40, Rate: 25}, []Signature{{0, 3, 4}}, []at{
			{0, "1:1:0"}, {39, "1:1:39"}, {40, "1:2:0"}, {999, "1:25:39"}, {1000, "2:1:0"},
		}},
		"SMPTE: 29 counts thirty": {Division{Ticks: 10, Rate: 29}, nil, []at{
			{299, "1:30:9"}, {300, "2:1:0"},
		}},
	} {
		t.Run(name, func(t *testing.T) {
			m := NewMeterMap(row.div, row.signatures)
			for _, p := range row.places {
				require.Equal(t, p.want, m.Position(p.tick).String(), "tick %d", p.tick)
			}
		})
	}
	require.Equal(t, "2:1:0", MeterMap{}.Position(2000).String(), "the zero map: 500 ticks a quarter")
	require.Equal(t, Tick(2000), MeterMap{}.Bar(2))
}

func TestBar(t *testing.T) {
	m := NewMeterMap(Division{Ticks: 10}, []Signature{{45, 3, 4}})
	for n, want := range map[int]Tick{-1: 0, 0: 0, 1: 0, 2: 40, 3: 45, 4: 75, 13: 345} {
		require.Equal(t, want, m.Bar(n), "bar %d", n)
	}
	require.Equal(t, Tick(3000), NewMeterMap(Division{Ticks: 40, Rate: 25}, nil).Bar(4))
}

func TestSignaturesAreTidy(t *testing.T) {
	m := NewMeterMap(Division{Ticks: 96}, []Signature{
		{96, 3, 4}, {0, 2, 4}, {96, 6, 8}, // kept but for the first of tick 96
		{-1, 4, 4}, {1, 0, 4}, {1, 256, 4}, {1, 4, 3}, {1, 4, 0}, {1, 4, 256}, {1, 4, -4},
	})
	require.Equal(t, []Signature{{0, 2, 4}, {96, 6, 8}}, m.Signatures())
}

// A walk from tick to tick: each moves on by a tick, to the next beat or to
// the next bar, and Bar is the inverse of Position.
func TestMeterLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ticks := rapid.IntRange(32, 1000).Draw(t, "division") // a beat is at least a tick
		var signatures []Signature
		at := Tick(0)
		for range rapid.IntRange(0, 4).Draw(t, "signatures") {
			at += Tick(rapid.Int64Range(0, 900).Draw(t, "length"))
			signatures = append(signatures, Signature{
				Tick:  at,
				Beats: rapid.IntRange(1, 12).Draw(t, "beats"),
				Unit:  1 << rapid.IntRange(0, 7).Draw(t, "unit"),
			})
		}
		m := NewMeterMap(Division{Ticks: ticks}, signatures)
		last := Position{Bar: 1, Beat: 1, Tick: -1}
		for tick := range at + 500 {
			p := m.Position(tick)
			switch {
			case p.Bar != last.Bar:
				require.Equal(t, Position{last.Bar + 1, 1, 0}, p)
			case p.Beat != last.Beat:
				require.Equal(t, Position{last.Bar, last.Beat + 1, 0}, p)
			default:
				require.Equal(t, last.Tick+1, p.Tick)
			}
			if p.Beat == 1 && p.Tick == 0 {
				require.Equal(t, tick, m.Bar(p.Bar))
			}
			last = p
		}
	})
}
