package cli

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// codeOf reads the plan code of a run from its JSON.
func codeOf(t *testing.T, args ...string) string {
	t.Helper()
	got := run(t, "", append(args, "--json")...)
	require.Equal(t, exitFine, got.status, got.stderr)
	var v struct{ Fingerprint string }
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &v))
	require.Len(t, v.Fingerprint, 8)
	return v.Fingerprint
}

// Every view of one run carries one code, and that of another run has another.
// Without CHOIRLOFT_CORPORA every third view is made. A PDF keeps its text packed:
// pdftotext of poppler-utils reads it, where the programs from outside are.
func TestEveryViewCarriesTheCode(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	dir := t.TempDir()
	song := excerpt(t, dir)
	seen := map[string]bool{}
	for n, c := range []struct {
		args    []string
		endings []string
	}{
		{[]string{"replay", demoRig, song}, []string{".txt", ".json", ".md", ".html", ".svg", ".png", ".pdf"}},
		{[]string{"replay", demoRig, song, "--steal", "oldest"}, []string{".txt", ".json", ".md", ".html", ".svg", ".png", ".pdf"}},
		{[]string{"replay", demoRig, song, song, "--steal", "lowest"}, []string{".txt", ".json", ".md", ".html", ".pdf"}},
		{[]string{"size", demoRig, song, "--voices", "10"}, []string{".txt", ".json", ".md", ".html", ".svg", ".png", ".csv", ".pdf"}},
		{[]string{"size", demoRig, song, song, "--voices", "11"}, []string{".txt", ".json", ".md", ".html", ".csv", ".pdf"}},
		{[]string{"size", demoRig, "--playing", "notes, 2 a second, 1 s", "--voices", "12"}, []string{".txt", ".json", ".md", ".html", ".csv", ".pdf"}},
		{[]string{"map", demoRig, "--unison", "pad=4"}, []string{".txt", ".json", ".md", ".html", ".svg", ".csv", ".pdf"}},
		{[]string{"map", demoRig, "--without", "M1"}, []string{".txt", ".json", ".md", ".html", ".pdf"}},
	} {
		code := codeOf(t, c.args...)
		require.False(t, seen[code], "%v", c.args)
		seen[code] = true
		every := corpora.Some(6, 1)
		for i := n % every; i < len(c.endings); i += every {
			ending := c.endings[i]
			if ending == ".pdf" && !corpora.Asked() {
				continue
			}
			file := filepath.Join(dir, "view"+ending)
			got := run(t, "", append(slices.Clone(c.args), "-o", file)...)
			require.Equal(t, exitFine, got.status, got.stderr)
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			if ending == ".pdf" {
				data, err = exec.Command("pdftotext", "-layout", file, "-").Output()
				require.NoError(t, err)
			}
			require.Contains(t, string(data), code, "%v %s", c.args, ending)
		}
	}
	rig, err := (&app{}).loadRig(t.Context(), filepath.Join(top, demoRig))
	require.NoError(t, err)
	require.True(t, seen[rig.Fingerprint()], "without overrides it is the rig's")
}

// A dealt song says for which plan, and what is made from it carries that code.
func TestDealtSongsCarryTheirCode(t *testing.T) {
	corpora.Patient(t)
	dir := t.TempDir()
	var dealt []string
	codes := map[string]bool{}
	for _, rule := range []string{"oldest", "lowest"} {
		file := filepath.Join(dir, rule+".mid")
		dealt = append(dealt, file)
		code := codeOf(t, "write", demoRig, demoSong, "--steal", rule, "-o", file)
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		song, err := midi.Read(data, midi.Options{})
		require.NoError(t, err)
		_, found, ok := deal.DealtFor(song)
		require.True(t, ok)
		require.Equal(t, code, found)
		require.Equal(t, code, codeOf(t, "replay", demoRig, file, "--dealt"))
		require.Equal(t, code, codeOf(t, "replay", demoRig, file, file, "--dealt"))
		again := codeOf(t, "replay", demoRig, file, "--dealt", "--release", "1 s")
		require.Equal(t, plan.MustParse("--release", "1 s").Code(code), again)
		codes[code] = true
	}
	both := codeOf(t, "replay", demoRig, dealt[0], dealt[1], "--dealt")
	require.Equal(t, both, codeOf(t, "replay", demoRig, dealt[1], dealt[0], "--dealt"))
	require.False(t, codes[both])
	require.Len(t, codes, 2)
}

// Control voltages, line checks and their pages carry the code too.
func TestWhatIsWrittenCarriesTheCode(t *testing.T) {
	corpora.Patient(t)
	dir := t.TempDir()
	cv, check := filepath.Join(dir, "cv.wav"), filepath.Join(dir, "check.mid")
	code := codeOf(t, "write", demoRig, demoSong, "--voices", "2", "--rate", "8000", "-o", cv)
	lines := codeOf(t, "write", demoRig, "--line-check", "--unison", "pad=4", "-o", check)
	require.NotEqual(t, code, lines)
	sound := filepath.Join(dir, "sound.wav")
	heard := codeOf(t, "listen", demoRig, demoSong, "--voices", "2", "--to", "1", "-o", sound)
	require.Equal(t, code, heard)
	for file, code := range map[string]string{cv: code, cv + ".txt": code, check: lines, sound: heard, sound + ".txt": heard} {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		require.Contains(t, string(data), code, file)
	}
}
