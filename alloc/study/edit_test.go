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
		{"to the first of two that begin", Edit{Trim: 80 * ms}, "0 on 60, 500 on 62, 520 on 64, 560 off 60, 900 off 62, 900 off 64",
			"0 on 60, 500 off 60, 500 on 62, 520 on 64, 900 off 62, 900 off 64", false},
		{"ends go before all that begins", Edit{Trim: 80 * ms}, "0 on 60, 500 off 50, 500 on 62, 500 on 64, 560 off 60, 900 off 62, 900 off 64",
			"0 on 60, 500 off 50, 500 off 60, 500 on 62, 500 on 64, 900 off 62, 900 off 64", false},
		{"pedal", Edit{Lift: 250 * ms}, "0 down, 100 on 60, 500 off 60, 900 up", "0 down, 100 on 60, 500 off 60, 650 up", false},
		{"not before its press", Edit{Lift: time.Second}, "300 down, 400 on 60, 500 off 60, 900 up", "300 down, 300 up, 400 on 60, 500 off 60", false},
		{"each release", Edit{Lift: 100 * ms}, "0 down, 400 up, 400 down, 500 on 60, 800 up, 900 off 60",
			"0 down, 300 up, 400 down, 500 on 60, 700 up, 900 off 60", false},
		{"before what begins there", Edit{Lift: 400 * ms}, "0 down, 500 on 60, 900 up, 950 off 60", "0 down, 500 up, 500 on 60, 950 off 60", false},
		{"no press", Edit{Lift: time.Second}, "500 on 60, 900 up, 950 off 60", "", true},
		{"octaves", Edit{DropDoubles: true}, "0 on 36, 0 on 48, 0 on 55, 0 on 60, 0 on 64, 9 off 36, 9 off 48, 9 off 55, 9 off 60, 9 off 64",
			"0 on 36, 0 on 55, 0 on 64, 9 off 36, 9 off 55, 9 off 64", false},
		{"the top stays", Edit{DropDoubles: true}, "0 on 48, 0 on 60, 9 off 48, 9 off 60", "", true},
		{"one after the other", Edit{DropDoubles: true}, "0 on 48, 1 on 60, 2 on 72, 9 off 48, 9 off 60, 9 off 72", "", true},
		// What a mode message has ended has no off of its own any more.
		{"a mode message, legato", Edit{Trim: 80 * ms}, "0 on 60, 400 cc123, 450 on 62, 460 on 60, 500 off 60, 900 off 62", "", true},
		{"sound off, octaves", Edit{DropDoubles: true}, "0 on 48, 0 on 60, 0 on 72, 5 cc120, 6 on 48, 6 on 60, 6 on 72, 9 off 48, 9 off 60, 9 off 72",
			"0 on 48, 0 on 60, 0 on 72, 5 cc120, 6 on 48, 6 on 72, 9 off 48, 9 off 72", false},
		{"nothing", Edit{}, "0 on 60, 500 on 62, 560 off 60, 900 off 62", "", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			steps := stepsOf(t, c.song)
			before := slices.Clone(steps)
			got := c.edit.Apply(Performance{Steps: steps, End: time.Second}, anyPart())
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
		got := all.Apply(Performance{Steps: stepsOf(t, song)}, part)
		require.Equal(t, c.want, textOf(got.Steps), c.name)
	}
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
			DropDoubles: rapid.Bool().Draw(t, "doubles")}
		got := e.Apply(Performance{Steps: steps}, anyPart()).Steps
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
