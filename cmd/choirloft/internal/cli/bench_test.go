package cli

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// manyNotes is a song of 10 000 notes, five a second, each a second long.
func manyNotes() []byte {
	var track bytes.Buffer
	keys := func(n int) byte { return byte(40 + n*7%41) }
	track.WriteString("\x00\xff\x51\x03\x07\xa1\x20") // 120 bpm; 100 ticks a quarter
	for n := range 10_000 {
		track.Write([]byte{40, 0x90, keys(n), 80})
		if n >= 5 {
			track.Write([]byte{0, 0x80, keys(n - 5), 64})
		}
	}
	track.WriteString("\x00\xff\x2f\x00")
	size := track.Len()
	head := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x64MTrk")
	return append(append(head, byte(size>>24), byte(size>>16), byte(size>>8), byte(size)), track.Bytes()...)
}

// BenchmarkReplay plays 10 000 notes on four voices, which lose many: a whole
// run of the command, in process.
func BenchmarkReplay(b *testing.B) {
	song := manyNotes()
	for _, view := range []string{"text", "json"} {
		b.Run(view, func(b *testing.B) {
			args := []string{"replay", "testdata/rigs/small-wall.yaml", "-", "--voices", "4", "--pick", "lowest"}
			if view == "json" {
				args = append(args, "--json")
			}
			for b.Loop() {
				var stderr bytes.Buffer
				require.Equal(b, exitFine, Run(b.Context(), args, bytes.NewReader(song), io.Discard, &stderr), stderr.String())
			}
		})
	}
}

// BenchmarkWrite deals 10 000 notes to four voices, and to sixteen with a
// unison of two and bends, file and all: a whole run of the command, in process.
func BenchmarkWrite(b *testing.B) {
	song := manyNotes()
	file := filepath.Join(b.TempDir(), "dealt.mid")
	for name, args := range map[string][]string{
		"four":   {"testdata/rigs/small-wall.yaml", "-", "--voices", "4"},
		"unison": {"testdata/kiln-yard.yaml", "-", "--unison", "2", "--steal", "least-lost"},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				var stderr bytes.Buffer
				args := append([]string{"write", "-o", file}, args...)
				require.Equal(b, exitFine, Run(b.Context(), args, bytes.NewReader(song), io.Discard, &stderr), stderr.String())
			}
		})
	}
}

// wallOf64 is a rig of 64 voices on three interfaces, with two unisons.
func wallOf64() string {
	var rig strings.Builder
	rig.WriteString("rig: Wall\ninterfaces:\n  left: {profile: cv32-gate32}\n  right: {profile: cv32-gate32}\n  third: {profile: cv32-gate32}\n")
	rig.WriteString("voices: {k: {profile: saw-lowpass, drift: 3 cents}}\nbanks:\n  K: {voices: 8, lanes: [cutoff]}\n")
	for _, bank := range "LMNPQRS" {
		rig.WriteString("  " + string(bank) + ": {voices: 8}\n")
	}
	rig.WriteString("parts:\n  pad: {channel: 1, unison: {voices: 3, spread: 14 cents, law: uneven}}\n  lead: {channel: 2, banks: [K, L], unison: {voices: 2, spread: 3 cents}}\n")
	return rig.String()
}

// BenchmarkSheet prints the sheet of 64 voices as a process, and between two of them starts one
// that does nothing: how many starts a sheet takes says more of a busy machine than the time.
func BenchmarkSheet(b *testing.B) {
	dir := b.TempDir()
	rig, sheet := filepath.Join(dir, "wall.yaml"), filepath.Join(dir, "wall.pdf")
	require.NoError(b, os.WriteFile(rig, []byte(wallOf64()), 0o666))
	run := func(args ...string) time.Duration {
		from := time.Now()
		said, err := exec.Command("choirloft", args...).CombinedOutput()
		require.NoError(b, err, "%s", said)
		return time.Since(from)
	}
	var sheets, starts time.Duration
	for b.Loop() {
		sheets += run("map", rig, "-o", sheet)
		starts += run("--version")
	}
	b.ReportMetric(float64(sheets.Milliseconds())/float64(b.N), "ms/sheet")
	b.ReportMetric(float64(starts.Milliseconds())/float64(b.N), "ms/start")
	b.ReportMetric(float64(sheets)/float64(starts), "starts/sheet")
}
