package cli

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// served is a page that is being served.
type served struct {
	address string   // the first
	others  []string // that it is found at
	stop    func() (status int, stderr string)
}

// start serves a copy of the demo rig until the test is over.
func start(t *testing.T, args ...string) *served {
	t.Helper()
	return startOn(t, absolute(t, demoSong), args...)
}

// startOn serves a song.
func startOn(t *testing.T, song string, args ...string) *served {
	t.Helper()
	return startWith(t, append([]string{demoCopy(t), song}, args...)...)
}

// demoCopy is a copy of the demo rig.
func demoCopy(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(top, "testdata", "kiln-yard.yaml"))
	require.NoError(t, err)
	rig := filepath.Join(t.TempDir(), "rig.yaml")
	require.NoError(t, os.WriteFile(rig, data, 0o666))
	return rig
}

// startWith serves what arguments name.
func startWith(t *testing.T, args ...string) *served {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	out, in := io.Pipe()
	var stderr bytes.Buffer
	done := make(chan int, 1)
	go func() {
		done <- Run(ctx, append([]string{"serve", "--port", "0"}, args...), strings.NewReader(""), in, &stderr)
		in.Close()
	}()
	lines := bufio.NewReader(out)
	first, err := lines.ReadString('\n')
	require.NoError(t, err, "the address comes first")
	rest, err := lines.Peek(lines.Buffered()) // they come together
	require.NoError(t, err)
	s := &served{address: strings.TrimSpace(first), others: strings.Fields(string(rest))}
	go io.Copy(io.Discard, out)
	s.stop = func() (int, string) {
		cancel()
		select {
		case status := <-done:
			done <- status
			return status, stderr.String()
		case <-time.After(10 * time.Second):
			t.Fatal("it does not end")
			return 0, ""
		}
	}
	t.Cleanup(func() { s.stop() })
	return s
}

// It answers on this machine alone, and ends in peace.
func TestServe(t *testing.T) {
	s := start(t)
	require.True(t, strings.HasPrefix(s.address, "http://127.0.0.1:"), s.address)
	answer, err := http.Get(s.address + "api/desk")
	require.NoError(t, err)
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.Contains(t, string(body), `"name": "Kiln Yard"`)
	require.Contains(t, string(body), "slow-kiln.mid")
	status, stderr := s.stop()
	require.Equal(t, exitFine, status)
	require.Equal(t, "Ctrl-C ends it.\n", stderr)
}

// With nothing, and with a song alone, there is a rig without a file. Save writes it where serve was started,
// and there replay finds it and says what the page says.
func TestServeWithoutARig(t *testing.T) {
	song := absolute(t, demoSong)
	t.Chdir(t.TempDir())
	get := func(s *served, path, body string) string {
		answer, err := http.Post(s.address+"api/"+path, "application/json", strings.NewReader(body))
		require.NoError(t, err)
		defer answer.Body.Close()
		data, err := io.ReadAll(answer.Body)
		require.NoError(t, err)
		require.Equal(t, 200, answer.StatusCode, "%s: %s", path, data)
		return string(data)
	}
	s := startWith(t)
	require.Contains(t, get(s, "map", `{}`), `"rig": "New rig"`)
	_, stderr := s.stop()
	require.Equal(t, "Ctrl-C ends it.\n", stderr)

	s = startWith(t, song)
	get(s, "save", `{"name": "kiln.yaml"}`)
	played := get(s, "play", `{"song": "1"}`)
	_, stderr = s.stop()
	require.Contains(t, stderr, "a rig is proposed for "+song+": 4 channels with notes")
	got := run(t, "", "replay", "kiln.yaml", song, "--json")
	require.Equal(t, exitFine, got.status, got.stderr)
	var page struct{ Replay map[string]any }
	var command map[string]any
	require.NoError(t, json.Unmarshal([]byte(played), &page))
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &command))
	for _, field := range []string{"fingerprint", "summary", "verdict", "damaged", "lost_gate_s", "endings", "heard", "parts"} {
		require.Equal(t, command[field], page.Replay[field], field)
		require.Contains(t, command, field)
	}
	made := run(t, "", "new", "--song", song)
	written, err := os.ReadFile("kiln.yaml")
	require.NoError(t, err)
	require.Equal(t, made.stdout, string(written), "it is the rig that new makes")
	got = run(t, "", "check", "kiln.yaml")
	require.Equal(t, exitFine, got.status, got.stdout)
}

// Another address is taken only when it is asked for, with a warning.
func TestServeToOthersWarns(t *testing.T) {
	s := start(t, "--host", "0.0.0.0")
	_, port, err := net.SplitHostPort(strings.Trim(strings.TrimPrefix(s.address, "http://"), "/"))
	require.NoError(t, err)
	require.Equal(t, "http://127.0.0.1:"+port+"/", s.address)
	for host, want := range map[string]int{"127.0.0.1": 200, "localhost": 200, "127.0.0.2": 200, "studio.example": http.StatusMisdirectedRequest} {
		if host == "127.0.0.2" && runtime.GOOS != "linux" {
			continue // where all of 127.0.0.0/8 is this machine
		}
		to := host
		if want != 200 {
			to = "127.0.0.1"
		}
		r, err := http.NewRequest("GET", "http://"+to+":"+port+"/api/desk", nil)
		require.NoError(t, err)
		r.Host = host + ":" + port
		answer, err := http.DefaultClient.Do(r)
		require.NoError(t, err)
		body, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		require.NoError(t, err)
		require.Equal(t, want, answer.StatusCode, "%s: %s", host, body)
	}
	for _, address := range append(s.others, s.address) {
		answer, err := http.Get(address + "api/desk")
		require.NoError(t, err)
		answer.Body.Close()
		require.Equal(t, 200, answer.StatusCode, address)
	}
	_, stderr := s.stop()
	require.Contains(t, stderr, "warning: on 0.0.0.0 other machines can reach this page")
}

// A name of one's own is answered to with the token that is printed, which is another each time;
// this machine gets in without.
func TestServeName(t *testing.T) {
	tokens := map[string]bool{}
	for range 2 {
		s := start(t, "--name", "studio.local", "--name", "Attic")
		require.Len(t, s.others, 2)
		named := regexp.MustCompile(`^http://studio\.local:(\d+)/([2-7A-Z]{26})/$`).FindStringSubmatch(s.others[0]) // RFC 4648, base32: 130 bits
		require.NotNil(t, named, s.others[0])
		require.Equal(t, "http://Attic:"+named[1]+"/"+named[2]+"/", s.others[1])
		require.Equal(t, "http://127.0.0.1:"+named[1]+"/", s.address)
		tokens[named[2]] = true
		for host, want := range map[string]map[string]int{
			"studio.local": {"": 403, named[2] + "/": 200, "AAAAAAAAAAAAAAAAAAAAAAAAAA/": 403},
			"ATTIC":        {"": 403, named[2] + "/": 200},
			"127.0.0.1":    {"": 200},
			"cellar.local": {"": 421, named[2] + "/": 421},
		} {
			for path, status := range want {
				r, err := http.NewRequest("GET", s.address+path+"api/desk", nil)
				require.NoError(t, err)
				r.Host = host + ":" + named[1]
				answer, err := http.DefaultClient.Do(r)
				require.NoError(t, err)
				answer.Body.Close()
				require.Equal(t, status, answer.StatusCode, "%s %s", host, path)
			}
		}
		_, stderr := s.stop()
		require.Contains(t, stderr, "note: studio.local leads here only for this machine")
	}
	require.Len(t, tokens, 2)
}

func TestServeRefuses(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer taken.Close()
	port := fmt.Sprint(taken.Addr().(*net.TCPAddr).Port)
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{demoRig, "--port", port}, "--port " + port + ": something else is listening there"},
		{[]string{demoRig, "--port", "70000"}, "--port 70000: ports are from 0 to 65535"},
		{[]string{demoRig, "--host", "example"}, "--host example: want an address"},
		{[]string{demoRig, "--name", "http://studio.local"}, "--name http://studio.local: want a host name without a port"},
		{[]string{demoRig, "--name", "studio.local:80"}, "want a host name without a port"},
		{[]string{demoRig, "--name", ""}, "want a host name without a port"},
		{[]string{"testdata/rigs/starter.yaml", "--port", port}, "something else is listening there"},
		{[]string{"nowhere.yaml"}, "there is no such file"},
		{[]string{"testdata/rigs/bad/zones.yaml"}, "testdata/rigs/bad/zones.yaml:"},
	} {
		ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
		var stdout, stderr bytes.Buffer
		status := Run(ctx, append([]string{"serve"}, c.args...), strings.NewReader(""), &stdout, &stderr)
		cancel()
		require.Equal(t, exitUsage, status, "%v: %s", c.args, &stderr)
		require.Contains(t, stderr.String(), c.want)
		require.Empty(t, stdout.String())
	}
}

// TestPageSaysWhatTheCommandSays: the documents of the page's answers, word for
// word in order, are what the command writes to a file, and in the file is
// nothing else than those and the marks of Markdown.
func TestPageSaysWhatTheCommandSays(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	folder := t.TempDir()
	song := excerpt(t, folder)
	s := startOn(t, song)
	for _, c := range []struct {
		path, body string
		args       []string
	}{
		{"play", `{"song": "1", "flags": ["--voices", "12"]}`, []string{"replay", demoRig, song, "--voices", "12"}},
		{"play", `{"song": "1"}`, []string{"replay", demoRig, song}},
		{"map", `{"flags": ["--unison", "pad=4"]}`, []string{"map", demoRig, "--unison", "pad=4"}},
		{"fixes", `{"song": "1", "flags": ["--voices", "12"]}`, []string{"size", demoRig, song, "--voices", "12"}},
		{"compare", `{"flags": ["--voices", "12"]}`, []string{"size", demoRig, folder, "--voices", "12"}},
	} {
		file := filepath.Join(t.TempDir(), "said.md")
		called := run(t, "", append(c.args, "-o", file)...)
		require.Less(t, called.status, exitUsage, called.stderr)
		printed, err := os.ReadFile(file)
		require.NoError(t, err)
		requireSaid(t, s.said(t, c.path, c.body), strings.ReplaceAll(string(printed), `\`, ""))
	}
}

// said are the words of the document in an answer of the page, in order.
func (s *served) said(t *testing.T, path, body string) (words []string) {
	t.Helper()
	answer, err := http.Post(s.address+"api/"+path, "application/json", strings.NewReader(body))
	require.NoError(t, err)
	defer answer.Body.Close()
	data, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.Equal(t, 200, answer.StatusCode, string(data))
	if path == "fixes" { // a line for each step
		data = data[bytes.LastIndexByte(bytes.TrimSpace(data), '\n')+1:]
	}
	var told struct {
		Doc struct {
			Title  string
			Plan   string
			Blocks []block
		}
	}
	require.NoError(t, json.Unmarshal(data, &told))
	words = append(words, told.Doc.Title)
	if len(told.Doc.Blocks) > 0 && !strings.Contains(told.Doc.Blocks[0].Text, told.Doc.Plan) {
		words = append(words, "plan "+told.Doc.Plan) // beside the answer, as doc.js has it
	}
	for _, b := range told.Doc.Blocks {
		words = append(words, b.words()...)
	}
	return words
}

// block is a block of a document as it comes in JSON.
type block struct {
	Kind, Text string
	Items      []struct {
		Text  string
		Below []string
	}
	Columns []struct{ Head string }
	Groups  []struct {
		Title string
		Rows  [][]string
	}
	Legends  []string
	Findings []struct{ Line, Hint string }
}

func (b *block) words() (words []string) {
	words = append(words, b.Text)
	for _, item := range b.Items {
		words = append(append(words, item.Text), item.Below...)
	}
	for _, g := range b.Groups {
		words = append(words, g.Title)
		for _, c := range b.Columns {
			words = append(words, c.Head)
		}
		for _, row := range g.Rows {
			words = append(words, row...)
		}
	}
	words = append(words, b.Legends...)
	for _, f := range b.Findings {
		words = append(words, f.Line, f.Hint)
	}
	return words
}

// requireSaid holds a text to some words in order, with nothing but marks
// between them.
func requireSaid(t *testing.T, words []string, text string) {
	t.Helper()
	require.Greater(t, len(words), 20)
	for _, word := range words {
		before, after, found := strings.Cut(text, word)
		require.True(t, found, "%q is not in what is left: %.300s", word, text)
		require.Empty(t, strings.Trim(before, "#|:*- \n"), "printed, and not said by the page before %q", word)
		text = after
	}
	require.Empty(t, strings.Trim(text, "| \n"), "printed, and not said by the page")
}
