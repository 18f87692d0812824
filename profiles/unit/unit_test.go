package unit

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSpan(t *testing.T) {
	for seconds, want := range map[float64]string{
		0: "-", 0.0001: "0.1 ms", 0.00994: "9.9 ms", 0.00996: "10 ms", 0.34: "340 ms", 0.9994: "999 ms",
		0.9996: "1.00 s", 1.2: "1.20 s", 99.994: "99.99 s", 99.996: "100 s", 2364.4: "2364 s",
	} {
		require.Equal(t, want, Span(seconds), "%g s", seconds)
	}
}

func TestLevel(t *testing.T) {
	for db, want := range map[float64]string{-38.25: "-38.3 dB", -38.24: "-38.2 dB", -0.04: "0.0 dB", -0.06: "-0.1 dB", 0: "0.0 dB"} {
		require.Equal(t, want, Level(&db), "%g dB", db)
	}
	require.Equal(t, "-", Level(nil))
}

func TestClock(t *testing.T) {
	for seconds, want := range map[float64]string{0: "0:00.000", 59.9996: "1:00.000", 61.5: "1:01.500", 6000: "100:00.000"} {
		require.Equal(t, want, Clock(seconds), "%g s", seconds)
	}
}

func TestPercent(t *testing.T) {
	for share, want := range map[float64]string{0: "0 %", 0.004: "<1 %", 0.006: "1 %", 0.345: "34 %", 1: "100 %"} {
		require.Equal(t, want, Percent(share), "%g", share)
	}
}

func TestCountAndList(t *testing.T) {
	require.Equal(t, "1 note", Count(1, "note"))
	require.Equal(t, "0 notes", Count(0, "note"))
	require.Equal(t, "", List(nil))
	require.Equal(t, "a", List([]string{"a"}))
	require.Equal(t, "a, b and c", List([]string{"a", "b", "c"}))
	require.Equal(t, "a, b or c", Choice([]string{"a", "b", "c"}))
}

func TestNamesAndRuns(t *testing.T) {
	nine := []string{"a", "b", "c", "d", "e", "f", "g", "h", "i"}
	require.Equal(t, "a, b, c, d, e, f, g and h", Several(nine[:8]))
	require.Equal(t, "a, b, c, d, e, f, g, h and 1 more", Several(nine))
	require.Equal(t, "a, b and 7 more", First(nine, 2))
	require.Equal(t, "a, b", First(nine[:2], 2))
	require.Equal(t, "bank a", Named("bank", nine[:1], 2))
	require.Equal(t, "banks a, b", Named("bank", nine[:2], 2))
	require.Equal(t, "banks a, b and 7 more", Named("bank", nine, 2))
	require.Equal(t, []string{"1-4", "7", "9-12"}, Runs([]int{1, 2, 3, 4, 7, 9, 10, 11, 12}))
	require.Empty(t, Runs(nil))
}

// Halves that binary holds exactly go to the even digit; Tenths takes them up.
func TestFixed(t *testing.T) {
	require.Equal(t, []string{"0.2", "0.8", "2.50", "3", "0.125"}, []string{Fixed(0.25, 1), Fixed(0.75, 1), Fixed(2.5, 2), Fixed(2.96, 0), Fixed(0.125, -1)})
	require.Equal(t, "0.3", Tenths(0.25))
}

func TestSigned(t *testing.T) {
	for v, want := range map[float64]string{0: "0.0", 0.04: "0.0", -0.04: "0.0", 1.25: "+1.3", -1.26: "-1.3"} {
		require.Equal(t, want, Signed(v), "%g", v)
	}
}

// Both sides of each step: 9.995 and 0.9995 Hz, 0.5 mV, half a per cent.
func TestMeasures(t *testing.T) {
	for hertz, want := range map[float64]string{0.0754: "0.075 Hz", 0.9994: "0.999 Hz", 0.9996: "1.00 Hz", 9.994: "9.99 Hz", 9.996: "10.0 Hz", 1046.5: "1046.5 Hz"} {
		require.Equal(t, want, Hertz(hertz))
	}
	for volts, want := range map[float64]string{5: "5 V", -0.0004: "0 V", -1.0006: "-1.001 V", 1.2: "1.2 V"} {
		require.Equal(t, want, Volts(volts))
	}
	for pan, want := range map[float64]string{0: "C", 0.004: "C", -0.6: "L 60", 1: "R 100"} {
		require.Equal(t, want, Pan(pan))
	}
	require.Equal(t, "-6.0 cents", Cents(-6))
}

// Parts of a beat: those with a sign, one without, one that rounds up to the next.
func TestBeat(t *testing.T) {
	for beat, want := range map[float64]string{1: "9.1", 2.5: "9.2½", 2.25: "9.2¼", 3 + 1./3: "9.3⅓", 3 + 2./3: "9.3⅔", 4.75: "9.4¾", 1.4: "9.1+.40", 1.997: "9.2", 4.018: "9.4", 4.03: "9.4+.03", 1.98: "9.1+.98", 1.235: "9.1¼", 1.22: "9.1+.22"} {
		require.Equal(t, want, Beat(9, beat))
	}
}

func TestFigure(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 2690: "2690", 89.66: "89.7", 5.0107: "5.01", 0.70812: "0.708", -34.615: "-34.6", 12: "12", 0.9996: "1", 999.6: "1000", 0.00123456: "0.00123"} {
		require.Equal(t, want, Figure(v))
	}
}

func TestPlace(t *testing.T) {
	for path, want := range map[string]string{"banks.K": "banks.K", "wiring[0].to[11]": "wiring (1st).to (12th)", "a[1]": "a (2nd)", "a[2]": "a (3rd)", "a[10]": "a (11th)", "a[20]": "a (21st)",
		"a[110]": "a (111th)", "a[x]": "a[x]", "[0].voice": "(1st).voice"} {
		require.Equal(t, want, Place(path))
	}
}
