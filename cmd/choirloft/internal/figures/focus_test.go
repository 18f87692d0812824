package figures

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

// many is a song of 40 voices with a note each, which loses so many dB; 0 is nothing.
func many(db func(voice int) float64) (*contract.Lanes, *contract.Result) {
	l := &contract.Lanes{Seconds: 4, HasBars: true, Bars: []contract.BarLine{{Bar: 1}}, Parts: []string{"pad", "bass"}}
	r := &contract.Result{Heard: &contract.Heard{}}
	for i := range 40 {
		l.Voices = append(l.Voices, contract.LaneVoice{Name: fmt.Sprintf("K%d", i+1), Bank: "K", State: "in"})
		s := contract.LaneSpan{Voice: i + 1, Key: 60, KeyName: "C4", StartS: 1, UpS: 2, LowS: 2, EndS: 2}
		if d, voice := db(i+1), i+1; d > 0 {
			s.Ending, s.WantedS = "held_cut", 3
			r.Heard.Order = append(r.Heard.Order, len(r.Losses))
			r.Losses = append(r.Losses, contract.Loss{AtS: 2, Voice: &voice, Ending: "held_cut", Part: "pad", Key: 60, KeyName: "C4", HeardOne: &contract.HeardOne{HeardDB: &d}})
		}
		l.Spans = append(l.Spans, s)
	}
	r.Demand.Voices = 40
	return l, r
}

// Where forty lanes have no room for names, those are drawn that lose something, and a line
// says which do not.
func TestFocus(t *testing.T) {
	some := func(voice int) float64 {
		switch {
		case voice == 3:
			return 5
		case voice%4 == 0:
			return 2
		}
		return 0
	}
	l, r := many(some)
	text := svg(Lanes(l, r, l.All(), 273, 170))
	require.Contains(t, text, ">29 voices lose nothing here that you hear: K1 … K39<")
	for _, says := range []string{"K3", "K4", "K40", "pad C4, 5.0 dB", "faintly (10)"} {
		require.Contains(t, text, ">"+says+"<")
	}
	require.NotContains(t, text, ">K5<")

	l, r = many(func(voice int) float64 { return max(1.5, some(voice)) }) // all are heard, one plainly
	text = svg(Lanes(l, r, l.All(), 273, 170))
	require.Contains(t, text, ">39 voices lose nothing plainly here: K1 … K40<")
	require.Contains(t, text, ">pad C4, 5.0 dB<")
	require.NotContains(t, text, ">K4<")

	for _, db := range []float64{0, 5} { // nobody loses anything, or all plainly: all are drawn
		l, r = many(func(int) float64 { return db })
		text = svg(Lanes(l, r, l.All(), 273, 170))
		require.NotContains(t, text, " lose nothing")
	}
	l, r = many(some)
	require.InDelta(t, 170, Tallest(l, r, l.All(), 273, 170), 1e-9, "eleven lanes of 9.9 mm")
	require.Less(t, Tallest(l, r, l.All(), 273, 220), 200.0, "and no taller than they need")
	require.NotContains(t, svg(Lanes(l, r, l.All(), 273, 400)), "lose nothing", "there is room for all")
}
