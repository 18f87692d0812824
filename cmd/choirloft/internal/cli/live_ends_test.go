package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestLiveSparesFiles: no output is an input, the rig, a song, the log or another
// output, under whichever name; what is refused leaves every file as it was.
func TestLiveSparesFiles(t *testing.T) {
	dir := scratch(t, map[string]string{"rig.yaml": livedWall, "song.mid": noNotes, "song.raw": noNotes, "bytes": "\x90\x3c\x64", "log.mid": noNotes, "other.yaml": "rig: X\n"})
	at := func(name string) string { return filepath.Join(dir, name) }
	rig := at("rig.yaml")
	require.NoError(t, os.Link(rig, at("hard")))
	require.NoError(t, os.Symlink("rig.yaml", at("soft")))
	require.NoError(t, os.Symlink("bytes", at("bytes too")))
	require.NoError(t, os.Symlink("rig.yaml", at("rig.mid")))
	require.NoError(t, os.Mkdir(at("folder.mid"), 0o777))
	const lost = "\n    what is played would go over it; name another file\n"
	const kind = ": this is a MIDI file, want a FIFO, a device or a file of raw MIDI bytes\n    --log keeps what comes in as a MIDI file; choirloft write makes one of a song\n"
	for _, c := range []struct {
		name string
		args []string
		want string
	}{
		{"the rig", []string{"--out", at("hard"), "--out", at("x")}, "--out DIR/hard: this is also read, as the rig" + lost},
		{"the rig by a link", []string{"--out", at("x"), "--out", at("soft")}, "--out DIR/soft: this is also read, as the rig" + lost},
		{"the rig as a log", []string{"--out", at("x"), "--out", at("y"), "--log", at("rig.mid")}, "--log DIR/rig.mid: this is also read, as the rig" + lost},
		{"an input", []string{"--in", at("bytes"), "--out", at("bytes too"), "--out", at("x")}, "--out DIR/bytes too: this is also read, as --in DIR/bytes" + lost},
		{"a song by its name", []string{"--out", at("song.mid"), "--out", at("x")}, "--out DIR/song.mid" + kind},
		{"a song by its bytes", []string{"--out", at("song.raw"), "--out", at("x")}, "--out DIR/song.raw" + kind},
		{"another rig", []string{"--out", at("other.yaml"), "--out", at("x")}, "--out DIR/other.yaml: the name is that of a rig file, want a FIFO, a device or a file of raw MIDI bytes\n    give it another ending\n"},
		{"two outputs", []string{"--out", at("x"), "--out", dir + "/./folder.mid/../x"}, "--out DIR/./folder.mid/../x: this is the same file as --out DIR/x\n    name another file\n"},
		{"two outputs by a link", []string{"--out", at("bytes"), "--out", at("bytes too")}, "--out DIR/bytes too: this is the same file as --out DIR/bytes\n    name another file\n"},
		{"an input as a log", []string{"--in", at("log.mid"), "--out", at("x"), "--out", at("y"), "--log", at("log.mid")}, "DIR/log.mid: this is a MIDI file, want the bytes of an instrument as they are played\n    choirloft replay plays it, choirloft write deals it to the voices\n"},
		{"a folder as a log", []string{"--out", "/dev/null", "--out", "/dev/null", "--log", at("folder.mid")}, "DIR/folder.mid: this is a folder, want a file\n"},
		{"a log in no folder", []string{"--out", "/dev/null", "--out", "/dev/null", "--log", at("no/log.mid")}, "DIR/no/log.mid: no such file or directory\n"},
		{"an output in no folder", []string{"--out", at("no/x"), "--out", "/dev/null"}, "DIR/no/x: no such file or directory\n"},
		{"no device", []string{"--out", "/dev/no-such-midi", "--out", "/dev/null"}, "/dev/no-such-midi: there is no such device\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := run(t, "", append([]string{"live", rig}, c.args...)...)
			require.Equal(t, "choirloft: "+c.want, strings.ReplaceAll(got.stderr, dir, "DIR"))
			require.Equal(t, exitUsage, got.status)
			for name, data := range map[string]string{"rig.yaml": livedWall, "song.mid": noNotes, "song.raw": noNotes, "bytes": "\x90\x3c\x64", "log.mid": noNotes, "other.yaml": "rig: X\n"} {
				now, err := os.ReadFile(at(name))
				require.NoError(t, err)
				require.Equal(t, data, string(now), name)
			}
		})
	}
}

// TestLiveKeepsOlderLogs: a log that is there may be all that is left of an evening:
// it gets another name, again and again, and a link is followed.
func TestLiveKeepsOlderLogs(t *testing.T) {
	dir, rig := smallRig(t)
	require.NoError(t, os.Mkdir(filepath.Join(dir, "evenings"), 0o777))
	require.NoError(t, os.Symlink("evenings/log.mid", filepath.Join(dir, "link.mid")))
	for n, note := range []string{"\x90\x30\x64", "\x90\x31\x64", "\x90\x32\x64"} {
		got := run(t, note, "live", rig, "--out", "/dev/null", "--quiet", "--log", filepath.Join(dir, "link.mid"))
		require.Equal(t, exitFine, got.status, got.stderr)
		if n > 0 {
			require.Equal(t, "choirloft: the older "+filepath.Join(dir, "link.mid")+" is now log-"+string(rune('0'+n))+".mid\n", got.stderr)
		}
	}
	for name, key := range map[string]byte{"log-1.mid": 0x30, "log-2.mid": 0x31, "log.mid": 0x32} {
		data, err := os.ReadFile(filepath.Join(dir, "evenings", name))
		require.NoError(t, err)
		require.Equal(t, [3]byte{0x90, key, 0x64}, logEvents(t, data)[0], name)
	}
}
