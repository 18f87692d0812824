package cli

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"image/png"
	"io"
	"maps"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/crew"
	"choirloft/cmd/choirloft/internal/page"
	"choirloft/midi"
	"choirloft/midi/corpora"
)

// degenerate are rigs that lack what every rig has, or have too much of it.
var degenerate = map[string]string{
	"no-interface": "rig: X\nbanks: {K: {voices: 4}}\nparts: {p: {}}\n",
	"all-out":      "rig: X\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2, out: [1, 2]}, L: {voices: 1, out: [1]}}\nparts: {p: {banks: [K]}, q: {}}\n",
	"nothing":      "rig: X\nbanks: {K: {voices: 1, out: [1]}}\nparts: {p: {}}\n",
	"no-jacks":     "rig: X\ninterfaces: {main: {profile: cv8-gate8, cv: 0, gates: 8}}\nbanks: {K: {voices: 4}}\nparts: {p: {}}\n",
	"one":          "rig: X\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 1}}\nparts: {p: {}}\n",
	"silent-part":  "rig: X\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 4}}\nparts: {p: {channel: 1}, q: {channel: 16, reserve: 1}}\n",
	"all-spare":    "rig: X\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 3, out: [1], spare: [2, 3]}}\nparts: {p: {}}\n",
	"all-limited":  "rig: X\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 2, limited: {1: 0, 2: 127}}}\nparts: {p: {unison: {voices: 2}}}\n",
}

const (
	degenerateSetUps = "sequencers: {seq: {parts: 1}}\nset_ups: {one: {from: seq, parts: {1: K}}, two: {from: seq, parts: {1: K}, pitches: multiples, gates: multiples, through: passive}}\n"
	mostVoices       = "banks: {K: {voices: 1024}, L: {voices: 1024}, M: {voices: 1024}, N: {voices: 1024}}\nparts: {p: {}}\n"
)

// endings are all that some command writes.
var endings = []string{".txt", ".md", ".json", ".csv", ".pdf", ".svg", ".html", ".png", ".mid", ".wav"}

// crossing is a folder with degenerate rigs and songs.
type crossing struct {
	t     *testing.T
	dir   string
	runs  int
	turn  int // which endings come next
	every int // n-th ending only
}

func newCrossing(t *testing.T) *crossing {
	chord := "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x15\x00\x90\x3c\x40\x00\x90\x40\x40\x00\x90\x43\x40\x60\x80\x3c\x40\x00\xff\x2f\x00" // two keys stay down
	files := map[string]string{"none.mid": noNotes, "chord.mid": chord, "bare.yaml": "rig: X\n" + mostVoices,
		"fed.yaml": "rig: X\ninterfaces: {main: {cv: 1024, gates: 1024, ports: 128}}\n" + mostVoices, "empty.csv": "voice,key,hertz\n",
		"one.csv": "voice,key,hertz\nK1,C4,261.9\n", "none/x.txt": ""}
	for name, rig := range degenerate {
		files[name+".yaml"] = rig + degenerateSetUps
	}
	return &crossing{t: t, dir: scratch(t, files), every: 1}
}

func (c *crossing) at(name string) string { return filepath.Join(c.dir, name) }

// run runs a command and holds what it says to what every command owes.
func (c *crossing) run(args ...string) {
	c.t.Helper()
	c.runs++
	var stdout, stderr bytes.Buffer
	status := Run(c.t.Context(), args, strings.NewReader("\x90\x3c\x40\x80\x3c\x40"), &stdout, &stderr)
	what := strings.ReplaceAll(strings.Join(args, " "), c.dir+"/", "")
	require.Contains(c.t, []int{exitFine, exitFound, exitUsage, exitFailed}, status, what)
	c.plain(what, stdout.String()+stderr.String())
	written := c.taken()
	if status >= exitUsage {
		require.Empty(c.t, written, "%s: left a file behind", what)
		c.oneSentence(what, stderr.String())
		return
	}
	require.Equal(c.t, slices.Contains(args, "-o"), len(written) > 0, what)
	require.True(c.t, len(written) > 0 || stdout.Len() > 0, "%s: fine, and nothing is said", what)
	for name, data := range written {
		c.format(what, filepath.Ext(name), data)
	}
}

// taken takes the files out of the folder that a run has written.
func (c *crossing) taken() map[string][]byte {
	names, err := filepath.Glob(c.at("out*"))
	require.NoError(c.t, err)
	written := map[string][]byte{}
	for _, name := range names {
		written[name], err = os.ReadFile(name)
		require.NoError(c.t, err)
		require.NoError(c.t, os.Remove(name))
	}
	return written
}

// plain refuses what only a programmer understands.
func (c *crossing) plain(what, text string) {
	c.t.Helper()
	for _, trace := range []string{"goroutine ", "runtime error", "panic", "bug of choirloft", "NaN", "+Inf", "-Inf", "%!", "<nil>"} {
		require.NotContains(c.t, text, trace, what)
	}
}

var finding = regexp.MustCompile(`^choirloft: (warning|error): `)

// oneSentence holds an error to a sentence that says where.
func (c *crossing) oneSentence(what, stderr string) {
	c.t.Helper()
	var said []string
	for line := range strings.Lines(stderr) {
		if line = strings.TrimSuffix(line, "\n"); !strings.HasPrefix(line, "    ") && !finding.MatchString(line) {
			said = append(said, strings.ReplaceAll(line, c.dir+"/", ""))
		}
	}
	require.Len(c.t, said, 1, what)
	located := slices.ContainsFunc(append(strings.Fields(what), "voice", "part ", "the rig ", "the song "), func(place string) bool { return strings.Contains(said[0], place) })
	require.True(c.t, located, "%s: where? %s", what, said[0])
	require.False(c.t, strings.HasSuffix(said[0], "."), said[0])
}

// format reads a file as what its ending says.
func (c *crossing) format(what, ending string, data []byte) {
	c.t.Helper()
	switch ending {
	case ".json":
		require.True(c.t, json.Valid(data), what)
	case ".pdf":
		require.True(c.t, bytes.HasPrefix(data, []byte("%PDF-")), what)
	case ".png":
		_, err := png.Decode(bytes.NewReader(data))
		require.NoError(c.t, err, what)
	case ".svg":
		d := xml.NewDecoder(bytes.NewReader(data))
		for _, err := d.Token(); err != io.EOF; _, err = d.Token() {
			require.NoError(c.t, err, what)
		}
	case ".mid":
		_, err := midi.Read(data, midi.Options{})
		require.NoError(c.t, err, what)
	case ".wav":
		require.True(c.t, bytes.HasPrefix(data, []byte("RIFF")), what)
	}
	require.NotEmpty(c.t, data, what)
	if ending != ".pdf" && ending != ".png" && ending != ".mid" && ending != ".wav" {
		c.plain(what, string(data))
	}
}

// each runs a command as text, as JSON and into each ending that has its turn.
func (c *crossing) each(args ...string) {
	c.t.Helper()
	c.run(args...)
	c.run(append(slices.Clone(args), "--json")...)
	for ; c.turn < len(endings); c.turn += c.every {
		c.run(append(slices.Clone(args), "-o", c.at("out"+endings[c.turn]))...)
	}
	c.turn -= len(endings)
}

// aboutRig runs all that is asked of a rig alone.
func (c *crossing) aboutRig(rig string) {
	c.each("check", rig)
	c.each("map", rig)
	c.each("map", rig, "--unison", "2")
	for _, voice := range []string{"K1", "K2", "Z9"} {
		c.each("map", rig, "--without", voice)
	}
	c.each("repatch", rig, "one", "two")
	c.each("repatch", rig, "two", "two")
	c.each("repatch", rig, "none", "one")
	c.each("tune", rig, c.at("empty.csv"))
	c.each("tune", rig, c.at("one.csv"))
	c.run("tune", rig, "--wav", c.at("none"))
	c.each("write", rig, "--line-check")
	c.each("size", rig, "--playing", "notes, 2 a second, 0.2 s", "--for", "60s")
	c.live(rig)
}

// live plays to ends that are there, are too few, and cannot be.
func (c *crossing) live(rig string) {
	for _, outs := range [][]string{{}, {"/dev/null"}, {"/dev/null", "/dev/null"}, {c.at("nowhere/port"), c.at("nowhere/other")}, {"tcp://nowhere"}, {c.dir}} {
		args := []string{"live", rig, "--in", "-"}
		for _, out := range outs {
			args = append(args, "--out", out)
		}
		c.run(args...)
		c.run(append(args, "--json", "--quiet", "--steal", "least-lost")...)
	}
	c.run("live", rig, "--in", c.dir, "--out", "/dev/null", "--out", "/dev/null")
}

// aboutSong runs all that is asked of a rig and a song.
func (c *crossing) aboutSong(rig, song string) {
	c.each("check", rig, "--song", song)
	c.each("map", rig, "--without", "K1", "--song", song)
	c.each("replay", rig, song)
	c.run("replay", rig, song, "--fail-on-loss")
	c.run("replay", rig, song, "--report", "-o", c.at("out.pdf"))
	c.each("replay", rig, song, "--steal", "least-audible", "--unison", "2", "--from", "2")
	c.each("replay", rig, song, "--dealt")
	c.each("size", rig, song)
	c.run("size", rig, song, "--report", "-o", c.at("out.pdf"))
	c.each("write", rig, song)
	for _, how := range [][]string{{"--to", "1"}, {"--both", "--missing"}, {"--asked", "--part", "p", "--unison", "2"}} {
		c.run(append([]string{"listen", rig, song, "-o", c.at("out.wav")}, how...)...)
	}
	for _, how := range [][]string{{"--stems"}, {"--by-port"}, {"--passes", "fewest"}, {"--passes", "2"}, {"--bend-range", "12"}} {
		c.run(append([]string{"write", rig, song, "-o", c.at("out.mid")}, how...)...)
	}
}

// further runs what takes longer, in one format.
func (c *crossing) further(rig, song string) {
	c.run("size", rig, song, "--drill", "--sensitivity", "--by", "part", "--pairs", "--budget", "50ms")
	c.run("size", rig, song, "--by", "bank", "--rack", "1x1", "--rack", "2x4")
	c.run("size", rig, song, song, "--rules", "all")
	c.run("replay", rig, song, song)
	for _, o := range [][]string{{"--voices", "0"}, {"--voices", "1"}, {"--without", "K1"}, {"--more", "1"}, {"--reserve", "p=4"}, {"--pick", "strict-round-robin"}} {
		c.run(append([]string{"replay", rig, song}, o...)...)
	}
}

// served asks the page for everything that it can be asked.
func (c *crossing) served(rig string, songs ...string) {
	bug := func(p *crew.Panic) { c.t.Errorf("%s: %v\n%s", rig, p.Value, p.Stack) }
	desk, err := page.NewDesk(rig, page.Tools{ReadSong: playable, Write: (&serve{app: &app{stderr: io.Discard}}).save, Bug: bug})
	require.NoError(c.t, err)
	handler := page.New(desk, page.Door{Hosts: []string{"here"}})
	ask := func(method, path, body string) string {
		c.runs++
		r, w := httptest.NewRequest(method, "http://here/api/"+path, strings.NewReader(body)), httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		require.Contains(c.t, []int{200, 204, 400, 404, 422}, w.Code, "%s %s: %s", path, body, w.Body)
		if path != "file" {
			c.plain(rig+" "+path, w.Body.String())
		}
		return w.Body.String()
	}
	var shown struct{ Files []struct{ Kind string } }
	require.NoError(c.t, json.Unmarshal([]byte(ask("GET", "desk", "")), &shown))
	for _, song := range songs {
		data, err := os.ReadFile(song)
		require.NoError(c.t, err)
		ask("POST", "song?name=x.mid", string(data))
	}
	for id := range len(songs) + 1 { // 0 is no song
		for i, flags := range []string{`[]`, `["--voices", "1"]`, `["--unison", "2"]`, `["--without", "K1"]`} {
			if (id+i+c.turn)%corpora.Some(2, 1) > 0 {
				continue
			}
			body := fmt.Sprintf(`{"song": "%d", "flags": %s}`, id, flags)
			for _, path := range []string{"map", "sheets", "play", "size", "compare", "fixes"} {
				ask("POST", path, body)
			}
		}
		for _, f := range shown.Files {
			ask("POST", "file", fmt.Sprintf(`{"kind": %q, "song": "%d", "flags": []}`, f.Kind, id))
		}
	}
	ask("POST", "keep", `{"flags": ["--without", "K1", "--unison", "2"]}`)
	ask("POST", "stop", "")
}

// TestDegenerate crosses rigs that lack nearly everything, and songs without
// notes or endings, with every command, every format and the page. Of the files in
// ten formats that a command can write a rig takes one, in turn, and with
// CHOIRLOFT_CORPORA all: the rigs begin at different ones. Without it every other rig
// plays one of the songs, and the page is asked with every other change.
func TestDegenerate(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	for i, name := range slices.Sorted(maps.Keys(degenerate)) {
		if corpora.Some(i%3, 0) > 0 {
			continue
		}
		t.Run(name, func(t *testing.T) {
			c := newCrossing(t)
			c.every = corpora.Some(len(endings), 1)
			c.turn = i % c.every
			songs := []string{c.at("none.mid"), c.at("chord.mid")}
			c.all(c.at(name+".yaml"), songs[corpora.Some(i%2, 0):corpora.Some(i%2+1, 2)])
		})
	}
}

// all crosses one rig with everything.
func (c *crossing) all(rig string, songs []string) {
	c.aboutRig(rig)
	for _, song := range songs {
		c.aboutSong(rig, song)
		c.further(rig, song)
	}
	c.served(rig, songs...)
	c.t.Logf("%d runs", c.runs)
}

// TestMostVoices does the same with the most voices that a rig may have, where
// that takes no more than half a second, into every fourth format and with CHOIRLOFT_CORPORA
// into all. Left out are files of CVs, a gigabyte each, and the sheets of 1024 jacks
// that are all plugged, which the sheet without an interface stands for.
func TestMostVoices(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	c := newCrossing(t)
	bare, fed, chord := c.at("bare.yaml"), c.at("fed.yaml"), c.at("chord.mid")
	every := corpora.Some(3, 1)
	for i, args := range [][]string{{"check", bare}, {"map", bare}, {"map", bare, "--unison", "2"}, {"map", bare, "--without", "N1024"},
		{"replay", bare, chord}, {"replay", bare, chord, "--unison", "32"}} {
		if i%every == 0 {
			c.run(args...)
		}
		if i%every == every-1 {
			c.run(append(args, "--json")...)
		}
	}
	for i := 0; i < len(endings); i += corpora.Some(8, 1) {
		c.run("map", bare, "-o", c.at("out"+endings[i]))
		c.run("replay", bare, chord, "-o", c.at("out"+endings[i]))
	}
	for i, args := range [][]string{{"check", fed}, {"check", fed, "--song", chord}, {"replay", fed, chord}, {"write", fed, chord, "-o", c.at("out.mid")},
		{"write", fed, "--line-check", "-o", c.at("out.mid")},
		{"size", fed, chord, "--budget", "50ms"}, {"live", fed, "--out", "/dev/null"}} {
		if i%every == 0 {
			c.run(args...)
		}
	}
	t.Logf("%d runs", c.runs)
}

// What map and check take for 4096 voices is counted, not timed: they ask for memory
// little more than twice as often as for 2048, so nothing in them is square.
func TestMostVoicesAreLinear(t *testing.T) {
	corpora.Patient(t)
	rig := func(voices int) string {
		return fmt.Sprintf("rig: X\nbanks: {K: {voices: %[1]d}, L: {voices: %[1]d}, M: {voices: %[1]d}, N: {voices: %[1]d}}\nparts: {p: {}}\n", voices)
	}
	dir := scratch(t, map[string]string{"most.yaml": rig(1024), "half.yaml": rig(512)})
	for _, command := range []string{"map", "check"} {
		count := func(file string) float64 {
			return testing.AllocsPerRun(1, func() {
				require.Less(t, Run(t.Context(), []string{command, filepath.Join(dir, file)}, strings.NewReader(""), io.Discard, io.Discard), exitUsage)
			})
		}
		half, most := count("half.yaml"), count("most.yaml")
		t.Logf("%s: %.0f and %.0f allocations", command, half, most)
		require.Less(t, most, 2.2*half, command)
	}
}
