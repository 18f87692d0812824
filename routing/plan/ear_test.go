package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
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

// A part whose voices are all out asks for its notes as loudly as one whose voices are
// not: they are dropped, and that is heard.
func TestAPartWithoutVoicesIsMissed(t *testing.T) {
	const rig = `
rig: Wall
interfaces: {main: {profile: cv32-gate32}}
voices: {slow: {release: 3 s, sound: {wave: triangle}}}
banks: {K: {voices: 2}, L: {voices: 2, kind: slow, out: [1, 2]}}
parts: {here: {banks: [K], channel: 1}, gone: {banks: [L], channel: 2}}
`
	p := build(t, rig, Overrides{})
	require.Equal(t, []int{0, 2}, p.Rules.Slowest())
	m, _ := p.Ear()
	require.Equal(t, hearing.Triangle, m.Sounds[1].Wave)
	// A quarter of each part: format 1, tempo 120, so 0.5 s each.
	data := []byte("MThd\x00\x00\x00\x06\x00\x01\x00\x01\x00\x60MTrk\x00\x00\x00\x18" +
		"\x00\x91\x3C\x64\x60\x81\x3C\x40" + "\x60\x90\x40\x64\x60\x80\x40\x40" + "\x00\xFF\x2F\x00")
	data[21] = byte(len(data) - 22)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	r, err := p.Replay(song)
	require.NoError(t, err)
	require.Equal(t, study.Dropped, r.Outcomes[0].Ending)
	l, err := p.Listen(song, r, nil)
	require.NoError(t, err)
	require.Equal(t, []int{1, 1, 0}, []int{l.Heard.Whole.Plainly, l.Heard.Parts[1].Plainly, l.Heard.Parts[0].Losses})
	require.Equal(t, 10.0, l.Heard.Whole.Worst)
}
