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
			track := hex.EncodeToString(bytesOf(t, c.events)) + "00FF2F00"
			size := hex.EncodeToString([]byte{byte(len(track) / 2)})
			v := Judge(bytesOf(t, "4D546864 00000006 0000 0001 E728 4D54726B 000000"+size+track),
				Rules{Voices: 1, SameKey: c.rule, MinGate: 5 * ms})
			var got []string
			for _, n := range v.Notes {
				word := n.Start.String() + "–" + n.End.String()
				if n.Superseded {
					word += " superseded"
				}
				got = append(got, word)
			}
			require.Equal(t, c.want, got)
		})
	}
}
