package cli

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// olderOutput is how live greets a port: both pedals up and all notes off (CC 64, 66,
// 123: MIDI 1.0, table III), and then whatever was played.
const olderOutput = "\xB0\x40\x00\xB0\x42\x00\xB0\x7B\x00\x90\x3C\x64"

// TestLiveSparesFiles: no output is an input, the rig, a song, the log or another
// output, under whichever name; what is refused leaves every file as it was.
func TestLiveSparesFiles(t *testing.T) {
	given := map[string]string{"rig.yaml": livedWall, "song.mid": noNotes, "song.raw": noNotes, "bytes": "\x90\x3c\x64", "log.mid": noNotes, "other.yaml": "rig: X\n", "readings.csv": "voice,v,hz\n", "older": olderOutput}
	dir := scratch(t, given)
	at := func(name string) string { return filepath.Join(dir, name) }
	rig := at("rig.yaml")
	require.NoError(t, os.Link(rig, at("hard")))
	require.NoError(t, os.Symlink("rig.yaml", at("soft")))
	require.NoError(t, os.Symlink("bytes", at("bytes too")))
	require.NoError(t, os.Symlink("rig.yaml", at("rig.mid")))
	require.NoError(t, os.Symlink("song.mid", at("link.mid")))
	require.NoError(t, os.Mkdir(at("folder.mid"), 0o777))
	const lost = "\n    what is played would go over it; name another file\n"
	const kind = ": this is a MIDI file, want a FIFO, a device or a file of raw MIDI bytes\n    --log keeps what comes in as a MIDI file; choirloft write makes one of a song\n"
	noLog := func(name string) string {
		return "DIR/" + name + ": this file is there, and it is no log of choirloft live\n    give --log another name, or delete the file first\n"
	}
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
		{"a folder as a log", []string{"--out", "/dev/null", "--out", "/dev/null", "--log", at("folder.mid")}, "DIR/folder.mid: this is a folder, want a file\n    give --log another name\n"},
		{"a log in no folder", []string{"--out", "/dev/null", "--out", "/dev/null", "--log", at("no/log.mid")}, "DIR/no/log.mid: there is no folder DIR/no\n    make the folder first, or give --log another name\n"},
		{"an output in no folder", []string{"--out", at("no/x"), "--out", "/dev/null"}, "DIR/no/x: there is no folder DIR/no\n    make the folder first, or name another\n"},
		{"an ordinary file", []string{"--out", at("x"), "--out", at("readings.csv")}, "--out DIR/readings.csv: this file is there, and choirloft live has not written it\n    what is in it would be lost; give --out another name, or delete the file first\n"},
		{"a song as a log", []string{"--out", at("x"), "--out", at("y"), "--log", at("song.mid")}, noLog("song.mid")},
		{"a link to a song as a log", []string{"--out", at("x"), "--out", at("y"), "--log", at("link.mid")}, noLog("link.mid")},
		{"a log without a name", []string{"--out", at("x"), "--out", at("y"), "--log", ""}, "--log: found no name, want one that ends in .mid\n    leave --log out to keep no log\n"},
		{"an older output, and a log in no folder", []string{"--out", at("older"), "--out", at("y"), "--log", at("no/log.mid")}, "DIR/no/log.mid: there is no folder DIR/no\n    make the folder first, or give --log another name\n"},
		{"an older output, and a song as a log", []string{"--out", at("older"), "--out", at("y"), "--log", at("song.mid")}, noLog("song.mid")},
		{"an older output, and one in no folder", []string{"--out", at("older"), "--out", at("no/y")}, "DIR/no/y: there is no folder DIR/no\n    make the folder first, or name another\n"},
		{"no device", []string{"--out", "/dev/no-such-midi", "--out", "/dev/null"}, "/dev/no-such-midi: there is no such device\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := run(t, "", append([]string{"live", rig}, c.args...)...)
			require.Equal(t, "choirloft: "+c.want, strings.ReplaceAll(got.stderr, dir, "DIR"))
			require.Equal(t, exitUsage, got.status)
			require.NoFileExists(t, at("x"))
			require.NoFileExists(t, at("y"))
			for name, data := range given {
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

// TestLiveSaysWhatItReplaced: what live wrote before is written anew, and it says so.
func TestLiveSaysWhatItReplaced(t *testing.T) {
	dir, rig := smallRig(t)
	raw := filepath.Join(dir, "raw")
	got := run(t, "\x90\x3c\x64", "live", rig, "--out", raw, "--quiet")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Empty(t, got.stderr)
	first, err := os.ReadFile(raw)
	require.NoError(t, err)
	require.Contains(t, string(first), "\x90\x3c\x64")
	got = run(t, "\x90\x3e\x64", "live", rig, "--out", raw, "--quiet")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Equal(t, "choirloft: "+raw+": an older file was replaced\n", got.stderr)
	second, err := os.ReadFile(raw)
	require.NoError(t, err)
	require.NotContains(t, string(second), "\x90\x3c\x64")
}

// TestLiveTwice: who comes second neither takes the log of the first nor writes into
// its file.
func TestLiveTwice(t *testing.T) {
	dir, rig := smallRig(t)
	log, raw := filepath.Join(dir, "both.mid"), filepath.Join(dir, "raw")
	keys, hand := io.Pipe()
	l := startLive(t, keys, rig, "--out", raw, "--quiet", "--log", log)
	hand.Write([]byte{0x90, 60, 100})
	soon(t, func() bool { data, _ := os.ReadFile(log); return len(data) > 0 }, "it has begun")
	got := run(t, "", "live", rig, "--out", "/dev/null", "--quiet", "--log", log)
	require.Equal(t, call{exitUsage, "", "choirloft: " + log + ": another choirloft live is writing this log\n    give --log another name\n"}, got)
	got = run(t, "", "live", rig, "--out", raw, "--quiet")
	require.Equal(t, exitUsage, got.status)
	require.Equal(t, "choirloft: "+raw+": another choirloft live writes to it\n    give --out another name, or end the other first\n", got.stderr)
	require.Contains(t, l.end(t), "Log: "+log)
	data, err := os.ReadFile(log)
	require.NoError(t, err)
	require.Equal(t, [3]byte{0x90, 60, 100}, logEvents(t, data)[0])
	require.NoFileExists(t, filepath.Join(dir, "both-1.mid"))
}
