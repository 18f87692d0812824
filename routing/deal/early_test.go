package deal

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// TestEarly: a voice that was measured to answer 8 ms late is started 8 ms early, the other
// as it is written; at the song's start it begins there. At 500 ticks a quarter and 120
// quarters a minute a tick is a millisecond.
func TestEarly(t *testing.T) {
	const text = "rig: Test\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 1}, L: {voices: 1}}\n" +
		"parts: {a: {channel: 1, banks: [K]}, b: {channel: 2, banks: [L]}}\nmeasured: {L1: {latency: 8 ms}}\n"
	rig, faults := profiles.Read("test.yaml", []byte(text), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	division := midi.Division{Ticks: 500}
	song := &midi.Song{Format: 1, Tracks: []midi.Track{{}}, End: 3000, NoteOns: 4,
		Tempo: midi.NewTempoMap(division, nil), Meter: midi.NewMeterMap(division, nil)}
	for _, at := range []midi.Tick{0, 1000} {
		for channel := range uint8(2) {
			song.Events = append(song.Events, midi.Event{Tick: at, Status: 0x90 | channel, Data1: 60, Data2: 100})
		}
		for channel := range uint8(2) {
			song.Events = append(song.Events, midi.Event{Tick: at + 400, Status: 0x80 | channel, Data1: 60, Data2: 64})
		}
	}
	d, err := New(p, song, Options{})
	require.NoError(t, err)
	times := func(l Lane) (all []time.Duration) {
		for _, n := range l.Notes {
			all = append(all, d.Tempo.At(n.On).Round(time.Millisecond), d.Tempo.At(n.Off).Round(time.Millisecond))
		}
		return all
	}
	const ms = time.Millisecond
	require.Equal(t, []time.Duration{0, 400 * ms, 1000 * ms, 1400 * ms}, times(d.Passes[0].Lanes[0]))
	require.Equal(t, []time.Duration{0, 392 * ms, 992 * ms, 1392 * ms}, times(d.Passes[0].Lanes[1]))

	cv, err := NewCV(p, song, CVOptions{Rate: 1000})
	require.NoError(t, err)
	ups := map[string][]int64{}
	for _, ch := range cv.Channels {
		for _, m := range ch.moves {
			if ch.Input == "gate" && m.volts > 0 {
				ups[ch.Name] = append(ups[ch.Name], m.at)
			}
		}
	}
	require.Equal(t, map[string][]int64{"K1.gate": {0, 1000}, "L1.gate": {0, 992}}, ups)
}
