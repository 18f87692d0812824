package link

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// loadOf plays a song of notes through a rig without its first line. The notes
// have channel, key, velocity, start and end in milliseconds: a tick is one.
func loadOf(t *testing.T, text string, events ...midi.Event) *Load {
	t.Helper()
	rig, faults := profiles.Read("test.yaml", []byte("rig: Test\n"+text), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	song := &midi.Song{Events: events, Tempo: midi.NewTempoMap(midi.Division{Ticks: 500}, nil), End: 4000}
	l, err := Of(p, song)
	require.NoError(t, err)
	return l
}

// note begins at one millisecond and ends at another.
func note(channel byte, key uint8, from, to midi.Tick) []midi.Event {
	return []midi.Event{{Tick: from, Status: 0x90 | channel, Data1: key, Data2: 100}, {Tick: to, Status: 0x80 | channel, Data1: key}}
}

const din = "interfaces: {main: {profile: cv16-gate16, link: din, ports: 2}}\nbanks: {K: {voices: 4}}\n"

// A chord of three notes on three voices, each on its own channel: 3·0.96 ms
// late, and spread over 2·0.96. Six messages of three bytes in 4 s are 5.76 ms.
func TestTheLoadOfAChord(t *testing.T) {
	l := loadOf(t, din, append(append(append(
		on(60, 1000), on(64, 1000)...), on(67, 1000)...), append(append(off(60, 2000), off(64, 2000)...), off(67, 2000)...)...)...)
	require.Len(t, l.Ports, 1)
	p := &l.Ports[0]
	require.Equal(t, 6, p.Messages)
	require.Equal(t, 18, p.Bytes)
	require.Equal(t, Late{2880 * time.Microsecond, 2}, p.Late)
	require.Equal(t, Smear{1920 * time.Microsecond, 3, 0}, p.Smear)
	require.Equal(t, p.Smear, l.Smear)
	require.InDelta(t, 0.00576/4, l.Share(p), 1e-12)
	require.Equal(t, time.Second, l.Notes[p.Smear.Mark].Start)
}

func on(key uint8, at midi.Tick) []midi.Event {
	return []midi.Event{{Tick: at, Status: 0x90, Data1: key, Data2: 100}}
}

func off(key uint8, at midi.Tick) []midi.Event {
	return []midi.Event{{Tick: at, Status: 0x80, Data1: key}}
}

// On one voice, notes and their ends are told apart by their status, so that
// running status saves nothing; of three bends in a row it saves two bytes.
func TestRunningStatusOfWhatIsDealt(t *testing.T) {
	rig := "interfaces: {main: {profile: cv4-gate4, link: din}}\nbanks: {K: {voices: 1}}\n"
	l := loadOf(t, rig, append(note(0, 60, 0, 400), note(0, 62, 500, 900)...)...)
	require.Equal(t, 4, l.Ports[0].Messages)
	require.Equal(t, 12, l.Ports[0].Bytes)
	bend := func(at midi.Tick, high uint8) midi.Event { return midi.Event{Tick: at, Status: 0xE0, Data2: high} }
	l = loadOf(t, rig, append(on(60, 0), bend(100, 70), bend(200, 80), bend(300, 90), off(60, 400)[0])...)
	require.Equal(t, 5, l.Ports[0].Messages)
	require.Equal(t, 13, l.Ports[0].Bytes)
}

// What sets a channel up goes before the song: six controllers for the range of
// bends (RPN 0 and null; 3 + 5·2 bytes) and a bend for each of four voices,
// 16 bytes or 5.12 ms each.
func TestWhatIsSentBeforehandIsApart(t *testing.T) {
	l := loadOf(t, din, note(0, 60, 0, 500)...)
	require.Equal(t, 4*16*ByteTime, l.Ports[0].SetUp)
	require.Equal(t, 960*time.Microsecond, l.Ports[0].Late.By)
}

// A unison of two with 12 cents between: −6 and +6 cents are a bend each before
// the first note, and none before the next, which needs the same. The bend
// leads by 1 ms and is gone before the note: 2 notes of 0.96 ms.
func TestDetuneIsABend(t *testing.T) {
	rig := "interfaces: {main: {profile: cv4-gate4, link: din}}\nbanks: {K: {voices: 2}}\nparts: {p: {channel: 1, unison: {voices: 2}}}\n"
	l := loadOf(t, rig, note(0, 60, 1000, 1400)...)
	require.Equal(t, 6, l.Ports[0].Messages) // 2 bends, 2 on, 2 off
	two := loadOf(t, rig, append(note(0, 60, 1000, 1400), note(0, 62, 1500, 1900)...)...)
	require.Equal(t, 10, two.Ports[0].Messages)
	late := loadOf(t, strings.Replace(rig, "parts:", "timing: {lead: 0 ms}\nparts:", 1), note(0, 60, 1000, 1400)...)
	require.Equal(t, 3840*time.Microsecond, late.Ports[0].Late.By) // 2 bends and 2 notes, 4·0.96
}

// A bend of the song moves the voice that holds a note of its channel, and a
// macro passes its controller on: 1 each.
func TestBendsAndControllers(t *testing.T) {
	l := loadOf(t, din+"macros: {m: {from: CC 74 on 16, to: K.cutoff}}\n", append(on(60, 0),
		midi.Event{Tick: 100, Status: 0xE0, Data2: 0x50},
		midi.Event{Tick: 200, Status: 0xBF, Data1: 74, Data2: 1},
		midi.Event{Tick: 200, Status: 0xBF, Data1: 75, Data2: 1}, // no macro's
		midi.Event{Tick: 300, Status: 0x80, Data1: 60})...)
	require.Equal(t, 4, l.Ports[0].Messages)
}

// Pressure takes two bytes.
func TestPressure(t *testing.T) {
	events := append(on(60, 0), midi.Event{Tick: 100, Status: 0xD0, Data1: 50}, midi.Event{Tick: 300, Status: 0x80, Data1: 60})
	l := loadOf(t, din, events...)
	require.Equal(t, 3, l.Ports[0].Messages)
	require.Equal(t, 8, l.Ports[0].Bytes)
}

// What is played legato is one note whose bend moves there.
func TestALegatoStepIsABend(t *testing.T) {
	l := loadOf(t, din+"parts: {p: {channel: 1, mode: mono last}}\n", append(on(60, 0), append(on(62, 100), append(off(60, 300), off(62, 400)...)...)...)...)
	require.Equal(t, 3, l.Ports[0].Messages)
	require.Equal(t, 3*3, l.Ports[0].Bytes)
}

// The seventeenth voice is on a second port, and a chord over both arrives as
// one over each: 16·0.96 ms late on the first.
func TestPortsQueueApart(t *testing.T) {
	var events []midi.Event
	for key := range uint8(17) {
		events = append(events, on(60+key, 0)...)
	}
	for key := range uint8(17) {
		events = append(events, off(60+key, 1000)...)
	}
	l := loadOf(t, "interfaces: {main: {profile: cv24-gate24, link: din, ports: 2}}\nbanks: {K: {voices: 17}}\nparts: {p: {channel: 1, pick: lowest}}\n", events...)
	require.Len(t, l.Ports, 2)
	require.Equal(t, 16*960*time.Microsecond, l.Ports[0].Late.By)
	require.Equal(t, 960*time.Microsecond, l.Ports[1].Late.By)
	require.Equal(t, Smear{15 * 960 * time.Microsecond, 17, 0}, l.Smear)
}

// A note that has just missed a packet is 1 ms late, and no share of time is counted.
func TestUSBHasPackets(t *testing.T) {
	l := loadOf(t, strings.Replace(din, "din", "usb", 1), note(0, 60, 0, 500)...)
	require.Equal(t, []Port{{Link: profiles.USB, Traffic: Traffic{Messages: 2, Bytes: 6, Late: Late{time.Millisecond, 0}, Smear: Smear{Mark: NoMark}},
		Frames: Frames{time.Millisecond, 16}}}, l.Ports)
	require.Zero(t, l.Share(&l.Ports[0]))
}

// Channels of audio are no MIDI: it says so.
func TestAudioHasNoMessages(t *testing.T) {
	rig, faults := profiles.Read("test.yaml", []byte("rig: R\ninterfaces: {dc: {profile: audio-dc8}}\nbanks: {K: {voices: 2}}\n"), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	_, err = Of(p, &midi.Song{})
	var refused *deal.Error
	require.ErrorAs(t, err, &refused)
}

// The demo by 5-pin links: every note is sent once, on and off, and nothing
// else, since there is no detune, bend or controller in the song.
func TestTheDemo(t *testing.T) {
	text, err := os.ReadFile("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	rig, faults := profiles.Read("k.yaml", []byte(strings.Replace(string(text), "profile: cv32-gate32", "profile: cv32-gate32\n    link: din", 1)), nil)
	require.Empty(t, faults)
	data, err := os.ReadFile("../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	l, err := Of(p, song)
	require.NoError(t, err)
	total := 0
	for i := range l.Ports {
		total += l.Ports[i].Messages
	}
	require.Equal(t, 2*328, total)
	// by hand: in bar 9 five notes of the pad begin with one of bass, arp and lead
	require.Equal(t, Late{8 * 960 * time.Microsecond, l.Ports[0].Late.Mark}, l.Ports[0].Late)
	require.Equal(t, Smear{7 * 960 * time.Microsecond, 8, l.Smear.Mark}, l.Smear)
	require.Equal(t, "9:1:0", song.Meter.Position(l.Notes[l.Smear.Mark].Tick).String())
}
