package alloc_test

import (
	"cmp"
	"fmt"
	"math"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/internal/slow"
	"choirloft/midi"
	"choirloft/midi/corpora"
)

// TestMain gives the tests the memory that the program has: they make many engines.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// performance is a song as an engine hears it.
type performance struct {
	steps []midi.Step
	end   time.Duration
}

// fast runs the engine under test over a performance.
func fast(t require.TestingT, cfg alloc.Config, p performance, future alloc.Future) []alloc.Decision {
	e, err := alloc.New(cfg)
	require.NoError(t, err)
	e.Foresee(future)
	var ds []alloc.Decision
	most := (len(p.steps)+1)*(8*len(cfg.Voices)+len(cfg.Parts)) + len(p.steps)*len(cfg.Parts)
	emit := func(d *alloc.Decision) {
		ds = append(ds, *d)
		// A step touches each voice a few times at most: CC121 on a manager bends,
		// releases, bends again and presses, and an elastic note takes it back.
		if len(ds) > most {
			require.Fail(t, "decisions without end")
		}
	}
	for _, s := range p.steps {
		e.Feed(&s, emit)
	}
	e.Finish(p.end, emit)
	return ds
}

// scripted is what an engine decides that plays from a script, by the parts without
// what no gate goes by.
func scripted(t require.TestingT, cfg alloc.Config, p performance, future alloc.Future) (ds []alloc.Decision) {
	parts := slices.Clone(cfg.Parts)
	for i := range parts {
		q := &parts[i]
		*q = alloc.Part{Sources: q.Sources, Zones: q.Zones, Keys: q.Keys, Velocities: q.Velocities, Transpose: q.Transpose,
			SameKey: q.SameKey, BendTails: q.BendTails, Mode: q.Mode, ReattackPress: q.ReattackPress, ReattackReturn: q.ReattackReturn, Pulse: q.Pulse}
	}
	_, script := alloc.Reference(parts, cfg.MinGate, p.steps, p.end, func(alloc.Gate) {})
	e, err := alloc.New(cfg)
	if err != nil || !script.Of(p.steps, p.end) {
		require.NoError(t, err)
		require.Fail(t, "the script is not of these steps")
	}
	e.Foresee(future)
	e.Play(script, func(d *alloc.Decision) { ds = append(ds, *d) })
	return ds
}

// likeDecision compares in words what is not equal, as no two NaN are.
func likeDecision(a, b alloc.Decision) bool { return a == b || fmt.Sprint(a) == fmt.Sprint(b) }

// comparison runs the engine beside the slow reference. Performances in which
// a decision hangs on the last bits of a level, which the two compute in
// another order, decide nothing: they are left out and counted.
type comparison struct{ runs, doubtful int }

// same reports the first decision in which the two differ. It returns the notes
// of the performance and what both decided, nothing if that is in doubt.
func (c *comparison) same(t require.TestingT, cfg alloc.Config, p performance) (slow.Notes, []alloc.Decision) {
	notes := slow.Reference(cfg, p.steps, p.end)
	future := notes.Future()
	ds, doubt := slow.Play(cfg, p.steps, p.end, future)
	c.runs++
	if doubt {
		c.doubtful++
		return notes, nil
	}
	fed := fast(t, cfg, p, future)
	if c.runs%corpora.Some(1, 8) == 0 { // of the many with CHOIRLOFT_CORPORA some
		if again := scripted(t, cfg, p, future); !slices.EqualFunc(fed, again, likeDecision) {
			require.Equal(t, fmt.Sprint(fed), fmt.Sprint(again), "fed and from a script, %v", input{cfg, p})
		}
	}
	want, got := canonical(ds), canonical(fed)
	if at := firstDifference(want, got); at >= 0 {
		require.Fail(t, "the engine and the slow reference decide differently", difference(cfg, p, want, got, at))
	}
	return notes, ds
}

// done fails when too much was left out: more than 3 in 100.
func (c *comparison) done(t *testing.T) {
	require.NotZero(t, c.runs)
	t.Logf("doubtful: %d of %d performances", c.doubtful, c.runs)
	require.LessOrEqual(t, c.doubtful, c.runs*3/100, "doubtful of %d performances", c.runs)
}

// firstDifference is the place of the first decision in which two streams
// differ; −1 if there is none.
func firstDifference(want, got []alloc.Decision) int {
	used := map[int32]bool{}
	for i := range max(len(want), len(got)) {
		if i >= len(want) || i >= len(got) || !sameDecision(want[i], got[i], used) {
			return i
		}
		used[want[i].Voice] = true
	}
	return -1
}

// canonical leaves bends and pressures out that change nothing on their voice,
// and puts what one instant bends in the order of notes and positions: where a
// manager's wheel moves several channels, no rule says whose comes first.
func canonical(ds []alloc.Decision) []alloc.Decision {
	kept := changes(ds)
	for i := 0; i < len(kept); {
		n := 1
		for i+n < len(kept) && kept[i].Kind == alloc.Bend && kept[i+n].Kind == alloc.Bend && kept[i].At == kept[i+n].At {
			n++
		}
		slices.SortStableFunc(kept[i:i+n], func(a, b alloc.Decision) int {
			return cmp.Or(cmp.Compare(a.Note, b.Note), cmp.Compare(a.Position, b.Position))
		})
		i += n
	}
	return kept
}

func changes(ds []alloc.Decision) []alloc.Decision {
	last := map[int32]alloc.Decision{}
	var kept []alloc.Decision
	for _, d := range ds {
		was := last[d.Voice]
		switch {
		case d.Kind == alloc.Bend && near(d.Pitch, was.Pitch, 1e-9) && near(d.Missed, was.Missed, 1e-7),
			d.Kind == alloc.Pressure && d.Pressure == was.Pressure:
			continue
		case d.Kind == alloc.Take || d.Kind == alloc.Reattack || d.Kind == alloc.Slide:
			was = d
		case d.Kind == alloc.Bend:
			was.Pitch, was.Missed = d.Pitch, d.Missed
		case d.Kind == alloc.Pressure:
			was.Pressure = d.Pressure
		}
		last[d.Voice] = was
		kept = append(kept, d)
	}
	return kept
}

// sameDecision compares what a decision of that kind says. Levels may differ
// by 1e-6 dB, pitches by 1e-9 semitones and cents by 1e-7, for what is
// computed in another order. used are the voices that have played: the others
// have no key that they last played.
func sameDecision(a, b alloc.Decision, used map[int32]bool) bool {
	same := a.At == b.At && a.Kind == b.Kind && a.Note == b.Note && a.Part == b.Part &&
		a.Voice == b.Voice && a.Key == b.Key
	samePitch := near(a.Pitch, b.Pitch, 1e-9) && near(a.Missed, b.Missed, 1e-7)
	sameCause := a.Velocity == b.Velocity && a.Cause == b.Cause && a.Outer == b.Outer
	switch a.Kind {
	case alloc.Take, alloc.Reattack, alloc.Slide:
		samePlace := a.Position == b.Position && a.Of == b.Of && a.CutLeft == b.CutLeft && a.Glide == b.Glide
		return same && sameCause && samePitch && samePlace && a.Pressure == b.Pressure && a.Was == b.Was &&
			a.Cut == b.Cut && (a.Cut == alloc.NoNote || a.CutPart == b.CutPart) &&
			(a.CutKey == b.CutKey || !used[a.Voice]) && sameLevel(a.CutDB, b.CutDB)
	case alloc.Drop, alloc.Defer:
		return same && sameCause && a.Cut == b.Cut
	case alloc.Bend:
		return same && samePitch
	case alloc.Pressure:
		return same && a.Pressure == b.Pressure
	}
	return same
}

func near(a, b, tolerance float64) bool { return a == b || math.Abs(a-b) <= tolerance }

// sameLevel holds everything below −120 dB for silence: a level of 0 is −Inf
// dB exactly, or about −313 where it is 1.3 − 1.3 with one rounding.
func sameLevel(a, b float64) bool { return near(a, b, 1e-6) || a < -120 && b < -120 }

// difference tells the story of the first difference.
func difference(cfg alloc.Config, p performance, want, got []alloc.Decision, at int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "decision %d\n", at)
	for i := max(0, at-4); i < at; i++ {
		fmt.Fprintf(&b, "      both  %s\n", decisionText(want[i]))
	}
	for i := at; i < at+3; i++ {
		if i < len(want) {
			fmt.Fprintf(&b, "      slow  %s\n", decisionText(want[i]))
		}
	}
	for i := at; i < at+3; i++ {
		if i < len(got) {
			fmt.Fprintf(&b, "    engine  %s\n", decisionText(got[i]))
		}
	}
	fmt.Fprint(&b, input{cfg, p})
	return b.String()
}

// input prints what a run was given. It goes into messages as a value, so that
// only those that are shown are worded.
type input struct {
	cfg alloc.Config
	p   performance
}

func (in input) String() string {
	cfg, p := in.cfg, in.p
	var b strings.Builder
	fmt.Fprintf(&b, "minimum gate %v, free %v dB\n", cfg.MinGate, cfg.FreeDB)
	for i, v := range cfg.Voices {
		fmt.Fprintf(&b, "voice %d: %+v\n", i, v)
	}
	for i, part := range cfg.Parts {
		fmt.Fprintf(&b, "part %d: pick %v (then %v) steal %v same key %v out of range %v %+v\n",
			i, part.Pick, part.Second, part.Steal, part.SameKey, part.OutOfRange, part)
	}
	for _, s := range p.steps {
		fmt.Fprintf(&b, "%v %s port %d channel %d key %d value %d\n", s.At, stepNames[s.Kind], uint8(s.Port), uint8(s.Channel), s.Key, s.Value)
	}
	fmt.Fprintf(&b, "%v end\n", p.end)
	return b.String()
}

var stepNames = [...]string{
	midi.StepNoteOn: "on", midi.StepNoteOff: "off", midi.StepSustain: "sustain", midi.StepSostenuto: "sostenuto",
	midi.StepNotesOff: "notes off", midi.StepSoundOff: "sound off", midi.StepReset: "reset", midi.StepBend: "bend",
	midi.StepBendRange: "bend range", midi.StepChannelPressure: "pressure", midi.StepKeyPressure: "key pressure",
	midi.StepControl: "control", midi.StepZone: "zone",
}

var decisionNames = [...]string{
	alloc.Take: "take", alloc.Reattack: "reattack", alloc.Drop: "drop", alloc.Hold: "hold",
	alloc.Release: "release", alloc.Slide: "slide", alloc.Bend: "bend", alloc.Pressure: "pressure",
	alloc.Defer: "defer",
}

func decisionText(d alloc.Decision) string {
	return fmt.Sprintf("%v %s note %d part %d voice %d (%d of %d) key %d cut %d (part %d key %d was %d %.6f dB left %d) glide %v cause %d outer %v pitch %.6f missed %.3f velocity %d pressure %d",
		d.At, decisionNames[d.Kind], d.Note, d.Part, d.Voice, d.Position, d.Of, d.Key, d.Cut, d.CutPart,
		d.CutKey, d.Was, d.CutDB, d.CutLeft, d.Glide, d.Cause, d.Outer, d.Pitch, d.Missed, d.Velocity, d.Pressure)
}

// A comparison that cannot fail is worth nothing: every field that is compared
// makes a difference.
func TestFirstDifference(t *testing.T) {
	take := alloc.Decision{Kind: alloc.Take, Cut: 3, CutPart: 1, Voice: 2, Key: 60, CutKey: 61, CutDB: -6}
	used := []alloc.Decision{{Kind: alloc.Release, Voice: 2}}
	for name, change := range map[string]func(d *alloc.Decision){
		"at":       func(d *alloc.Decision) { d.At++ },
		"kind":     func(d *alloc.Decision) { d.Kind = alloc.Drop },
		"note":     func(d *alloc.Decision) { d.Note++ },
		"part":     func(d *alloc.Decision) { d.Part++ },
		"voice":    func(d *alloc.Decision) { d.Voice++ },
		"key":      func(d *alloc.Decision) { d.Key++ },
		"cut":      func(d *alloc.Decision) { d.Cut++ },
		"cut part": func(d *alloc.Decision) { d.CutPart++ },
		"cut key":  func(d *alloc.Decision) { d.CutKey++ },
		"level":    func(d *alloc.Decision) { d.CutDB += 1e-5 },
		"silent":   func(d *alloc.Decision) { d.CutDB = math.Inf(-1) },
		"was":      func(d *alloc.Decision) { d.Was = alloc.Held },
		"cause":    func(d *alloc.Decision) { d.Cause = alloc.CauseRule },
		"outer":    func(d *alloc.Decision) { d.Outer = true },
		"pitch":    func(d *alloc.Decision) { d.Pitch += 1e-8 },
		"missed":   func(d *alloc.Decision) { d.Missed += 1e-6 },
		"velocity": func(d *alloc.Decision) { d.Velocity++ },
		"pressure": func(d *alloc.Decision) { d.Pressure++ },
		"position": func(d *alloc.Decision) { d.Position++ },
		"of":       func(d *alloc.Decision) { d.Of++ },
		"cut left": func(d *alloc.Decision) { d.CutLeft++ },
		"glide":    func(d *alloc.Decision) { d.Glide++ },
	} {
		changed := take
		change(&changed)
		require.Equal(t, 1, firstDifference(append(used, take), append(used, changed)), name)
	}
	require.Equal(t, -1, firstDifference(append(used, take), append(used, take)))
	require.Equal(t, 1, firstDifference(append(used, take), used), "one is missing")
}
