package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// top is the folder in which the tests run; the goldens are in that of the package.
var (
	top     = above("../../../..")
	goldens = above("testdata")
)

func above(path string) string {
	path, err := filepath.Abs(path)
	if err != nil {
		panic(err)
	}
	return path
}

const (
	demoRig  = "testdata/kiln-yard.yaml"
	fullRig  = "testdata/rigs/full.yaml"
	demoSong = "testdata/slow-kiln.mid"
)

// call is what a run of the command gave.
type call struct {
	status         int
	stdout, stderr string
}

// run runs the command from the top folder.
func run(t *testing.T, stdin string, args ...string) call {
	t.Helper()
	var stdout, stderr bytes.Buffer
	status := Run(t.Context(), args, strings.NewReader(stdin), &stdout, &stderr)
	return call{status, stdout.String(), stderr.String()}
}

// runIn runs the command in a folder, in which the test then stays.
func runIn(t *testing.T, folder, stdin string, args ...string) call {
	t.Helper()
	t.Chdir(folder)
	return run(t, stdin, args...)
}

// scratch writes files into a folder of its own and returns it.
func scratch(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, data := range files {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, []byte(data), 0o666))
	}
	return dir
}

// noNotes is a MIDI file of one empty track.
const noNotes = "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x04\x00\xff\x2f\x00"

// late has two notes: 60 from 0 to 500 ms, 62 from 100 to 2000 ms. On a rig of
// pairs the second waits for 400 ms.
const (
	late = "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xF4MTrk\x00\x00\x00\x16" +
		"\x00\x90\x3C\x40\x64\x90\x3E\x40\x83\x10\x80\x3C\x40\x8B\x5C\x80\x3E\x40\x00\xFF\x2F\x00"
	pairs = "rig: Pairs\nbanks: {K: {voices: 2}}\nparts: {p: {unison: {voices: 2, when_short: wait}}}\n"
)

// A late start is in every view of a song, and in the table of several.
func TestLateStartIsShown(t *testing.T) {
	t.Setenv("COLUMNS", "120")
	dir := scratch(t, map[string]string{"pairs.yaml": pairs, "late.mid": late, "more/late.mid": late})
	for _, c := range []struct {
		name string
		args []string
		want []string
	}{
		{"text", []string{"replay", "pairs.yaml", "late.mid"}, []string{"1 of 2 notes is cut short, none dropped.", "1 note begins late, by up", "  K1     p D4 (62) outer: began late ", " unison\n"}},
		{"json", []string{"replay", "pairs.yaml", "late.mid", "--json"}, []string{`"damaged": 1,`, `"late_start": 1,`, `"ending": "late_start", "lost_s": 0.4, "level_db": null`}},
		{"songs", []string{"replay", "pairs.yaml", "late.mid", "more"}, []string{"2 with notes lost or wrong", "Began late: "}},
		{"size", []string{"size", "pairs.yaml", "late.mid"}, []string{"1 note cut short, 400 ms"}},
	} {
		got := runIn(t, dir, "", c.args...)
		require.Equal(t, 0, got.status, got.stderr)
		for _, want := range c.want {
			require.Contains(t, got.stdout, want, c.name)
		}
	}
	for name, want := range map[string][]string{
		"r.html": {"began late", "Began late"}, "r.md": {"began late"}, "r.svg": {">D4 began late, 8.8 dB"},
	} {
		got := runIn(t, dir, "", "replay", "pairs.yaml", "late.mid", "-o", name)
		require.Equal(t, 0, got.status, got.stderr)
		data, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		for _, text := range want {
			require.Contains(t, string(data), text, name)
		}
	}
}

// TestDealtVerdict: a dealt file does not know what was lost when it was dealt, and
// no rule has played it, so nothing is said of the best one.
func TestDealtVerdict(t *testing.T) {
	dir := scratch(t, map[string]string{"pairs.yaml": pairs + "interfaces: {main: {profile: cv8-gate8}}\n", "late.mid": late})
	dealt := runIn(t, dir, "", "write", "pairs.yaml", "late.mid", "-o", "dealt.mid")
	require.Contains(t, dealt.stdout, "1 of 2 notes is cut short", dealt.stderr)
	got := runIn(t, dir, "", "replay", "pairs.yaml", "dealt.mid", "--dealt")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.NotContains(t, got.stdout, "No rule")
	require.Contains(t, strings.Join(strings.Fields(got.stdout), " "), "The file does not hold what dealing cost, wrong pitches included: choirloft write says it.")
}

func TestStatus(t *testing.T) {
	song, err := os.ReadFile(filepath.Join(top, demoSong))
	require.NoError(t, err)
	dir := scratch(t, map[string]string{
		"empty.mid":       "",
		"random.mid":      "\x17\xc4\x00\x9a\xff\x01",
		"truncated.mid":   string(song[:1000]),
		"header.mid":      string(song[:10]),
		"nonotes.mid":     noNotes,
		"two.mid":         strings.Replace(noNotes, "\x00\x00\x00\x01", "\x00\x02\x00\x02", 1) + noNotes[14:],
		"folder/none.txt": "no song",
		"mixed/a.mid":     string(song),
		"mixed/b.mid":     "",
		"empty.yaml":      "",
		"nobanks.yaml":    "rig: None\n",
		"typo.yaml":       "rig: X\nbanks: {K: {voices: 4}}\nparts: {p: {bankz: [K]}}\n",
		"late.mid":        late,
		"wait.yaml":       pairs,
		"wait-400.yaml":   pairs + "timing: {overlap: 400 ms}\n",
		"wait-399.yaml":   pairs + "timing: {overlap: 399 ms}\n",
		"song.yaml":       string(song),
		"wait.json":       pairs,
		"out.yaml":        "rig: Out\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 1, out: [1]}}\n",
	})
	at := func(name string) string { return filepath.Join(dir, name) }
	huge, err := os.Create(at("huge.mid"))
	require.NoError(t, err)
	require.NoError(t, huge.Truncate(maxSong+1)) // a hole: takes no room on the disk
	require.NoError(t, huge.Close())
	for _, c := range []struct {
		name   string
		args   []string
		status int
		stderr string // all of it; DIR stands for the folder of the files
	}{
		{"fine", []string{"replay", demoRig, demoSong}, 0, ""},
		{"help", []string{"--help"}, 0, ""},
		{"no arguments", nil, 0, ""},
		{"check", []string{"check", demoRig}, 0, ""},
		{"no loss to fail on", []string{"replay", demoRig, demoSong, "--fail-on-loss"}, 0, ""},
		{"a loss to fail on", []string{"replay", demoRig, demoSong, "--fail-on-loss", "--voices", "8"}, 1, ""},
		{"a loss nobody minds", []string{"replay", demoRig, demoSong, "--voices", "8"}, 0, ""},
		{"a loss among several", []string{"replay", demoRig, demoSong, demoSong, "--fail-on-loss", "--voices", "8"}, 1, ""},
		{"a late start", []string{"replay", at("wait.yaml"), at("late.mid"), "--fail-on-loss"}, 1, ""},
		{"a note a little late", []string{"replay", at("wait-400.yaml"), at("late.mid"), "--fail-on-loss"}, 0, ""},
		{"too late by 1 ms", []string{"replay", at("wait-399.yaml"), at("late.mid"), "--fail-on-loss"}, 1, ""},
		{"a plan with an error", []string{"check", at("out.yaml")}, 1, ""},
		{"a song without notes", []string{"replay", demoRig, at("nonotes.mid")}, 0, ""},
		{"a truncated song", []string{"replay", demoRig, at("truncated.mid")}, 0, ""},

		{"unknown command", []string{"repaly"}, 2, "choirloft: no command \"repaly\", there are " + strings.Join(commandNames(), ", ") + "\n    did you mean replay?\n"},
		{"unknown flag", []string{"replay", "--pck", "x"}, 2, "choirloft: unknown flag: --pck\n    did you mean --pick?\n"},
		{"a voice left out by where live writes", []string{"map", demoRig, "--out", "K1"}, 2, "choirloft: unknown flag: --out\n    --out is where live writes; replay, size, write and map leave a voice out by --without VOICE\n"},
		{"flag without a value", []string{"replay", "--pick"}, 2, "choirloft: --pick needs a value\n    see choirloft replay --help\n"},
		{"flag of another type", []string{"replay", "--track", "x"}, 2, "choirloft: --track x: found \"x\", want a whole number, such as 3\n    see choirloft replay --help\n"},
		{"no song", []string{"replay", demoRig}, 2, "choirloft: want a rig file and at least one song; got testdata/kiln-yard.yaml\n    see choirloft replay --help\n"},
		{"two rigs", []string{"check", demoRig, demoRig}, 2, "choirloft: want one rig file; got testdata/kiln-yard.yaml testdata/kiln-yard.yaml\n    see choirloft check --help\n"},
		{"negative track", []string{"replay", demoRig, demoSong, "--track", "-1"}, 2, "choirloft: --track -1: tracks count from 1\n"},
		{"conflicting overrides", []string{"replay", demoRig, demoSong, "--pick", "pad=lowest", "--pick", "pad=nearest"}, 2, "choirloft: --pick pad=nearest: at odds with --pick pad=lowest, both are for part pad\n"},
		{"more voices than there are", []string{"replay", demoRig, demoSong, "--voices", "20"}, 2, "choirloft: --voices 20: only 19 voices are in service in the rig\n    --more 1 plays on that many, with voices that are not there yet\n"},
		{"unison past its voices", []string{"replay", demoRig, demoSong, "--unison", "21"}, 2, "choirloft: --unison 21: part pad has 20 voices in its banks\n    give it more banks, or a smaller unison\n"},
		{"unison past the rulers", []string{"replay", demoRig, demoSong, "--unison", "pad=13"}, 2, "choirloft: --unison pad=13: found 13 voices in unison, but the uneven pattern ends at 12 voices: take even, golden or random, or stacks of at most 12 voices\n"},
		{"code unknown", []string{"check", "--explain", "may-swp"}, 2, "choirloft: --explain may-swp: no finding has this code\n    did you mean may-swap?\n"},
		{"no time", []string{"size", demoRig, demoSong, "--budget", "x"}, 2, "choirloft: --budget x: found \"x\", want a time such as 10s\n    see choirloft size --help\n"},
		{"no whole number", []string{"size", demoRig, "--seed", "x"}, 2, "choirloft: --seed x: found \"x\", want a whole number, such as 3\n    see choirloft size --help\n"},
		{"code and rig", []string{"check", "--explain", "may-swap", demoRig}, 2, "choirloft: want no rig file beside --explain and --codes; got " + demoRig + "\n    see choirloft check --help\n"},
		{"map in no format", []string{"map", demoRig, "-o", at("m.doc")}, 2, "choirloft: -o DIR/m.doc: the ending \".doc\" names no format, there are .txt, .json, .md, .html, .pdf, .csv and .svg\n"},
		{"paper without a file", []string{"map", demoRig, "--paper", "letter"}, 2, "choirloft: --paper is for what is printed\n    add -o with a file that ends in .pdf, .svg or .html\n"},
		{"paper of no size", []string{"map", demoRig, "--paper", "b5", "-o", at("m.pdf")}, 2, "choirloft: --paper b5: found \"b5\", want a4 or letter\n"},
		{"bars that are not there", []string{"replay", demoRig, demoSong, "--from", "20", "-o", at("l.svg")}, 2, "choirloft: --from 20: the song has the bars 1 to 17\n"},
		{"bars of no picture", []string{"replay", demoRig, demoSong, "--from", "2"}, 2, "choirloft: --from and --to are for pictures\n    add -o with a file that ends in .svg, .png, .pdf or .html\n"},
		{"a picture of two songs", []string{"replay", demoRig, demoSong, demoSong, "-o", at("l.svg")}, 2, "choirloft: -o DIR/l.svg: a picture is of one song\n    name a single song\n"},
		{"curves of two songs", []string{"size", demoRig, demoSong, demoSong, "-o", at("c.png")}, 2, "choirloft: -o DIR/c.png: pictures are of one song\n    name a single song\n"},
		{"a report of no document", []string{"replay", demoRig, demoSong, "-o", at("l.svg"), "--report"}, 2, "choirloft: --report is for -o with a file that ends in .pdf\n    a file that ends in .html is a report by itself\n"},
		{"a date that is none", []string{"map", demoRig, "--date", "2026-02-30", "-o", at("m.pdf")}, 2, "choirloft: --date 2026-02-30: found \"2026-02-30\", want a date as in 2026-11-25\n"},
		{"new over a file", []string{"new", "-o", demoRig}, 2, "choirloft: -o " + demoRig + ": it exists already, and new never overwrites a file\n    give another name, or --force to replace it\n"},
		{"force over nothing", []string{"new", "--force"}, 2, "choirloft: --force replaces a file, and none is named\n    add -o FILE\n"},
		{"force over the song", []string{"new", "--song", demoSong, "--force", "-o", at("song.yaml")}, 2, "choirloft: -o DIR/song.yaml: this is not a rig, and --force replaces nothing else\n    give another name\n"},
		{"force over what is read", []string{"new", "--profile", at("wait.yaml"), "--force", "-o", at("wait.yaml")}, 2, "choirloft: -o DIR/wait.yaml: this is also read, it would be lost\n    give another name\n"},
		{"a schema over a rig", []string{"new", "--schema", "--force", "-o", at("wait.json")}, 2, "choirloft: -o DIR/wait.json: this is not a schema, and --force replaces nothing else\n    give another name\n"},
		{"a rig by another ending", []string{"new", "-o", at("n.txt")}, 2, "choirloft: -o DIR/n.txt: the ending \".txt\" names not a rig, there are .yaml and .yml\n"},
		{"new with fewer banks than one", []string{"new", "--banks", "-1"}, 2, "choirloft: --banks -1: want 1 at least\n"},
		{"new with no voices", []string{"new", "--voices", "0"}, 2, "choirloft: --voices 0: want 1 at least\n"},
		{"new with too much of two", []string{"new", "--banks", "4096", "--voices", "4096"}, 2, "choirloft: found 4096 banks, want 1 to 1024; found 4096 voices a bank, want 1 to 1024\n    see choirloft new --help\n"},
		{"new of a folder", []string{"new", "--song", dir}, 2, "choirloft: DIR: this is a folder, want a file\n    name a file in it\n"},
		{"new with nothing to list", []string{"new", "--list"}, 2, "choirloft: --list lists the channels of a song, and there is none\n    add --song FILE\n"},
		{"new with an unknown profile", []string{"new", "--profile", "cv9"}, 2, "choirloft: found the profile \"cv9\", want one of audio-dc8, audio-dc16, cv4-gate4, cv8-gate8, cv16-gate16, cv24-gate24, cv32-gate32, cv48-gate48, cv64-gate64, or the path of a profile file\n    see choirloft new --help\n"},
		{"new of no song", []string{"new", "--song", at("empty.mid")}, 2, "choirloft: DIR/empty.mid: byte 0: empty, expected a MIDI file\n"},

		{"an end past the end", []string{"replay", demoRig, demoSong, "-o", at("b.svg"), "--to", "100"}, 2, "choirloft: --to 100: the song has the bars 1 to 17\n"},
		{"bars that run backwards", []string{"replay", demoRig, demoSong, "-o", at("b.svg"), "--from", "5", "--to", "3"}, 2, "choirloft: --from 5 --to 3: bar 5 is after bar 3\n"},

		{"a song dealt to no voice", []string{"write", at("out.yaml"), demoSong, "-o", at("d.mid")}, 2, "choirloft: no voice of the rig is in service, so there is none to deal the song to\n    put a voice into service: out and spare stand in its bank\n"},
		{"a playing sized by no voice", []string{"size", at("out.yaml"), "--playing", "chords of 4, 2 a second, 0.8 s"}, 2, "choirloft: DIR/out.yaml: no voice is in service, and further voices are counted as like those that are\n    put one into service: out and spare stand in its bank\n"},
		{"a song sized by no voice", []string{"size", at("out.yaml"), demoSong}, 2, "choirloft: DIR/out.yaml: no voice is in service, and further voices are counted as like those that are\n    put one into service: out and spare stand in its bank\n"},

		{"empty song", []string{"replay", demoRig, at("empty.mid")}, 2, "choirloft: DIR/empty.mid: byte 0: empty, expected a MIDI file\n"},
		{"random song", []string{"replay", demoRig, at("random.mid")}, 2, "choirloft: DIR/random.mid: byte 0: not a MIDI file: begins with 17 C4 00 9A, expected \"MThd\"\n"},
		{"huge song", []string{"replay", demoRig, at("huge.mid")}, 2, "choirloft: DIR/huge.mid: more than 64 MiB, this is no song\n"},
		{"missing song", []string{"replay", demoRig, at("missing.mid")}, 2, "choirloft: DIR/missing.mid: there is no such file\n"},
		{"a rig as a song", []string{"replay", demoRig, demoRig}, 2, "choirloft: testdata/kiln-yard.yaml: this is a rig file, want a MIDI song\n    the rig comes first, songs follow\n"},
		{"a folder without songs", []string{"replay", demoRig, at("folder")}, 2, "choirloft: DIR/folder: no song in the folder or below it, want files ending in .mid, .midi or .rmi\n"},
		{"a bad song among several", []string{"replay", demoRig, at("mixed")}, 2, "choirloft: DIR/mixed/b.mid: byte 0: empty, expected a MIDI file\n"},
		{"format 2", []string{"replay", demoRig, at("two.mid")}, 2, "choirloft: DIR/two.mid: format 2 holds a song a track: choose one of the 2 tracks with --track\n"},
		{"format 2 with a track", []string{"replay", demoRig, at("two.mid"), "--track", "2"}, 0, ""},
		{"format 2 with a track it has not", []string{"replay", demoRig, at("two.mid"), "--track", "3"}, 2, "choirloft: DIR/two.mid: no track 3 in a file of format 2: choose one of 1–2 with --track\n"},
		{"a track of format 1", []string{"replay", demoRig, demoSong, "--track", "1"}, 2, "choirloft: testdata/slow-kiln.mid: byte 8: track 1 asked for, but a file of format 1 is one song over all its tracks\n"},
		{"standard input twice", []string{"replay", demoRig, "-", "-"}, 2, "choirloft: standard input is named 2 times, it can be read once\n"},

		{"missing rig", []string{"replay", at("missing.yaml"), demoSong}, 2, "choirloft: DIR/missing.yaml: there is no such file\n"},
		{"a folder as a rig", []string{"check", dir}, 2, "choirloft: DIR: this is a folder, want a rig file\n"},
		{"a song as a rig", []string{"replay", demoSong, demoRig}, 2, "choirloft: testdata/slow-kiln.mid: this is a MIDI song, want a rig file\n    the rig comes first, songs follow\n"},
		{"a rig from standard input", []string{"check", "-"}, 2, "choirloft: a rig cannot come from standard input\n    only a song can; name the rig file\n"},

		{"no format", []string{"check", demoRig, "-o", at("x.doc")}, 2, "choirloft: -o DIR/x.doc: the ending \".doc\" names no format, there are .txt, .json, .md, .html and .pdf\n"},
		{"no ending", []string{"check", demoRig, "-o", at("x")}, 2, "choirloft: -o DIR/x: no ending says in which format, there are .txt, .json, .md, .html and .pdf\n    name it DIR/x.txt\n"},
		{"no ending of a dealt song", []string{"write", demoRig, demoSong, "-o", at("x")}, 2, "choirloft: -o DIR/x: no ending says in which format, there are .mid and .wav\n    name it DIR/x.mid\n"},
		{"a folder for a file", []string{"check", demoRig, "-o", dir}, 2, "choirloft: -o DIR: this is a folder, want a file\n    name a file in it, with one of the endings .txt, .json, .md, .html and .pdf\n"},
		{"a folder that is not there for a file", []string{"check", demoRig, "-o", "x.txt/"}, 2, "choirloft: -o x.txt/: this is a folder, want a file\n    name a file in it, with one of the endings .txt, .json, .md, .html and .pdf\n"},
		{"standard output", []string{"check", demoRig, "-o", "-"}, 2, "choirloft: -o -: want the name of a file, with one of the endings .txt, .json, .md, .html and .pdf\n    leave -o out to print\n"},
		{"two formats", []string{"check", demoRig, "-o", at("x.txt"), "--json"}, 2, "choirloft: --json and -o DIR/x.txt cannot go together\n    name the file .json, or leave --json out\n"},
		{"no such folder", []string{"check", demoRig, "-o", at("no/x.txt")}, 3, "choirloft: DIR/no/x.txt: the folder that it would lie in is not there\n    make the folder, or give another name\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := run(t, "", c.args...)
			require.Equal(t, c.stderr, strings.ReplaceAll(got.stderr, dir, "DIR"))
			require.Equal(t, c.status, got.status)
			if c.status == exitUsage && c.name != "a bad song among several" || c.status == exitFailed {
				require.Empty(t, got.stdout)
			}
		})
	}
}

// TestFaults leaves the wording of faults to profiles.
func TestFaults(t *testing.T) {
	dir := scratch(t, map[string]string{
		"empty.yaml":   "",
		"nobanks.yaml": "rig: None\n",
		"typo.yaml":    "rig: X\nbanks: {K: {voices: 4}, L: {voices: -1}}\nparts: {p: {bankz: [K]}}\n",
		"binary.yaml":  "\x00\xff\xfe",
	})
	for file, faults := range map[string]int{"empty.yaml": 1, "nobanks.yaml": 1, "typo.yaml": 2, "binary.yaml": 1} {
		for _, args := range [][]string{{"check"}, {"replay"}} {
			path := filepath.Join(dir, file)
			args = append(args, path)
			if args[0] == "replay" {
				args = append(args, demoSong)
			}
			got := run(t, "", args...)
			require.Equal(t, exitUsage, got.status, file)
			require.Empty(t, got.stdout, file)
			require.Equal(t, faults, strings.Count(got.stderr, path+":"), "a line a fault: %s", got.stderr)
		}
	}
}

// brokenPipe is a standard output that nobody reads.
type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("broken pipe") }

func TestOutputThatFails(t *testing.T) {
	var stderr bytes.Buffer
	require.Equal(t, exitFailed, Run(t.Context(), []string{"check", demoRig}, nil, brokenPipe{}, &stderr))
	require.Equal(t, "choirloft: standard output: broken pipe\n", stderr.String())
}

func TestInterrupt(t *testing.T) {
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(t.Context())
	stdin, hold := io.Pipe() // a song that never comes
	defer hold.Close()
	var stdout, stderr bytes.Buffer
	status := make(chan int)
	go func() {
		status <- Run(ctx, []string{"replay", demoRig, "-", "-o", filepath.Join(dir, "x.json")}, stdin, &stdout, &stderr)
	}()
	cancel()
	require.Equal(t, exitFailed, <-status)
	require.Equal(t, "choirloft: interrupted, nothing was written\n", stderr.String())
	require.Empty(t, stdout.String())
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left)
}

func TestTheSameInputGivesTheSameBytes(t *testing.T) {
	args := []string{"replay", demoRig, demoSong, "testdata", demoSong, "--json", "--pick", "random"}
	first := run(t, "", args...)
	require.Equal(t, exitFine, first.status, first.stderr)
	for range 5 {
		require.True(t, first == run(t, "", args...))
	}
}

// commandNames lists the commands there are.
func commandNames() []string {
	var names []string
	for _, c := range (&app{}).root().Commands() {
		if c.Runnable() { // and no page of help
			names = append(names, c.Name())
		}
	}
	slices.Sort(names)
	return names
}
