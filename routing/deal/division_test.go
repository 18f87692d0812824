package deal

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/routing/plan"
)

// twice strikes two keys after each other, each a quarter or a second long.
func twice(ticks byte) []byte {
	return []byte{0, 0x90, 60, 80, ticks, 0x80, 60, 0, 0, 0x90, 62, 80, ticks, 0x80, 62, 0}
}

// The division is kept where a tick is no longer than the gap of 3 ms, and cut
// into the smallest number of parts otherwise. At the default tempo a quarter
// of 500 ms has ticks of 500/n ms: 96 → 5.21 ms, cut in 2; 167 → 2.99 ms, kept;
// 166 → 3.01 ms, cut in 2; 1 → 500 ms, cut in 167. SMPTE: 25 × 40 → 1 ms, kept;
// 24 × 4 → 10.4 ms, cut in 4; 30 × 1 → 33.3 ms, in 12 (33.3/12 = 2.78).
func TestDivision(t *testing.T) {
	for _, c := range []struct {
		word   uint16
		factor int
	}{{96, 2}, {167, 1}, {166, 2}, {1, 167}, {480, 1}, {32767, 1}, {0xE728, 1}, {0xE804, 4}, {0xE201, 12}} {
		song := divided(t, c.word, twice(96)...)
		d, back := written(t, planOf(t, oneVoice, plan.Overrides{}), song, Options{})
		require.Equal(t, c.factor, d.Factor, "%#x", c.word)
		require.False(t, d.Coarse)
		require.Equal(t, song.Tempo.Division().Ticks*c.factor, back.Tempo.Division().Ticks)
		require.Equal(t, song.Tempo.Division().Rate, back.Tempo.Division().Rate)
		require.Equal(t, song.Tempo.At(96), back.Tempo.At(96*midi.Tick(c.factor)))
		roundTrip(t, planOf(t, oneVoice, plan.Overrides{}), song, Options{})
	}
}

// Where only one note plays on a voice there is no gap to be told.
func TestDivisionWithoutGaps(t *testing.T) {
	d, _ := written(t, planOf(t, oneVoice, plan.Overrides{}), divided(t, 4, 0, 0x90, 60, 80, 4, 0x80, 60, 0), Options{})
	require.Equal(t, 1, d.Factor)
}

// A gap of 0.01 ms cannot be told by SMPTE ticks, of which a frame has 255.
func TestDivisionTooCoarse(t *testing.T) {
	rig := oneVoice + "timing: {gap: 0.01 ms}\n"
	d, back := written(t, planOf(t, rig, plan.Overrides{}), divided(t, 0xE702, twice(96)...), Options{})
	require.True(t, d.Coarse)
	require.Equal(t, 254, back.Tempo.Division().Ticks)
	apart(t, back)
}

// Tempi and time signatures keep their places when ticks are cut.
func TestMapsAreCutToo(t *testing.T) {
	song := divided(t, 96, append([]byte{
		0, 0xFF, 0x58, 4, 6, 3, 36, 8, // 6/8
		48, 0xFF, 0x51, 3, 0x0F, 0x42, 0x40, // 1 s a quarter
		48, 0xFF, 0x58, 4, 3, 2, 24, 8, // 3/4
	}, twice(96)...)...)
	d, back := written(t, planOf(t, oneVoice, plan.Overrides{}), song, Options{})
	require.Equal(t, 4, d.Factor, "1 s in 96 is 10.4 ms")
	require.Equal(t, []midi.TempoChange{{Tick: 48 * 4, Micros: 1_000_000}}, back.Tempo.Changes())
	require.Equal(t, []midi.Signature{{Tick: 0, Beats: 6, Unit: 8}, {Tick: 96 * 4, Beats: 3, Unit: 4}}, back.Meter.Signatures())
	require.Equal(t, song.Duration(), back.Duration())
	require.Equal(t, 2750*time.Millisecond, back.Duration()) // 250 + 500 + 2·1000
}
