package tuning

import (
	"bytes"
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestSoundMixes: of two channels the mean, 16 bits; before and after there is silence, and
// a size that the file does not hold is no fault (recorders that were switched off).
func TestSoundMixes(t *testing.T) {
	head := []byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x02\x00\x80\x3e\x00\x00\x00\xfa\x00\x00\x04\x00\x10\x00data\xff\xff\xff\xff")
	data := head
	for _, v := range []int16{16384, 0, -16384, -16384, 0, 8192} { // left, right: 0.25, −0.5, 0.125
		data = binary.LittleEndian.AppendUint16(data, uint16(v))
	}
	s, err := OpenSound(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	require.Equal(t, []any{16000, 2, int64(3)}, []any{s.Rate, s.Channels, s.Frames})
	x := []float64{9, 9, 9, 9, 9}
	require.NoError(t, s.Mix(x, -1))
	require.Equal(t, []float64{0, 0.25, -0.5, 0.125, 0}, x)
	require.NoError(t, s.Mix(x, 3))
	require.Equal(t, make([]float64, 5), x)
	_, err = OpenSound(bytes.NewReader(head), int64(len(head)))
	require.ErrorContains(t, err, "no sound")
	_, err = OpenSound(bytes.NewReader(data[:30]), 30)
	require.ErrorContains(t, err, "the file ends")
}
