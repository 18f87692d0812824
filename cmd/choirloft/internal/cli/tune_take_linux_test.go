package cli

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/midi/corpora"
)

// TestTuneTakeIsLean: a take of 24 voices at 48 kHz is read in 20 s of processor time and 200 MB.
func TestTuneTakeIsLean(t *testing.T) {
	corpora.Need(t, "read a take of 24 voices")
	dir := scratch(t, map[string]string{"rig.yaml": "rig: Wall\ninterfaces: {main: {profile: cv32-gate32, window: 0 V to 5 V, zero_key: 36}}\nbanks: {K: {voices: 24}}\n"})
	rig, mid, wav := filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "take.mid"), filepath.Join(dir, "take.wav")
	require.Equal(t, exitFine, run(t, "", "write", rig, "--take", "-o", mid).status)
	data, err := os.ReadFile(mid)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	sharp := map[midi.Channel]float64{}
	for i := range 24 {
		sharp[midi.Channel(i)] = float64(i%5) - 2
	}
	require.NoError(t, os.WriteFile(wav, []byte(playTakeAt(t, 48000, song, sharp)), 0o600))
	cmd := exec.Command("choirloft", "tune", rig, "--take", mid, "--wav", wav)
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	require.NoError(t, cmd.Start())
	peak := make(chan int)
	go func() { peak <- peakOf(cmd.Process.Pid) }()
	require.NoError(t, cmd.Wait(), said.String())
	most := <-peak
	require.Contains(t, said.String(), "all 24 voices answer in their place")
	spent := cmd.ProcessState.UserTime()
	t.Logf("%v of processor time, %d MiB", spent, most>>10)
	require.Less(t, spent, 20*time.Second)
	require.Positive(t, most)
	require.Less(t, most, 200<<10)
}

// peakOf is the most memory that a process had, in KiB, looked at until it is gone
// (proc_pid_status(5), VmHWM: of what it runs now, where getrusage counts its parent too).
func peakOf(pid int) (most int) {
	for {
		status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
		_, found, ok := strings.Cut(string(status), "VmHWM:")
		if err != nil || !ok {
			return most
		}
		fmt.Sscan(found, &most)
		time.Sleep(5 * time.Millisecond)
	}
}
