package advise

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// ordinary are six racks as people have them.
var ordinary = map[string]string{
	"split":    "  low: {keys: 0-59, banks: [K]}\n  high: {keys: 60-127, banks: [L]}\n",
	"box":      "  all: {pick: lowest, steal: oldest}\n",
	"three":    "  bass: {keys: 0-47, banks: [K]}\n  chords: {keys: 48-71, banks: [L]}\n  top: {keys: 72-127, banks: [M]}\n",
	"four":     "  bass: {keys: 0-47, banks: [K], mode: mono last}\n  left: {keys: 48-59, banks: [L]}\n  right: {keys: 60-71, banks: [M]}\n  top: {keys: 72-127, banks: [N]}\n",
	"channels": "  one: {channel: [1, 2, 3], banks: [K, L]}\n  two: {channel: [4, 5, 6], banks: [M]}\n  three: {channel: [7, 8, 9], banks: [N]}\n  rest: {channel: [11, 12, 13, 14, 15, 16], banks: [P]}\n",
	"unison":   "  low: {keys: 0-54, banks: [K]}\n  high: {keys: 55-127, banks: [L, M, N], unison: {voices: 2, spread: 8 cents}, steal: newest}\n",
}

// racks are their banks, the voices of each, and the release.
var racks = map[string]struct {
	banks, voices int
	release       string
}{"split": {4, 6, "1.5 s"}, "box": {4, 4, "1.2 s"}, "three": {3, 8, "1.5 s"}, "four": {4, 4, "800 ms"}, "channels": {5, 4, "1.5 s"}, "unison": {4, 6, "1 s"}}

// corporaSong reads one of their songs.
func corporaSong(t *testing.T, name string) *midi.Song {
	t.Helper()
	for _, c := range []corpora.Corpus{corpora.Simutrans, corpora.OpenMSX} {
		if data, err := os.ReadFile(filepath.Join(c.Folder, name)); err == nil {
			song, err := midi.Read(data, midi.Options{})
			require.NoError(t, err)
			return song
		}
	}
	t.Fatalf("%s is not installed", name)
	return nil
}

// TestCorpora: over six ordinary racks and the twelve longest songs of the corpora,
// settings that make nothing worse leave at most 30 % of the notes and 40 % of the dB·s that the best
// setting left that size printed before it searched (see before); and a player who
// takes the first line of any list never hears more missing than before.
func TestCorpora(t *testing.T) {
	corpora.Need(t, "look for fixes of the songs of simutrans-data and openttd-openmsx")
	var was, is Figures
	songs := map[string]*midi.Song{}
	for _, old := range before {
		if songs[old.song] == nil {
			songs[old.song] = corporaSong(t, old.song)
		}
		r := racks[old.rack]
		s := session(t, rigText(r.banks, r.voices, r.release, ordinary[old.rack]), songs[old.song])
		best := figures(t, s, plan.MustParse(strings.FieldsFunc(old.flags, func(r rune) bool { return r == ';' })...))
		require.InDelta(t, old.heard, best.Heard, 0.06, "%s %s", old.rack, old.song)
		require.Equal(t, old.lost, best.Cut+best.Dropped, "%s %s", old.rack, old.song)
		a := find(t, Options{Work: 150 * s.TryWork(plan.Overrides{})}, s)
		got := a.Now
		for i := range a.Fixes {
			x := &a.Fixes[i]
			if x.Effort == Setting && x.Heard < got.Heard && len(x.Prices) == 0 {
				got = x.Figures
			}
		}
		was.Heard, was.Cut = was.Heard+best.Heard, was.Cut+best.Cut+best.Dropped
		is.Heard, is.Cut = is.Heard+got.Heard, is.Cut+got.Cut+got.Dropped
		t.Logf("%s %s: now %.1f dB·s %d notes, before %.1f %d, settings %.1f %d", old.rack, old.song, a.Now.Heard, a.Now.Cut+a.Now.Dropped, best.Heard, best.Cut+best.Dropped, got.Heard, got.Cut+got.Dropped)
		if len(a.Fixes) > 0 && len(a.Fixes[0].Prices) == 0 {
			require.LessOrEqual(t, a.Fixes[0].Heard, a.Now.Heard)
		}
		sound(t, a, s)
	}
	t.Logf("settings leave %d of %d notes and %.0f of %.0f dB·s", is.Cut, was.Cut, is.Heard, was.Heard)
	require.LessOrEqual(t, float64(is.Cut), 0.30*float64(was.Cut))
	require.LessOrEqual(t, is.Heard, 0.40*was.Heard)
}

// BenchmarkCandidates plays candidates of a song of 3 000 notes and listens to each: a
// thousand are to take 10 s on two cores.
func BenchmarkCandidates(b *testing.B) {
	var notes []note
	for part := range 3 {
		notes = append(notes, chords(1, 500, 2, 38+14*part, 400, 380)...)
	}
	s := session(b, rigText(4, 6, "1.5 s", ordinary["split"]), songOf(b, notes))
	_, err := s.Try(plan.Overrides{})
	require.NoError(b, err)
	for b.Loop() {
		_, err := s.Try(plan.MustParse("--banks", "K,L,M,N", "--steal", "oldest"))
		require.NoError(b, err)
	}
}

// TestShortEditsChangeLess: pedals that are lifted, and notes that are shortened, only where voices are short: of
// the lifts that all take, half or fewer; and of what is heard of lifting everywhere, two thirds or less. The demo on eight
// voices has no pedal, and is shortened; the songs of simutrans-data and openttd-openmsx with pedals, on four
// banks of four, are lifted by half a second.
func TestShortEditsChangeLess(t *testing.T) {
	demo, err := os.ReadFile("../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(demo, midi.Options{})
	require.NoError(t, err)
	rig := rigText(2, 4, "2.4 s", "  all: {channel: [1, 2, 3, 4], steal: oldest}\n")
	moved, heard := shortEdit(t, session(t, rig, song), song, "--shorten", "100 ms")
	t.Logf("demo: %d of %d notes shortened, %.1f of %.1f dB·s changed", moved[0], moved[1], heard[0], heard[1])
	require.Less(t, moved[0], moved[1])
	require.Less(t, heard[0], heard[1])
	if !corpora.Asked() {
		return
	}
	var lifts [2]int
	var changed [2]float64
	seen := map[string]bool{}
	for _, old := range before {
		if seen[old.song] {
			continue
		}
		seen[old.song] = true
		song := corporaSong(t, old.song)
		s := session(t, rigText(4, 4, "1.2 s", ordinary["box"]), song)
		moved, heard := shortEdit(t, s, song, "--lift", "500 ms")
		for i := range 2 {
			lifts[i], changed[i] = lifts[i]+moved[i], changed[i]+heard[i]
		}
		t.Logf("%s: %d of %d lifts, %.1f of %.1f dB·s changed", old.song, moved[0], moved[1], heard[0], heard[1])
	}
	t.Logf("all: %d of %d lifts, %.1f of %.1f dB·s changed", lifts[0], lifts[1], changed[0], changed[1])
	require.LessOrEqual(t, 2*lifts[0], lifts[1])
	require.LessOrEqual(t, 3*changed[0], 2*changed[1])
}

// shortEdit is how many steps an edit moves where voices are short, and everywhere; and what is heard of it
// beside the song as given, voices for all of it being there.
func shortEdit(t *testing.T, s *whatif.Session, song *midi.Song, flag, by string) (moved [2]int, heard [2]float64) {
	rig := s.Plan().Unchanged
	plenty, err := plan.Draft(rig, plan.MustParse("--more", "96"))
	require.NoError(t, err)
	for i, where := range []string{" when short", ""} {
		p, err := plan.Draft(rig, plan.MustParse(flag, by+where))
		require.NoError(t, err)
		given, edited := s.Plan().Performance(song), p.Performance(song)
		moved[i] = len(given.Steps)
		for k, at := 0, 0; k < len(given.Steps) && at < len(edited.Steps); {
			switch a, b := given.Steps[k].At, edited.Steps[at].At; {
			case given.Steps[k] == edited.Steps[at]:
				k, at, moved[i] = k+1, at+1, moved[i]-1
			case a < b:
				k++
			default:
				at++
			}
		}
		asked, err := plenty.Given(song, study.NewReference(plenty.Rules, given))
		require.NoError(t, err)
		run, err := study.Play(plenty.Rules, edited)
		require.NoError(t, err)
		as, err := asked.Match(hearing.Run{Rules: plenty.Rules, Reference: run.Reference, Outcomes: run.Outcomes, Cuts: run.Cuts})
		require.NoError(t, err)
		heard[i] = hearing.Whole(asked.Asked, as).Loud
	}
	return moved, heard
}
