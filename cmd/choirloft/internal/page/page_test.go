package page

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/crew"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/midi"
	"choirloft/midi/corpora"
)

const top = "../../../../"

func tools() Tools {
	return Tools{
		ReadSong: func(_ string, data []byte) (*midi.Song, error) { return midi.Read(data, midi.Options{}) },
		Write: func(ctx context.Context, path string, was, text []byte) error {
			_, err := files.Commit(ctx, files.Out{Name: path, Was: was, Data: text})
			return err
		},
		Scratch: func() (*os.File, error) { return os.CreateTemp("", "recording") },
		Create: func(ctx context.Context, path string, text []byte) error {
			_, err := files.Commit(ctx, files.Out{Name: path, Data: text, New: true})
			return err
		},
	}
}

// bench is a desk with a copy of the demo rig, and its server.
type bench struct {
	t    *testing.T
	desk *Desk
	path string
	web  *httptest.Server
	end  context.CancelFunc // of what is being answered, as the program does
}

func newBench(t *testing.T) *bench {
	t.Helper()
	data, err := os.ReadFile(top + "testdata/kiln-yard.yaml")
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "kiln-yard.yaml")
	require.NoError(t, os.WriteFile(path, data, 0o666))
	desk, err := NewDesk(path, tools())
	require.NoError(t, err)
	b := serveDesk(t, desk)
	b.path = path
	return b
}

// serveDesk serves a desk until the test is over.
func serveDesk(t *testing.T, desk *Desk) *bench {
	t.Helper()
	b := &bench{t: t, desk: desk}
	b.web = httptest.NewUnstartedServer(nil)
	b.web.Config.Handler = New(b.desk, Door{Hosts: Hosts(b.web.Listener.Addr())})
	ctx, end := context.WithCancel(context.Background())
	b.end = end
	b.web.Config.BaseContext = func(net.Listener) context.Context { return ctx }
	b.web.Start()
	t.Cleanup(func() { end(); b.web.Close() })
	return b
}

// ask sends a request and returns its status and answer.
func (b *bench) ask(method, path, body string, header ...string) (int, string) {
	b.t.Helper()
	r, err := http.NewRequest(method, b.web.URL+path, strings.NewReader(body))
	require.NoError(b.t, err)
	for i := 0; i+1 < len(header); i += 2 {
		if header[i] == "Host" {
			r.Host = header[i+1]
			continue
		}
		r.Header.Set(header[i], header[i+1])
	}
	answer, err := http.DefaultClient.Do(r)
	require.NoError(b.t, err)
	defer answer.Body.Close()
	var data bytes.Buffer
	_, err = data.ReadFrom(answer.Body)
	require.NoError(b.t, err)
	return answer.StatusCode, data.String()
}

func (b *bench) post(path, body string) (int, string) {
	b.t.Helper()
	return b.ask("POST", "/api/"+path, body)
}

// demo puts the demo song on the desk.
func (b *bench) demo() {
	b.t.Helper()
	data, err := os.ReadFile(top + "testdata/slow-kiln.mid")
	require.NoError(b.t, err)
	status, answer := b.post("song?name=slow-kiln.mid", string(data))
	require.Equal(b.t, 200, status, answer)
	require.JSONEq(b.t, `{"id": "1", "name": "slow-kiln.mid"}`, answer)
}

// The page plays what the command plays: cmd/demosong's figures on 12 voices.
func TestPlay(t *testing.T) {
	b := newBench(t)
	b.demo()
	status, answer := b.post("play", `{"song": "1", "flags": ["--voices", "12"]}`)
	require.Equal(t, 200, status, answer)
	var played struct {
		Replay struct {
			Damaged int
			Bound   struct {
				FewestDamaged int     `json:"fewest_damaged"`
				UnavoidableS  float64 `json:"unavoidable_s"`
			}
		}
		Lanes struct{ Spans []struct{ Voice int } }
	}
	require.NoError(t, json.Unmarshal([]byte(answer), &played))
	require.Equal(t, 2, played.Replay.Bound.FewestDamaged)
	require.InDelta(t, 0.12, played.Replay.Bound.UnavoidableS, 1e-5)
	require.NotEmpty(t, played.Lanes.Spans)
	status, answer = b.post("size", `{"song": "1", "flags": []}`)
	require.Equal(t, 200, status)
	require.Contains(t, answer, `"enough": {`)
	require.Contains(t, answer, `Slow Kiln needs 16 voices, 24 with sine waves; Kiln Yard has 19 in service."`, "its sentences too")
	status, answer = b.post("compare", `{"flags": []}`)
	require.Equal(t, 200, status)
	require.Contains(t, answer, `"median": {`)
	require.Contains(t, answer, `"summary": "1 song: half get by on 16 voices`)
	status, answer = b.post("map", `{"flags": ["--without", "K1"]}`)
	require.Equal(t, 200, status)
	require.Contains(t, answer, `"name": "K1"`)
	status, answer = b.post("map", `{"song": "1", "flags": ["--pick", "pad=lowest"], "set": [{"kind": "pick", "part": "pad", "value": "nearest"}, {"kind": "release", "part": "", "value": "350 ms"}]}`)
	require.Equal(t, 200, status, answer)
	var mapped struct{ Now setView }
	require.NoError(t, json.Unmarshal([]byte(answer), &mapped))
	require.Equal(t, "choirloft replay "+b.path+` slow-kiln.mid --release "350 ms" --pick pad=nearest`, mapped.Now.Command, "what is set is on top")
	require.Equal(t, 0.35, mapped.Now.Parts[0].ReleaseS)
	require.Equal(t, "nearest", mapped.Now.Parts[0].Pick)
}

// A voice of a bank that has gone is out no longer: what is set about it is dropped, and told. It is back with
// the bank. What is typed stays an error, and so does what is wrong in another way.
func TestDropped(t *testing.T) {
	b := newBench(t)
	b.demo()
	const set = `{"song": "1", "set": [{"kind": "without", "part": "", "value": "P2"}, {"kind": "without", "part": "", "value": "K1"}, {"kind": "pick", "part": "choir", "value": "lowest"}]}`
	note := func(body string) setView {
		t.Helper()
		status, answer := b.post("map", body)
		require.Equal(t, 200, status, answer)
		var mapped struct{ Now setView }
		require.NoError(t, json.Unmarshal([]byte(answer), &mapped))
		return mapped.Now
	}
	b.post("alter", `{"deeds": [{"do": "bank-gone", "bank": "P"}]}`)
	now := note(set)
	require.True(t, strings.HasPrefix(now.Note, "--without P2 and --pick choir=lowest are dropped: the rig has nothing of those names. "), now.Note)
	require.True(t, strings.HasSuffix(now.Command, " --without K1"), now.Command)
	for _, path := range []string{"play", "size", "picture", "bench", "sheets", "set"} {
		status, answer := b.post(path, set)
		require.Equal(t, 200, status, "%s: %s", path, answer)
	}
	status, answer := b.post("set", set)
	require.Equal(t, 200, status, answer)
	require.JSONEq(t, `{"set": [{"kind": "without", "part": "", "value": "K1"}]}`, answer)
	status, answer = b.post("map", `{"flags": ["--without", "P2"]}`)
	require.Equal(t, 422, status, answer)
	status, answer = b.post("map", `{"set": [{"kind": "voices", "part": "", "value": "500"}]}`)
	require.Equal(t, 422, status, answer)
	b.post("alter", `{"deeds": [{"do": "bank", "name": "P", "voices": 4}]}`)
	require.True(t, strings.HasPrefix(note(set).Note, "--pick choir=lowest is dropped: the rig has nothing of that name. "))
}

// The page finds the fixes that the command finds, pairs too.
func TestFixesWithPairs(t *testing.T) {
	corpora.Need(t, "search among pairs")
	b := newBench(t)
	b.demo()
	status, answer := b.post("fixes", `{"song": "1", "flags": ["--voices", "12"], "pairs": 5}`)
	require.Equal(t, 200, status)
	lines := strings.Split(strings.TrimSpace(answer), "\n")
	require.Contains(t, lines[len(lines)-1], `"fixes":`)
	require.Contains(t, lines[len(lines)-1], `"text":"4 voices more (16)"`)
	require.Contains(t, lines[len(lines)-1], `"pairs_in_all":`)
	require.Contains(t, answer, `"what":"remedies"`)
}

// The page says what each part may use where the rig as it is loses other notes than as many
// identical voices, in words and in the picture: bank K has 4 of 19 voices.
func TestPartsMayUse(t *testing.T) {
	b := newBench(t)
	b.demo()
	for flags, says := range map[string]bool{`["--banks", "bass=K"]`: true, `[]`: false} {
		status, answer := b.post("size", `{"song": "1", "flags": `+flags+`}`)
		require.Equal(t, 200, status, answer)
		var sized struct {
			Doc     json.RawMessage
			Figures map[string]string
		}
		require.NoError(t, json.Unmarshal([]byte(answer), &sized))
		const uses = "In service is the rig as it is: pad, arp and lead may use 19 voices, bass 4."
		require.Equal(t, says, strings.Contains(string(sized.Doc), uses), flags)
		require.NotEmpty(t, sized.Figures["curve"])
		require.Equal(t, says, strings.Contains(sized.Figures["curve"], ">"+uses), flags)
	}
}

// A request that meets a bug gets a sentence, and nobody a trace; the others are
// answered as before.
func TestBug(t *testing.T) {
	b := newBench(t)
	var met []*crew.Panic
	b.desk.tools.Bug = func(p *crew.Panic) { met = append(met, p) }
	b.desk.tools.ReadSong = func(string, []byte) (*midi.Song, error) { var songs []*midi.Song; return songs[0], nil }
	status, answer := b.post("song?name=x.mid", "MThd")
	require.Equal(t, 500, status)
	require.JSONEq(t, `{"error": "this is a bug in choirloft; your files are fine",
		"hint": "save what you have, or copy your text elsewhere, and start the page again"}`, answer)
	require.Len(t, met, 1)
	require.Contains(t, string(met[0].Stack), "TestBug")
	status, _ = b.ask("GET", "/api/desk", "")
	require.Equal(t, 200, status)
}

// What goes wrong when lines have begun to come is the last of them.
func TestBugAmongLines(t *testing.T) {
	s := &server{desk: &Desk{}}
	w := httptest.NewRecorder()
	s.answer(func(w http.ResponseWriter, _ *http.Request) error {
		w.Header().Set("Content-Type", linesType)
		steps := &stepWriter{w: w}
		steps.line(map[string]any{"done": 1})
		panic("a bug")
	})(w, httptest.NewRequest("POST", "/", nil))
	require.Equal(t, 200, w.Code, "it was sent before")
	lines := strings.Split(strings.TrimSpace(w.Body.String()), "\n")
	require.Len(t, lines, 2)
	require.Contains(t, lines[1], `"error":"this is a bug in choirloft`)
}

// Every file that the page offers can be taken away.
func TestFiles(t *testing.T) {
	b := newBench(t)
	b.demo()
	for _, k := range kinds {
		status, data := b.post("file", `{"kind": "`+k.Kind+`", "song": "1", "flags": ["--voices", "12"]}`)
		require.Equal(t, 200, status, "%s: %s", k.Kind, data)
		start := map[string]string{".pdf": "%PDF-", ".svg": "<svg", ".mid": "MThd", ".csv": "row,lane", ".md": "# Kiln Yard: channel map"}[filepath.Ext(k.Kind)]
		require.Contains(t, data[:min(len(data), 400)], start, k.Kind)
		if k.Song {
			status, _ = b.post("file", `{"kind": "`+k.Kind+`", "song": "9"}`)
			require.Equal(t, 404, status)
		}
	}
}

// What is refused, and how.
func TestRefusals(t *testing.T) {
	b := newBench(t)
	b.demo()
	for _, c := range []struct {
		path, body string
		status     int
		want       string
	}{
		{"play", `{"song": "9"}`, 404, "no song 9 on the desk"},
		{"play", `{"song": "1", "flags": ["--pick", "x"]}`, 422, `--pick x: unknown picking rule`},
		{"play", `{"song": "1", "flags": ["--pick"]}`, 422, "--pick: it needs a value"},
		{"play", `{"song": "1", "set": [{"kind": "same_key", "part": "pad", "value": "x"}]}`, 422, `--same-key pad=x: unknown same-key rule`},
		{"play", `{"song": "1", "set": [{"kind": "jitter", "value": "x"}]}`, 422, "--jitter: there is no such override"},
		{"play", `{"song": "1", "flag": []}`, 400, "this is not what the page sends"},
		{"play", `{`, 400, "this is not what the page sends"},
		{"play", `{"song": "` + strings.Repeat("x", 1<<20) + `"}`, 413, "more than 1048576 bytes"},
		{"rig", `{"text": "` + strings.Repeat("x", 2<<20) + `"}`, 413, "more than 2097152 bytes"},
		{"song?name=x.mid", "no song", 422, "MThd"},
		{"remove", `{"song": "9"}`, 404, "no song 9"},
		{"file", `{"kind": "../kiln-yard.yaml"}`, 404, "no file of kind"},
	} {
		status, answer := b.post(c.path, c.body)
		require.Equal(t, c.status, status, "%s %.60s: %s", c.path, c.body, answer)
		var said struct{ Error string }
		require.NoError(t, json.Unmarshal([]byte(answer), &said), answer)
		require.Contains(t, said.Error, c.want)
	}
	status, _ := b.ask("GET", "/api/play", "")
	require.NotEqual(t, 200, status, "a change is a POST")
	status, _ = b.ask("GET", "/../desk.go", "")
	require.Equal(t, 404, status)
}

// Another host, another origin, another site: refused, whatever they ask.
func TestForeignRequests(t *testing.T) {
	b := newBench(t)
	b.demo()
	status, answer := b.ask("GET", "/api/desk", "", "Host", "rig.example:4870")
	require.Equal(t, http.StatusMisdirectedRequest, status)
	require.NotContains(t, answer, "Kiln")
	for _, header := range [][]string{{"Origin", "http://rig.example"}, {"Sec-Fetch-Site", "cross-site"}, {"Origin", "null"}} {
		status, answer = b.ask("POST", "/api/save", "{}", header...)
		require.Equal(t, http.StatusForbidden, status, "%v: %s", header, answer)
	}
	for _, path := range []string{"/api/desk", "/api/events"} {
		status, answer = b.ask("GET", path, "", "Sec-Fetch-Site", "cross-site")
		require.Equal(t, http.StatusForbidden, status)
		require.NotContains(t, answer, "data")
	}
	status, _ = b.ask("GET", "/", "", "Sec-Fetch-Site", "cross-site")
	require.Equal(t, 200, status, "a link may lead here")
	status, _ = b.ask("POST", "/api/stop", "{}", "Origin", b.web.URL)
	require.Equal(t, http.StatusNoContent, status)
	answered, err := http.Get(b.web.URL + "/")
	require.NoError(t, err)
	answered.Body.Close()
	require.Contains(t, answered.Header.Get("Content-Security-Policy"), "default-src 'none'")
	require.Equal(t, "nosniff", answered.Header.Get("X-Content-Type-Options"))
}

func TestHosts(t *testing.T) {
	at := func(ip string) net.Addr { return &net.TCPAddr{IP: net.ParseIP(ip), Port: 4870} }
	require.Contains(t, Hosts(at("127.0.0.1")), "localhost:4870")
	require.Contains(t, Hosts(at("::1")), "[::1]:4870")
	require.Equal(t, []string{"192.0.2.7:4870"}, Hosts(at("192.0.2.7")), "a documentation address, RFC 5737")
}

// The text is edited on the desk alone; faults are located and leave the last
// good rig playing; save writes it, and never over what somebody else wrote.
func TestEditAndSave(t *testing.T) {
	b := newBench(t)
	b.demo()
	before, err := os.ReadFile(b.path)
	require.NoError(t, err)
	edit := func(text string) deskView {
		body, err := json.Marshal(map[string]string{"text": text})
		require.NoError(t, err)
		status, answer := b.post("rig", string(body))
		require.Equal(t, 200, status, answer)
		var v deskView
		require.NoError(t, json.Unmarshal([]byte(answer), &v))
		return v
	}
	v := edit(strings.Replace(string(before), "voices: 4", "voices: four", 1))
	require.NotEmpty(t, v.Faults)
	require.Equal(t, 28, v.Faults[0].Line, "%v", v.Faults)
	require.Equal(t, b.path+":28:15: banks.K.voices: ", v.Faults[0].Text[:len(b.path)+24], "as the command prints it")
	require.Equal(t, "1 fault in the text", v.State)
	require.Equal(t, "Kiln Yard", v.Name)
	status, answer := b.post("save", "{}")
	require.Equal(t, 422, status, answer)
	status, _ = b.post("play", `{"song": "1", "flags": []}`)
	require.Equal(t, 200, status, "the last good rig plays on")

	v = edit(strings.Replace(string(before), "rig: Kiln Yard", "rig: Kiln Hall", 1))
	require.Equal(t, "Kiln Hall", v.Name)
	require.False(t, v.Saved)
	now, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.Equal(t, before, now, "nothing is written before save")
	status, answer = b.post("save", "{}")
	require.Equal(t, 200, status, answer)
	now, err = os.ReadFile(b.path)
	require.NoError(t, err)
	require.Contains(t, string(now), "Kiln Hall")

	edit(string(before))
	require.NoError(t, os.WriteFile(b.path, []byte("rig: Other\nbanks: {K: {voices: 1}}\n"), 0o666))
	status, answer = b.post("save", "{}")
	require.Equal(t, http.StatusConflict, status, answer)
	now, err = os.ReadFile(b.path)
	require.NoError(t, err)
	require.Contains(t, string(now), "Other", "what somebody else wrote stays")
	status, answer = b.post("reload", "{}")
	require.Equal(t, 200, status)
	require.Contains(t, answer, "Other")
}

// A failed save leaves the file and says so.
func TestSaveThatFails(t *testing.T) {
	b := newBench(t)
	b.desk.tools.Write = func(context.Context, string, []byte, []byte) error { return errors.New("disk full") }
	require.NoError(t, b.desk.Edit([]byte("rig: New\nbanks: {K: {voices: 1}}\n")))
	status, answer := b.post("save", "{}")
	require.Equal(t, 422, status)
	require.Contains(t, answer, "disk full")
	require.False(t, b.desk.saved())
}

// Profile files are looked for in the rig's folder, which nothing leaves.
func TestNoFileOutsideOfTheFolder(t *testing.T) {
	b := newBench(t)
	outside := filepath.Join(t.TempDir(), "secret.yaml")
	require.NoError(t, os.WriteFile(outside, []byte("interface: secret\ncv: 4\ngates: 4\n"), 0o666))
	require.NoError(t, os.Symlink(outside, filepath.Join(filepath.Dir(b.path), "link.yaml")))
	for _, path := range []string{outside, "../" + filepath.Base(filepath.Dir(outside)) + "/secret.yaml", "link.yaml"} {
		require.NoError(t, b.desk.Edit([]byte("rig: X\ninterfaces: {main: {profile: "+path+"}}\nbanks: {K: {voices: 1}}\n")))
		require.NotEmpty(t, b.desk.faults, path)
		require.NotContains(t, b.desk.faults.Error(), "secret\n")
	}
}

func TestCleanName(t *testing.T) {
	for name, want := range map[string]string{"a.mid": "a.mid", "../../etc/passwd": "passwd", `c:\x\y.mid`: "y.mid", "a\x00\nb": "ab", "": "song",
		strings.Repeat("é", 200): strings.Repeat("é", 100)} {
		require.Equal(t, want, cleanName(name))
	}
}

// Many ask at once while the rig changes: nothing is torn.
func TestAtOnce(t *testing.T) {
	b := newBench(t)
	b.demo()
	var work sync.WaitGroup
	for i := range 8 {
		work.Go(func() {
			for range 3 {
				switch i % 4 {
				case 0:
					b.post("play", `{"song": "1", "flags": ["--voices", "9"]}`)
				case 1:
					b.post("rig", `{"text": "rig: Y\nbanks: {K: {voices: 9}}\n"}`)
				case 2:
					b.post("size", `{"song": "1"}`)
				case 3:
					b.ask("GET", "/api/desk", "")
				}
			}
		})
	}
	work.Wait()
	status, answer := b.ask("GET", "/api/desk", "")
	require.Equal(t, 200, status)
	require.Contains(t, answer, `"name": "Y"`)
}
