package midi

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// songOf makes a song of events as eventText writes them, separated by commas,
// with ticks of a millisecond. Behind the data may stand a port: "@1".
func songOf(t testing.TB, text string) *Song {
	t.Helper()
	var song Song
	for one := range strings.SplitSeq(text, ",") {
		e := Event{}
		one, port, _ := strings.Cut(strings.TrimSpace(one), "@")
		n, err := fmt.Sscanf(one, "%d %X %X %X", &e.Tick, &e.Status, &e.Data1, &e.Data2)
		require.NoError(t, err, "%q: %d fields", one, n)
		if port != "" {
			_, err = fmt.Sscan(port, &e.Port)
			require.NoError(t, err)
		}
		song.Events = append(song.Events, e)
	}
	return &song
}

// stepText writes a step: tick, kind, channel as printed, key and value, with
// "zero" behind those that are marked.
func stepText(s Step) string {
	text := fmt.Sprintf("%d %s", s.Tick, [...]string{
		"on", "off", "sustain", "sostenuto", "notes-off", "sound-off", "reset",
		"bend", "range", "pressure", "key-pressure", "control", "zone",
	}[s.Kind])
	if s.Port > 0 {
		text += fmt.Sprintf(" port %s", s.Port)
	}
	text += fmt.Sprintf(" %s", s.Channel)
	switch s.Kind {
	case StepNoteOn, StepNoteOff, StepKeyPressure, StepControl:
		text += fmt.Sprintf(" %d", s.Key)
	}
	text += fmt.Sprintf(" %d", s.Value)
	if s.Zero {
		text += " zero"
	}
	return text
}

func stepTexts(steps []Step) []string {
	var texts []string
	for _, s := range steps {
		texts = append(texts, stepText(s))
	}
	return texts
}

// What each message becomes. Data bytes are in hex, steps in decimal.
func TestStepKinds(t *testing.T) {
	for in, want := range map[string][]string{
		"0 90 3C 40":                             {"0 on 1 60 64"},
		"0 80 3C 20":                             {"0 off 1 60 32"},
		"0 90 3C 00":                             {"0 off 1 60 64"}, // a note-on of velocity 0 is a note-off
		"0 9F 3C 01@2":                           {"0 on port 3 16 60 1"},
		"0 A1 3C 07":                             {"0 key-pressure 2 60 7"},
		"0 D1 07 00":                             {"0 pressure 2 7"},
		"0 C1 07 00":                             nil,
		"0 E1 00 40":                             {"0 bend 2 8192"}, // SMF 1.1: centre 2000h, low byte first
		"0 E1 7F 7F":                             {"0 bend 2 16383"},
		"0 E1 01 00":                             {"0 bend 2 1"},
		"0 B0 40 3F":                             {"0 sustain 1 63"},
		"0 B0 42 40":                             {"0 sostenuto 1 64"},
		"0 B0 01 05":                             {"0 control 1 1 5"},
		"0 B0 43 7F":                             {"0 control 1 67 127"},
		"0 B0 78 00":                             {"0 sound-off 1 0"},
		"0 B0 79 00":                             {"0 reset 1 0"},
		"0 B0 7A 00":                             {"0 control 1 122 0"},
		"0 B0 7B 00,0 B0 7C 0":                   {"0 notes-off 1 0", "0 notes-off 1 0"},
		"0 B0 7D 0,0 B0 7E 5":                    {"0 notes-off 1 0", "0 notes-off 1 5"},
		"0 B0 7F 00":                             {"0 notes-off 1 0"},
		"0 B0 06 0C":                             nil, // data entry with nothing selected
		"0 B0 65 0,0 B0 64 0,0 B0 6 C":           {"0 range 1 1200"},
		"0 B0 65 0,0 B0 64 0,0 B1 6 C":           nil, // another channel
		"0 B0 65 0,0 B0 64 0,0 B0 6 C@1":         nil, // another port
		"0 BF 65 0,0 BF 64 6,0 BF 6 7":           {"0 zone 16 7"},
		"0 B0 65 0,0 B0 64 0,0 B0 79 0,0 B0 6 C": {"0 reset 1 0"},
		"0 B0 65 0,0 B0 64 0,0 B0 63 0,0 B0 62 1,0 B0 6 C": nil,
	} {
		require.Equal(t, want, stepTexts(songOf(t, in).Steps(Order{})), in)
		require.Equal(t, want, stepTexts(songOf(t, in).Steps(Order{File: true})), in)
	}
	require.True(t, Step{Value: 64}.Down(), "MIDI 1.0, table III: 64–127 is on")
	require.False(t, Step{Value: 63}.Down())
}

// Worked by hand: at one instant everything but note-ons in file order, then
// note-ons in file order; of a key's offs as many as were open come before.
func TestStepOrder(t *testing.T) {
	const (
		on60, off60 = "480 90 3C 40", "480 80 3C 40"
		on64, off64 = "480 90 40 40", "480 80 40 40"
		begun60     = "0 90 3C 40"
	)
	join := func(events ...string) string { return strings.Join(events, ",") }
	for name, row := range map[string]struct {
		in    string
		order Order
		want  []string
	}{
		"off and on at one tick: off first": {join(begun60, on60, off60, "960 80 3C 40"), Order{}, []string{
			"0 on 1 60 64", "480 off 1 60 64", "480 on 1 60 64", "960 off 1 60 64"}},
		"off and on at one tick: in the order of the file": {join(begun60, on60, off60, "960 80 3C 40"), Order{File: true}, []string{
			"0 on 1 60 64", "480 on 1 60 64", "480 off 1 60 64", "960 off 1 60 64"}},
		"no length": {join(on60, off60), Order{}, []string{
			"480 on 1 60 64 zero", "480 off 1 60 64 zero"}},
		"no length, then a note": {join(on60, off60, on60), Order{}, []string{
			"480 on 1 60 64 zero", "480 off 1 60 64 zero", "480 on 1 60 64"}},
		"the one begun before ends first": {join(begun60, on60, off60, off60), Order{}, []string{
			"0 on 1 60 64", "480 off 1 60 64", "480 on 1 60 64 zero", "480 off 1 60 64 zero"}},
		"off, on, off": {join(begun60, off60, on60, off60), Order{}, []string{
			"0 on 1 60 64", "480 off 1 60 64", "480 on 1 60 64 zero", "480 off 1 60 64 zero"}},
		"two without length": {join(on60, on60, off60, off60), Order{}, []string{
			"480 on 1 60 64 zero", "480 off 1 60 64 zero", "480 on 1 60 64 zero", "480 off 1 60 64 zero"}},
		"the latest is ended": {join(on60, "480 90 3C 7F", off60), Order{}, []string{
			"480 on 1 60 64", "480 on 1 60 127 zero", "480 off 1 60 64 zero"}},
		"an orphan stays in front": {join(on64, off60, on60), Order{}, []string{
			"480 off 1 60 64", "480 on 1 64 64", "480 on 1 60 64"}},
		"an orphan counts for nothing later": {join("0 80 3C 40", on60, off60), Order{}, []string{
			"0 off 1 60 64", "480 on 1 60 64 zero", "480 off 1 60 64 zero"}},
		"another channel's is not its own": {join("0 91 3C 40", on60, off60, "480 81 3C 40"), Order{}, []string{
			"0 on 2 60 64", "480 off 2 60 64", "480 on 1 60 64 zero", "480 off 1 60 64 zero"}},
		"another port's is not its own": {join("0 90 3C 40@1", on60, off60), Order{}, []string{
			"0 on port 2 1 60 64", "480 on 1 60 64 zero", "480 off 1 60 64 zero"}},
		"pedals before notes": {join(on60, "480 B0 40 7F", on64, "480 E0 00 40"), Order{}, []string{
			"480 sustain 1 127", "480 bend 1 8192", "480 on 1 60 64", "480 on 1 64 64"}},
		"marked in the order of the file too": {join(on60, "480 B0 40 7F", off60), Order{File: true}, []string{
			"480 on 1 60 64 zero", "480 sustain 1 127", "480 off 1 60 64 zero"}},
		"chord as filed": {join(on64, off64, on60, "480 90 3E 40"), Order{}, []string{
			"480 on 1 64 64 zero", "480 off 1 64 64 zero", "480 on 1 60 64", "480 on 1 62 64"}},
		"chord low up": {join(on64, off64, on60, "480 90 3E 40"), Order{Chord: ChordLowUp}, []string{
			"480 on 1 60 64", "480 on 1 62 64", "480 on 1 64 64 zero", "480 off 1 64 64 zero"}},
		"chord outer": {join(on64, off64, on60, "480 90 3E 40"), Order{Chord: ChordOuter}, []string{
			"480 on 1 60 64", "480 on 1 64 64 zero", "480 off 1 64 64 zero", "480 on 1 62 64"}},
		"chord outer, keys twice": {join("480 93 40 40", on60, on64, "480 92 3C 40", "480 90 3E 40"), Order{Chord: ChordOuter}, []string{
			"480 on 1 60 64", "480 on 3 60 64", "480 on 4 64 64", "480 on 1 64 64", "480 on 1 62 64"}},
		"chord of one key": {join(on60, "480 91 3C 40"), Order{Chord: ChordOuter}, []string{
			"480 on 1 60 64", "480 on 2 60 64"}},
		"chords are of one tick": {join(on64, "481 90 3C 40"), Order{Chord: ChordLowUp}, []string{
			"480 on 1 64 64", "481 on 1 60 64"}},
		"no chord in the order of the file": {join(on64, on60), Order{File: true, Chord: ChordLowUp}, []string{
			"480 on 1 64 64", "480 on 1 60 64"}},
	} {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, row.want, stepTexts(songOf(t, row.in).Steps(row.order)))
		})
	}
}

// modeMessages turn off the notes of a channel: all sound off, all notes off,
// omni off and on, mono, poly (MIDI 1.0, table V and "Mode Messages").
var modeMessages = []uint8{120, 123, 124, 125, 126, 127}

// A mode message clears the counts of its channel: what was pressed
// before it does not make a later note-off its own. Worked by hand.
func TestModeMessagesClearTheCounts(t *testing.T) {
	for controller := range uint8(128) {
		if SelectsParameter(controller) {
			continue // has no step
		}
		mode := func(tick Tick, rest string) string { return fmt.Sprintf("%d B%s", tick, fmt.Sprintf(rest, controller)) }
		last := func(events ...string) []string {
			var at480 []string
			for _, s := range songOf(t, strings.Join(events, ",")).Steps(Order{}) {
				if s.Tick == 480 && s.Kind <= StepNoteOff {
					at480 = append(at480, stepText(s))
				}
			}
			return at480
		}
		const begun, on, off = "0 90 3C 40", "480 90 3C 40", "480 80 3C 40"
		zero, late := []string{"480 on 1 60 64 zero", "480 off 1 60 64 zero"}, []string{"480 off 1 60 64", "480 on 1 60 64"}
		clears := func(yes bool) []string {
			if yes {
				return zero
			}
			return late
		}
		ends := slices.Contains(modeMessages, controller)
		require.Equal(t, clears(ends), last(begun, mode(240, "0 %02X 00"), on, off), "controller %d", controller)
		require.Equal(t, clears(ends), last(begun, begun, mode(240, "0 %02X 00"), on, off), "controller %d, pressed twice", controller)
		require.Equal(t, clears(ends), last(begun, mode(480, "0 %02X 00"), on, off), "controller %d at the instant", controller)
		require.Equal(t, clears(ends), last(begun, on, mode(480, "0 %02X 00"), off), "controller %d between", controller)
		require.Equal(t, late, last(begun, on, off, mode(480, "0 %02X 00")), "controller %d behind", controller)
		require.Equal(t, late, last(begun, mode(240, "1 %02X 00"), on, off), "controller %d on another channel", controller)
		require.Equal(t, late, last(begun, mode(240, "0 %02X 00@1"), on, off), "controller %d on another port", controller)
		require.Equal(t, zero, last(on, mode(480, "0 %02X 00"), off), "controller %d and one note", controller)
		// Its own note-off is late: nothing is open for it, and it stays in front.
		require.Equal(t, late, last(begun, mode(240, "0 %02X 00"), off, on), "controller %d and a late off", controller)
		// One that is struck again after it is open again.
		require.Equal(t, late, last(begun, mode(240, "0 %02X 00"), "300 90 3C 40", on, off), "controller %d and a note", controller)
	}
}

// In the order of the file a mode message ends what began before it, also at
// its instant.
func TestModeMessagesInFileOrder(t *testing.T) {
	for _, controller := range modeMessages {
		mode := fmt.Sprintf("480 B0 %X 0", controller)
		flags := func(events ...string) (zero []int) {
			for i, s := range songOf(t, strings.Join(events, ",")).Steps(Order{File: true}) {
				if s.Zero {
					zero = append(zero, i)
				}
			}
			return zero
		}
		const begun, on, off = "0 90 3C 40", "480 90 3C 40", "480 80 3C 40"
		require.Equal(t, []int{2, 3}, flags(begun, mode, on, off))
		require.Equal(t, []int{1}, flags(begun, on, mode, off), "ended by the message, not by the off")
		require.Equal(t, []int{1, 4, 5}, flags(begun, on, off, mode, on, off), "the first off ends the first note, the message the second")
		require.Equal(t, []int{0, 1}, flags(on, on, mode, on, "481 80 3C 40"))
	}
}

// A mode message to the manager of a zone is one to each of its members
// (M1-100-UM). Key 60 is pressed on a member at 0; a message comes; the key is
// pressed again at 480, and its off there is the first note's or its own. Worked
// by hand. Channels are in hex from 0.
func TestModeMessagesToAZone(t *testing.T) {
	lower3, upper3 := Zone{Members: 3}, Zone{AnyPort: true, Upper: true, Members: 3}
	rpn := func(tick int, manager string, members int) string {
		return fmt.Sprintf("%d B%s 65 0,%[1]d B%[2]s 64 6,%[1]d B%[2]s 6 %[3]X", tick, manager, members)
	}
	for _, row := range []struct {
		name         string
		zones        []Zone
		member, mode string
		before       string // events before the first note
		between      string // events before the message
		at           int    // of the message
		ends         bool
	}{
		{"first member", []Zone{lower3}, "1", "0", "", "", 240, true},
		{"last member", []Zone{lower3}, "3", "0", "", "", 240, true},
		{"at the instant", []Zone{lower3}, "3", "0", "", "", 480, true},
		{"behind the zone", []Zone{lower3}, "4", "0", "", "", 240, false},
		{"upper zone, first", []Zone{upper3}, "E", "F", "", "", 240, true},
		{"upper zone, last", []Zone{upper3}, "C", "F", "", "", 240, true},
		{"before the upper zone", []Zone{upper3}, "B", "F", "", "", 240, false},
		{"the other manager", []Zone{lower3, upper3}, "1", "F", "", "", 240, false},
		{"all channels", []Zone{{Members: 15}}, "F", "0", "", "", 240, true},
		{"the later zone has the channels", []Zone{{Members: 15}, upper3}, "C", "0", "", "", 240, false},
		{"to a member", []Zone{lower3}, "2", "1", "", "", 240, false},
		{"the manager's own notes", []Zone{lower3}, "0", "0", "", "", 240, true},
		{"another port's zone", []Zone{{Port: 1, Members: 3}}, "1", "0", "", "", 240, false},
		{"no zones", nil, "1", "0", "", "", 240, false},
		{"no zones, whatever the song says", nil, "1", "0", rpn(0, "0", 3), "", 240, false},
		{"a larger zone", []Zone{lower3}, "5", "0", rpn(0, "0", 5), "", 240, true},
		{"a smaller zone", []Zone{lower3}, "3", "0", rpn(0, "0", 2), "", 240, false},
		{"smaller since", []Zone{lower3}, "3", "0", "", rpn(120, "0", 2), 240, false},
		{"larger since", []Zone{lower3}, "5", "0", "", rpn(120, "0", 5), 240, true},
		{"larger at the same instant", []Zone{lower3}, "5", "0", "", rpn(240, "0", 5), 240, true},
		{"none since", []Zone{lower3}, "1", "0", "", rpn(120, "0", 0), 240, false},
		{"taken by the upper zone", []Zone{lower3}, "3", "F", "", rpn(120, "F", 12), 240, true},
		{"so not the lower one's", []Zone{lower3}, "3", "0", "", rpn(120, "F", 12), 240, false},
		{"a zone that begins in the song", []Zone{lower3}, "E", "F", rpn(0, "F", 1), "", 240, true},
		{"16 members are none", []Zone{lower3}, "5", "0", "", rpn(120, "0", 16), 240, false},
		{"no manager sets it", []Zone{lower3}, "5", "0", "", rpn(120, "1", 5), 240, false},
		{"controller 121 between", []Zone{lower3}, "5", "0", "", "120 B0 65 0,120 B0 64 6,120 B0 79 0,120 B0 6 5", 240, false},
		{"a bend range is no zone", []Zone{lower3}, "5", "0", "", "120 B0 65 0,120 B0 64 0,120 B0 6 5", 240, false},
		{"of another port", []Zone{lower3}, "5", "0", "", "120 B0 65 0@1,120 B0 64 6@1,120 B0 6 5@1", 240, false},
	} {
		for _, controller := range modeMessages {
			events := []string{row.before, "0 9" + row.member + " 3C 40", row.between, fmt.Sprintf("%d B%s %X 0", row.at, row.mode, controller),
				"480 9" + row.member + " 3C 40", "480 8" + row.member + " 3C 40"}
			events = slices.DeleteFunc(events, func(e string) bool { return e == "" })
			song := songOf(t, strings.Join(events, ","))
			for _, o := range []Order{{}, {File: true}} {
				steps := song.Steps(o, row.zones...)
				end := steps[len(steps)-2:]
				require.Equal(t, row.ends, end[0].Zero, "%s, controller %d, %+v", row.name, controller, o)
				require.Equal(t, row.ends, end[1].Zero, "%s, controller %d, %+v", row.name, controller, o)
				require.Equal(t, row.ends || o.File, end[0].Kind == StepNoteOn, row.name)
			}
		}
	}
	// In the order of the file it ends what began at its own instant too.
	steps := songOf(t, "0 91 3C 40,0 B0 7B 0,0 81 3C 40").Steps(Order{File: true}, lower3)
	require.Equal(t, []string{"0 on 2 60 64 zero", "0 notes-off 1 0", "0 off 2 60 64"}, stepTexts(steps))
}

// The times of the steps are those of the tempo map.
func TestStepTimes(t *testing.T) {
	song := mustRead(t, file(t, 0, 96, "00903C40 60FF5103 03D090 60803C40"))
	steps := song.Steps(Order{})
	require.Equal(t, time.Duration(0), steps[0].At)
	require.Equal(t, 750*time.Millisecond, steps[1].At, "96 ticks at 500000 µs and 96 at 250000 µs")
}

// A million events at one tick, all of one key, must not take the square of it.
func TestStepsOfOneTick(t *testing.T) {
	song, all := &Song{}, corpora.Some(100_000, 1_000_000)
	for i := range all {
		e := Event{Status: 0x90, Data1: 60, Data2: 64}
		if i >= all/2 {
			e.Status = 0x80
		}
		song.Events = append(song.Events, e)
	}
	start := time.Now()
	for _, o := range []Order{{}, {File: true}, {Chord: ChordLowUp}, {Chord: ChordOuter}} {
		require.Len(t, song.Steps(o), all)
	}
	require.Less(t, time.Since(start), 20*time.Second)
}

// drawEvents draws the events of a few ticks, on few keys.
func drawEvents(t *rapid.T) []Event {
	one := rapid.Custom(func(t *rapid.T) Event {
		e := Event{
			Tick:   Tick(rapid.IntRange(0, 3).Draw(t, "tick")),
			Port:   Port(rapid.SampledFrom([]int{0, 0, 0, 1}).Draw(t, "port")),
			Status: rapid.SampledFrom([]uint8{0x80, 0x81, 0x81, 0x90, 0x91, 0x91, 0x9E, 0xB0, 0xB0, 0xB1, 0xBF, 0xE0, 0xC0, 0xA0, 0xD0}).Draw(t, "status"),
			Data1:  rapid.SampledFrom([]uint8{60, 60, 60, 61, 62}).Draw(t, "data 1"),
			Data2:  uint8(rapid.IntRange(0, 2).Draw(t, "data 2")),
		}
		if e.Kind() == ControlChange && rapid.Bool().Draw(t, "mode") {
			e.Data1 = uint8(rapid.IntRange(119, 127).Draw(t, "mode message, or nearly"))
		}
		return e
	})
	events := rapid.SliceOfN(one, 0, 40).Draw(t, "events")
	for range rapid.IntRange(0, 2).Draw(t, "zones set") {
		e := Event{Tick: Tick(rapid.IntRange(0, 3).Draw(t, "tick")), Status: rapid.SampledFrom([]uint8{0xB0, 0xBF, 0xB1}).Draw(t, "manager")}
		members := rapid.SampledFrom([]uint8{0, 1, 2, 14, 15, 16}).Draw(t, "members")
		for _, c := range [][2]uint8{{101, 0}, {100, 6}, {6, members}} {
			e.Data1, e.Data2 = c[0], c[1]
			events = append(events, e)
		}
	}
	slices.SortStableFunc(events, func(a, b Event) int { return int(a.Tick - b.Tick) })
	return events
}

func drawZones(t *rapid.T) []Zone {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Zone {
		return Zone{AnyPort: rapid.Bool().Draw(t, "any port"), Port: Port(rapid.IntRange(0, 1).Draw(t, "port of the zone")),
			Upper: rapid.Bool().Draw(t, "upper"), Members: rapid.IntRange(1, 15).Draw(t, "members")}
	}), 0, 2).Draw(t, "zones")
}

// A song takes microseconds and few meet the rarer turns: each check draws ten.
func TestStepLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			stepLaws(t)
		}
	})
}

func stepLaws(t *rapid.T) {
	song := &Song{Events: drawEvents(t)}
	order := Order{
		File:  rapid.Bool().Draw(t, "file"),
		Chord: ChordOrder(rapid.IntRange(0, 2).Draw(t, "chord")),
	}
	zones := drawZones(t)
	steps := song.Steps(order, zones...)
	require.Equal(t, plainSteps(song.Events, order, zones), steps)
	for i, s := range steps[min(1, len(steps)):] {
		require.LessOrEqual(t, steps[i].At, s.At)
	}
	require.Equal(t, steps, song.Steps(order, zones...), "the same input gives the same steps")

	// In whatever order, they are the same steps, but for which notes have no
	// length: in the order of the file a mode message ends what begins before it
	// at its own instant.
	inFile := song.Steps(Order{File: true}, zones...)
	require.ElementsMatch(t, stepTexts(withoutZero(inFile)), stepTexts(withoutZero(steps)))
}

func withoutZero(steps []Step) []Step {
	steps = slices.Clone(steps)
	for i := range steps {
		steps[i].Zero = false
	}
	return steps
}

// plainMembers counts the members of each zone, the lower one first, behind so
// many events: of what a port begins with and what RPN 6, written out as three
// events in a row, says after that the last word on each channel counts.
func plainMembers(events []Event, port Port, zones []Zone) (members [2]int) {
	type setting struct{ upper, members int }
	var settings []setting
	for _, z := range zones {
		if z.AnyPort || z.Port == port {
			settings = append(settings, setting{map[bool]int{true: 1}[z.Upper], z.Members})
		}
	}
	for _, e := range events {
		manages := e.Status == 0xB0 || e.Status == 0xBF
		if manages && e.Port == port && e.Data1 == 6 && e.Data2 < 16 && len(zones) > 0 {
			settings = append(settings, setting{int(e.Channel()) / 15, int(e.Data2)})
		}
	}
	for _, s := range settings {
		members[s.upper] = s.members
		if other := &members[1-s.upper]; s.members > 0 && *other+s.members > 14 {
			*other = max(0, 14-s.members)
		}
	}
	return members
}

// reaches tells whether a mode message is for a channel: its own, or that of a
// member where it is sent to the manager.
func reaches(mode Event, c Channel, members [2]int) bool {
	at := mode.Channel()
	return at == c || at == 0 && int(c) <= members[0] || at == 15 && 15-int(c) <= members[1]
}

// plainSteps is the order of TestStepOrder in the plainest way, for ticks of a
// millisecond and events without parameters but RPN 6, selected and entered in a
// row.
func plainSteps(events []Event, o Order, zones []Zone) []Step {
	same := func(a, b Event) bool {
		return a.Port == b.Port && a.Channel() == b.Channel() && a.Data1 == b.Data1
	}
	other := map[int]int{} // ends and beginnings of notes without length
	ended := map[int]bool{}
	for i, off := range events {
		for j := range i { // a mode message ends what acts before it
			e, begun := events[i], events[j]
			if !slices.Contains(modeMessages, e.Data1) || e.Kind() != ControlChange || !isOn(begun) || ended[j] || begun.Port != e.Port {
				continue
			}
			if !reaches(e, begun.Channel(), plainMembers(events[:i], e.Port, zones)) {
				continue
			}
			if before := begun.Tick < e.Tick; before || o.File {
				ended[j] = true
				if !before {
					other[j] = i
				}
			}
		}
		for pass := 0; isOff(off) && pass < 2; pass++ { // begun before the instant, then at it
			for j := i - 1; j >= 0 && !ended[i]; j-- {
				before := events[j].Tick < off.Tick
				if isOn(events[j]) && same(events[j], off) && !ended[j] && before == (pass == 0) {
					ended[i], ended[j] = true, true
					if !before {
						other[i], other[j] = j, i
					}
				}
			}
		}
	}
	steps := []Step{}
	emit := func(i int) {
		one := Song{Events: []Event{events[i]}}
		if e := events[i]; e.Kind() == ControlChange && e.Data1 == 6 { // RPN 6 is selected
			one.Events = append([]Event{{Tick: e.Tick, Status: e.Status, Data1: 101}, {Tick: e.Tick, Status: e.Status, Data1: 100, Data2: 6}}, e)
		}
		if _, zero := other[i]; len(one.Steps(Order{})) > 0 {
			s := one.Steps(Order{})[0]
			s.Zero = zero
			steps = append(steps, s)
		}
	}
	for first := 0; first < len(events); {
		last := first
		var ons []int
		for ; last < len(events) && events[last].Tick == events[first].Tick; last++ {
			switch _, zero := other[last]; {
			case o.File:
				emit(last)
			case isOn(events[last]):
				ons = append(ons, last)
			case !zero:
				emit(last)
			}
		}
		first = last
		for _, i := range plainChord(ons, events, o.Chord) {
			emit(i)
			if off, zero := other[i]; zero {
				emit(off)
			}
		}
	}
	return steps
}

// plainChord picks the next note of a chord again and again.
func plainChord(ons []int, events []Event, o ChordOrder) []int {
	if o == ChordAsFiled {
		return ons
	}
	ordered := []int{}
	for high := false; len(ordered) < len(ons); high = !high && o == ChordOuter {
		var keys []uint8
		for _, i := range ons {
			if !slices.Contains(ordered, i) {
				keys = append(keys, events[i].Data1)
			}
		}
		key := slices.Min(keys)
		if high {
			key = slices.Max(keys)
		}
		for _, i := range ons {
			if events[i].Data1 == key {
				ordered = append(ordered, i)
			}
		}
	}
	return ordered
}
