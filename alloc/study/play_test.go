package study_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
)

// One voice without release, by hand: the notes take it from 100 to 200 ms, from
// 300 to 450 and from 450 to 500, where the third takes the second's voice; it sounds as
// long. Jumps go up 12 semitones and down 24.
//
// A release of 600 ms falls to the free level, −60 dB, in as long: the first tail
// is cut after 100 ms, and the last one rings out, past the end of the song.
func TestVoiceUse(t *testing.T) {
	p := song(t, 1000, "60 100-200, 72 300-500, 48 450-500")
	for release, sounding := range map[time.Duration]time.Duration{0: 300 * ms, 600 * ms: 1000 * ms} {
		r, err := study.Play(rig(1, release, nil), p)
		require.NoError(t, err)
		use := r.Voices[0]
		require.Equal(t, 24, use.MostSemitones)
		require.Equal(t, 3, use.Takes)
		require.Equal(t, 300*ms, use.Held)
		require.Equal(t, sounding, use.Sounding, release)
	}
}
