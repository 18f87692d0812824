package cli

import (
	"bytes"
	"io"
	"path/filepath"
	"testing"

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
