package midi

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// Pairs of controller and value, and what comes of each: the bend range in
// cents, or a zone.
func TestParameters(t *testing.T) {
	for name, row := range map[string]struct {
		in   [][2]uint8
		want []string
	}{
		"semitones":                  {[][2]uint8{{101, 0}, {100, 0}, {6, 12}}, []string{"range 1200"}},
		"selected low byte first":    {[][2]uint8{{100, 0}, {101, 0}, {6, 12}}, []string{"range 1200"}},
		"cents beside semitones":     {[][2]uint8{{101, 0}, {100, 0}, {6, 48}, {38, 50}}, []string{"range 4800", "range 4850"}},
		"semitones keep the cents":   {[][2]uint8{{101, 0}, {100, 0}, {38, 50}, {6, 7}}, []string{"range 250", "range 750"}},
		"cents above 99":             {[][2]uint8{{101, 0}, {100, 0}, {38, 127}, {6, 127}}, []string{"range 327", "range 12827"}},
		"increment":                  {[][2]uint8{{101, 0}, {100, 0}, {38, 99}, {96, 0}, {96, 9}}, []string{"range 299", "range 300", "range 301"}},
		"decrement":                  {[][2]uint8{{101, 0}, {100, 0}, {97, 0}, {6, 0}, {38, 0}, {97, 0}}, []string{"range 199", "range 99", "range 0", "range 0"}},
		"increment ends at 12799":    {[][2]uint8{{101, 0}, {100, 0}, {6, 127}, {38, 99}, {96, 0}}, []string{"range 12700", "range 12799", "range 12799"}},
		"nothing selected":           {[][2]uint8{{6, 12}, {38, 1}, {96, 0}}, nil},
		"half selected":              {[][2]uint8{{101, 0}, {6, 12}}, nil},
		"null":                       {[][2]uint8{{101, 0}, {100, 0}, {101, 127}, {100, 127}, {6, 12}}, nil},
		"half a null":                {[][2]uint8{{101, 0}, {100, 0}, {101, 127}, {6, 12}}, nil},
		"another parameter":          {[][2]uint8{{101, 0}, {100, 1}, {6, 12}}, nil},
		"non-registered 0":           {[][2]uint8{{99, 0}, {98, 0}, {6, 12}}, nil},
		"non-registered after RPN":   {[][2]uint8{{101, 0}, {100, 0}, {99, 1}, {98, 8}, {6, 12}}, nil},
		"one half of it is enough":   {[][2]uint8{{101, 0}, {100, 0}, {98, 8}, {6, 12}}, nil},
		"and back, whole":            {[][2]uint8{{101, 0}, {100, 0}, {98, 8}, {101, 0}, {100, 0}, {6, 12}}, []string{"range 1200"}},
		"and back, half":             {[][2]uint8{{101, 0}, {100, 0}, {98, 8}, {100, 0}, {6, 12}}, nil},
		"RP-015: reset selects null": {[][2]uint8{{101, 0}, {100, 0}, {6, 12}, {121, 0}, {6, 24}}, []string{"range 1200"}},
		"zone":                       {[][2]uint8{{101, 0}, {100, 6}, {6, 15}, {38, 3}}, []string{"zone 15"}},
		"no zone":                    {[][2]uint8{{101, 0}, {100, 6}, {6, 0}}, []string{"zone 0"}},
		"zone too large":             {[][2]uint8{{101, 0}, {100, 6}, {6, 16}, {96, 0}}, nil},
		"others do nothing":          {[][2]uint8{{101, 0}, {100, 0}, {7, 100}, {64, 127}, {123, 0}}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			var p Parameters
			var got []string
			for _, in := range row.in {
				switch kind, value, ok := p.Control(in[0], in[1]); {
				case ok && kind == StepBendRange:
					got = append(got, fmt.Sprint("range ", value))
					require.Equal(t, int(value), p.BendRange())
				case ok:
					require.Equal(t, StepZone, kind)
					got = append(got, fmt.Sprint("zone ", value))
				}
			}
			require.Equal(t, row.want, got)
		})
	}
	// RP-015: the range itself stays.
	var p Parameters
	require.Equal(t, 200, p.BendRange(), "General MIDI 1: two semitones")
	for _, in := range [][2]uint8{{101, 0}, {100, 0}, {6, 12}, {121, 0}} {
		p.Control(in[0], in[1])
	}
	require.Equal(t, 1200, p.BendRange())
}
