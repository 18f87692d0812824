package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi/corpora"
	"choirloft/routing/listen"
)

// A song of three bars for two voices: in the second two notes of arp come while pad holds
// both, lead plays last, and nothing is lost of it.
const fewRig = "rig: Few\nbanks: {K: {voices: 2}}\nparts: {pad: {channel: 1, steal: oldest}, arp: {channel: 2, steal: oldest}, lead: {channel: 3, steal: oldest}}\n"

func fewBars() string {
	return oneTrack(0, 0x90, 55, 100, 0x60, 0x80, 55, 64,
		0x82, 0x20, 0x90, 48, 100, 0, 0x90, 60, 100, 0x60, 0x91, 72, 100, 0x48, 0x81, 72, 64, 0x18, 0x91, 76, 100, 0x48, 0x81, 76, 64,
		0x78, 0x80, 48, 64, 0, 0x80, 60, 64, 0x60, 0x92, 84, 100, 0x81, 0x40, 0x82, 84, 64)
}

// listened is what a call of listen says as JSON, and the samples of its file.
func listened(t *testing.T, args ...string) (contract.Listen, []int32) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "out.wav")
	got := run(t, "", append([]string{"listen", "-o", file, "--json"}, args...)...)
	require.Equal(t, exitFine, got.status, got.stderr)
	var l contract.Listen
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &l))
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, l.Bytes, int64(len(data)))
	sheet, err := os.ReadFile(file + ".txt")
	require.NoError(t, err)
	require.Contains(t, string(sheet), l.Fingerprint)
	require.Contains(t, strings.Join(strings.Fields(string(sheet)), " "), listen.Caution)
	data = data[int64(len(data))-6*l.Frames:]
	list := make([]int32, 2*l.Frames)
	for i := range list {
		list[i] = int32(uint32(data[3*i])<<8|uint32(data[3*i+1])<<16|uint32(data[3*i+2])<<24) >> 8
	}
	return l, list
}

// Each plain loss of the demo on ten voices, but for CHOIRLOFT_CORPORA those of bar 9, stands in one file as asked, as played and
// alone, and the third is the first less the second. Wrong pitches, which no number of
// voices would mend, make no moments.
func TestListenToEveryPlainLoss(t *testing.T) {
	corpora.Patient(t)
	args, bar := []string{demoRig, demoSong, "--voices", "10", "--both", "--missing", "--moments"}, 9
	if !corpora.Asked() {
		args = append(args, "--from", "9", "--to", "9")
	} else {
		bar = 0 // all
	}
	l, x := listened(t, args...)
	plain := map[int]bool{}
	for i := range l.Losses {
		if h := l.Losses[i].HeardDB; h != nil && *h >= 3 && !l.Losses[i].WrongPitch() && (bar == 0 || l.Losses[i].BarNumber == bar) {
			plain[i] = true
		}
	}
	require.GreaterOrEqual(t, len(plain), 2)
	require.Zero(t, len(l.Sections)%3)
	for n := 0; n < len(l.Sections); n += 3 {
		var three [3][]int32
		for k := range three {
			s := &l.Sections[n+k]
			require.Equal(t, []string{"asked", "played", "missing"}[k], s.Version)
			require.Equal(t, l.Sections[n].AtS, s.AtS)
			require.NotEmpty(t, s.Moments)
			from, length := 2*int(s.FileS*listen.Rate+0.5), 2*int(s.LengthS*listen.Rate+0.5)
			three[k] = x[from : from+length]
			if from > 0 {
				require.Equal(t, make([]int32, 2*listen.Rate), x[from-2*listen.Rate:from], "a second of silence before it")
			}
			for _, m := range s.Moments {
				for _, loss := range l.Heard.Moments[m].Losses {
					delete(plain, loss)
				}
			}
		}
		loudest := int32(0)
		for i := range three[0] {
			if three[0][i] != three[1][i]+three[2][i] {
				require.Equal(t, three[0][i], three[1][i]+three[2][i], "section %d, sample %d", n, i)
			}
			loudest = max(loudest, three[2][i], -three[2][i])
		}
		require.Greater(t, loudest, int32(1<<13), "section %d: −60 dB of full scale", n)
	}
	require.Empty(t, plain, "in no section")
}

func TestListenVersions(t *testing.T) {
	corpora.Patient(t)
	dir := scratch(t, map[string]string{"few.yaml": fewRig, "few.mid": fewBars()})
	bars := []string{filepath.Join(dir, "few.yaml"), filepath.Join(dir, "few.mid"), "--from", "2", "--to", "3"}
	with := func(more ...string) []string { return append(slices.Clone(bars), more...) }
	l, played := listened(t, bars...)
	require.NotEmpty(t, l.Heard.Moments)
	require.Len(t, l.Sections, 1)
	require.Equal(t, []any{"played", 2.0, l.LengthS}, []any{l.Sections[0].Version, l.Sections[0].AtS, l.Sections[0].LengthS})
	_, asked := listened(t, with("--asked")...)
	_, missing := listened(t, with("--missing")...)
	lost := 0
	for i := range asked {
		if asked[i] != played[i]+missing[i] {
			require.Equal(t, asked[i], played[i]+missing[i], "sample %d", i)
		}
		if missing[i] != 0 {
			lost++
		}
	}
	require.Greater(t, lost, 10_000)
	require.InDelta(t, -12, max(*l.AskedPeakDB, *l.PlayedPeakDB), 0.05)
	both, _ := listened(t, with("--both")...)
	require.Len(t, both.Sections, 2, "bars are one moment")
	require.InDelta(t, 2*l.LengthS+1, both.LengthS, 1e-4)
	moments, _ := listened(t, with("--moments")...)
	require.Less(t, moments.LengthS, l.LengthS+0.001)
}

// A part by itself has its own moments, losses and figures, those that replay gives it.
func TestListenToAPart(t *testing.T) {
	dir := scratch(t, map[string]string{"few.yaml": fewRig, "few.mid": fewBars()})
	rig, song := filepath.Join(dir, "few.yaml"), filepath.Join(dir, "few.mid")
	pad, _ := listened(t, rig, song, "--both", "--part", "pad")
	require.Equal(t, "pad", *pad.Part)
	require.NotEmpty(t, pad.Heard.Order)
	for _, x := range pad.Losses {
		require.Equal(t, "pad", x.Part)
	}
	for _, s := range pad.Sections {
		require.NotEmpty(t, s.Moments)
		require.Equal(t, 2, s.Bar)
	}
	var r contract.Replay
	require.NoError(t, json.Unmarshal([]byte(run(t, "", "replay", rig, song, "--json").stdout), &r))
	require.Equal(t, *r.Parts[0].Heard, pad.Heard.HeardFigures)
	require.Zero(t, *r.Parts[2].Heard.Faint)

	out := filepath.Join(dir, "o.wav")
	for _, args := range [][]string{{"--both"}, {"--moments"}, {"--both", "--from", "2", "--to", "3"}} {
		got := run(t, "", append([]string{"listen", rig, song, "-o", out, "--part", "lead"}, args...)...)
		require.Equal(t, exitUsage, got.status)
		require.Contains(t, got.stderr, ": you would hear no loss of lead")
		require.NoFileExists(t, out)
	}
	_, missing := listened(t, rig, song, "--missing", "--part", "lead")
	require.Equal(t, make([]int32, len(missing)), missing)
	lead := run(t, "", "listen", rig, song, "-o", out, "--missing", "--part", "lead")
	require.Contains(t, lead.stdout, "No note loses anything there, so the file is silent or nearly so.")
	require.Contains(t, lead.stdout, "You would hear no loss of lead there.")
	bar := run(t, "", "listen", rig, song, "-o", out, "--part", "pad", "--from", "2", "--to", "2")
	require.Contains(t, bar.stdout, "of pad there.")
	require.Contains(t, bar.stdout, "pad C4 (60): stolen while held")
}

func TestListenRefuses(t *testing.T) {
	dir := scratch(t, map[string]string{
		"empty.mid": "", "silent.mid": oneTrack(0x60, 0xB0, 7, 100), "slow.mid": slowNotes(), "broken.mid": fewBars()[:22], "tenth.mid": oneTrack(0, 0x99, 60, 100, 96, 0x89, 60, 64), "few.yaml": fewRig, "few.mid": fewBars(), "wide.yaml": wideRig, "text.txt": "x",
		"out.yaml":  "rig: Out\nbanks: {K: {voices: 2, out: [1, 2]}}\n",
		"two.yaml":  "rig: Two\nbanks: {K: {voices: 2}, L: {voices: 1, out: [1]}}\nparts: {pad: {channel: 1, banks: [K]}, bass: {channel: 2, banks: [L]}, lead: {channel: 9, banks: [K]}}\n",
		"sure.yaml": "rig: Sure\nbanks: {K: {voices: 64}}\n",
	})
	at := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.Symlink("/dev/full", at("full.wav")))
	out := at("o.wav")
	for _, c := range []struct {
		name   string
		args   []string
		status int
		stderr string
	}{
		{"no song", []string{demoRig, "-o", out}, 2, "choirloft: want a rig file and a song; got testdata/kiln-yard.yaml\n    see choirloft listen --help\n"},
		{"an empty file", []string{demoRig, at("empty.mid"), "-o", out}, 2, "choirloft: DIR/empty.mid: byte 0: empty, expected a MIDI file\n"},
		{"a song without notes", []string{demoRig, at("silent.mid"), "-o", out}, 2, "choirloft: DIR/silent.mid: the song has no notes, so nothing sounds\n"},
		{"a broken song", []string{demoRig, at("broken.mid"), "-o", out}, 2, "choirloft: DIR/broken.mid: the song's file is damaged or cut off, and no note of it can be read\n    export the song anew, or use another copy\n"},
		{"channels of no part", []string{at("two.yaml"), at("tenth.mid"), "-o", out}, 2, "choirloft: DIR/tenth.mid: no part of the rig plays a note of this song, so nothing sounds\n    choirloft replay says which channels it uses\n"},
		{"no file", []string{demoRig, demoSong}, 2, "choirloft: no file is named to write the sound to\n    add -o FILE.wav\n"},
		{"another ending", []string{demoRig, demoSong, "-o", at("o.mp3")}, 2, "choirloft: -o DIR/o.mp3: the ending \".mp3\" names no format of sound, want .wav\n"},
		{"no such folder", []string{demoRig, demoSong, "-o", at("no/o.wav")}, 3, "choirloft: DIR/no/o.wav.txt: the folder that it would lie in is not there\n    make the folder, or give another name\n"},
		{"two versions", []string{demoRig, demoSong, "-o", out, "--asked", "--missing"}, 2, "choirloft: --asked and --missing cannot go together\n    give one of them, or --both for one after the other\n"},
		{"bars past the end", []string{demoRig, demoSong, "-o", out, "--from", "40"}, 2, "choirloft: --from 40: the song has the bars 1 to 17\n"},
		{"a bar of no song", []string{demoRig, demoSong, "-o", out, "--from", "0"}, 2, "choirloft: --from 0: found \"0\", want a whole bar from 1, such as 3\n"},
		{"part of a bar", []string{demoRig, demoSong, "-o", out, "--to", "3.2"}, 2, "choirloft: --to 3.2: found \"3.2\", want a whole bar from 1, such as 3\n"},
		{"bars without a moment", []string{at("few.yaml"), at("few.mid"), "-o", out, "--both", "--from", "1", "--to", "1"}, 2, "choirloft: DIR/few.mid: you would hear no loss in these bars, so there is no moment to write\n    leave --moments and --both out, or choose other bars\n"},
		{"an empty range", []string{demoRig, demoSong, "-o", out, "--from", "5", "--to", "4"}, 2, "choirloft: --from 5 --to 4: bar 5 is after bar 4\n"},
		{"an unknown part", []string{demoRig, demoSong, "-o", out, "--part", "pat"}, 2, "choirloft: --part pat: no part \"pat\" in the rig, its parts are pad, bass, arp and lead\n    did you mean pad?\n"},
		{"a part without a voice", []string{at("two.yaml"), demoSong, "-o", out, "--part", "bass"}, 2, "choirloft: --part bass: part bass has no voice in service, so nothing of it sounds\n    put a voice of its banks into service\n"},
		{"a part without a note", []string{at("two.yaml"), demoSong, "-o", out, "--part", "lead"}, 2, "choirloft: --part lead: part lead has no note in this song, so nothing of it sounds\n    choirloft replay says what each part plays\n"},
		{"no voice", []string{at("out.yaml"), demoSong, "-o", out}, 2, "choirloft: testdata/slow-kiln.mid: no voice of the rig is in service, so nothing sounds\n    put a voice into service: out and spare stand in its bank\n"},
		{"no moment", []string{at("sure.yaml"), demoSong, "-o", out, "--moments"}, 2, "choirloft: testdata/slow-kiln.mid: you would hear no loss, so there is no moment to write\n    leave --moments and --both out, or choose other bars\n"},
		// 46 912 500 s and some, as in TestLimits, with a tail down to −120 dB; 6 bytes a frame.
		{"too long", []string{at("wide.yaml"), at("slow.mid"), "-o", out}, 2, "choirloft: -o DIR/o.wav: found 13.5 TB for 781875:30 of sound, want at most 4.0 GB\n    --yes lifts the limit\n"},
		{"an override that is none", []string{demoRig, demoSong, "-o", out, "--steal", "eldest"}, 2, ""},
		{"a full disk", []string{demoRig, demoSong, "-o", at("full.wav"), "--from", "9", "--to", "9"}, 3, "choirloft: DIR/full.wav: no space left on device\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := run(t, "", append([]string{"listen"}, c.args...)...)
			require.Equal(t, c.status, got.status, got.stderr)
			if c.stderr != "" {
				require.Equal(t, c.stderr, strings.ReplaceAll(got.stderr, dir, "DIR"))
			}
			require.Empty(t, got.stdout)
			require.NoFileExists(t, out)
			require.NoFileExists(t, out+".txt")
		})
	}
}

// What ends the run while it listens leaves the file that was there.
func TestListenInterrupted(t *testing.T) {
	dir := scratch(t, map[string]string{"kiln.wav": "old"})
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var out bytes.Buffer
	require.Equal(t, exitFailed, Run(ctx, []string{"listen", demoRig, demoSong, "-o", filepath.Join(dir, "kiln.wav")}, nil, &out, &out))
	require.Equal(t, map[string]string{"kiln.wav": "old"}, inFolder(t, dir))
}

// A run that is killed leaves the old file or the new one, and the next run what it
// began.
func TestListenKilled(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	rig, song := absolute(t, demoRig), absolute(t, demoSong)
	hear := func(dir string) *exec.Cmd {
		cmd := exec.Command("choirloft", "listen", rig, song, "-o", "kiln.wav", "--from", "9", "--to", "12")
		cmd.Dir = dir
		return cmd
	}
	fresh := t.TempDir()
	began := time.Now()
	said, err := hear(fresh).CombinedOutput()
	require.NoError(t, err, string(said))
	takes, whole := time.Since(began), inFolder(t, fresh)
	require.Len(t, whole, 2)
	n := corpora.Some(2, 4)
	for i := range n {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, "kiln.wav"), []byte("old"), 0o666))
		cmd := hear(dir)
		require.NoError(t, cmd.Start())
		time.Sleep(takes * time.Duration(3*n+8*i) / time.Duration(10*n))
		cmd.Process.Kill()
		cmd.Wait()
		said, err := exec.Command("choirloft", "check", rig, "-o", filepath.Join(dir, "next.txt")).CombinedOutput()
		require.NoError(t, err, string(said))
		got := inFolder(t, dir)
		if delete(got, "next.txt"); len(got) == 1 {
			require.Equal(t, map[string]string{"kiln.wav": "old"}, got)
		} else {
			require.True(t, maps.Equal(whole, got), "neither old nor new: %d bytes of sound, %q", len(got["kiln.wav"]), got["kiln.wav.txt"])
		}
	}
}

// Programs that musicians have read the file: its length, its rate, its peak.
func TestListenReadByOthers(t *testing.T) {
	corpora.Need(t, "let sox and sndfile-info read the file")
	file := filepath.Join(t.TempDir(), "kiln.wav")
	got := run(t, "", "listen", demoRig, demoSong, "-o", file)
	require.Equal(t, exitFine, got.status, got.stderr)
	said := func(name string, args ...string) string {
		out, err := exec.Command(name, args...).CombinedOutput()
		require.NoError(t, err, "%s", out)
		return string(out)
	}
	require.Equal(t, "2", strings.TrimSpace(said("soxi", "-c", file)))
	require.Equal(t, "48000", strings.TrimSpace(said("soxi", "-r", file)))
	require.Equal(t, "24", strings.TrimSpace(said("soxi", "-b", file)))
	require.Regexp(t, `Signal Max +: .*\(-1[2-9]\.\d\d dB\)`, said("sndfile-info", file))
	require.Regexp(t, `Pk lev dB +-1[2-9]\.\d\d`, said("sox", file, "-n", "stats"))
}

// One file has a voice, the stack at three keys, other patterns and other spreads, and
// the text beside it says which sounds when.
func TestMapListen(t *testing.T) {
	corpora.Patient(t)
	dir := t.TempDir()
	file := filepath.Join(dir, "stack.wav")
	got := run(t, "", "map", demoRig, "--unison", "pad=4", "--listen", file, "--json")
	require.Equal(t, exitFine, got.status, got.stderr)
	var r contract.Stacks
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	require.Len(t, r.Sounds, 12)
	info, err := os.Stat(file)
	require.NoError(t, err)
	require.Equal(t, r.Bytes, info.Size())
	sheet, err := os.ReadFile(file + ".txt")
	require.NoError(t, err)
	for _, x := range r.Sounds {
		require.Contains(t, string(sheet), x.Law)
		require.Contains(t, string(sheet), x.KeyName)
	}
	for _, c := range []struct {
		args   []string
		stderr string
	}{
		{[]string{"--listen", filepath.Join(dir, "x.wav")}, "choirloft: testdata/kiln-yard.yaml: no part of the rig plays in unison, so there is no stack to hear\n    give a part several voices a note, as in --unison pad=4\n"},
		{[]string{"--unison", "pad=4", "--listen", filepath.Join(dir, "x.mid")}, "choirloft: --listen DIR/x.mid: the ending \".mid\" names no format of sound, want .wav\n"},
		{[]string{"--unison", "pad=4", "--listen", filepath.Join(dir, "x.wav"), "-o", filepath.Join(dir, "x.txt")}, "choirloft: --listen DIR/x.wav and -o DIR/x.txt cannot go together\n    leave one of them out\n"},
	} {
		got := run(t, "", append([]string{"map", demoRig}, c.args...)...)
		require.Equal(t, exitUsage, got.status)
		require.Equal(t, c.stderr, strings.ReplaceAll(got.stderr, dir, "DIR"))
	}
	require.Len(t, inFolder(t, dir), 2)
}
