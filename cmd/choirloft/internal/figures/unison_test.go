package figures

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// stackOf is the unison of the demo's pad with some flags.
func stackOf(t *testing.T, flags ...string) *contract.Unison {
	t.Helper()
	text, err := os.ReadFile(testdata + "kiln-yard.yaml")
	require.NoError(t, err)
	rig, faults := profiles.Read("rig.yaml", text, nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.MustParse(flags...))
	require.NoError(t, err)
	return &contract.NewMap(p).Unisons[0]
}

// The sentence of a unison says what its curve shows: the gaps of the uneven pattern 0-1-4-6 over
// 12 cents are multiples of 2 cents, so that the stack is in step again after one beat of two
// voices 2 cents apart, which at F#4, 369.99 Hz, is 1/(369.99 · (2^(2/1200) − 1)) = 2.34 s.
func TestUnisonSaysWhatItShows(t *testing.T) {
	u := stackOf(t, "--unison", "pad=4")
	p := Unison(u, 186)
	const answer = "Unison of pad: 4 voices on a note, 12.0 cents apart, uneven: in step again after 2.34 s at F#4 (66)."
	require.Equal(t, answer, p.Title)
	text := svg(p)
	require.Contains(t, text, ">"+answer+"<")
	// At F#4, 369.99 Hz, positions 1 and 2 stand 6 and 4 cents below (0-1-4-6 of 12 cents): they beat
	// 369.99 · (2^(−4/1200) − 2^(−6/1200)) = 0.426 times a second, and the outermost, 6 cents below and
	// above, 2.56 times. At C2 (65.41 Hz), the first take 0.075.
	for _, says := range []string{"1-2", "2-3", "3-4", "outermost", "0.426", "2.56", "C2 (36)", "0.075", "F#4 (66)", "C7 (96)"} {
		require.Contains(t, text, ">"+says+"<")
	}
	narrow := ""
	for _, x := range Unison(u, 90).Texts() {
		narrow += x.Text + " "
	}
	require.Contains(t, narrow, answer)
	require.Contains(t, text, ">in step again<")
	at := besides + u.Again()/10*(186-besides-4) // the axis is 10 s long
	require.Contains(t, text, fmt.Sprintf(`d="M%.2f `, at))
	step := int(u.Again()/u.Course.StepS + 0.5)
	require.GreaterOrEqual(t, u.Course.LevelDB[step], -1.0, "in step to 1 dB there")
	for i := range u.Course.LevelDB[:step] {
		if s := float64(i) * u.Course.StepS; s > 0.5 && s < u.Again()-0.3 {
			require.Less(t, u.Course.LevelDB[i], -1.0, "and not before, at %.1f s", s)
		}
	}
	for _, x := range p.Texts() {
		require.True(t, x.Left >= 0 && x.Top >= -0.5 && x.Right <= 186.01 && x.Bottom <= p.Height, "%+v", x)
	}
}

// Voices at one pitch have no curve, and the sentence says so.
func TestUnisonAtOnePitch(t *testing.T) {
	u := stackOf(t, "--unison", "pad=3")
	u.Course = nil
	require.Equal(t, "Unison of pad: 3 voices on a note, all at one pitch.", Unison(u, 186).Title)
	require.NotContains(t, svg(Unison(u, 186)), "in step")
}

// More beats than there is room for are the slowest and the fastest; the outermost two of a stack
// of two are the only pair, and named once.
func TestBeatsOfAUnison(t *testing.T) {
	eight := svg(Unison(stackOf(t, "--unison", "pad=8"), 90))
	for _, says := range []string{"slowest", "fastest"} {
		require.Contains(t, eight, ">"+says+"<")
	}
	require.NotContains(t, eight, ">1-2<")
	require.Contains(t, svg(Unison(stackOf(t, "--unison", "pad=8"), 186)), ">outermost<")
	two := svg(Unison(stackOf(t, "--unison", "pad=2"), 90))
	require.Contains(t, two, ">1-2<")
	require.NotContains(t, two, "outermost")
}
