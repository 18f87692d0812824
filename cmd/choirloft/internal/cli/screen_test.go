package cli

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi/corpora"
	"choirloft/profiles/unit"
)

// mostLines is how many lines the answer to a song has at 80 columns.
const mostLines = 48

// heads says what the first four lines of an answer to one song say, by replaying
// it as JSON: what is lost, what is heard of it, what plays wrong or not, how many
// voices are needed and what the answer rests on, each with its number.
func heads(t *testing.T, text string, args ...string) {
	t.Helper()
	var r contract.Replay
	require.NoError(t, json.Unmarshal([]byte(run(t, "", append([]string{"replay", "--json"}, args...)...).stdout), &r))
	lines := strings.Split(text, "\n")
	head := strings.Join(lines[:min(4, len(lines))], "\n")
	if r.Song.Notes == 0 {
		require.Contains(t, head, "nothing to play")
		return
	}
	require.NotNil(t, r.Heard, "%v: long songs are listened to as well", args)
	says := []string{"\nRests on: release "}
	if n := r.Demand.None; n != nil {
		require.Regexp(t, fmt.Sprintf("\nNeeds %s( without [^.]+)?\\.", unit.Count(*n, "voice")), head)
	} else {
		require.Regexp(t, fmt.Sprintf("\nAt its peak %s( without [^.]+)?, %d with tails\\.", unit.Count(r.Demand.Pedal, "voice"), r.Demand.Audible), head)
	}
	for _, x := range []struct {
		n     int
		words string
	}{{r.Endings[study.Dropped], "%d of "}, {r.WrongPitches(), "%d notes? at the wrong pitch"},
		{r.Flags.Unmapped, "%d (of [0-9]+ )?(notes? )?((is|are) )?unplayed"}, {*r.Heard.Faint, "You would hear %d loss"}, {*r.Heard.Plain, "%d (loss )?plainly|all plainly"}} {
		if x.n > 0 {
			require.Regexp(t, strings.ReplaceAll(x.words, "%d", strconv.Itoa(x.n)), head)
		}
	}
	if cut := r.Damaged - r.Endings[study.Dropped]; cut > 0 {
		says = append(says, fmt.Sprintf("%d ", cut), "cut short")
	}
	if r.Damaged+r.WrongPitches()+r.Flags.Unmapped+*r.Heard.Faint > 0 {
		require.Regexp(t, "First fix: |choirloft size tries fixes", head, "%v", args)
	}
	for _, words := range says {
		require.Contains(t, head, words, "%v", args)
	}
}

// fits runs replay and holds it to a screen.
func fits(t *testing.T, args ...string) {
	t.Helper()
	got := run(t, "", append([]string{"replay"}, args...)...)
	require.Equal(t, exitFine, got.status, "%v: %s", args, got.stderr)
	lines := strings.Split(strings.TrimSuffix(got.stdout, "\n"), "\n")
	require.LessOrEqual(t, len(lines), mostLines, "%v\n%s", args, got.stdout)
	for _, line := range lines {
		require.LessOrEqual(t, len([]rune(line)), 80, line)
	}
	if !strings.Contains(lines[0], " songs on ") {
		heads(t, got.stdout, args...)
	}
}

// TestSongsFitAScreen: the demo on 1 to 24 voices.
func TestSongsFitAScreen(t *testing.T) {
	corpora.Patient(t)
	t.Setenv("COLUMNS", "80")
	for n := 1; n <= 24; n += corpora.Some(3, 1) {
		if n <= 19 {
			fits(t, demoRig, demoSong, "--voices", strconv.Itoa(n))
			continue
		}
		fits(t, demoRig, demoSong, "--more", strconv.Itoa(n-19))
	}
	fits(t, demoRig, demoSong, demoSong, "--voices", "4")
}

// TestCorporaFitAScreen: songs that are installed, on few voices of a rig and on all of another.
func TestCorporaFitAScreen(t *testing.T) {
	t.Setenv("COLUMNS", "80")
	rigs := []string{demoRig, fullRig}
	for i, path := range corpora.Songs(t) {
		fits(t, rigs[i%2], path)
		fits(t, rigs[1-i%2], path, "--voices", "4")
	}
	for _, c := range []corpora.Corpus{corpora.Simutrans, corpora.OpenMSX} {
		fits(t, demoRig, c.Folder)
	}
}

// TestAllShowsTheRest: with --all every loss has its line, without it six.
func TestAllShowsTheRest(t *testing.T) {
	const row = "stolen at once"
	short, all := run(t, "", "replay", demoRig, demoSong, "--voices", "4").stdout, run(t, "", "replay", demoRig, demoSong, "--voices", "4", "--all").stdout
	require.Equal(t, 6, strings.Count(short, row))
	require.Greater(t, strings.Count(all, row), 50)
	require.Contains(t, short, "The worst 6 of 292 losses that you would hear")
}

// TestPlainTerminals: the first of LC_ALL, LC_CTYPE and LANG that is set decides
// (POSIX.1-2017, 8.2); without UTF-8 every byte is ASCII, and no line longer.
func TestPlainTerminals(t *testing.T) {
	for _, x := range []struct {
		all, ctype, lang string
		utf8             bool
	}{{"M", "en_GB.UTF-8", "en_GB.UTF-8", false}, {"", "POSIX", "en_GB.UTF-8", false}, {"", "", "de_DE.ISO-8859-1", false},
		{"C.UTF-8", "M", "M", true}, {"", "en_GB.utf8", "M", true}, {"", "", "", true}} {
		t.Setenv("LC_ALL", x.all)
		t.Setenv("LC_CTYPE", x.ctype)
		t.Setenv("LANG", x.lang)
		t.Setenv("COLUMNS", "80")
		text := run(t, "", "replay", demoRig, demoSong, "--voices", "10").stdout
		require.Equal(t, x.utf8, strings.ContainsRune(text, '█'), "%+v", x)
		require.Equal(t, x.utf8, strings.ContainsFunc(text, func(r rune) bool { return r > 126 }), "%+v", x)
		for line := range strings.Lines(text) {
			require.LessOrEqual(t, len([]rune(strings.TrimSuffix(line, "\n"))), 80, line)
		}
	}
}
