//go:build unix

package cli

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// rounds is how often what is random is tried: CHOIRLOFT_ROUNDS, or 2, with CHOIRLOFT_CORPORA 5.
func rounds(t *testing.T) int {
	text := os.Getenv("CHOIRLOFT_ROUNDS")
	if text == "" {
		return corpora.Some(2, 5)
	}
	n, err := strconv.Atoi(text)
	require.NoError(t, err)
	return n
}

// inFolder is what the files in a folder hold, by their names.
func inFolder(t *testing.T, dir string) map[string]string {
	t.Helper()
	all, err := os.ReadDir(dir)
	require.NoError(t, err)
	got := map[string]string{}
	for _, entry := range all {
		if entry.IsDir() {
			continue
		}
		data, err := os.ReadFile(filepath.Join(dir, entry.Name()))
		require.NoError(t, err)
		got[entry.Name()] = string(data)
	}
	return got
}

// TestStemsKilled kills a run that writes stems over older ones at a random
// moment. All are old or all are new once another run has been there, and nothing
// else is left.
func TestStemsKilled(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	rig, song := absolute(t, demoRig), absolute(t, demoSong)
	fresh := t.TempDir()
	write := func(dir string) *exec.Cmd {
		return exec.Command("choirloft", "write", rig, song, "-o", filepath.Join(dir, "out.mid"), "--stems")
	}
	began := time.Now()
	said, err := write(fresh).CombinedOutput()
	require.NoError(t, err, string(said))
	takes := time.Since(began)
	stems := inFolder(t, fresh)
	require.Greater(t, len(stems), 3)

	mixed, wrote := 0, 0
	for range rounds(t) {
		dir := t.TempDir()
		for name := range stems {
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("old"), 0o666))
		}
		cmd := write(dir)
		require.NoError(t, cmd.Start())
		time.Sleep(takes/4 + rand.N(2*takes))
		cmd.Process.Kill()
		cmd.Wait()
		count := func() (renewed int) {
			got := inFolder(t, dir)
			for name, text := range stems {
				if got[name] == text {
					renewed++
				} else {
					require.Equal(t, "old", got[name], "%s is neither", name)
				}
			}
			return renewed
		}
		if n := count(); n > 0 && n < len(stems) {
			mixed++
		}
		said, err := exec.Command("choirloft", "check", rig, "-o", filepath.Join(dir, "next.txt")).CombinedOutput()
		require.NoError(t, err, string(said))
		renewed := count()
		require.Contains(t, []int{0, len(stems)}, renewed, "%s", said)
		if renewed > 0 {
			wrote++
		}
		require.Len(t, inFolder(t, dir), len(stems)+1, "nothing else is left")
	}
	t.Logf("runs of %v: %d left old and new stems until the next run; then %d were all new", takes.Round(time.Millisecond), mixed, wrote)
}

func absolute(t *testing.T, path string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join(top, path))
	require.NoError(t, err)
	return path
}

// TestTwoTunes has two runs write corrections of different voices into one rig at
// once. Whoever says that it did has: its correction stands there. The other says
// that it did not, in a sentence, and with a status of its own.
func TestTwoTunes(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	dir := scratch(t, map[string]string{
		"a1.csv": "voice,key,hertz\nK1,36,65.5\nK1,60,262\nK1,84,1047\n",
		"a2.csv": "voice,key,hertz\nK2,36,65.5\nK2,60,262\nK2,84,1047\n",
	})
	rig := filepath.Join(dir, "rig.yaml")
	told, both := 0, 0
	for range 2 * rounds(t) {
		require.NoError(t, os.WriteFile(rig, []byte(tunedWall), 0o666))
		var runs [2]*exec.Cmd
		var out, errs [2]bytes.Buffer
		for i := range runs {
			runs[i] = exec.Command("choirloft", "tune", rig, filepath.Join(dir, fmt.Sprintf("a%d.csv", i+1)), "--write")
			runs[i].Stdout, runs[i].Stderr = &out[i], &errs[i]
			require.NoError(t, runs[i].Start())
		}
		wrote := 0
		for _, run := range runs {
			run.Wait()
		}
		now, err := os.ReadFile(rig)
		require.NoError(t, err)
		for i, run := range runs {
			correction := fmt.Sprintf("K%d: {offset", i+1)
			switch status := run.ProcessState.ExitCode(); status {
			case exitFine:
				wrote++
				require.Contains(t, string(now), correction, "what was said to be written is")
				require.Contains(t, out[i].String(), "written into")
			default:
				told++
				require.Equal(t, exitFailed, status)
				require.NotContains(t, string(now), correction)
				require.Empty(t, out[i].String())
				require.Equal(t, "choirloft: "+rig+": the file has been changed meanwhile, so nothing was written\n    begin again from what stands there now\n", errs[i].String())
			}
		}
		require.NotZero(t, wrote, "one of them wins")
		if wrote == 2 {
			both++
		}
		require.Len(t, inFolder(t, dir), 3)
	}
	t.Logf("%d were told that nothing was written; %d times one began after the other had ended", told, both)
}

// TestTuneSaysWrittenAfterwards: where the rig cannot be written nothing says
// that it was, and the result is not written either.
func TestTuneSaysWrittenAfterwards(t *testing.T) {
	dir := scratch(t, map[string]string{"rig.yaml": tunedWall, "r.csv": "voice,key,hertz\nK1,36,65.5\nK1,60,262\nK1,84,1047\n"})
	at := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.Mkdir(at("results"), 0o777))
	require.NoError(t, os.Mkdir(at("results/r.txt"), 0o777))
	got := run(t, "", "tune", at("rig.yaml"), at("r.csv"), "--write", "-o", at("results/r.txt"))
	require.Equal(t, exitUsage, got.status)
	require.NotContains(t, got.stdout+got.stderr, "written into")
	require.Equal(t, tunedWall, inFolder(t, at("."))["rig.yaml"])

	require.NoError(t, os.Remove(at("results/r.txt")))
	got = run(t, "", "tune", at("rig.yaml"), at("r.csv"), "--write", "-o", at("results/r.txt"))
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Contains(t, inFolder(t, at("results"))["r.txt"], "written into")
	require.Contains(t, inFolder(t, at("."))["rig.yaml"], "K1: {offset")

	got = run(t, "", "tune", at("rig.yaml"), at("rig.yaml"), "--write")
	require.Equal(t, exitUsage, got.status)
	require.True(t, strings.HasPrefix(got.stderr, "choirloft: --write "+at("rig.yaml")+": this is also read, it would be lost\n"), got.stderr)
}

// TestReadersSettle: what a run that was killed left between two renamings, one
// of two files new, is finished before the next command reads them, and said.
func TestReadersSettle(t *testing.T) {
	song, err := os.ReadFile(absolute(t, demoSong))
	require.NoError(t, err)
	for _, folder := range []bool{false, true} {
		dir := scratch(t, map[string]string{"a.mid": string(song), ".choirloft-1.old": "old", "b.mid": "old", ".choirloft-2.tmp": string(song)})
		print := func(name string) string {
			info, err := os.Stat(filepath.Join(dir, name))
			require.NoError(t, err)
			return fmt.Sprintf(`{"size": %d, "time": %q, "number": %d}`, info.Size(), info.ModTime().UTC().Format(time.RFC3339Nano), info.Sys().(*syscall.Stat_t).Ino)
		}
		journal := fmt.Sprintf(`{"version": 1, "files": [
			{"name": "a.mid", "new": ".choirloft-1.tmp", "old": ".choirloft-1.old", "was": %s, "is": %s},
			{"name": "b.mid", "new": ".choirloft-2.tmp", "old": ".choirloft-2.old", "was": %s, "is": %s}]}`,
			print(".choirloft-1.old"), print("a.mid"), print("b.mid"), print(".choirloft-2.tmp"))
		require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf(".choirloft-%d.journal", os.Geteuid())), []byte(journal), 0o600))
		read := filepath.Join(dir, "b.mid")
		if folder {
			read = dir
		}
		got := run(t, "", "replay", demoRig, read)
		require.Equal(t, exitFine, got.status, got.stderr)
		require.Contains(t, got.stderr, "choirloft: an earlier run was cut off while it wrote "+filepath.Join(dir, "a.mid")+" and 1 more: it is finished now\n")
		require.Equal(t, map[string]string{"a.mid": string(song), "b.mid": string(song)}, inFolder(t, dir))
	}
}
