package cli

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/midi/corpora"
)

// TestLiveTake: a take is played in real time, each note on the channel of its voice, and
// then the session ends. It refuses an input beside it, and a song that is no take.
func TestLiveTake(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	dir := scratch(t, map[string]string{"rig.yaml": takenWall + "voices: {kiln: {profile: saw-lowpass}}\n"})
	rig, mid, out := filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "take.mid"), filepath.Join(dir, "out.bytes")
	require.Equal(t, exitFine, run(t, "", "write", rig, "--take", "--short", "--only", "K2", "--keys", "60", "-o", mid).status)
	data, err := os.ReadFile(mid)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	began := time.Now()
	// a process of its own: a pipe that a test beside it breaks would end the session
	said, err := exec.Command("choirloft", "live", rig, "--take", mid, "--out", out, "--quiet").CombinedOutput()
	require.NoError(t, err, string(said))
	require.GreaterOrEqual(t, time.Since(began), song.Duration()-100*time.Millisecond)
	sent, err := os.ReadFile(out)
	require.NoError(t, err)
	var want, heard []byte
	for _, e := range song.Events {
		if e.Kind() == midi.NoteOn && e.Data2 > 0 {
			want = append(want, e.Status, e.Data1)
		}
	}
	for i := 0; i+2 < len(sent); i++ {
		if sent[i] == 0x91 && sent[i+2] > 0 { // K2 is on channel 2
			heard = append(heard, sent[i], sent[i+1])
		}
	}
	require.Equal(t, want, heard)
	require.Len(t, want, 2*4) // two roll calls, a reading, the fade

	require.Contains(t, run(t, "", "live", rig, "--take", mid, "--in", "-", "--out", out).stderr, "--take and --in cannot go together")
	require.Contains(t, run(t, "", "live", rig, "--take", filepath.Join(top, demoSong), "--out", out).stderr, "this file is no take")
}
