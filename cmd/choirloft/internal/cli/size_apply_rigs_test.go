package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// TestApplyOnEveryRig: each fix that is listed for a rig can be written into it, plays there with its
// figures and passes check as the rig does; or no rig can say it, which --apply says: an edit of the song, recordings,
// or voices that the rig cannot hold.
func TestApplyOnEveryRig(t *testing.T) {
	corpora.Patient(t)
	t.Chdir(top)
	song := excerpt(t, t.TempDir())
	rigs, err := filepath.Glob("testdata/rigs/*.yaml")
	require.NoError(t, err)
	wrote, kinds := 0, map[string]bool{}
	for i, rig := range append(rigs, demoRig) {
		if corpora.Some(i%3, 0) != 0 {
			continue
		}
		for _, voices := range []string{"", "3", "8"} {
			args := []string{"size", rig, song, "--json", "--budget", corpora.Some("300ms", "2s")}
			base := plan.Overrides{}
			if voices != "" {
				args, base = append(args, "--voices", voices), plan.MustParse("--voices", voices)
			}
			got := run(t, "", args...)
			if got.status != exitFine {
				continue // it has fewer voices
			}
			var sized contract.Size
			require.NoError(t, json.Unmarshal([]byte(got.stdout), &sized))
			for j := range sized.Fixes {
				fix := &sized.Fixes[j]
				o, err := contract.ReadOverrides(fix.Overrides)
				require.NoError(t, err)
				file, err := profiles.Open(rig)
				require.NoError(t, err)
				s := &size{rig: file, overrides: base, out: output{file: filepath.Join(filepath.Dir(rig), "rig2.yaml")}}
				after, err := s.withFix(fix, base.With(o))
				require.False(t, err != nil && len(o.Buy) > 0, "%s %v: what is bought passes check: %v", rig, fix.Flags, err)
				if err != nil {
					require.True(t, base.With(o).EditsSong() || slices.Contains(fix.Kinds, "passes"), "%s %v: %v", rig, fix.Flags, err)
					require.Regexp(t, "a rig cannot hold", err.Error())
					continue
				}
				played, err := plan.Build(after.Rig, plan.Overrides{})
				require.NoError(t, err)
				r, err := played.Replay(songAt(t, song))
				require.NoError(t, err)
				is := &r.Rig.Tally.Score
				require.Equal(t, []int{fix.After.Damaged, fix.After.Dropped, fix.Leaves.WrongPitches}, []int{is.Damaged(), is.Endings[study.Dropped], is.Missed}, "%s %v", rig, fix.Flags)
				require.InDelta(t, fix.After.LostGateS, is.Lost.Seconds(), 1e-9, "%s %v", rig, fix.Flags)
				for line := range strings.Lines(string(file.Data)) {
					if _, comment, ok := strings.Cut(line, "#"); ok {
						require.Contains(t, string(after.Data), comment, "comments stay: %s %v", rig, fix.Flags)
					}
				}
				wrote++
				for _, kind := range fix.Kinds {
					kinds[kind] = true
				}
			}
		}
	}
	require.Greater(t, wrote, corpora.Some(8, 30))
	require.GreaterOrEqual(t, len(kinds), corpora.Some(3, 6), "%v", kinds)
}

// songAt reads a song.
func songAt(t *testing.T, path string) *midi.Song {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	return song
}

// TestPurchasesOfTheCorpora: over several rigs and songs of Debian's simutrans-data and
// openttd-openmsx no list offers a purchase that the rack cannot hold: written into a copy of
// the rig, each passes check. Each says what it needs, or buys nothing but banks.
func TestPurchasesOfTheCorpora(t *testing.T) {
	corpora.Need(t, "buy for the songs of simutrans-data and openttd-openmsx")
	t.Chdir(top)
	bought, refused := 0, 0
	for i, song := range corpora.Songs(t) {
		for j, rig := range []string{demoRig, fullRig, "testdata/rigs/small-wall.yaml", "testdata/rigs/own-zero-key.yaml", "testdata/rigs/one-supply.yaml", "testdata/rigs/shorts.yaml"} {
			if (i+j)%12 != 0 { // every other song, each on another rig
				continue
			}
			got := run(t, "", "size", rig, song, "--json", "--budget", "2s")
			require.Equal(t, exitFine, got.status, got.stderr)
			var sized contract.Size
			require.NoError(t, json.Unmarshal([]byte(got.stdout), &sized))
			if sized.Buying != nil {
				refused += len(sized.Buying.Refused)
			}
			for k := range sized.Fixes {
				fix := &sized.Fixes[k]
				if fix.Purchase == nil {
					continue
				}
				bought++
				o, err := contract.ReadOverrides(fix.Overrides)
				require.NoError(t, err)
				if o.EditsSong() {
					continue
				}
				file, err := profiles.Open(rig)
				require.NoError(t, err)
				s := &size{rig: file, out: output{file: filepath.Join(filepath.Dir(rig), "rig2.yaml")}}
				_, err = s.withFix(fix, o)
				require.NoError(t, err, "%s %s %v", rig, song, fix.Flags)
				require.True(t, len(fix.Purchase.Needs) > 0 || fix.Purchase.Interfaces.More == 0, "%s %s: what runs out?", rig, song)
			}
		}
	}
	require.Positive(t, bought)
	require.Positive(t, refused)
	t.Logf("%d purchases, %d refused", bought, refused)
}
