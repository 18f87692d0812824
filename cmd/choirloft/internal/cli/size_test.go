package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSizeRefuses(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"--rules", "oldest"}, `--rules oldest: found "oldest", want few, all, or a picking and a stealing rule`},
		{[]string{"--rules", "lowest/oldes"}, `--rules lowest/oldes: unknown stealing rule "oldes"`},
		{[]string{"--rules", "fixed/oldest"}, "--rules fixed/oldest: fixed needs a voice for each key"},
		{[]string{"--by", "voice"}, `--by voice: found "voice", want part or bank`},
		{[]string{"--rack", "6x4"}, "--rack is for --by bank"},
		{[]string{"--by", "bank", "--rack", "six"}, "--rack six: want banks by voices"},
		{[]string{"--by", "bank", "--rack", "17x4"}, "--rack 17x4: want 1 to 16 banks of at least 1 voice"},
		{[]string{"--by", "bank", "--price", "jack 3"}, `--price jack 3: found "jack 3", want voice, bank, interface, supply, row, multiple or cable, and a number`},
		{[]string{"--by", "bank", "--price", "voice NaN"}, `--price voice NaN: found "voice NaN", want voice, bank, interface, supply, row, multiple or cable, and a number`},
		{[]string{"--budget", "0s"}, "--budget 0s: want a time above 0"},
		{[]string{demoSong, "--drill"}, "--by, --pairs, --sensitivity and --drill are for one song"},
	} {
		got := run(t, "", append([]string{"size", demoRig, demoSong}, c.args...)...)
		require.Equal(t, exitUsage, got.status, "%v", c.args)
		require.Contains(t, got.stderr, "choirloft: "+c.want)
		require.Empty(t, got.stdout)
	}
}

// The JSON holds what the contract names, for every number of voices from 1 to
// two beyond the audible peak, and each fix is what replay says with its flags.
func TestSizeJSON(t *testing.T) {
	printed, err := os.ReadFile(filepath.Join(goldens, "size-demo.json"))
	require.NoError(t, err)
	var size struct {
		Version int
		Curve   []struct {
			Voices        int
			UnavoidableS  float64 `json:"unavoidable_s"`
			FewestDamaged int     `json:"fewest_damaged"`
			Rules         []struct {
				Pick, Steal, Tails string
				Damaged            int
				LostGateS          float64 `json:"lost_gate_s"`
				TailCuts           int     `json:"tail_cuts"`
			}
		}
		Enough struct{ Held, Pedal, Audible int }
		Fixes  []struct {
			Command string
			Flags   []string
			After   struct {
				Damaged   int
				LostGateS float64 `json:"lost_gate_s"`
				TailCuts  int     `json:"tail_cuts"`
			}
		}
	}
	require.NoError(t, json.Unmarshal(printed, &size))
	require.Equal(t, 1, size.Version)
	require.Len(t, size.Curve, 26)
	require.Equal(t, 24, size.Enough.Audible)
	for i, at := range size.Curve {
		require.Equal(t, i+1, at.Voices)
	}
	// cmd/demosong, without the engine: fewest damaged and unavoidable at 12, 10 and 8 voices.
	for voices, want := range map[int]struct {
		fewest int
		lost   float64
	}{12: {2, 0.12}, 10: {11, 1.02}, 8: {24, 2.70}} {
		at := size.Curve[voices-1]
		require.Equal(t, want.fewest, at.FewestDamaged)
		require.InDelta(t, want.lost, at.UnavoidableS, 1e-5)
		for _, r := range at.Rules {
			require.GreaterOrEqual(t, r.Damaged, at.FewestDamaged)
		}
	}
	type replayed struct {
		Damaged   int
		LostGateS float64 `json:"lost_gate_s"`
		Endings   map[string]int
	}
	require.NotEmpty(t, size.Fixes)
	for _, fix := range size.Fixes {
		if fix.Command != "replay" {
			continue // whatif's tests play recordings
		}
		flags := fix.Flags
		if !strings.Contains(strings.Join(flags, " "), "--voices") {
			flags = append([]string{"--voices", "12"}, flags...)
		}
		again := run(t, "", append([]string{"replay", demoRig, demoSong, "--json"}, flags...)...)
		require.Equal(t, exitFine, again.status, again.stderr)
		var r replayed
		require.NoError(t, json.Unmarshal([]byte(again.stdout), &r))
		require.Equal(t, fix.After.Damaged, r.Damaged, "%v", flags)
		require.Equal(t, fix.After.LostGateS, r.LostGateS, "%v", flags)
		require.Equal(t, fix.After.TailCuts, r.Endings["tail_cut_other_key"], "%v", flags)
	}
}

func TestSizeCSV(t *testing.T) {
	file := filepath.Join(t.TempDir(), "curve.csv")
	got := run(t, "", "size", demoRig, demoSong, "--rules", "lowest/oldest", "-o", file)
	require.Equal(t, exitFine, got.status, got.stderr)
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSuffix(string(data), "\r\n"), "\r\n")
	require.Len(t, lines, 1+26*3, "a head, then own, known and unknown for 1 to 26 voices")
	require.Equal(t, "file,voices,pick,steal,tails,damaged,overlap_only,lost_gate_s,tail_cuts,loudest_cut_db,audible_loss,fewest_damaged,unavoidable_s,least_audible,above_held,above_pedal,above_audible,fingerprint", lines[0])
	require.True(t, strings.HasPrefix(lines[3], demoSong+",1,lowest,oldest,unknown,"), lines[3])
}

// Every answer is a document, a song's curves alone are one page, and a report
// goes on paper.
func TestSizeDocuments(t *testing.T) {
	pages := regexp.MustCompile(`/Type /Page\b`)
	song := excerpt(t, t.TempDir())
	written := func(ending string, args ...string) string {
		file := filepath.Join(t.TempDir(), "size"+ending)
		got := run(t, "", append(append([]string{"size", demoRig}, args...), "-o", file)...)
		require.Equal(t, exitFine, got.status, got.stderr)
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		return string(data)
	}
	playing := []string{"--playing", "notes, 1 a second, 1 s"}
	for _, c := range []struct {
		args []string
		head string
		html string // besides
	}{
		{[]string{song}, "What each number of voices loses", "<svg"},
		{[]string{song, song}, "What each song loses on the voices in service, and needs", ""},
		{playing, "What each number of voices loses", "<table"},
	} {
		require.Contains(t, written(".md", c.args...), "## "+c.head+"\n")
		page := written(".html", c.args...)
		require.Contains(t, page, "<h2>"+c.head+"</h2>")
		require.Contains(t, page, c.html)
		require.NotEmpty(t, pages.FindAllString(written(".pdf", c.args...), -1))
	}
	require.Contains(t, written(".html", append(playing, "--date", "2026-11-25")...), "2026-11-25")
	require.Len(t, pages.FindAllString(written(".pdf", song), -1), 1)
	require.Greater(t, len(pages.FindAllString(written(".pdf", song, "--report"), -1)), 2)
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{song, "-o", "x.html", "--report"}, "--report is for -o with a file that ends in .pdf"},
		{[]string{song, song, "-o", "x.svg"}, "-o x.svg: pictures are of one song"},
		{append(playing[:2:2], "-o", "x.png"), "-o x.png: an estimate is not drawn"},
		{append(playing[:2:2], "--paper", "letter"), "--paper is for what is printed"},
	} {
		got := run(t, "", append([]string{"size", demoRig}, c.args...)...)
		require.Equal(t, exitUsage, got.status, "%v", c.args)
		require.Contains(t, got.stderr, "choirloft: "+c.want)
	}
}

// A faulty song among several is reported, and the others are sized.
func TestSizeOfSeveral(t *testing.T) {
	got := run(t, "", "size", demoRig, demoSong, "README.md", "--json")
	require.Equal(t, exitUsage, got.status)
	require.Contains(t, got.stderr, "README.md: ")
	var all struct {
		Songs  []struct{ Voices int }
		Failed []struct{ File string }
		Worst  struct{ Pedal struct{ Voices int } }
		Median struct{ Audible int }
	}
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &all))
	require.Len(t, all.Songs, 1)
	require.Equal(t, "README.md", all.Failed[0].File)
	require.Equal(t, []int{13, 24}, []int{all.Worst.Pedal.Voices, all.Median.Audible})
}
