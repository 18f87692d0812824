package profiles

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/midi"
)

// Key 60 is middle C, printed C4, or C3 where middle_c says so (both common practice);
// twelve keys an octave.
func TestKeys(t *testing.T) {
	for _, row := range []struct {
		text    string
		middleC MiddleC
		want    midi.Key
	}{
		{"0", C4, 0}, {"127", C4, 127}, {"36", C3, 36},
		{"C4", C4, 60}, {"C3", C3, 60}, {"C2", C4, 36}, {"C2", C3, 48},
		{"A4", C4, 69}, {"F#3", C4, 54}, {"F♯3", C4, 54}, {"Bb3", C4, 58}, {"B♭3", C4, 58},
		{"C-1", C4, 0}, {"C-2", C3, 0}, {"G9", C4, 127}, {"G8", C3, 127}, {"Cb4", C4, 59}, {"B#3", C4, 60},
	} {
		key, c := (&reader{middleC: row.middleC}).parseKey(row.text)
		require.Nil(t, c, row.text)
		require.Equal(t, row.want, key, row.text)
	}
	for _, text := range []string{"", "-1", "128", "036", "60.5", "H2", "c2", "G#9", "Cb-1", "C", "#3", "C10", "C-2"} {
		_, c := (&reader{middleC: C4}).parseKey(text)
		require.NotNil(t, c, text)
	}
}

func TestKeySpans(t *testing.T) {
	for text, want := range map[string]alloc.KeyRange{
		"36-96": {Low: 36, High: 96}, "C2-C7": {Low: 36, High: 96}, "C2 - 96": {Low: 36, High: 96},
		"C-1-C4": {Low: 0, High: 60}, "C-1-C-1": {Low: 0, High: 0}, "60": {Low: 60, High: 60},
		"C-1": {Low: 0, High: 0}, "36–96": {Low: 36, High: 96}, "0-127": {Low: 0, High: 127},
	} {
		span, c := (&reader{middleC: C4}).parseKeySpan(text)
		require.Nil(t, c, text)
		require.Equal(t, want, span, text)
	}
}

func TestScalars(t *testing.T) {
	one := func(channel int) []alloc.Source { return []alloc.Source{{AnyPort: true, Channels: 1 << (channel - 1)}} }
	for _, row := range []struct {
		text  string
		shape leaf
		want  any
	}{
		{"0 V to 5 V", windowWord, Window{0, 5}},
		{"-5 V to +5 V", windowWord, Window{-5, 5}},
		{"-5V to 5000 mV", windowWord, Window{-5, 5}},
		{"1 V/oct", scaleWord, Scale{PerOctave: 1}},
		{"1.2 V/oct", scaleWord, Scale{PerOctave: 1.2}},
		{"261.63 Hz at 1 V", scaleWord, Scale{Reference: 261.63, At: 1}},
		{"261.63 Hz at 1 V (Hz/V)", scaleWord, Scale{Reference: 261.63, At: 1}},
		{"5 V", gateWord, Gate{Volts: 5}},
		{"S-trig", gateWord, Gate{STrig: true}},
		{"1", listenWord, listens{sources: one(1)}},
		{"16", listenWord, listens{sources: one(16)}},
		{"mpe lower", listenWord, listens{zone: LowerZone, members: 15}},
		{"mpe upper", listenWord, listens{zone: UpperZone, members: 15}},
		{"mpe lower 1", listenWord, listens{zone: LowerZone, members: 1}},
		{"mpe upper 15", listenWord, listens{zone: UpperZone, members: 15}},
		// port 2 is stored as 1, channel 5 as bit 4
		{"port 2 channel 5", listenWord, listens{sources: []alloc.Source{{Port: 1, Channels: 1 << 4}}}},
		{"CC 74 on 16", controllerWord, moved{74, one(16)[0]}},
		{"CC 0 on port 1 channel 1", controllerWord, moved{0, alloc.Source{Channels: 1}}},
		{"longest-idle", leaf{words{parsed: parsePick}}, picks{rule: alloc.PickLongestIdle}},
		{"same-key", leaf{words{parsed: parsePick}}, picks{rule: alloc.PickSameKey, second: alloc.PickLongestIdle}},
		{"same-key then round-robin", leaf{words{parsed: parsePick}}, picks{rule: alloc.PickSameKey, second: alloc.PickRoundRobin}},
		{"even", lawWord, lawOf{LawEven, 2}},
		{"power", lawWord, lawOf{LawPower, 2}},
		{"power 1.5", lawWord, lawOf{LawPower, 1.5}},
		{"passive", throughWord, throughWhat{through: Passive}},
		{"buffered 4", throughWord, throughWhat{Buffered, 4}},
		{"2026-11-02", dateWord, "2026-11-02"},
		{"1-127", velocitySpan, [2]uint8{1, 127}},
		{"64", velocitySpan, [2]uint8{64, 64}},
	} {
		v, c := row.shape.parse(&reader{middleC: C4}, written{text: row.text})
		require.Nil(t, c, row.text)
		require.Equal(t, row.want, v, row.text)
	}
}

// Channels of one port come together: bits 0 and 1, and bit 4 of port 1, as
// stored.
func TestChannelList(t *testing.T) {
	rig := mustRead(t, withValue("parts.p.channel", "[1, port 2 channel 5, 2]"))
	require.Equal(t, []alloc.Source{{AnyPort: true, Channels: 3}, {Port: 1, Channels: 1 << 4}}, rig.Parts[0].Sources)
}

func TestHertzPerVolt(t *testing.T) {
	require.True(t, Scale{Reference: 261.63, At: 1}.HertzPerVolt())
	require.False(t, Scale{PerOctave: 1.2}.HertzPerVolt())
}
