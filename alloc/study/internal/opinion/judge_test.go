package opinion

import (
	"encoding/hex"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const ms = time.Millisecond

// The worked file of the Standard MIDI Files specification (RP-001), in both
// formats: keys 48 and 60 at 0–2000 ms on channel 3, 67 at 500–2000 on channel 2,
// 76 at 1000–2000 on channel 1.
var worked = map[string]string{
	"format 0": `4D546864 00000006 0000 0001 0060 4D54726B 0000003B
		00FF580404021808 00FF510307A120 00C005 00C12E 00C246 00923060 003C60
		60914340 60904C20 8140823040 003C40 00814340 00804C40 00FF2F00`,
	"format 1": `4D546864 00000006 0001 0004 0060
		4D54726B 00000014 00FF580404021808 00FF510307A120 8300FF2F00
		4D54726B 00000010 00C005 8140904C20 81404C00 00FF2F00
		4D54726B 0000000F 00C12E 60914340 82204300 00FF2F00
		4D54726B 00000015 00C246 00923060 003C60 83003000 003C00 00FF2F00`,
}

func bytesOf(t *testing.T, words string) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.Join(strings.Fields(words), ""))
	require.NoError(t, err)
	return b
}

// The depth is 2 for half a second, 3 for half a second and 4 for a second.
func TestWorkedFile(t *testing.T) {
	for name, file := range worked {
		t.Run(name, func(t *testing.T) {
			type gate struct {
				channel, key, velocity int
				start, end             time.Duration
			}
			var gates []gate
			v := Judge(bytesOf(t, file), Rules{Voices: 4, MinGate: 5 * ms})
			for _, n := range v.Notes {
				gates = append(gates, gate{n.Channel + 1, n.Key, n.Velocity, n.Start, n.End})
				require.Equal(t, "complete", n.Ending)
			}
			require.Equal(t, []gate{
				{3, 48, 96, 0, 2000 * ms}, {3, 60, 96, 0, 2000 * ms}, {2, 67, 64, 500 * ms, 2000 * ms}, {1, 76, 32, 1000 * ms, 2000 * ms},
			}, gates)
			require.Equal(t, [3]int{4, 4, 4}, [3]int{v.Held, v.Pedal, v.Audible})
			for voices, want := range []struct {
				fewest int
				loss   time.Duration
			}{{4, 6500 * ms}, {3, 4500 * ms}, {2, 2500 * ms}, {1, 1000 * ms}, {0, 0}} {
				v := Judge(bytesOf(t, file), Rules{Voices: voices, Steal: Never})
				require.Equal(t, want.fewest, v.Fewest, "%d voices", voices)
				require.Equal(t, want.loss, v.Unavoidable, "%d voices", voices)
			}
		})
	}
}

// One voice, ticks of a millisecond (25 frames of 40), every event on key 60 and
// channel 1. The gates are worked out by hand.
func TestGates(t *testing.T) {
	const on, off, sustain, sostenuto = "903C40 ", "803C40 ", "B0407F ", "B0427F "
	for name, c := range map[string]struct {
		events string // each with a delta time before it
		rule   SameKey
		want   []string
	}{
		"count":     {"00" + on + "0A" + on + "0A" + off + "0A" + off, Counted, []string{"0s–10ms superseded", "10ms–30ms"}},
		"first off": {"00" + on + "0A" + on + "0A" + off + "0A" + off, FirstOff, []string{"0s–10ms superseded", "10ms–20ms"}},
		"fifo":      {"00" + on + "0A" + on + "0A" + off + "0A" + off, FIFO, []string{"0s–20ms", "10ms–30ms"}},
		"lifo":      {"00" + on + "0A" + on + "0A" + off + "0A" + off, LIFO, []string{"0s–30ms", "10ms–20ms"}},
		"off first at one instant": {"00" + on + "0A" + on + "00" + off + "0A" + off, Counted,
			[]string{"0s–10ms", "10ms–20ms"}},
		"no length":            {"00" + on + "00" + off, Counted, []string{"0s–5ms"}},
		"after all notes off":  {"00" + on + "0A B07B00 0A" + on + "00" + off, Counted, []string{"0s–10ms", "20ms–25ms"}},
		"after mono on":        {"00" + on + "0A B07E01 0A" + on + "00" + off, Counted, []string{"0s–10ms", "20ms–25ms"}},
		"all notes off, pedal": {"00" + sustain + "00" + on + "0A B07B00 0A B0403F", Counted, []string{"0s–20ms"}},
		"all sound off, pedal": {"00" + sustain + "00" + on + "0A B07800 0A B04000", Counted, []string{"0s–10ms"}},
		"controllers reset":    {"00" + sustain + "00" + on + "0A" + off + "0A B07900", Counted, []string{"0s–20ms"}},
		"sostenuto":            {"00" + on + "0A" + sostenuto + "0A" + off + "0A B04200", Counted, []string{"0s–30ms"}},
		"sostenuto, too late":  {"00" + sostenuto + "00" + on + "0A" + off + "0A B04200", Counted, []string{"0s–10ms"}},
		"stuck":                {"00" + on + "0A B10700", Counted, []string{"0s–10ms"}},
	} {
		t.Run(name, func(t *testing.T) {
			_, got := gatesOf(t, c.events, Rules{Voices: 1, SameKey: c.rule, MinGate: 5 * ms})
			require.Equal(t, c.want, got)
		})
	}
}

// gatesOf judges a file of one track, ticks of a millisecond.
func gatesOf(t *testing.T, events string, r Rules) (v Verdict, gates []string) {
	track := hex.EncodeToString(bytesOf(t, events)) + "00FF2F00"
	size := hex.EncodeToString([]byte{byte(len(track) / 2)})
	v = Judge(bytesOf(t, "4D546864 00000006 0000 0001 E728 4D54726B 000000"+size+track), r)
	for _, n := range v.Notes {
		word := n.Start.String() + "–" + n.End.String()
		if n.Superseded {
			word += " superseded"
		}
		gates = append(gates, word)
	}
	return v, gates
}

// The same on per-note channels, worked out by hand from what a manager is for
// (M1-100-UM): the lower zone has channels 2 to 4 and manager 1. On member 4, D is
// on and L off; C is on a channel that is no member, and H is on one of the upper
// zone where there is one.
func TestZones(t *testing.T) {
	const (
		d, l, c, cOff, h, hOff = "933C40 ", "833C40 ", "943C40 ", "843C40 ", "9E3C40 ", "8E3C40 "
		upper3, lower4, less   = "00BF6500 00BF6406 00BF0603 ", "00B06500 00B06406 00B00604 ", "0AB06500 00B06406 00B00602 "
	)
	lower, both := []Zone{{-1, false, 3}}, []Zone{{-1, false, 3}, {0, true, 2}}
	for name, row := range map[string]struct {
		zones  []Zone
		events string
		want   []string
	}{
		"members and managers are heard":   {lower, "00" + d + "00" + c + "0A" + l + "00" + cOff + "00903C40 0A803C40", []string{"0s–10ms", "10ms–20ms"}},
		"both zones":                       {both, "00" + d + "00" + h + "0A" + l + "00" + hOff, []string{"0s–10ms", "0s–10ms"}},
		"another port's":                   {[]Zone{{1, false, 3}}, "00" + d + "0A" + l, nil},
		"all notes off":                    {lower, "00" + d + "0AB07B00 0A" + d + "00" + l, []string{"0s–10ms", "20ms–25ms"}},
		"all sound off":                    {lower, "00" + d + "0AB07800 0A" + d + "00" + l, []string{"0s–10ms", "20ms–25ms"}},
		"to the upper manager":             {both, "00" + h + "0ABF7B00 0A" + h + "00" + hOff, []string{"0s–10ms", "20ms–25ms"}},
		"to a member, for another":         {lower, "00" + d + "0AB17B00 0A" + l, []string{"0s–20ms"}},
		"sustain":                          {lower, "00B0407F 00" + d + "0A" + l + "0AB04000", []string{"0s–20ms"}},
		"sustain and reset":                {lower, "00B0407F 00" + d + "0A" + l + "0AB07900", []string{"0s–20ms"}},
		"sostenuto":                        {lower, "00" + d + "0AB0427F 0A" + l + "0AB04200", []string{"0s–30ms"}},
		"the song makes the zone larger":   {lower, lower4 + "00" + c + "0AB07B00 0A" + cOff, []string{"0s–10ms"}},
		"and smaller":                      {lower, "00" + d + less + "0AB07B00 0A" + l + "0A" + d, []string{"0s–30ms"}},
		"a zone that nobody plays":         {lower, upper3 + "00" + h + "0A" + hOff, nil},
		"it takes members":                 {lower, "00BF6500 00BF6406 00BF060C 00" + d + "0A" + l + "00913C40 0A813C40", []string{"10ms–20ms"}},
		"a new member has the pedal":       {lower, "00B0407F " + lower4 + "00" + c + "0A" + cOff + "0AB04000", []string{"0s–20ms"}},
		"but no latch":                     {lower, "00B0427F " + lower4 + "00" + c + "0A" + cOff + "0AB04200", []string{"0s–10ms"}},
		"an old one keeps it":              {lower, "00B0407F 00" + d + less + "0AB04000 0A" + l + "0AB34000", []string{"0s–40ms"}},
		"nothing is selected":              {lower, "00B00604 00" + c + "0A" + cOff, nil},
		"something else is selected since": {lower, "00B06500 00B06406 00B06200 00B00604 00" + c + "0A" + cOff, nil},
		"16 members":                       {lower, "00B06500 00B06406 00B00610 00" + d + "0A" + l, []string{"0s–10ms"}},
		"no zones of the rig":              {nil, lower4 + "00" + d + "0AB07B00 0A" + d + "00" + l, []string{"0s–20ms", "20ms–25ms"}},
	} {
		t.Run(name, func(t *testing.T) {
			_, got := gatesOf(t, row.events, Rules{Voices: 1, Zones: row.zones, MinGate: 5 * ms})
			require.Equal(t, row.want, got)
		})
	}
	// What the quotas of comparisons go by: a message that ends two held notes of
	// members counts once, one that ends none or only the manager's own does not.
	v, _ := gatesOf(t, "00"+d+"00913C40 0AB07B00 00B07B00 00B07800 0A"+d+"00"+l+"00903C40 0AB07800", Rules{Voices: 3, Zones: lower})
	require.Equal(t, map[int]int{123: 1}, v.Managed)
	require.True(t, v.Notes[2].Zero && v.Notes[2].Bereft)
	require.False(t, v.Notes[0].Bereft || v.Notes[3].Bereft)
}
