package alloc_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/internal/slow"
	"choirloft/midi"
)

// tally counts what decisions show to have happened.
type tally struct {
	steals      int                     // notes that lost their last voice to another
	pedalSteals int                     // of these, on the pedal
	latched     int                     // of these, kept by sostenuto alone
	waits       int                     // notes of a unison that waits which began late
	regrowths   int                     // voices that an elastic note got after its start
	modes       int                     // messages that end the notes of a channel while one of them sounded
	byRule      map[alloc.StealRule]int // steals
}

// stealers are the stealing rules that take voices from notes.
var stealers = func() (rules []alloc.StealRule) {
	for i := range alloc.StealNames() {
		if rule := alloc.StealRule(i); rule != alloc.StealNone && rule != alloc.StealHardNone {
			rules = append(rules, rule)
		}
	}
	return rules
}()

// missing says of what too little has happened for a run of dense songs.
func (y *tally) missing() []string {
	var short []string
	need := func(met, want int, what string) {
		if met < want {
			short = append(short, fmt.Sprintf("%d of %d %s", met, want, what))
		}
	}
	need(y.steals, 200, "steals")
	need(y.pedalSteals, 50, "steals from the pedal")
	need(y.latched, 30, "steals from sostenuto")
	need(y.waits, 50, "waits")
	need(y.regrowths, 30, "regrowths")
	need(y.modes, 30, "mode messages under load")
	for _, rule := range stealers {
		need(y.byRule[rule], 20, "steals by "+rule.String())
	}
	return short
}

// count adds one performance: its decisions, and its notes as they are with
// voices without limit.
func (y *tally) count(cfg alloc.Config, p performance, notes slow.Notes, ds []alloc.Decision) {
	began, lost := map[alloc.NoteID]time.Duration{}, map[alloc.NoteID]bool{}
	for _, d := range ds {
		if d.Kind != alloc.Take {
			continue
		}
		u := cfg.Parts[d.Part].Unison
		start, again := began[d.Note]
		if !again {
			began[d.Note] = d.At
		}
		switch {
		case again && d.At > start:
			y.regrowths++
		case !again && u.Voices > 1 && u.WhenShort == alloc.Wait && d.At > notes.Notes[d.Note].Start:
			y.waits++
		}
		if d.Was >= alloc.Pedal && d.CutLeft == 0 && !lost[d.Cut] {
			lost[d.Cut] = true
			y.steal(cfg, p, notes.Notes[d.Cut], d)
		}
	}
	y.modes += modesUnderLoad(p, notes, ds)
}

// steal counts a note that lost its last voice.
func (y *tally) steal(cfg alloc.Config, p performance, victim slow.Note, d alloc.Decision) {
	y.steals++
	if y.byRule == nil {
		y.byRule = map[alloc.StealRule]int{}
	}
	y.byRule[cfg.Parts[d.Part].Steal]++
	if d.Was != alloc.Pedal {
		return
	}
	y.pedalSteals++
	// Once the minimum gate is over, what is on the pedal though the sustain
	// pedal is up is kept by sostenuto.
	if d.At >= victim.Start+cfg.MinGate && sustainIsUp(p, victim, d.At) {
		y.latched++
	}
}

// sustainIsUp tells whether the sustain pedal of a note's channel is up all
// through an instant.
func sustainIsUp(p performance, n slow.Note, at time.Duration) bool {
	up := true
	for _, s := range p.steps {
		if s.Kind != midi.StepSustain || s.Port != n.Port || s.Channel != n.Channel || s.At > at {
			continue
		}
		if up = !s.Down(); !up && s.At == at {
			return false
		}
	}
	return up
}

// modesUnderLoad counts the messages that end all notes of a channel, one an
// instant, before which a voice sounded a note of that channel.
func modesUnderLoad(p performance, notes slow.Notes, ds []alloc.Decision) int {
	count, done := 0, time.Duration(-1)
	sounds := map[int32]alloc.NoteID{} // by voice
	for _, s := range p.steps {
		if s.Kind != midi.StepNotesOff && s.Kind != midi.StepSoundOff || s.At == done {
			continue
		}
		for ; len(ds) > 0 && ds[0].At < s.At; ds = ds[1:] {
			switch d := ds[0]; d.Kind {
			case alloc.Take, alloc.Reattack, alloc.Slide:
				sounds[d.Voice] = d.Note
			case alloc.Release:
				delete(sounds, d.Voice)
			}
		}
		for _, n := range sounds {
			if notes.Notes[n].Port == s.Port && notes.Notes[n].Channel == s.Channel {
				count, done = count+1, s.At
				break
			}
		}
	}
	return count
}

// What is counted, on songs worked by hand: a quota that counts wrongly, or
// that nothing can miss, is worth nothing.
func TestTallyOfDenseSongs(t *testing.T) {
	on := func(at int, key midi.Key) midi.Step {
		return midi.Step{At: time.Duration(at) * time.Millisecond, Kind: midi.StepNoteOn, Key: key, Value: 100}
	}
	off := func(at int, key midi.Key) midi.Step {
		return midi.Step{At: time.Duration(at) * time.Millisecond, Kind: midi.StepNoteOff, Key: key}
	}
	control := func(at int, kind midi.StepKind, value uint16) midi.Step {
		return midi.Step{At: time.Duration(at) * time.Millisecond, Kind: kind, Value: value}
	}
	oldest := map[alloc.StealRule]int{alloc.StealOldest: 1}
	for _, c := range []struct {
		name   string
		voices int
		unison alloc.Unison
		steps  []midi.Step
		want   tally
	}{
		{"a held note", 1, alloc.Unison{}, []midi.Step{on(0, 60), on(50, 62)}, tally{byRule: oldest, steals: 1}},
		{"a note under the pedal", 1, alloc.Unison{},
			[]midi.Step{on(0, 60), control(10, midi.StepSustain, 127), off(20, 60), on(50, 62)}, tally{byRule: oldest, steals: 1, pedalSteals: 1}},
		{"a latched note", 1, alloc.Unison{},
			[]midi.Step{on(0, 60), control(10, midi.StepSostenuto, 127), off(20, 60), on(50, 62)}, tally{byRule: oldest, steals: 1, pedalSteals: 1, latched: 1}},
		{"latched, and under the pedal", 1, alloc.Unison{},
			[]midi.Step{on(0, 60), control(10, midi.StepSostenuto, 127), control(10, midi.StepSustain, 127), off(20, 60), on(50, 62)},
			tally{byRule: oldest, steals: 1, pedalSteals: 1}},
		{"a unison that waits", 2, alloc.Unison{Voices: 2, WhenShort: alloc.Wait},
			[]midi.Step{on(0, 60), on(50, 62), off(100, 60)}, tally{waits: 1}},
		{"a unison that shares and grows again", 2, alloc.Unison{Voices: 2, WhenShort: alloc.Elastic, Regrow: true},
			[]midi.Step{on(0, 60), on(50, 62), off(100, 62)}, tally{regrowths: 1}},
		{"all notes off, twice", 2, alloc.Unison{},
			[]midi.Step{control(0, midi.StepNotesOff, 0), on(0, 60), control(50, midi.StepNotesOff, 0), control(60, midi.StepSoundOff, 0)},
			tally{modes: 1}},
	} {
		t.Run(c.name, func(t *testing.T) {
			cfg := smallRig(c.voices, alloc.PickLowest, alloc.StealOldest, alloc.RetriggerCounted, false)
			cfg.Parts[0].Unison = c.unison
			p := performance{c.steps, 200 * time.Millisecond}
			var met tally
			notes, ds := new(comparison).same(t, cfg, p)
			met.count(cfg, p, notes, ds)
			require.Equal(t, c.want, met)
		})
	}
	require.Len(t, new(tally).missing(), 6+len(stealers))
	enough := tally{steals: 200, pedalSteals: 50, latched: 30, waits: 50, regrowths: 30, modes: 30, byRule: map[alloc.StealRule]int{}}
	for _, rule := range stealers {
		enough.byRule[rule] = 20
	}
	require.Empty(t, enough.missing())
	enough.latched--
	require.Equal(t, []string{"29 of 30 steals from sostenuto"}, enough.missing())
}
