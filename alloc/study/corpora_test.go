package study_test

import (
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/midi/corpora"
)

// TestMain gives the tests the memory that the program has.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// pools are the numbers of voices that the songs are played on.
var pools = []int{4, 8, 16}

// corpusSong is a song of a corpus.
type corpusSong struct {
	path    string
	noteOns int
	study.Performance
}

// songsOf reads the songs of a corpus.
func songsOf(t *testing.T, c corpora.Corpus) []corpusSong {
	t.Helper()
	var songs []corpusSong
	for _, path := range c.Songs(t) {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		song, err := midi.Read(data, midi.Options{})
		require.NoError(t, err, path)
		songs = append(songs, corpusSong{path, song.NoteOns,
			study.Performance{Steps: song.Steps(midi.Order{}), End: song.Duration()}})
	}
	return songs
}

// wall returns the rules of a rig file's defaults: V voices in one bank, one
// part on every channel but 10, release 1.5 s.
func wall(voices int) study.Rules {
	return rig(voices, 1500*ms, func(r *study.Rules) {
		r.Config.Parts[0].Sources[0].Channels &^= 1 << 9
		r.Config.Parts[0].Fixed = map[midi.Key]int{}
		for key := range midi.Key(128) {
			r.Config.Parts[0].Fixed[key] = int(key) % voices
		}
	})
}

// rulePair is a picking and a stealing rule.
type rulePair struct {
	pick  alloc.PickRule
	steal alloc.StealRule
}

// pickingRules returns every picking rule, beside protect-outer.
func pickingRules() (pairs []rulePair) {
	for i := range alloc.PickNames() {
		pairs = append(pairs, rulePair{alloc.PickRule(i), alloc.StealProtectOuter})
	}
	return pairs
}

// stealingRules returns every other stealing rule, beside longest-idle.
func stealingRules() (pairs []rulePair) {
	for i := range alloc.StealNames() {
		if rule := alloc.StealRule(i); rule != alloc.StealProtectOuter {
			pairs = append(pairs, rulePair{alloc.PickLongestIdle, rule})
		}
	}
	return pairs
}

// What real songs ask for. The numbers were counted with python3-mido 1.2.10
// and gomidi v2.3.24, the peaks by another program.
func TestCorporaDemand(t *testing.T) {
	for _, c := range []struct {
		corpora.Corpus
		noteOns int // in all
		notes   int // without channel 10, which the default part leaves out
		held    int // most keys down at once, retrigger counted
	}{
		{corpora.Simutrans, 257_127, 175_074, 33},
		{corpora.OpenMSX, 80_364, 50_683, 29},
	} {
		t.Run(filepath.Base(c.Folder), func(t *testing.T) {
			noteOns, notes, unmapped, held := 0, 0, 0, 0
			for _, song := range songsOf(t, c.Corpus) {
				r, err := study.Play(wall(8), song.Performance)
				require.NoError(t, err, song.path)
				tally := r.Rig.Tally
				require.Equal(t, song.noteOns, tally.Notes+tally.Unmapped, song.path)
				noteOns += song.noteOns
				notes += tally.Notes
				unmapped += tally.Unmapped
				held = max(held, r.Rig.Demand.Held)
				require.LessOrEqual(t, r.Rig.Demand.Held, r.Rig.Demand.Pedal, song.path)
				require.LessOrEqual(t, r.Rig.Demand.Pedal, r.Rig.Demand.Audible, song.path)
			}
			require.Equal(t, c.noteOns, noteOns)
			require.Equal(t, c.notes, notes)
			require.Equal(t, c.noteOns-c.notes, unmapped)
			require.Equal(t, c.held, held)
		})
	}
}

// No rule beats a bound on any real song, and every note has one ending.
func TestCorporaBounds(t *testing.T) {
	allRules := append(pickingRules(), stealingRules()...)
	require.Len(t, allRules, 10+12-1, "ten picking and twelve stealing rules; longest-idle and protect-outer meet once")
	eachSong(t, func(t *testing.T, song corpusSong) {
		ref := study.NewReference(wall(1), song.Performance)
		for _, voices := range pools {
			for _, rule := range allRules {
				for _, unknown := range []bool{false, true} {
					rules := wall(voices)
					part := &rules.Config.Parts[0]
					part.Pick, part.Steal, part.TailsUnknown = rule.pick, rule.steal, unknown
					requireWithinBounds(t, rules, song, ref)
				}
			}
		}
	})
}

// requireWithinBounds plays a song and holds the result to what must be true
// of every one.
func requireWithinBounds(t *testing.T, rules study.Rules, song corpusSong, ref *study.Reference) {
	t.Helper()
	r, err := study.PlayReference(rules, song.Performance, ref)
	part := &rules.Config.Parts[0]
	name := []any{"%d voices, pick %v, steal %v, tails unknown %v", len(rules.Config.Voices), part.Pick, part.Steal, part.TailsUnknown}
	require.NoError(t, err, name...)
	tally, sum := r.Rig.Tally, 0
	for _, n := range tally.Endings {
		sum += n
	}
	require.Equal(t, tally.Notes, sum, name...)
	require.Equal(t, song.noteOns, tally.Notes+tally.Unmapped, name...)
	require.GreaterOrEqual(t, tally.Damaged(), r.Rig.Bound.FewestDamaged, name...)
	require.GreaterOrEqual(t, tally.Lost, r.Rig.Bound.Unavoidable, name...)
}

// Without tails and unison the foresight rules reach the bounds: the bounds
// promise nothing that cannot be had.
func TestCorporaForesight(t *testing.T) {
	eachSong(t, func(t *testing.T, song corpusSong) {
		for _, voices := range pools {
			rules := wall(voices)
			for v := range rules.Config.Voices {
				rules.Config.Voices[v].Envelope.Release = 0
			}
			ref := study.NewReference(rules, song.Performance)
			rules.Config.Parts[0].Steal = alloc.StealFewestCuts
			r, err := study.PlayReference(rules, song.Performance, ref)
			require.NoError(t, err)
			require.Equal(t, r.Rig.Bound.FewestDamaged, r.Rig.Tally.Damaged(), "%d voices", voices)
			rules.Config.Parts[0].Steal = alloc.StealLeastLost
			r, err = study.PlayReference(rules, song.Performance, ref)
			require.NoError(t, err)
			require.Equal(t, r.Rig.Bound.Unavoidable, r.Rig.Tally.Lost, "%d voices", voices)
			rules.Config.Parts[0].Steal = alloc.StealLeastAudible
			r, err = study.PlayReference(rules, song.Performance, ref)
			require.NoError(t, err)
			require.Equal(t, study.AudibleBound(rules, ref), r.AudibleLoss(ref.Weights()), "%d voices", voices)
		}
	})
}

// Notes of equal weight are worth their number, at every number of voices.
func TestCorporaPlansOfEqualWeights(t *testing.T) {
	eachSong(t, func(t *testing.T, song corpusSong) {
		gates := study.NewReference(wall(1), song.Performance).Gates(func(int) bool { return true })
		bounds := study.Bounds(gates)
		plans := study.NewPlans(gates, slices.Repeat([]study.Weight{3}, len(gates)))
		for v, b := range bounds {
			require.Equal(t, b.FewestDamaged, plans.Damaged(v), "%d voices", v)
			require.Equal(t, study.Weight(3*b.FewestDamaged), plans.Lost(v), "%d voices", v)
		}
	})
}

// eachSong runs a test on every song of the corpora, several at a time.
func eachSong(t *testing.T, test func(*testing.T, corpusSong)) {
	t.Helper()
	for _, c := range []corpora.Corpus{corpora.Simutrans, corpora.OpenMSX} {
		for _, song := range songsOf(t, c) {
			t.Run(filepath.Base(song.path), func(t *testing.T) {
				t.Parallel()
				test(t, song)
			})
		}
	}
}
