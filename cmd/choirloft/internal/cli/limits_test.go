package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/midi/corpora"
)

// oneTrack is a file of format 0, 96 ticks to the quarter, with one track: the
// header and the head of the track have 22 bytes, then come events and the end.
func oneTrack(events ...byte) string {
	track := append(events, 0x00, 0xFF, 0x2F, 0x00)
	n := len(track)
	return "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk" + string([]byte{byte(n >> 24), byte(n >> 16), byte(n >> 8), byte(n)}) + string(track)
}

// stuckNotes are 128 keys on each of so many channels that go down one after the
// other and stay.
func stuckNotes(channels int) string {
	var events []byte
	for c := range channels {
		for key := range 128 {
			events = append(events, 24, 0x90|byte(c), byte(key), 64)
		}
	}
	return oneTrack(append(events, 0x60, 0xB0, 7, 100)...)
}

// slowNotes are two notes that are 2²⁸−1 ticks apart, at 16.8 s a quarter: 46 912 500 s,
// a year and a half, in 60 bytes.
func slowNotes() string {
	return oneTrack(0x00, 0xFF, 0x51, 0x03, 0xFF, 0xFF, 0xFF, 0x00, 0x90, 60, 64, 0x60, 0x80, 60, 0, 0xFF, 0xFF, 0xFF, 0x7F, 0x90, 60, 64, 0x60, 0x80, 60, 0)
}

const wideRig = "rig: Wide\ninterfaces: {main: {profile: cv32-gate32}}\nbanks: {K: {voices: 4}, L: {voices: 3}, M: {voices: 3}, N: {voices: 3}, P: {voices: 3}}\nparts: {p: {}, q: {channel: 10}}\n"

// What would be too much is refused with its figure before anything is written.
func TestLimits(t *testing.T) {
	dir := scratch(t, map[string]string{"wide.yaml": wideRig, "stuck.mid": stuckNotes(10), "slow.mid": slowNotes()})
	rig, out := filepath.Join(dir, "wide.yaml"), filepath.Join(dir, "out")
	for _, c := range []struct {
		args  []string
		found string
	}{
		// (2²⁸−1)/96 quarters of 16.777 215 s and some are 46 912 500 s; 4 channels of
		// 48 000 frames a second and 3 bytes a sample: 27.0 TB.
		{[]string{"slow.mid", "-o", out + ".wav"}, "found 27.0 TB for 781875:27 of song on 4 channels at 48000 frames a second, want at most 4.0 GB"},
		// 10 · 128 keys on 16 voices take 80 recordings.
		{[]string{"stuck.mid", "-o", out + ".mid", "--passes", "fewest"}, "found a song that takes 80 recordings at least, want at most 64"},
		{[]string{"stuck.mid", "-o", out + ".mid", "--passes", "80"}, "--passes 80: found 80 recordings, want at most 64"},
		{[]string{"slow.mid", "-o", out + ".mid", "--passes", "5000"}, "--passes 5000: want fewest, a number from 1 to 64, or every part once"},
	} {
		got := run(t, "", append([]string{"write", rig, filepath.Join(dir, c.args[0])}, c.args[1:]...)...)
		require.Equal(t, exitUsage, got.status, got.stderr)
		require.Contains(t, got.stderr, c.found)
		if !strings.Contains(got.stderr, "5000") {
			require.Contains(t, got.stderr, "--yes")
		}
	}
	written, err := filepath.Glob(out + "*")
	require.NoError(t, err)
	require.Empty(t, written)
	got := run(t, "", "write", rig, filepath.Join(dir, "stuck.mid"), "-o", out+".mid", "--passes", "fewest", "--yes")
	require.Equal(t, exitFine, got.status, got.stderr)
	written, err = filepath.Glob(out + "-pass-*.mid")
	require.NoError(t, err)
	require.Len(t, written, 80)
	got = run(t, "", "write", rig, filepath.Join(dir, "stuck.mid"), "-o", filepath.Join(dir, "stem.mid"), "--passes", "64", "--stems")
	require.Equal(t, exitUsage, got.status)
	require.Contains(t, got.stderr, "found 320 files, want at most 256", "64 recordings of 5 banks")
}

func TestLimitsAreOnBothSides(t *testing.T) {
	l := limits{}
	require.NoError(t, l.check(64, 64, "x", "64", "64"))
	require.EqualError(t, l.check(65, 64, "x", "65 files", "64"), "x: found 65 files, want at most 64")
	l.yes = true
	require.NoError(t, l.check(65, 64, "x", "65", "64"))
	for n, want := range map[int64]string{0: "0 bytes", 999: "999 bytes", 1000: "1.0 kB", mostCVBytes: "4.0 GB", 1 << 62: "4.6 EB"} {
		require.Equal(t, want, bytesText(n))
	}
}

// A budget that suffices does not change a byte, of an excerpt or of made-up songs on
// several rigs; with CHOIRLOFT_CORPORA on any rig of testdata, and of some songs of
// Debian's simutrans-data and openttd-openmsx.
func TestBudgetThatSuffices(t *testing.T) {
	corpora.Patient(t)
	t.Chdir(top)
	dir := scratch(t, map[string]string{"wide.yaml": wideRig, "pedals.mid": pedalNotes(40, 2), "chords.mid": string(shortSong(4))})
	const small = "testdata/rigs/small-wall.yaml"
	suffices := func(flags ...string) bool {
		args := append([]string{"size", "--json"}, flags...)
		usual, long := run(t, "", args...), run(t, "", append(args, "--budget", "1000s")...)
		require.Equal(t, exitFine, usual.status, usual.stderr)
		leftOut := regexp.MustCompile(`"covered": \[\s*\{|"short": true`) // of searches, of what is heard, of settings
		require.NotRegexp(t, leftOut, long.stdout, flags)
		if leftOut.MatchString(usual.stdout) {
			return false
		}
		require.Equal(t, long.stdout, usual.stdout, flags)
		return true
	}
	require.True(t, suffices(demoRig, excerpt(t, dir), "--pairs"))
	require.True(t, suffices(demoRig, "--playing", "chords of 3, 2 a second, 0.5 s", "--for", "20s"))
	require.True(t, suffices(filepath.Join(dir, "wide.yaml"), filepath.Join(dir, "pedals.mid")))
	require.True(t, suffices(small, filepath.Join(dir, "chords.mid")))
	if !corpora.Asked() {
		return
	}
	all, err := filepath.Glob("testdata/rigs/*.yaml")
	require.NoError(t, err)
	for _, rig := range all {
		require.True(t, suffices(rig, demoSong))
	}
	enough := 0
	for i, song := range corpora.Songs(t) {
		if i%13 == 0 && suffices(small, song) {
			enough++
		}
	}
	require.Greater(t, enough, 2, "songs for which the usual budget is enough")
}

// lossFigures are what size and replay both say of a run.
type lossFigures struct {
	Damaged   int
	LostGateS float64 `json:"lost_gate_s"`
}

// Every fix that size offers is taken by the command that it is for, which says
// the same figures, also where the budget or the limit of recordings ends the search.
func TestFixesAreAccepted(t *testing.T) {
	corpora.Patient(t)
	t.Chdir(top)
	dir := scratch(t, map[string]string{"wide.yaml": wideRig, "stuck.mid": stuckNotes(2), "more.mid": stuckNotes(10)})
	song := excerpt(t, dir)
	wide := filepath.Join(dir, "wide.yaml")
	for _, c := range [][]string{{wide, filepath.Join(dir, "stuck.mid")}, {wide, filepath.Join(dir, "more.mid")},
		{demoRig, song, "--voices", "8"}, {"testdata/rigs/one-jack.yaml", song}} {
		got := run(t, "", append([]string{"size", "--json", "--budget", fmt.Sprintf("%dms", corpora.Some(100, 1000))}, c...)...)
		require.Equal(t, exitFine, got.status, got.stderr)
		var size struct {
			Fixes []struct {
				Command string
				Flags   []string
				After   lossFigures
			}
			Covered []struct {
				What      string
				Tried, Of int
			}
		}
		require.NoError(t, json.NewDecoder(strings.NewReader(got.stdout)).Decode(&size))
		if c[1] != filepath.Join(dir, "more.mid") { // it takes more recordings than anybody makes
			require.NotEmpty(t, size.Fixes, c)
		}
		for _, covered := range size.Covered {
			require.Less(t, covered.Tried, covered.Of, covered.What)
		}
		for _, fix := range size.Fixes {
			args := append([]string{fix.Command}, c[:2]...)
			written := filepath.Join(t.TempDir(), "x.mid")
			if fix.Command == "write" {
				args = append(args, "-o", written)
			} else {
				args = append(args, "--json")
			}
			if len(c) > 2 && !strings.Contains(strings.Join(fix.Flags, " "), "--voices") {
				args = append(args, c[2:]...)
			}
			took := run(t, "", append(args, fix.Flags...)...)
			require.Equal(t, exitFine, took.status, "%v: %s", fix.Flags, took.stderr)
			if fix.Command == "replay" {
				var r lossFigures
				require.NoError(t, json.Unmarshal([]byte(took.stdout), &r))
				require.Equal(t, fix.After, r, "%v", fix.Flags)
				continue
			}
			parts, err := filepath.Glob(filepath.Join(filepath.Dir(written), "x-pass-*.mid"))
			require.NoError(t, err)
			require.NotEmpty(t, parts)
			offered := fix.Flags[len(fix.Flags)-1] // how many, or the parts of each
			if _, err := strconv.Atoi(offered); err != nil {
				offered = strconv.Itoa(strings.Count(offered, "/") + 1)
			}
			require.Equal(t, strconv.Itoa(len(parts)), offered, "as many recordings as were offered")
		}
	}
}

// pedalNotes are so many notes of a tick each that are played in turn on some
// channels, whose pedals stay down.
func pedalNotes(notes, channels int) string {
	var events []byte
	for c := range channels {
		events = append(events, 0, 0xB0|byte(c), 64, 127)
	}
	for i := range notes {
		c, key := byte(i%channels), byte(i/channels*7%128)
		events = append(events, 1, 0x90|c, key, 64, 1, 0x80|c, key, 0)
	}
	return oneTrack(events...)
}

// stuckPorts are 128 keys on each channel of so many ports that go down and stay,
// a track a port (RP-019, MIDI Port: FF 21 01 pp).
func stuckPorts(ports int) string {
	song := "MThd\x00\x00\x00\x06\x00\x01" + string([]byte{byte(ports >> 8), byte(ports)}) + "\x00\x60"
	for port := range ports {
		events := []byte{0, 0xFF, 0x21, 1, byte(port)}
		for note := range 16 * 128 {
			events = append(events, 24, 0x90|byte(note/128), byte(note%128), 64)
		}
		song += oneTrack(events...)[14:]
	}
	return song
}

// covered is what an answer says that the budget left out.
type covered []struct {
	What      string
	Tried, Of int
}

// Songs that take the most, on a small rig and on one of 4096 voices: what size
// plays of them in a budget of 0.1 s is a tenth of the work of a second, by the
// numbers of voices and the fixes in its answer, and two numbers at least. A run is
// the steps of the song, one a message, and its voices. With CHOIRLOFT_CORPORA keys
// are stuck on all 128 ports, 262 144 of them, else on eight; two other songs have a third to
// a half then. Songs that are just short enough to be heard take the longest.
func TestHostileSongsWithinABudget(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	ports, channels, notes, more := corpora.Some(2, 128), corpora.Some(2, 16), corpora.Some(300, 20_000), corpora.Some(300, 20_000)
	dir := scratch(t, map[string]string{"wide.yaml": wideRig, "most.yaml": "rig: X\n" + mostVoices, "ports.mid": stuckPorts(ports),
		"stuck.mid": stuckNotes(channels), "pedal.mid": pedalNotes(notes, 1), "pedals.mid": pedalNotes(more, 16)})
	for i, c := range []struct {
		song  string
		steps int
	}{{"ports.mid", ports * 2048}, {"stuck.mid", channels*128 + 1}, {"pedal.mid", 1 + 2*notes}, {"pedals.mid", 16 + 2*more}} {
		song, steps, rigs := c.song, c.steps, []string{"wide.yaml", "most.yaml"}
		for _, rig := range rigs[corpora.Some(i%2, 0):corpora.Some(i%2+1, 2)] {
			got := run(t, "", "size", filepath.Join(dir, rig), filepath.Join(dir, song), "--json", "--budget", "100ms")
			require.Equal(t, exitFine, got.status, got.stderr)
			var size struct {
				Curve []struct {
					Voices int
					Rules  []struct{}
				}
				Covered covered
				Tried   int
			}
			require.NoError(t, json.Unmarshal([]byte(got.stdout), &size))
			require.GreaterOrEqual(t, len(size.Curve), 2)
			played, most := size.Tried*steps, 0
			for _, at := range size.Curve {
				work := (len(at.Rules) + 1) * (steps + at.Voices)
				played, most = played+work, max(most, work)
			}
			require.LessOrEqual(t, played, study.WorkASecond/10+2*most, "%s on %s", song, rig)
			require.Equal(t, "voices", size.Covered[0].What, "%s on %s", song, rig)
			require.Equal(t, len(size.Curve), size.Covered[0].Tried)
		}
	}
}

// Without a song it is the same on 4096 voices: three ways to play each number of
// voices, a note two messages. What is left out is said.
func TestPlayingWithinABudget(t *testing.T) {
	corpora.Patient(t)
	dir := scratch(t, map[string]string{"most.yaml": "rig: X\n" + mostVoices})
	args := []string{"size", filepath.Join(dir, "most.yaml"), "--playing", "chords of 4, 2 a second, 0.8 s", "--for", "1m", "--budget", "100ms"}
	got := run(t, "", append(args, "--json")...)
	require.Equal(t, exitFine, got.status, got.stderr)
	var e struct {
		Curve   []struct{ Voices int }
		Covered covered
		Playing struct{ Player struct{ Notes int } }
	}
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &e))
	played := 0
	for _, at := range e.Curve {
		played += 3 * (2*e.Playing.Player.Notes + at.Voices)
	}
	require.LessOrEqual(t, played, study.WorkASecond/10)
	require.Equal(t, covered{{"voices", len(e.Curve), 4096}}, e.Covered)
	require.Equal(t, 4096, e.Curve[len(e.Curve)-1].Voices)
	require.Contains(t, strings.Join(strings.Fields(run(t, "", args...).stdout), " "), strconv.Itoa(len(e.Curve))+" of 4096 voice counts")
}

// The bound of the rig's own number of voices is told also where the budget played
// few others: of 256 notes that all stay, 16 voices cut 240.
func TestBoundWithinABudget(t *testing.T) {
	dir := scratch(t, map[string]string{"wide.yaml": wideRig, "stuck.mid": stuckNotes(2)})
	got := run(t, "", "size", filepath.Join(dir, "wide.yaml"), filepath.Join(dir, "stuck.mid"), "--json", "--budget", "1ms")
	var size struct {
		Curve         []struct{}
		FewestDamaged int `json:"fewest_damaged"`
	}
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &size))
	require.Len(t, size.Curve, 2)
	require.Equal(t, 240, size.FewestDamaged)
}

// Where the budget ends a search the answer says so, in words and in the JSON.
func TestSizeSaysWhatItCovered(t *testing.T) {
	corpora.Patient(t)
	dir := scratch(t, map[string]string{"wide.yaml": wideRig, "stuck.mid": stuckNotes(2)})
	args := []string{"size", filepath.Join(dir, "wide.yaml"), filepath.Join(dir, "stuck.mid"), "--budget", "100ms"}
	got := run(t, "", args...)
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Contains(t, got.stdout, "needs 232 voices", "by ear: that has a budget apart")
	require.Contains(t, strings.Join(strings.Fields(got.stdout), " "), " of 258 voice counts")
	require.Equal(t, got, run(t, "", args...), "the same again")
	file := filepath.Join(dir, "out.pdf")
	require.Equal(t, exitFine, run(t, "", append(args, "--report", "-o", file)...).status)
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.True(t, bytes.HasPrefix(data, []byte("%PDF-")))
}

// A row of a table takes 3.85 mm of two columns of 259 mm on an A4 page, so 70 000 rows take
// 70 000 · 3.85 / 518 = 520.3 pages, and are refused before they are laid out.
func TestPagesAreEstimated(t *testing.T) {
	table := doc.Table{Columns: []doc.Column{doc.Words("A")}}
	for range 70_000 {
		table.Row("", "x")
	}
	d := &doc.Doc{}
	d.Add(table)
	o := output{file: "x.pdf"}
	require.ErrorContains(t, o.allowPages(d), "-o x.pdf: found 521 pages of tables, want at most 500")
	o.yes = true
	require.NoError(t, o.allowPages(d))
}
