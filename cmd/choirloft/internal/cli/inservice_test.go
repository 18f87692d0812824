package cli

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi/corpora"
)

// TestInServiceIsWhatReplaySays: what stands beside the voices in service is the rig as it
// is, with its parts and banks: what replay says of the song.
// With CHOIRLOFT_CORPORA it is also so of the whole demo and of the corpora, each on another rig in turn,
// and with CHOIRLOFT_ROUNDS=200 on every rig.
func TestInServiceIsWhatReplaySays(t *testing.T) {
	corpora.Patient(t)
	t.Chdir(top)
	rigs, err := filepath.Glob("testdata/rigs/*.yaml")
	require.NoError(t, err)
	rigs = append(rigs, demoRig)
	songs := []string{excerpt(t, t.TempDir())}
	if corpora.Some(0, 1) == 1 {
		songs = append(songs, corpora.Songs(t)...)
	}
	apart, each := 0, max(1, rounds(t)/len(rigs)) // rigs for a song
	for n, song := range songs {
		for i, rig := range rigs {
			if n > 0 && (i+n)%len(rigs) >= each {
				continue
			}
			var replay contract.Replay
			var size contract.Size
			readJSON(t, &replay, "replay", rig, song)
			readJSON(t, &size, "size", rig, song, "--budget", fmt.Sprintf("%dms", corpora.Some(100, 300)))
			if size.NowHeard == nil && replay.Heard != nil { // the budget ended before, which it says
				require.NotEmpty(t, size.Covered)
				size = contract.Size{}
				readJSON(t, &size, "size", rig, song, "--budget", "10s")
			}
			requireInService(t, &replay, &size)
			if size.Song.Notes == 0 || len(size.Curve) == 0 {
				continue // no part plays it, so there is no row
			}
			var printed strings.Builder
			require.NoError(t, doc.Text(&printed, say.Size(&size, say.Screen), doc.TextOptions{Width: 80}))
			apart += requireRow(t, &size, printed.String())
		}
	}
	require.GreaterOrEqual(t, apart, 2, "rigs that lose other notes than as many identical voices")
}

func readJSON(t *testing.T, into any, args ...string) {
	t.Helper()
	got := run(t, "", append(args, "--json")...)
	require.Equal(t, exitFine, got.status, got.stderr)
	require.NoError(t, json.Unmarshal([]byte(got.stdout), into))
}

func requireInService(t *testing.T, r *contract.Replay, s *contract.Size) {
	t.Helper()
	what := r.Rig + ": " + r.Song.File
	require.Equal(t, r.Demand.Voices, s.Voices, what)
	require.Equal(t, contract.Cost{Damaged: r.Damaged, Dropped: r.Endings[study.Dropped], OverlapOnly: r.Endings[study.OverlapOnly], LostGateS: r.LostGateS,
		TailCuts: r.Endings[study.TailCutOtherKey], LoudestCutDB: r.LoudestCutDB, Heard: s.Now.Heard, Missing: s.Now.Missing}, s.Now, what)
	require.Len(t, s.MayUse, len(r.Parts), what)
	for i, p := range r.Parts {
		require.Equal(t, contract.PartVoices{PartBanks: contract.PartBanks{Part: p.Name, Banks: p.Banks}, Voices: p.Voices}, s.MayUse[i], what)
	}
	require.Equal(t, r.Heard == nil, s.NowHeard == nil, what)
	if r.Heard == nil {
		return
	}
	if s.NowHeard.Plain == nil {
		r.Heard.Plain, r.Heard.Faint = nil, nil // whole, but not loss by loss
	}
	require.Equal(t, r.Heard.HeardFigures, *s.NowHeard, what)
}

// requireRow finds the row in what is printed. It returns 1 where as many identical
// voices have a row of their own.
func requireRow(t *testing.T, s *contract.Size, printed string) (apart int) {
	t.Helper()
	row := func(mark string) []string {
		return regexp.MustCompile(`(?m)^ +(\d+) +(\d+|-) .*` + mark + `$`).FindStringSubmatch(printed)
	}
	cut := "-"
	if s.Now.Damaged > 0 {
		cut = strconv.Itoa(s.Now.Damaged)
	}
	found := row(`in\s+service`) // which may stand on two lines
	require.NotNil(t, found, printed)
	require.Equal(t, []string{strconv.Itoa(s.Voices), cut}, found[1:], printed)
	if found = row("identical voices"); found != nil {
		require.Equal(t, strconv.Itoa(s.Voices), found[1])
		return 1
	}
	return 0
}
