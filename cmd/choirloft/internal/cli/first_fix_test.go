package cli

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// TestFirstFixIsOne: what replay names first is what size names first, on every rig, on as few
// voices as on all, also with the songs of the corpora; replay may say it in
// fewer words.
func TestFirstFixIsOne(t *testing.T) {
	corpora.Patient(t)
	t.Chdir(top)
	songs := []string{demoSong}
	if corpora.Some(0, 1) == 1 {
		songs = append(songs, corpora.Songs(t)...)
	}
	rigs, err := filepath.Glob("testdata/rigs/*.yaml")
	require.NoError(t, err)
	named, first := 0, regexp.MustCompile(`First fix[a-z ]*(?: \(\d+\))?: (.+?)(?:\.(?: |$)|; then )`)
	for i, song := range songs {
		for j, rig := range append(rigs, demoRig) {
			if i > 0 && (i+j)%11 != 0 {
				continue
			}
			for _, voices := range []string{"", "5"} {
				args := []string{rig, song}
				if voices != "" {
					args = append(args, "--voices", voices)
				}
				of := func(args ...string) string {
					got := run(t, "", args...)
					if got.status != exitFine {
						return "" // it has fewer voices
					}
					m := first.FindStringSubmatch(strings.Join(strings.Fields(got.stdout), " "))
					if m == nil {
						return ""
					}
					return m[1]
				}
				replay := of(append([]string{"replay"}, args...)...)
				if replay == "" {
					continue
				}
				named++
				size := of(append(append([]string{"size"}, args...), "--budget", "200ms")...)
				if brief := regexp.MustCompile(`^(parts for|transpose) [0-9]+ (channels|parts by octaves)$`).FindStringSubmatch(replay); brief != nil {
					require.Regexp(t, "^"+brief[1]+" ", size, "%s %s %s", rig, song, voices)
					continue
				}
				require.True(t, strings.HasPrefix(size, replay), "%q is not how %q begins: %s %s %s", replay, size, rig, song, voices)
			}
		}
	}
	require.Greater(t, named, corpora.Some(3, 20))
}
