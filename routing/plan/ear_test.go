package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study/hearing"
)

func TestEar(t *testing.T) {
	p := build(t, `
rig: Wall
hearing: {level: 80 dB}
interfaces: {main: {profile: cv32-gate32}}
voices:
  slow: {release: 3 s, inputs: [pitch, gate, velocity], sound: {wave: triangle, track: 50 %}}
banks: {K: {voices: 2}, L: {voices: 2, kind: slow}}
parts: {fast: {banks: [K]}, both: {}}
`, Overrides{})
	m, assumed := p.Ear()
	require.Equal(t, hearing.Model{LevelDB: 80, Ear: hearing.KeenEar, Velocity: []bool{false, true}, Sounds: []hearing.Sound{
		{Wave: hearing.Saw, Cutoff: 2000}, {Wave: hearing.Triangle, Cutoff: 2000, Track: 0.5}}}, m)
	require.Equal(t, []string{"voices.saw-lowpass.sound.wave", "voices.saw-lowpass.sound.cutoff", "voices.saw-lowpass.sound.track",
		"voices.slow.sound.cutoff"}, assumed)
}
