package study_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// TestDemoChannels: notes and keys are those written in cmd/demosong. A tail of
// 2.4 s to −60 dB is heard for 1.6 s, down to −40 dB. Pad: five keys, and five of
// the chord before for 60 ms of legato. Bass: 1.5 s + 1.6 s every 1.667 s. Arp:
// (166.7 + 1600)/208.3 = 8.48, so 9 at once. Lead: starts at 0, 0.833 and
// 1.667 s, the first of which is heard until 0.625 + 1.6 = 2.225 s.
func TestDemoChannels(t *testing.T) {
	require.Equal(t, []study.ChannelUse{
		{Channel: 0, Notes: 80, Low: 50, High: 76, Demand: study.Demand{Held: 10, Pedal: 10, Audible: 10}},
		{Channel: 1, Notes: 32, Low: 29, High: 36, Demand: study.Demand{Held: 1, Pedal: 1, Audible: 2}},
		{Channel: 2, Notes: 192, Low: 62, High: 95, Demand: study.Demand{Held: 1, Pedal: 1, Audible: 9}},
		{Channel: 3, Notes: 24, Low: 76, High: 86, Demand: study.Demand{Held: 1, Pedal: 1, Audible: 3}},
	}, uses(t, study.Channels(rig(20, 2400*ms, nil), demo(t))))
}

// Every key and every velocity counts: 0 to 127 and 1 to 127 (MIDI 1.0 Detailed
// Specification, from memory; a note-on of velocity 0 is a note-off).
func TestChannelsOfOutermostKeys(t *testing.T) {
	p := study.Performance{End: time.Second}
	for i, key := range []midi.Key{0, 127} {
		p.Steps = append(p.Steps, midi.Step{At: time.Duration(i) * 100 * ms, Kind: midi.StepNoteOn, Key: key, Value: uint16(1 + 126*i)},
			midi.Step{At: time.Duration(i)*100*ms + 50*ms, Kind: midi.StepNoteOff, Key: key})
	}
	require.Equal(t, []study.ChannelUse{{Notes: 2, Low: 0, High: 127, Demand: study.Demand{Held: 1, Pedal: 1, Audible: 1}}},
		uses(t, study.Channels(rig(1, 0, nil), p)))
}

// uses are channels without their notes, which are as many as they say.
func uses(t *testing.T, all []study.ChannelUse) []study.ChannelUse {
	for i := range all {
		require.Len(t, all[i].Played, all[i].Notes)
		all[i].Played = nil
	}
	return all
}

// TestWithin: of keys 60, 64 and 67 at 0-500, 200-300 and 600-700 ms, the upper two
// are two notes that never sound together, and below 60 there is none.
func TestWithin(t *testing.T) {
	all := study.Channels(rig(1, 0, nil), song(t, 1000, "60 0-500, 64 200-300, 67 600-700"))
	require.Equal(t, study.Demand{Held: 2, Pedal: 2, Audible: 2}, all[0].Demand)
	upper := all[0].Within(alloc.KeyRange{Low: 61, High: 127})
	require.Equal(t, []study.ChannelUse{{Notes: 2, Low: 64, High: 67, Demand: study.Demand{Held: 1, Pedal: 1, Audible: 1}}},
		uses(t, []study.ChannelUse{upper}))
	require.Zero(t, all[0].Within(alloc.KeyRange{High: 59}).Notes)
	all = study.Channels(rig(1, 0, nil), song(t, 1000, "0 0-500, 127 600-700"))
	bottom, top := all[0].Within(alloc.KeyRange{}), all[0].Within(alloc.KeyRange{Low: 127, High: 127})
	require.Equal(t, []midi.Key{0, 0, 127, 127}, []midi.Key{bottom.Low, bottom.High, top.Low, top.High})
}

// TestChannelsOfPortsAndPedals: two keys 0–100 and 200–300 ms under a pedal that
// is down from 0 to 1000 ms are never held together, and both on the pedal. The
// note on port 2 is alone; a channel with a pedal and no notes is not listed.
func TestChannelsOfPortsAndPedals(t *testing.T) {
	p := song(t, 2000, "cc64 down 0, 60 0-100, 64 200-300, cc64 up 1000")
	p.Steps = append(p.Steps,
		midi.Step{At: 1500 * ms, Kind: midi.StepNoteOn, Port: 1, Channel: 9, Key: 35, Value: 1},
		midi.Step{At: 1600 * ms, Kind: midi.StepNoteOff, Port: 1, Channel: 9, Key: 35},
		midi.Step{At: 1700 * ms, Kind: midi.StepSustain, Channel: 5, Value: 127})
	got := study.Channels(rig(1, 0, nil), p)
	require.Equal(t, []study.ChannelUse{
		{Channel: 0, Notes: 2, Low: 60, High: 64, Demand: study.Demand{Held: 1, Pedal: 2, Audible: 2}, Sustain: true},
		{Port: 1, Channel: 9, Notes: 1, Low: 35, High: 35, Demand: study.Demand{Held: 1, Pedal: 1, Audible: 1}},
	}, uses(t, got))
	require.Empty(t, study.Channels(rig(1, time.Second, nil), study.Performance{}))
}

// A zone may have one member: what that plays is the zone's.
func TestChannelsOfASmallZone(t *testing.T) {
	zone := midi.Zone{AnyPort: true, Members: 1}
	got := study.Channels(rig(1, 0, nil), song(t, 1000, "c2 60 0-100"), zone)
	require.Equal(t, []study.ChannelUse{{PerNote: zone, Notes: 1, Low: 60, High: 60, Demand: study.Demand{Held: 1, Pedal: 1, Audible: 1}}}, uses(t, got))
}

// By hand: a lower zone of three members on port 2, an upper one of two on every port. What
// members play is the zone's, wherever that is; channel 3 of port 1 is a channel.
func TestChannelsOfZones(t *testing.T) {
	var p study.Performance
	add := func(port midi.Port, channel midi.Channel, key midi.Key) {
		p.Steps = append(p.Steps, midi.Step{At: p.End, Kind: midi.StepNoteOn, Port: port, Channel: channel, Key: key, Value: 64},
			midi.Step{At: p.End + 50*ms, Kind: midi.StepNoteOff, Port: port, Channel: channel, Key: key})
		p.End += 100 * ms
	}
	for _, s := range []midi.Step{{Port: 1, Value: 127}, {Port: 1}, {Channel: 2}} { // pressed, let go, and only let go
		s.Kind = midi.StepSustain
		p.Steps = append(p.Steps, s)
	}
	add(0, 0, 60)
	add(0, 2, 61)
	add(0, 14, 62)
	add(1, 1, 63)
	add(1, 3, 64)
	add(1, 4, 65)
	add(1, 13, 66)
	lower, upper := midi.Zone{Port: 1, Members: 3}, midi.Zone{AnyPort: true, Upper: true, Members: 2}
	one := study.Demand{Held: 1, Pedal: 1, Audible: 1}
	require.Equal(t, []study.ChannelUse{
		{Channel: 0, Notes: 1, Low: 60, High: 60, Demand: one},
		{Channel: 2, Notes: 1, Low: 61, High: 61, Demand: one},
		{Channel: 15, PerNote: upper, Notes: 1, Low: 62, High: 62, Demand: one},
		{Port: 1, Channel: 0, PerNote: lower, Notes: 2, Low: 63, High: 64, Demand: one, Sustain: true},
		{Port: 1, Channel: 4, Notes: 1, Low: 65, High: 65, Demand: one},
		{Port: 1, Channel: 15, PerNote: upper, Notes: 1, Low: 66, High: 66, Demand: one},
	}, uses(t, study.Channels(rig(1, 0, nil), p, lower, upper)))
}
