package recorded

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi/corpora"
	"choirloft/routing/take"
)

// TestOctaveTraps: a voice with a fundamental 16 dB under its octave (0.158 of it, and that
// is half of a saw's: 0.08), or with an oscillator an octave up that is as loud, with hum of
// −10 dB: its octave is right, or what is said of it is not certain.
func TestOctaveTraps(t *testing.T) {
	for seed := range uint64(corpora.Some(1, 4)) {
		random := rand.New(rand.NewPCG(seed, 21))
		made := takeOf(t, 6, take.Options{Short: true})
		r := plain(random, 6)
		r.rate, r.hum = 22050, 0.0316
		r.voices[0].fundamental = 0.08
		r.voices[1].second = 1
		r.voices[2].fundamental, r.voices[2].second = 0.08, 1
		r.voices[3].second = 3
		got, err := heard(t, made, r.record(made))
		require.NoError(t, err)
		for i := range got.Voices {
			v := &got.Voices[i]
			if v.State == OK {
				continue
			}
			require.Less(t, v.Confidence, 0.5, "voice %d: %v with %d, %d octaves", i, v.State, v.With, v.Octaves)
		}
		for _, i := range []int{0, 1, 4, 5} {
			require.Equal(t, OK, got.Voices[i].State, "voice %d", i)
		}
	}
}

// TestSox: sox resamples a recording from 44.1 to 48 kHz, adds pink noise 40 dB down, and
// writes 24 bits; another with brown noise is brought to 22.05 kHz. Pitch stays right.
func TestSox(t *testing.T) {
	corpora.Need(t, "let sox resample takes and make noise")
	random := rand.New(rand.NewPCG(4, 22))
	made := takeOf(t, 5, take.Options{Short: true})
	r := plain(random, 5)
	dir := t.TempDir()
	in := filepath.Join(dir, "in.wav")
	require.NoError(t, os.WriteFile(in, r.record(made), 0o600))
	sox := func(args ...string) {
		said, err := exec.Command("sox", args...).CombinedOutput()
		require.NoError(t, err, string(said))
	}
	for _, c := range []struct{ noise, rate, bits string }{{"pinknoise", "48000", "24"}, {"brownnoise", "22050", "16"}} {
		noise, out := filepath.Join(dir, "noise.wav"), filepath.Join(dir, c.noise+".wav")
		sox("-R", in, noise, "synth", c.noise, "vol", "0.003")
		sox("-R", "-m", "-v", "1", in, "-v", "1", noise, "-r", c.rate, "-b", c.bits, out)
		data, err := os.ReadFile(out)
		require.NoError(t, err)
		got, err := heard(t, made, data)
		require.NoError(t, err, c.noise)
		require.Empty(t, found(got, nil), c.noise)
		var w worst
		w.compare(r, got)
		require.LessOrEqual(t, w.pitch, 0.15, c.noise)
		require.LessOrEqual(t, w.low, 0.5, c.noise)
		require.LessOrEqual(t, w.release, 1.0, c.noise)
	}
}
