package page

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// hear listens to the desk's events, each as it stands on its line.
func (b *bench) hear() (next func() string, leave func()) {
	b.t.Helper()
	answer, err := http.Get(b.web.URL + "/api/events")
	require.NoError(b.t, err)
	require.Equal(b.t, 200, answer.StatusCode)
	require.Equal(b.t, "text/event-stream", answer.Header.Get("Content-Type"))
	lines := bufio.NewScanner(answer.Body)
	return func() string {
		for lines.Scan() {
			if lines.Text() != "" {
				return lines.Text()
			}
		}
		return "ended"
	}, func() { answer.Body.Close() }
}

// Every change of the desk is an event, and so is one of the file underneath, in either direction.
func TestEvents(t *testing.T) {
	b := newBench(t)
	next, leave := b.hear()
	defer leave()
	last := next()
	changed := func(why string) {
		t.Helper()
		now := next()
		require.Regexp(t, `^data: \d+$`, now)
		require.NotEqual(t, last, now, why)
		last = now
	}
	b.post("rig", `{"text": "rig: Y\nbanks: {K: {voices: 9}}\n"}`)
	changed("edit")
	b.post("save", "{}")
	changed("save")
	b.demo()
	changed("song")
	b.post("remove", `{"song": "1"}`)
	changed("remove")
	saved, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(b.path, []byte("rig: Elsewhere\nbanks: {K: {voices: 9}}\n"), 0o666))
	changed("file")
	_, desk := b.ask("GET", "/api/desk", "")
	require.Contains(t, desk, `"strayed": true`)
	require.Contains(t, desk, strings.TrimPrefix(last, "data: "))
	require.NoError(t, os.WriteFile(b.path, saved, 0o666))
	changed("file back")
	require.NoError(t, os.Remove(b.path))
	changed("file gone")
	require.NoError(t, os.WriteFile(b.path, saved, 0o666))
	changed("file back")
	b.post("reload", "{}")
	changed("reload")
}

// So many listen, and no more; who leaves makes room. They are let go when the program ends.
func TestListeners(t *testing.T) {
	b := newBench(t)
	var leave func()
	var next func() string
	for range mostListeners {
		next, leave = b.hear()
		next()
	}
	status, answer := b.ask("GET", "/api/events", "")
	require.Equal(t, http.StatusServiceUnavailable, status)
	require.Contains(t, answer, "16 pages hear of changes already")
	leave()
	require.Eventually(t, func() bool {
		r, err := http.Get(b.web.URL + "/api/events")
		require.NoError(t, err)
		b.t.Cleanup(func() { r.Body.Close() })
		return r.StatusCode == 200
	}, 10*time.Second, 10*time.Millisecond)
	b.end()
	require.Equal(t, "ended", next())
}

// A text is refused where another tab has written since the edition that it goes by.
func TestOvertaken(t *testing.T) {
	b := newBench(t)
	edition := func() int64 {
		_, answer := b.ask("GET", "/api/desk", "")
		var v deskView
		require.NoError(t, json.Unmarshal([]byte(answer), &v))
		return v.Edition
	}
	n := 0
	put := func(path, tab string, from int64) int {
		n++
		status, _ := b.post(path, fmt.Sprintf(map[string]string{
			"rig":  `{"tab": %q, "from": %d, "edit": %d, "text": "rig: R%[3]d\nbanks: {K: {voices: 9}}\n"}`,
			"keep": `{"tab": %q, "from": %d, "set": [{"kind": "voices", "part": "", "value": "%d"}]}`,
			"save": `{"tab": %q, "from": %d}%.0d`}[path], tab, from, n))
		return status
	}
	first := edition()
	require.Equal(t, 200, put("rig", "a", first))
	require.Equal(t, 200, put("rig", "a", first), "its own edits do not overtake a tab")
	for _, path := range []string{"rig", "keep", "save"} {
		require.Equal(t, http.StatusPreconditionFailed, put(path, "b", first), path)
	}
	second := edition()
	require.Equal(t, 200, put("save", "b", second), "it has seen what it saves")
	require.Equal(t, 200, put("rig", "b", second), "saving is no new text")
	require.Equal(t, http.StatusPreconditionFailed, put("rig", "a", second))
	status, _ := b.post("rig", `{"text": "rig: R\nbanks: {K: {voices: 9}}\n"}`)
	require.Equal(t, 200, status, "who names no tab is not held to any")

	settle := func(keep, seen string) (int, string) {
		status, _ := b.post("settle", fmt.Sprintf(`{"keep": %q, "seen": %q, "mine": "rig: M\nbanks: {K: {voices: 9}}\n", "tab": "a"}`, keep, seen))
		return status, string(b.desk.text)
	}
	const theirs, mine = "rig: R\nbanks: {K: {voices: 9}}\n", "rig: M\nbanks: {K: {voices: 9}}\n"
	status, _ = settle("mine", "rig: older\n")
	require.Equal(t, http.StatusPreconditionFailed, status)
	status, _ = settle("neither", theirs)
	require.Equal(t, http.StatusBadRequest, status)
	_, text := settle("theirs", theirs)
	require.Equal(t, theirs, text)
	_, text = settle("both", theirs)
	require.Equal(t, "# other tab: rig: R\n"+mine, text)
	_, text = settle("mine", text)
	require.Equal(t, mine, text)
}

// Two tabs see each other: what one writes and saves the other shows, but for what was typed
// there; that is left, and the difference is offered. So is that of a file changed on disk.
func TestTwoTabs(t *testing.T) {
	b := newBench(t)
	one, two := open(t, b), open(t, b)
	for _, p := range []*browser{one, two} {
		p.do(click("#tab-text"), visible("#text"))
	}
	write := func(p *browser, from, to string) {
		p.run(fmt.Sprintf(`{ const t = document.getElementById("text"); t.value = t.value.replace(%q, %q); t.dispatchEvent(new Event("input")); }`, from, to))
	}
	text := func(p *browser) string { return value[string](p, `document.getElementById("text").value`) }
	news := func(p *browser, want string) {
		t.Helper()
		p.until(fmt.Sprintf(`document.getElementById("news-text").textContent.includes(%q)`, want))
	}
	write(one, "rig: Kiln Yard", "rig: Kiln Hall")
	news(two, "Undo brings back")
	two.until(`document.getElementById("rig-name").textContent === "Kiln Hall"`)
	require.Contains(t, text(two), "rig: Kiln Hall")
	one.do(click("#save"))
	news(two, "Another tab has saved")
	two.until(`document.getElementById("save-state").textContent === "as on disk"`)
	require.Empty(t, value[string](one, `document.getElementById("news-text").textContent`), "what it did itself is no news")

	// Each types: what comes later is not sent over what came before, and nothing typed is lost.
	write(two, "rig: Kiln Hall", "rig: Kiln House")
	news(one, "Undo brings back")
	write(one, "rig: Kiln House", "rig: Kiln Room")
	news(two, "What you typed stays here")
	require.Contains(t, text(two), "rig: Kiln House")
	write(two, "rig: Kiln House", "rig: Kiln Houses")
	two.do(click("#save"), visible("#conflict"))
	require.Contains(t, strings.Join(two.texts("#difference del"), ""), "rig: Kiln Room")
	require.Contains(t, strings.Join(two.texts("#difference ins"), ""), "rig: Kiln Houses")
	two.do(click("#keep-mine"))
	news(one, "What you typed stays here")
	one.do(click("#news-compare"), visible("#conflict"), click("#keep-theirs"))
	one.until(`document.getElementById("text").value.includes("rig: Kiln Houses")`)
	require.Empty(t, value[string](one, `document.getElementById("news-text").textContent`))

	// The file changes on disk.
	data, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(b.path, []byte(strings.Replace(string(data), "rig: Kiln Hall", "rig: Kiln Shed", 1)), 0o666))
	for _, p := range []*browser{one, two} {
		news(p, "changed the rig file on disk")
		require.Contains(t, text(p), "rig: Kiln Houses")
	}
	two.do(click("#news-compare"), visible("#conflict"), click("#keep-theirs"))
	two.until(`document.getElementById("text").value.includes("rig: Kiln Shed") && document.getElementById("save-state").textContent === "as on disk"`)
	one.until(`document.getElementById("text").value.includes("rig: Kiln Shed")`)
	one.quiet()
	two.quiet()
}
