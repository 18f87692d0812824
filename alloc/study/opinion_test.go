package study_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/internal/opinion"
	"choirloft/midi"
)

// endings are the words of the second opinion for the endings of a replay.
var endings = map[string]study.Ending{
	"complete": study.Complete, "superseded": study.Superseded, "dropped": study.Dropped,
	"born-cut": study.BornCut, "held-cut": study.HeldCut, "overlap-only": study.OverlapOnly,
	"pedal-cut": study.PedalCut, "tail-cut inaudible": study.TailCutInaudible,
	"tail-cut audible": study.TailCutOtherKey, "tail-cut audible own key": study.TailCutOwnKey,
}

// againRules and thefts name the rules of the second opinion, and those of the engine
// that they stand for.
var (
	againRules = []struct {
		opinion.SameKey
		engine alloc.SameKey
	}{
		{opinion.Counted, alloc.RetriggerCounted}, {opinion.FirstOff, alloc.RetriggerFirstOff},
		{opinion.FIFO, alloc.StackFIFO}, {opinion.LIFO, alloc.StackLIFO},
	}
	thefts = []struct {
		opinion.Steal
		engine alloc.StealRule
	}{
		{opinion.Oldest, alloc.StealOldest}, {opinion.ProtectOuter, alloc.StealProtectOuter},
		{opinion.Quietest, alloc.StealQuietest}, {opinion.Never, alloc.StealNone},
	}
)

// A whole file, from its bytes to what became of every note, has two readings
// that share nothing: the program's, and one written from the standards and the
// rules of the trade alone. More files: go test -run SecondOpinion -v ./alloc/study -rapid.checks=10000
func TestSecondOpinion(t *testing.T) {
	var tried trials
	for _, again := range againRules {
		for _, theft := range thefts {
			t.Run(again.engine.String()+", "+theft.engine.String(), func(t *testing.T) {
				rapid.Check(t, func(t *rapid.T) {
					o := drawRules(t)
					data := drawFile(t, len(o.Zones) > 0)
					o.SameKey, o.Steal = again.SameKey, theft.Steal
					r := engineRules(o)
					r.Config.Parts[0].SameKey, r.Config.Parts[0].Steal = again.engine, theft.engine
					want := opinion.Judge(data, o)
					if tried.count(want) {
						agree(t, want, play(t, data, r))
						reached(t, want, data, r)
					}
				})
			})
		}
	}
	t.Logf("%d files with %d notes, and %d more that hung on the last bits of a level: %v; messages to managers: %v",
		tried.files, tried.notes, tried.edges, tried.seen, tried.managed)
	if tried.files >= 1000 {
		require.Less(t, tried.edges, tried.files/10)
		require.Greater(t, tried.notes, 10*tried.files)
		require.Len(t, tried.seen, len(endings)+4)
		for word, n := range tried.seen {
			require.Greater(t, n, tried.files/100, word)
		}
		require.GreaterOrEqual(t, tried.seen[bereft], tried.files/50)
		for _, controller := range []int{120, 123, 124, 125, 126, 127} {
			require.Greater(t, tried.managed[controller], tried.files/100, "notes of members ended by controller %d to their manager", controller)
		}
	}
}

// trials is what has been tried.
type trials struct {
	files, notes, edges int
	seen                map[string]int // notes by ending and flag, and orphans
	managed             map[int]int    // see opinion.Verdict
}

// bereft is a note that an order without zones would give its off too early.
const bereft = "without length, after a message to the manager"

// count tells whether the verdict counts.
func (tr *trials) count(v opinion.Verdict) bool {
	if v.Edge {
		tr.edges++
		return false
	}
	if tr.files++; tr.seen == nil {
		tr.seen, tr.managed = map[string]int{}, map[int]int{}
	}
	tr.notes += len(v.Notes)
	for _, n := range v.Notes {
		tr.seen[n.Ending]++
		for flag, set := range map[string]bool{"stuck": n.Stuck, "without length": n.Zero, bereft: n.Zero && n.Bereft} {
			if set {
				tr.seen[flag]++
			}
		}
	}
	tr.seen["orphan"] += v.Orphans
	for controller, n := range v.Managed {
		tr.managed[controller] += n
	}
	return true
}

// drawRules draws how the wall plays. Channel 10 is deaf, as it is in a rig's
// default part.
func drawRules(t *rapid.T) opinion.Rules {
	span := func(name string, from ...time.Duration) time.Duration { return rapid.SampledFrom(from).Draw(t, name) }
	r := opinion.Rules{
		Voices:      rapid.IntRange(1, 6).Draw(t, "voices"),
		LongestIdle: rapid.Bool().Draw(t, "longest idle"),
		BlindTails:  rapid.Bool().Draw(t, "tails unknown"),
		MinGate:     span("minimum gate", 5*ms, 0, 20*ms),
		Overlap:     80 * ms,
		FreeDB:      -60, AudibleDB: -40,
		Envelope: opinion.Envelope{
			Attack: span("attack", 0, 0, 5*ms, 300*ms), Decay: 300 * ms,
			Sustain: rapid.SampledFrom([]float64{1, 1, 1, 1, 0.5, 0}).Draw(t, "sustain"),
			T60:     span("release", 0, 100*ms, 1500*ms),
		},
	}
	r.Deaf[9] = true
	if rapid.Bool().Draw(t, "zones") {
		r.Zones = rapid.SliceOfN(rapid.Custom(drawZone), 1, 2).Draw(t, "zones of the part")
	}
	return r
}

// drawZone draws zones of which two may overlap.
func drawZone(t *rapid.T) opinion.Zone {
	return opinion.Zone{
		Port:    rapid.SampledFrom([]int{-1, -1, -1, 0, 1}).Draw(t, "port of the zone"),
		Upper:   rapid.IntRange(0, 2).Draw(t, "upper") == 0,
		Members: rapid.SampledFrom([]int{1, 2, 3, 7, 12, 14, 15}).Draw(t, "members"),
	}
}

// engineRules says the same to the engine, but for same key and stealing. Gaps
// and lead times only make notes late, which the second opinion does not know.
func engineRules(o opinion.Rules) study.Rules {
	e := o.Envelope
	return rig(o.Voices, e.T60, func(r *study.Rules) {
		r.Gap, r.Lead, r.Config.MinGate = 0, 0, o.MinGate
		for i := range r.Config.Voices {
			r.Config.Voices[i].Envelope = alloc.Envelope{Attack: e.Attack, Decay: e.Decay, Sustain: e.Sustain, Release: e.T60}
		}
		p := &r.Config.Parts[0]
		p.Sources[0].Channels &^= 1 << 9
		for _, z := range o.Zones {
			p.Sources = nil
			p.Zones = append(p.Zones, midi.Zone{AnyPort: z.Port < 0, Port: midi.Port(max(0, z.Port)), Upper: z.Upper, Members: z.Members})
		}
		p.TailsUnknown = o.BlindTails
		if !o.LongestIdle {
			p.Pick = alloc.PickLowest
		}
	})
}

// play is the program's way from the bytes to a replay.
func play(t require.TestingT, data []byte, r study.Rules) *study.Replay {
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	replay, err := study.Play(r, study.Performance{Steps: song.Steps(midi.Order{}, alloc.ZonesOf(r.Config.Parts)...), End: song.Duration()})
	require.NoError(t, err)
	return replay
}

// agree fails unless both say the same of every note and of the song.
func agree(t require.TestingT, want opinion.Verdict, got *study.Replay) {
	require.Len(t, got.Outcomes, len(want.Notes))
	for i, n := range want.Notes {
		require.Equal(t, noteOf(n), playedNote(got, i), "note %d", i)
	}
	for i, n := range want.Notes {
		if endings[n.Ending] >= study.TailCutOwnKey {
			require.InDelta(t, n.LevelDB, got.Outcomes[i].LevelDB, 1e-6, "level of note %d at the cut", i)
		}
	}
	require.Equal(t, want.Orphans, got.Reference.PartOrphans[0], "orphans")
	require.Equal(t, study.Demand{Held: want.Held, Pedal: want.Pedal, Audible: want.Audible}, got.Rig.Demand)
	bound := study.Bound{Unavoidable: want.Unavoidable, FewestDamaged: want.Fewest}
	require.Equal(t, bound, got.Rig.Bound)
	var gates []study.Interval
	for _, n := range want.Notes {
		gates = append(gates, study.Interval{Start: n.Start, End: n.End})
	}
	require.Equal(t, bound, study.Bounds(gates).At(got.Rig.Voices), "on the curve of all sizes")
}

// reached fails unless the rules with foresight reach the bounds of the second
// opinion, as they must where there are no tails: giving up the latest end damages
// the fewest (Faigle & Nawijn 1995), the earliest end loses the least.
func reached(t require.TestingT, want opinion.Verdict, data []byte, r study.Rules) {
	if r.Config.Voices[0].Envelope.Release > 0 {
		return
	}
	r.Config.Parts[0].Steal = alloc.StealFewestCuts
	outcomes := play(t, data, r).Outcomes
	score := study.ScoreOf(outcomes)
	empty := 0 // dropped without a length, which no bound sees
	for _, o := range outcomes {
		if o.Ending == study.Dropped && o.Lost == 0 {
			empty++
		}
	}
	require.Equal(t, want.Fewest, score.Damaged()-empty, "by fewest-cuts")
	r.Config.Parts[0].Steal = alloc.StealLeastLost
	score = study.ScoreOf(play(t, data, r).Outcomes)
	require.Equal(t, want.Unavoidable, score.Lost, "by least-lost")
}

// saidNote is what both say of a note.
type saidNote struct {
	Part, Port, Channel, Key, Velocity int
	Start, KeyUp, End                  time.Duration
	Superseded, Stuck, Zero            bool
	Voice                              int
	Ending                             study.Ending
	Lost                               time.Duration
}

func noteOf(n *opinion.Note) saidNote {
	return saidNote{0, n.Port, n.Channel, n.Key, n.Velocity, n.Start, n.KeyUp, n.End, n.Superseded, n.Stuck, n.Zero,
		n.Voice, endings[n.Ending], n.Lost}
}

func playedNote(r *study.Replay, i int) saidNote {
	n, o := r.Reference.Notes[i], r.Outcomes[i]
	return saidNote{n.Part, int(n.Port), int(n.Channel), int(n.Key), int(n.Velocity), n.Start, n.KeyUp, n.End,
		n.Superseded, n.Stuck, n.Zero, o.Voice, o.Ending, o.Lost}
}
