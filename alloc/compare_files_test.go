package alloc_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/internal/slow"
	"choirloft/midi"
)

// From the events of a file on: a mode message between two notes of a key lets
// neither the order nor the gates count the first any more, whether its own off
// is missing, late or there twice. Worked by hand, a millisecond a tick; the
// second note begins and ends at 20, so it has the minimum gate of 5 ms.
func TestModeMessagesFromTheFile(t *testing.T) {
	for _, controller := range []uint8{120, 123, 124, 125, 126, 127} {
		t.Run(fmt.Sprint(controller), func(t *testing.T) { modeMessageFromTheFile(t, plainRig(), controller, 0, 0) })
	}
}

// The same where the notes are a member's of a zone and the message is for its
// manager (M1-100-UM): of the lower zone, and of the upper one.
func TestModeMessagesToAManagerFromTheFile(t *testing.T) {
	for _, controller := range []uint8{120, 123, 124, 125, 126, 127} {
		cfg := plainRig()
		cfg.Parts[0].Sources, cfg.Parts[0].Zones = nil, []midi.Zone{{AnyPort: true, Members: 3}}
		t.Run(fmt.Sprint(controller, " lower"), func(t *testing.T) { modeMessageFromTheFile(t, cfg, controller, 3, 0) })
		cfg.Parts[0].Zones = []midi.Zone{{AnyPort: true, Upper: true, Members: 3}}
		t.Run(fmt.Sprint(controller, " upper"), func(t *testing.T) { modeMessageFromTheFile(t, cfg, controller, 12, 15) })
	}
}

// modeMessageFromTheFile plays the songs of one channel with a message to another
// or the same.
func modeMessageFromTheFile(t *testing.T, cfg alloc.Config, controller, channel, manager uint8) {
	key := func(tick midi.Tick, velocity uint8) midi.Event {
		return midi.Event{Tick: tick, Status: 0x90 | channel, Data1: 60, Data2: velocity}
	}
	mode := midi.Event{Tick: 10, Status: 0xB0 | manager, Data1: controller}
	elsewhere := midi.Event{Tick: 10, Status: 0xB7, Data1: controller}
	for _, row := range []struct {
		name   string
		events []midi.Event
		ends   []time.Duration // in milliseconds, by note
		stuck  []bool
	}{
		{"the off is missing", []midi.Event{key(0, 1), mode, key(20, 1), key(20, 0)}, []time.Duration{10, 25}, []bool{false, false}},
		{"pressed twice", []midi.Event{key(0, 1), key(5, 1), mode, key(20, 1), key(20, 0)}, []time.Duration{5, 10, 25}, []bool{false, false, false}},
		{"the off is late", []midi.Event{key(0, 1), mode, key(20, 1), key(20, 0), key(30, 0)}, []time.Duration{10, 25}, []bool{false, false}},
		{"the off is early", []midi.Event{key(0, 1), key(5, 0), mode, key(20, 1), key(20, 0)}, []time.Duration{5, 25}, []bool{false, false}},
		{"the late off stands in front", []midi.Event{key(0, 1), mode, key(20, 0), key(20, 1), key(30, 0)}, []time.Duration{10, 30}, []bool{false, false}},
		{"the late off is all there is", []midi.Event{key(0, 1), mode, key(20, 0), key(20, 1)}, []time.Duration{10, 100}, []bool{false, true}},
		{"another channel's", []midi.Event{key(0, 1), elsewhere, key(20, 1), key(20, 0)}, []time.Duration{20, 100}, []bool{false, true}},
	} {
		song := midi.Song{Events: row.events, Tempo: midi.NewTempoMap(midi.Division{Ticks: 500}, nil)}
		p := performance{song.Steps(midi.Order{}, alloc.ZonesOf(cfg.Parts)...), 100 * time.Millisecond}
		notes := notesOf(cfg, p)
		require.Equal(t, slow.Reference(cfg, p.steps, p.end), notes, row.name)
		for i, n := range notes.Notes {
			require.Equal(t, row.ends[i]*time.Millisecond, n.End, "%s: note %d", row.name, i)
			require.Equal(t, row.stuck[i], n.Stuck, "%s: note %d", row.name, i)
		}
		require.Len(t, notes.Notes, len(row.ends), row.name)
	}
}

// A latch that a note took over ends when sostenuto goes up; the pedal of a zone that
// its channel joins later latches nothing. Worked by
// hand, a millisecond a tick. The key is struck again at 10 under the pedal of its
// manager, which goes up at 20; there the upper zone, whose pedal is down, takes its
// channel (RPN 6, M1-100-UM). So its off at 30 ends it, in a poly and in a mono part.
func TestLatchIsOfItsPress(t *testing.T) {
	control := func(tick midi.Tick, channel, number, value uint8) midi.Event {
		return midi.Event{Tick: tick, Status: 0xB0 | channel, Data1: number, Data2: value}
	}
	key := func(tick midi.Tick, velocity uint8) midi.Event {
		return midi.Event{Tick: tick, Status: 0x91, Data1: 60, Data2: velocity}
	}
	song := midi.Song{Tempo: midi.NewTempoMap(midi.Division{Ticks: 500}, nil), Events: []midi.Event{
		key(0, 1), control(0, 15, 66, 127), control(10, 0, 66, 127), key(10, 1), control(20, 0, 66, 0),
		control(20, 15, 101, 0), control(20, 15, 100, 6), control(20, 15, 6, 14), key(30, 0)}}
	for _, mode := range []alloc.Mode{alloc.Poly, alloc.MonoLast} {
		cfg := plainRig()
		cfg.Parts[0].Mode, cfg.Parts[0].SameKey = mode, alloc.RetriggerFirstOff
		cfg.Parts[0].Sources, cfg.Parts[0].Zones = nil, []midi.Zone{{AnyPort: true, Members: 1}}
		p := performance{song.Steps(midi.Order{}, alloc.ZonesOf(cfg.Parts)...), 100 * time.Millisecond}
		notes := notesOf(cfg, p)
		require.Equal(t, slow.Reference(cfg, p.steps, p.end), notes)
		require.Len(t, notes.Notes, 2)
		require.Equal(t, []time.Duration{10 * time.Millisecond, 30 * time.Millisecond}, []time.Duration{notes.Notes[0].End, notes.Notes[1].End}, mode)
	}
}

// A channel that joins the upper zone gets the sustain that its manager, channel 16,
// has down (RPN 6, M1-100-UM): the key let go at 20 sounds until that goes up at 40.
func TestPedalOfTheUpperZone(t *testing.T) {
	control := func(tick midi.Tick, number, value uint8) midi.Event {
		return midi.Event{Tick: tick, Status: 0xBF, Data1: number, Data2: value}
	}
	key := func(tick midi.Tick, velocity uint8) midi.Event {
		return midi.Event{Tick: tick, Status: 0x91, Data1: 60, Data2: velocity}
	}
	song := midi.Song{Tempo: midi.NewTempoMap(midi.Division{Ticks: 500}, nil), Events: []midi.Event{
		key(0, 1), control(5, 64, 127), control(10, 101, 0), control(10, 100, 6), control(10, 6, 14), key(20, 0), control(40, 64, 0)}}
	cfg := plainRig()
	cfg.Parts[0].Sources, cfg.Parts[0].Zones = nil, []midi.Zone{{AnyPort: true, Members: 1}, {AnyPort: true, Upper: true, Members: 13}}
	p := performance{song.Steps(midi.Order{}, alloc.ZonesOf(cfg.Parts)...), 100 * time.Millisecond}
	notes := notesOf(cfg, p)
	require.Equal(t, slow.Reference(cfg, p.steps, p.end), notes)
	require.Len(t, notes.Notes, 1)
	require.Equal(t, 40*time.Millisecond, notes.Notes[0].End)
}

// plainRig is a rig of one part, without pedals or tails to speak of.
func plainRig() alloc.Config {
	return alloc.Config{MinGate: 5 * time.Millisecond, FreeDB: -60,
		Voices: make([]alloc.Voice, 2),
		Parts: []alloc.Part{{Sources: []alloc.Source{{AnyPort: true, Channels: 0xFFFF}}, Keys: alloc.KeyRange{High: 127},
			Velocities: [2]uint8{1, 127}, Banks: []int{0}, BendRange: 2, Priority: 1}}}
}

// The engine and the slow reference also agree from the events of a file on:
// few keys and instants, many mode messages, offs that are missing or too many.
func TestFilesLikeTheSlowReference(t *testing.T) {
	var c comparison
	stuck, zero, modes, managed := 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		cfg := drawConfig(t)
		if rapid.Bool().Draw(t, "zones") {
			drawZones(t, &cfg, &cfg.Parts[0])
		}
		for range 8 {
			order := midi.Order{File: rapid.Bool().Draw(t, "file order")}
			p := performance{drawFile(t).Steps(order, alloc.ZonesOf(cfg.Parts)...), 100 * time.Millisecond}
			notes := notesOf(cfg, p)
			require.Equal(t, slow.Reference(cfg, p.steps, p.end), notes)
			c.same(t, cfg, p)
			for _, n := range notes.Notes {
				stuck, zero = stuck+count(n.Stuck), zero+count(n.Zero)
			}
			for _, s := range p.steps {
				mode := s.Kind == midi.StepNotesOff || s.Kind == midi.StepSoundOff
				modes, managed = modes+count(mode), managed+count(mode && len(cfg.Parts[0].Zones) > 0 && s.Channel%15 == 0)
			}
		}
	})
	c.done(t)
	for what, n := range map[string]int{"stuck notes": stuck, "notes without length": zero, "mode messages": modes,
		"mode messages to managers": managed} {
		require.GreaterOrEqual(t, n, 30, what)
	}
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

func drawFile(t *rapid.T) *midi.Song {
	one := rapid.Custom(func(t *rapid.T) midi.Event {
		e := midi.Event{Tick: midi.Tick(rapid.IntRange(0, 6).Draw(t, "tick") * 10), Data1: uint8(rapid.IntRange(60, 61).Draw(t, "key")),
			Status: rapid.SampledFrom([]uint8{0x80, 0x81, 0x90, 0x90, 0x91, 0x91, 0x9E, 0xB0, 0xB0, 0xBF}).Draw(t, "status"), Data2: uint8(rapid.IntRange(0, 127).Draw(t, "value"))}
		if e.Kind() == midi.ControlChange {
			e.Data1 = rapid.SampledFrom([]uint8{64, 66, 120, 121, 123, 123, 124, 125, 126, 127}).Draw(t, "controller")
		}
		return e
	})
	events := rapid.SliceOfN(one, 1, 30).Draw(t, "events")
	slices.SortStableFunc(events, func(a, b midi.Event) int { return int(a.Tick - b.Tick) })
	return &midi.Song{Events: events, Tempo: midi.NewTempoMap(midi.Division{Ticks: 500}, nil)}
}
