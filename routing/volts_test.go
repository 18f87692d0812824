package routing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/profiles"
)

func scaled(zero int, low, high profiles.Volts, scale profiles.Scale) *profiles.Interface {
	return &profiles.Interface{ZeroKey: zero, Window: profiles.Window{Low: low, High: high}, Scale: scale, Bits: 16}
}

var (
	perOctave = profiles.Scale{PerOctave: 1}
	hertzVolt = profiles.Scale{Reference: 261.63, At: 1} // C4 in the CRC Handbook, sec. 14, table 1
)

func TestVolts(t *testing.T) {
	for name, c := range map[string]struct {
		f     *profiles.Interface
		pitch float64
		want  float64
	}{
		"0 V":             {scaled(36, 0, 5, perOctave), 36, 0},
		"two octaves":     {scaled(36, 0, 5, perOctave), 60, 2},
		"a semitone":      {scaled(36, 0, 5, perOctave), 37, 0.083333},  // 83.333 mV: common practice
		"a cent":          {scaled(36, 0, 5, perOctave), 36.012, 0.001}, // 1 mV is 1.2 cents: common practice
		"below":           {scaled(60, -5, 5, perOctave), 48, -1},
		"1.2 V an octave": {scaled(36, 0, 5, profiles.Scale{PerOctave: 1.2}), 60, 2.4},
		"Hz/V, C2":        {scaled(36, 0, 5, hertzVolt), 36, 0.249994}, // 65.406/261.63
		"Hz/V, C4":        {scaled(36, 0, 5, hertzVolt), 60, 1},
		"Hz/V, F4":        {scaled(36, 0, 5, hertzVolt), 65, 1.334824}, // 349.23/261.63
		"Hz/V, C6":        {scaled(36, 0, 5, hertzVolt), 84, 3.999924}, // 1046.50/261.63
	} {
		t.Run(name, func(t *testing.T) {
			got := VoltsAt(c.f, 440, c.pitch)
			require.InDelta(t, c.want, float64(got), 3e-5) // the handbook rounds to five figures
			require.InDelta(t, c.pitch, PitchAt(c.f, 440, got), 1e-9)
		})
	}
	require.True(t, math.IsInf(PitchAt(scaled(36, 0, 5, hertzVolt), 440, 0), -1))
	require.True(t, math.IsInf(PitchAt(scaled(36, 0, 5, hertzVolt), 440, -1), -1))
}

// ⌊12·hi⌋ − ⌈12·lo⌉ + 1: 61 keys in 0…5 V and 121 in −5…+5 V, here those from the key at
// 0 V. With hertz per volt 5 V are 1308.15 Hz, below the E6 of 1318.51 Hz (CRC
// Handbook, sec. 14, table 1), which is key 88; and 0 V is below every key.
func TestKeysWithin(t *testing.T) {
	for name, c := range map[string]struct {
		f    *profiles.Interface
		want alloc.KeyRange
	}{
		"0 to 5 V":      {scaled(36, 0, 5, perOctave), alloc.KeyRange{Low: 36, High: 96}},
		"-5 to 5 V":     {scaled(60, -5, 5, perOctave), alloc.KeyRange{Low: 0, High: 120}},
		"past key 127":  {scaled(36, 0, 10, perOctave), alloc.KeyRange{Low: 36, High: 127}},
		"below key 0":   {scaled(36, -5, 5, perOctave), alloc.KeyRange{Low: 0, High: 96}},
		"5 V by 1.2":    {scaled(36, 0, 5, profiles.Scale{PerOctave: 1.2}), alloc.KeyRange{Low: 36, High: 86}}, // 50 semitones
		"between keys":  {scaled(36, 0.1, 0.99, perOctave), alloc.KeyRange{Low: 38, High: 47}},                 // 1.2 and 11.88 semitones
		"hertz by volt": {scaled(36, 0, 5, hertzVolt), alloc.KeyRange{Low: 0, High: 87}},
	} {
		got, ok := KeysWithin(c.f, 440)
		require.True(t, ok, name)
		require.Equal(t, c.want, got, name)
	}
	_, ok := KeysWithin(scaled(36, 0.01, 0.08, perOctave), 440) // within a semitone
	require.False(t, ok)
}

// Steps of a converter in cents: span·1200/2^bits.
func TestStepCents(t *testing.T) {
	for _, c := range []struct {
		low, high profiles.Volts
		bits      int
		want      float64
	}{
		{0, 10, 12, 2.929688}, {0, 10, 14, 0.732422}, {0, 10, 16, 0.183105}, {0, 5, 12, 1.464844}, {-10, 10, 16, 0.366211},
	} {
		f := scaled(36, c.low, c.high, perOctave)
		f.Bits = c.bits
		require.InDelta(t, c.want, StepCents(f, 440, 60), 6e-7)
	}
	// Hz/V at 1 V: 1200·log2(1 + 5/4096) = 2.1120 cents, and at 2 V 1.0566.
	f := scaled(36, 0, 5, hertzVolt)
	f.Bits = 12
	require.InDelta(t, 2.1120, StepCents(f, 440, 60), 1e-3)
	require.InDelta(t, 1.0566, StepCents(f, 440, 72), 1e-3)
}
