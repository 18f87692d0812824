package study

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/midi"
)

// stepsOf reads steps such as "100 on 60", "300 off 60", "0 down" and "900 up",
// times in milliseconds, in the order in which they act.
func stepsOf(t require.TestingT, text string) []midi.Step {
	var steps []midi.Step
	for _, word := range strings.Split(text, ", ") {
		var at int
		var what string
		s := midi.Step{Value: 100}
		n, _ := fmt.Sscanf(word, "%d %s %d", &at, &what, &s.Key)
		require.GreaterOrEqual(t, n, 2, word)
		s.At, s.Tick = time.Duration(at)*ms, midi.Tick(at)
		switch what {
		case "on":
			s.Kind = midi.StepNoteOn
		case "off":
			s.Kind = midi.StepNoteOff
		case "down":
			s.Kind, s.Value = midi.StepSustain, 127
		case "cc120":
			s.Kind = midi.StepSoundOff
		case "cc123":
			s.Kind = midi.StepNotesOff
		case "up":
			s.Kind, s.Value = midi.StepSustain, 0
		}
		steps = append(steps, s)
	}
	return steps
}

func textOf(steps []midi.Step) string {
	var words []string
	for _, s := range steps {
		word := fmt.Sprintf("%d ", s.At/ms)
		switch {
		case s.Kind == midi.StepNoteOn:
			word += fmt.Sprintf("on %d", s.Key)
		case s.Kind == midi.StepNoteOff:
			word += fmt.Sprintf("off %d", s.Key)
		case s.Kind == midi.StepSoundOff:
			word += "cc120"
		case s.Kind == midi.StepNotesOff:
			word += "cc123"
		case s.Down():
			word += "down"
		default:
			word += "up"
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}

func anyPart() *alloc.Part {
	return &alloc.Part{Sources: []alloc.Source{{AnyPort: true, Channels: 0xFFFF}}, Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127}}
}

// Each row by hand from what [Edit] says.
func TestEdits(t *testing.T) {
	for _, c := range []struct {
		name      string
		edit      Edit
		song      string
		want      string
		unchanged bool
	}{
		{"legato", Edit{Trim: 80 * ms}, "0 on 60, 500 on 62, 560 off 60, 900 off 62", "0 on 60, 500 off 60, 500 on 62, 900 off 62", false},
		{"just as long as is trimmed", Edit{Trim: 60 * ms}, "0 on 60, 500 on 62, 560 off 60, 900 off 62", "0 on 60, 500 off 60, 500 on 62, 900 off 62", false},
		{"longer than that", Edit{Trim: 59 * ms}, "0 on 60, 500 on 62, 560 off 60, 900 off 62", "", true},
		{"the same key again", Edit{Trim: 80 * ms}, "0 on 60, 500 on 60, 560 off 60, 900 off 60", "0 on 60, 500 off 60, 500 on 60, 900 off 60", false},
		{"a chord is no overlap", Edit{Trim: 80 * ms}, "0 on 60, 0 on 64, 50 off 60, 50 off 64", "", true},
		{"an end as the next begins is no overlap", Edit{Trim: 80 * ms}, "0 on 60, 500 off 60, 500 down, 500 on 62, 900 off 62", "", true},
		{"to the first of two that begin", Edit{Trim: 80 * ms}, "0 on 60, 500 on 62, 520 on 64, 560 off 60, 900 off 62, 900 off 64",
			"0 on 60, 500 off 60, 500 on 62, 520 on 64, 900 off 62, 900 off 64", false},
		{"ends go before all that begins", Edit{Trim: 80 * ms}, "0 on 60, 500 off 50, 500 on 62, 500 on 64, 560 off 60, 900 off 62, 900 off 64",
			"0 on 60, 500 off 50, 500 off 60, 500 on 62, 500 on 64, 900 off 62, 900 off 64", false},
		{"pedal", Edit{Lift: 250 * ms}, "0 down, 100 on 60, 500 off 60, 900 up", "0 down, 100 on 60, 500 off 60, 650 up", false},
		{"not before its press", Edit{Lift: time.Second}, "300 down, 400 on 60, 500 off 60, 900 up", "300 down, 300 up, 400 on 60, 500 off 60", false},
		{"not before a press behind a note", Edit{Lift: time.Second}, "300 on 60, 300 down, 500 off 60, 900 up", "300 on 60, 300 down, 300 up, 500 off 60", false},
		{"each release", Edit{Lift: 100 * ms}, "0 down, 400 up, 400 down, 500 on 60, 800 up, 900 off 60",
			"0 down, 300 up, 400 down, 500 on 60, 700 up, 900 off 60", false},
		{"not before its own press", Edit{Lift: 100 * ms}, "0 down, 400 up, 450 down, 460 on 60, 500 up, 900 off 60",
			"0 down, 300 up, 450 down, 450 up, 460 on 60, 900 off 60", false},
		{"before what begins there", Edit{Lift: 400 * ms}, "0 down, 500 on 60, 900 up, 950 off 60", "0 down, 500 up, 500 on 60, 950 off 60", false},
		{"no press, and up again", Edit{Lift: time.Second}, "500 on 60, 800 up, 900 up, 950 off 60", "", true},
		{"a press again is none", Edit{Lift: time.Second}, "0 down, 100 on 60, 300 down, 500 off 60, 900 up", "0 down, 0 up, 100 on 60, 300 down, 500 off 60", false},
		{"no press", Edit{Lift: time.Second}, "500 on 60, 900 up, 950 off 60", "", true},
		{"shorter", Edit{Shorten: 100 * ms}, "0 on 60, 500 on 62, 560 off 60, 700 off 62", "0 on 60, 460 off 60, 500 on 62, 600 off 62", false},
		{"to half its length at most", Edit{Shorten: 100 * ms}, "0 on 60, 100 on 62, 150 off 60, 202 off 62", "0 on 60, 75 off 60, 100 on 62, 151 off 62", false},
		{"before what begins there", Edit{Shorten: 60 * ms}, "0 on 60, 500 on 62, 560 off 60, 900 off 62", "0 on 60, 500 off 60, 500 on 62, 840 off 62", false},
		{"the same key, each as much", Edit{Shorten: 100 * ms}, "0 on 60, 300 on 60, 400 off 60, 800 off 60", "0 on 60, 300 off 60, 300 on 60, 700 off 60", false},
		{"no length", Edit{Shorten: 100 * ms}, "0 on 60, 0 off 60, 5 on 62, 9 off 62", "0 on 60, 0 off 60, 5 on 62, 7 off 62", false},
		{"octaves", Edit{DropDoubles: true}, "0 on 36, 0 on 48, 0 on 55, 0 on 60, 0 on 64, 9 off 36, 9 off 48, 9 off 55, 9 off 60, 9 off 64",
			"0 on 36, 0 on 55, 0 on 64, 9 off 36, 9 off 55, 9 off 64", false},
		{"the top stays", Edit{DropDoubles: true}, "0 on 48, 0 on 60, 9 off 48, 9 off 60", "", true},
		{"one after the other", Edit{DropDoubles: true}, "0 on 48, 1 on 60, 2 on 72, 9 off 48, 9 off 60, 9 off 72", "", true},
		{"one before two", Edit{DropDoubles: true}, "0 on 48, 1 on 60, 1 on 72, 9 off 48, 9 off 60, 9 off 72", "", true},
		{"octaves of D", Edit{DropDoubles: true}, "0 on 50, 0 on 62, 0 on 65, 9 off 50, 9 off 62, 9 off 65", "0 on 50, 0 on 65, 9 off 50, 9 off 65", false},
		// What a mode message has ended has no off of its own any more.
		{"a mode message, legato", Edit{Trim: 80 * ms}, "0 on 60, 400 cc123, 450 on 62, 460 on 60, 500 off 60, 900 off 62", "", true},
		{"sound off, octaves", Edit{DropDoubles: true}, "0 on 48, 0 on 60, 0 on 72, 5 cc120, 6 on 48, 6 on 60, 6 on 72, 9 off 48, 9 off 60, 9 off 72",
			"0 on 48, 0 on 60, 0 on 72, 5 cc120, 6 on 48, 6 on 72, 9 off 48, 9 off 72", false},
		{"no lift", Edit{Trim: 80 * ms}, "0 down, 500 on 60, 500 up, 900 off 60", "", true},
		{"nothing", Edit{}, "0 down, 0 on 60, 500 on 62, 500 off 60, 500 up, 900 off 62", "", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			steps := stepsOf(t, c.song)
			before := slices.Clone(steps)
			got := c.edit.Apply(Performance{Steps: steps, End: time.Second}, []alloc.Part{*anyPart()}, 0)
			want := c.want
			if c.unchanged {
				want = c.song
			}
			require.Equal(t, want, textOf(got.Steps))
			require.Equal(t, before, steps, "what was given stays")
			require.Equal(t, time.Second, got.End)
		})
	}
}

// TestEditsWhereVoicesAreShort: two voices; keys and pedal want three from 2000 to 2500 ms, so
// that of two pedals only the second comes up earlier, and of two overlaps only one is trimmed.
func TestEditsWhereVoicesAreShort(t *testing.T) {
	voice := alloc.Voice{Envelope: alloc.Envelope{Release: ms}}
	part := *anyPart()
	part.Banks = []int{0}
	rules := Rules{Config: alloc.Config{Voices: []alloc.Voice{voice, voice}, Parts: []alloc.Part{part}}}
	p := Performance{Steps: stepsOf(t, "0 on 60, 100 down, 200 off 60, 1000 up, 1100 on 62, 1150 off 62, 1200 down, 1300 on 64, 1400 off 64, "+
		"1500 on 65, 1600 off 65, 2000 on 67, 2500 up, 2600 off 67, 2700 on 60, 2900 on 62, 2960 off 60, 3100 off 62"), End: 4 * time.Second}
	short := ShortOf(rules, p, 0)
	require.Equal(t, []Interval{{2000 * ms, 2500 * ms}}, short)
	lift := Edit{Lift: 250 * ms, LiftShort: true, Short: short}
	require.Equal(t, strings.NewReplacer("2500 up", "2250 up").Replace(textOf(p.Steps)), textOf(lift.Apply(p, rules.Config.Parts, 0).Steps))
	lift.LiftShort = false
	require.Contains(t, textOf(lift.Apply(p, rules.Config.Parts, 0).Steps), "750 up")
	trim := Edit{Trim: 80 * ms, TrimShort: true, Short: short}
	require.Equal(t, textOf(p.Steps), textOf(trim.Apply(p, rules.Config.Parts, 0).Steps))
	trim.Short = []Interval{{2959 * ms, 2960 * ms}}
	require.Contains(t, textOf(trim.Apply(p, rules.Config.Parts, 0).Steps), "2900 off 60")
	trim.Short = []Interval{{2800 * ms, 2900 * ms}, {2960 * ms, 2970 * ms}} // half-open at both ends
	require.Equal(t, textOf(p.Steps), textOf(trim.Apply(p, rules.Config.Parts, 0).Steps))
}

// The least that there is lifts, shortens and trims; but of a note of one nanosecond half is all.
func TestLeastEdits(t *testing.T) {
	steps := stepsOf(t, "0 down, 100 on 60, 500 off 60, 900 up")
	got := Edit{Lift: 1, Shorten: 1}.Apply(Performance{Steps: steps}, []alloc.Part{*anyPart()}, 0)
	require.Equal(t, []time.Duration{500*ms - 1, 900*ms - 1}, []time.Duration{got.Steps[2].At, got.Steps[3].At})
	require.Equal(t, []midi.Tick{100, 100}, []midi.Tick{got.Steps[2].Tick, got.Steps[3].Tick}, "the tick before")
	steps[1].At, steps[2].At = 0, 1
	got = Edit{Shorten: time.Second}.Apply(Performance{Steps: steps}, []alloc.Part{*anyPart()}, 0)
	require.Equal(t, time.Duration(1), got.Steps[2].At)
	steps = stepsOf(t, "0 on 60, 500 on 62, 500 off 60, 900 off 62")
	steps[2].At++
	got = Edit{Trim: 1}.Apply(Performance{Steps: steps}, []alloc.Part{*anyPart()}, 0)
	require.Equal(t, "0 on 60, 500 off 60, 500 on 62, 900 off 62", textOf(got.Steps))
	steps = stepsOf(t, "0 on 60, 0 on 62, 0 off 60, 900 off 62") // 62 begins a nanosecond after 60
	steps[1].At, steps[2].At = 1, 2
	got = Edit{Trim: ms}.Apply(Performance{Steps: steps}, []alloc.Part{*anyPart()}, 0)
	require.Equal(t, "0 on 60, 0 off 60, 0 on 62, 900 off 62", textOf(got.Steps))
}

// What is trimmed ends before all that begins at that instant, another part's notes too.
func TestTrimBeforeNotesOfOthers(t *testing.T) {
	high := *anyPart()
	high.Keys.Low = 61
	got := Edit{Trim: 80 * ms}.Apply(Performance{Steps: stepsOf(t, "0 on 62, 500 on 40, 500 on 64, 560 off 62, 900 off 64")}, []alloc.Part{high}, 0)
	require.Equal(t, "0 on 62, 500 off 62, 500 on 40, 500 on 64, 900 off 64", textOf(got.Steps))
}

func TestIsZero(t *testing.T) {
	require.True(t, Edit{}.IsZero())
	for _, e := range []Edit{{Trim: 1}, {Lift: 1}, {DropDoubles: true}} {
		require.False(t, e.IsZero(), "%+v", e)
	}
}

// What a part does not hear is left alone.
func TestEditsOfAPart(t *testing.T) {
	song := "0 on 60, 0 down, 500 on 62, 560 off 60, 800 up, 900 off 62"
	all := Edit{Trim: 80 * ms, Lift: 100 * ms, DropDoubles: true}
	for _, c := range []struct {
		name   string
		change func(*alloc.Part)
		want   string
	}{
		{"channel", func(p *alloc.Part) { p.Sources = []alloc.Source{{AnyPort: true, Channels: 1 << 3}} }, song},
		{"port", func(p *alloc.Part) { p.Sources = []alloc.Source{{Port: 1, Channels: 1}} }, song},
		{"keys", func(p *alloc.Part) { p.Keys.High = 61 }, "0 on 60, 0 down, 500 on 62, 560 off 60, 700 up, 900 off 62"},
		{"velocities", func(p *alloc.Part) { p.Velocities[1] = 99 }, "0 on 60, 0 down, 500 on 62, 560 off 60, 700 up, 900 off 62"},
		{"zone", func(p *alloc.Part) { p.Sources, p.Zones = nil, []midi.Zone{{AnyPort: true, Members: 3}} },
			"0 on 60, 0 down, 500 off 60, 500 on 62, 700 up, 900 off 62"},
		{"other zone", func(p *alloc.Part) { p.Sources, p.Zones = nil, []midi.Zone{{AnyPort: true, Upper: true, Members: 14}} }, song},
	} {
		part := anyPart()
		c.change(part)
		got := all.Apply(Performance{Steps: stepsOf(t, song)}, []alloc.Part{*part}, 0)
		require.Equal(t, c.want, textOf(got.Steps), c.name)
	}
}

// Notes on channel 3 or 2, all else on channel 1, the manager of the lower zone. Where
// it has that as a member, what a mode message to it has ended has no off of
// its own any more (M1-100-UM); elsewhere the off at 500 ends the first note.
func TestEditsInZones(t *testing.T) {
	const mode = "0 on 60, 400 cc123, 450 on 62, 460 on 60, 500 off 60, 900 off 62"
	const trimmed = "0 on 60, 400 cc123, 450 off 60, 450 on 62, 460 on 60, 900 off 62"
	const legato, detached = "500 on 60, 600 on 62, 650 off 60, 900 off 62", "500 on 60, 600 off 60, 600 on 62, 900 off 62"
	zone := func(members int) []midi.Zone { return []midi.Zone{{AnyPort: true, Members: members}} }
	for _, c := range []struct {
		name       string
		channel    midi.Channel
		zones      []midi.Zone // of the part; none for all channels
		other      []midi.Zone // of another part
		set        int         // members that RPN 6 sets at the start; below 0 none
		song, want string
	}{
		{"no zones", 2, nil, nil, -1, mode, trimmed},
		{"the first member", 1, zone(1), nil, -1, mode, mode},
		{"a member", 2, zone(2), nil, -1, mode, mode},
		{"of another part's zone", 2, nil, zone(2), -1, mode, mode},
		{"of a larger zone since", 2, zone(1), nil, 2, mode, mode},
		{"no zones, whatever the song says", 2, nil, nil, 2, mode, trimmed},
		{"a zone of another part, smaller since", 2, nil, zone(2), 1, mode, trimmed},
		{"heard", 2, zone(2), nil, -1, legato, detached},
		{"not heard", 2, zone(1), nil, -1, legato, legato},
		{"heard since", 2, zone(1), nil, 2, legato, detached},
		{"not heard any more", 2, zone(2), nil, 1, legato, legato},
	} {
		steps := stepsOf(t, c.song)
		for i := range steps {
			if steps[i].Kind <= midi.StepNoteOff {
				steps[i].Channel = c.channel
			}
		}
		if c.set >= 0 {
			steps = slices.Insert(steps, 0, midi.Step{Kind: midi.StepZone, Value: uint16(c.set)})
		}
		parts := []alloc.Part{*anyPart(), *anyPart()}
		parts[0].Zones = c.other
		if parts[1].Zones = c.zones; c.zones != nil {
			parts[1].Sources = nil
		}
		got := Edit{Trim: 80 * ms}.Apply(Performance{Steps: steps}, parts, 1).Steps
		got = slices.DeleteFunc(got, func(s midi.Step) bool { return s.Kind == midi.StepZone })
		require.Equal(t, c.want, textOf(got), c.name)
	}
	// A pedal is heard on what is a member by then.
	pedal := slices.Insert(stepsOf(t, "0 down, 900 up"), 0, midi.Step{Kind: midi.StepZone, Value: 2})
	pedal[1].Channel, pedal[2].Channel = 2, 2
	member := *anyPart()
	member.Sources, member.Zones = nil, zone(1)
	require.Equal(t, 800*ms, Edit{Lift: 100 * ms}.Apply(Performance{Steps: pedal}, []alloc.Part{member}, 0).Steps[2].At)
	// A note that has begun hears its off, whatever becomes of its channel.
	steps := stepsOf(t, legato)
	for i := range steps {
		steps[i].Channel = 2
	}
	steps = slices.Insert(steps, 2, midi.Step{At: 600 * ms, Kind: midi.StepZone, Value: 1})
	parts := []alloc.Part{*anyPart()}
	parts[0].Sources, parts[0].Zones = nil, zone(2)
	got := Edit{Trim: 80 * ms}.Apply(Performance{Steps: steps}, parts, 0).Steps
	require.Equal(t, midi.StepNoteOff, got[1].Kind)
}

// Whatever is edited, steps stay in the order of time, and nothing is lost but
// what doubles: as many offs as ons, as many pedals as before.
func TestEditsKeepOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var steps []midi.Step
		at := time.Duration(0)
		for range rapid.IntRange(0, 40).Draw(t, "steps") {
			at += time.Duration(rapid.IntRange(0, 3).Draw(t, "wait")) * 20 * ms
			steps = append(steps, midi.Step{At: at, Tick: midi.Tick(at / ms), Value: uint16(rapid.SampledFrom([]int{1, 100}).Draw(t, "value")),
				Kind: rapid.SampledFrom([]midi.StepKind{midi.StepNoteOn, midi.StepNoteOff, midi.StepSustain}).Draw(t, "kind"),
				Key:  midi.Key(rapid.SampledFrom([]int{48, 55, 60, 72}).Draw(t, "key"))})
		}
		e := Edit{Trim: time.Duration(rapid.IntRange(0, 100).Draw(t, "trim")) * ms, Lift: time.Duration(rapid.IntRange(0, 100).Draw(t, "lift")) * ms,
			Shorten: time.Duration(rapid.IntRange(0, 100).Draw(t, "shorten")) * ms, DropDoubles: rapid.Bool().Draw(t, "doubles")}
		got := e.Apply(Performance{Steps: steps}, []alloc.Part{*anyPart()}, 0).Steps
		require.True(t, slices.IsSortedFunc(got, func(a, b midi.Step) int { return int(a.At - b.At) }))
		require.True(t, slices.IsSortedFunc(got, func(a, b midi.Step) int { return int(a.Tick - b.Tick) }))
		count := func(list []midi.Step, kind midi.StepKind) (n int) {
			for _, s := range list {
				if s.Kind == kind {
					n++
				}
			}
			return n
		}
		ons, offs := count(steps, midi.StepNoteOn)-count(got, midi.StepNoteOn), count(steps, midi.StepNoteOff)-count(got, midi.StepNoteOff)
		require.Equal(t, ons, offs)
		require.True(t, ons == 0 || e.DropDoubles)
		require.Equal(t, count(steps, midi.StepSustain), count(got, midi.StepSustain))
	})
}
