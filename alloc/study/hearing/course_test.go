package hearing

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A difference of 5 dB for a second, averaged over 200 ms, rises to 5 dB at 0.1 s, stays so
// to 0.9 s and falls through 2.5 dB at 1 s to nothing at 1.1 s. One of 0.9 dB is not heard;
// one of 4 dB for 100 ms comes to 2 dB, from its middle on for no time.
func TestCourse(t *testing.T) {
	const second = time.Second
	s := series{{0, second, 5, 0}, {2 * second, 3 * second, 0.9, 0}, {4 * second, 4*second + second/10, 4, 0}}
	want := make([]float64, 42)
	for i := range 10 {
		want[i] = 5
	}
	want[10], want[39], want[40], want[41] = 2.5, 2, 2, 2
	require.Equal(t, want, KeenEar.course(s))
	require.Equal(t, []float64{}, KeenEar.course(nil))
}
