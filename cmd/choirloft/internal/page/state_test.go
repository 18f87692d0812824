package page

import (
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"os"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// hold keeps the answers to a question back until released by window.release().
const hold = `{ const real = window.fetch; let go; const wait = new Promise((r) => { go = r; });
	window.release = () => { go(); window.fetch = real; };
	window.fetch = async (path, init) => { if (String(path).endsWith(%q)) await wait; return real(path, init); }; }`

// What is on screen while another answer is under way is dimmed, and says so; an answer that
// comes makes it whole again.
func TestOldAnswersAreDimmed(t *testing.T) {
	b := newBench(t)
	b.demo()
	// One note of channel 1, a beat of 96 ticks long.
	status, answer := b.post("song?name=other.mid", "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x0c\x00\x90\x3c\x40\x60\x80\x3c\x40\x00\xff\x2f\x00")
	require.Equal(t, 200, status, answer)
	p := open(t, b)
	p.settled()
	old := func(block string) bool {
		return value[bool](p, fmt.Sprintf(`document.getElementById(%q).classList.contains("old")`, block))
	}
	require.False(t, old("answer-played"))
	p.run(fmt.Sprintf(hold, "/api/picture"))
	p.run(`{ const s = document.getElementById("song"); s.value = "2"; s.dispatchEvent(new Event("change")); }`)
	p.until(`document.getElementById("answer-played").classList.contains("old")`)
	for _, block := range []string{"played", "lanes-box", "demand-box", "answer-sized"} {
		require.True(t, old(block), block)
	}
	require.False(t, old("mapped"), "the map is about no song")
	require.Contains(t, value[string](p, `document.getElementById("working").textContent`), "Working")
	require.Equal(t, "true", value[string](p, `document.getElementById("played").getAttribute("aria-busy")`))
	p.run(`window.release()`)
	p.until(`!document.getElementById("answer-played").classList.contains("old") && document.querySelector("#answer-played .answer").textContent.includes("other")`)
	p.until(`document.getElementById("working").textContent === ""`)
	p.quiet()
}

// The song, what is set and the view are in the address: a reload keeps them, and back leads back.
func TestAddressInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := open(t, b)
	p.settled()
	p.run(`{ const v = document.getElementById("steal"); v.value = "none"; v.dispatchEvent(new Event("change")); }`)
	p.says("--steal", "none")
	p.do(click("#tab-rack"))
	require.Contains(t, value[string](p, `location.href`), "?song=1&set=steal%7C%7Cnone#rack")
	p.do(chromedp.Reload(), visible("body[data-ready=yes]"))
	require.Equal(t, "true", value[string](p, `document.getElementById("tab-rack").getAttribute("aria-selected")`))
	p.says("--steal", "none")
	p.run(`history.back()`)
	p.until(`document.getElementById("tab-song").getAttribute("aria-selected") === "true"`)
	p.run(`history.back()`)
	p.says()
	p.quiet()
}

// What was typed a moment ago is saved with the rest, and a slow edit does not win over a later.
func TestTypeAndSaveAtOnce(t *testing.T) {
	b := newBench(t)
	p := open(t, b)
	p.do(click("#tab-text"), visible("#text"))
	p.run(`{ const t = document.getElementById("text"); t.focus(); t.value = t.value.replace("out: [2]", "out: [1]"); t.dispatchEvent(new Event("input"));
		document.dispatchEvent(new KeyboardEvent("keydown", { key: "s", ctrlKey: true })); }`)
	p.until(`document.getElementById("save-state").textContent === "as on disk"`)
	after, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.Contains(t, string(after), "out: [1]")
	p.quiet()

	edit := func(name string, n int) {
		body, err := json.Marshal(map[string]any{"text": "rig: " + name + "\nbanks: {K: {voices: 1}}\n", "tab": "one", "edit": n})
		require.NoError(t, err)
		status, answer := b.post("rig", string(body))
		require.Equal(t, 200, status, answer)
	}
	edit("Later", 2)
	edit("Sooner", 1)
	require.Contains(t, string(b.desk.text), "Later")
}

// A file that somebody else has changed: the difference, and each of three ways out; without
// CHOIRLOFT_CORPORA one of them.
func TestConflictInTheBrowser(t *testing.T) {
	for _, c := range []struct{ keep, file, text string }{
		{"mine", "out: [1]", "out: [1]"},
		{"theirs", "out: [3]", "out: [3]"},
		{"both", "out: [3]", "# on disk: "},
	} {
		if c.keep != "both" && !corpora.Asked() {
			continue
		}
		b := newBench(t)
		p := open(t, b)
		p.do(click("#tab-text"), visible("#text"))
		data, err := os.ReadFile(b.path)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(b.path, []byte(strings.Replace(string(data), "out: [2]", "out: [3]", 1)), 0o666))
		p.run(`{ const t = document.getElementById("text"); t.value = t.value.replace("out: [2]", "out: [1]"); t.dispatchEvent(new Event("input")); }`)
		p.do(click("#save"), visible("#keep-"+c.keep))
		require.Contains(t, strings.Join(p.texts("#difference del"), ""), "out: [3]")
		require.Contains(t, strings.Join(p.texts("#difference ins"), ""), "out: [1]")
		p.do(click("#keep-" + c.keep))
		p.until(`!document.getElementById("conflict").open`)
		p.until(fmt.Sprintf(`document.getElementById("text").value.includes(%q)`, c.text))
		file, err := os.ReadFile(b.path)
		require.NoError(t, err)
		require.Contains(t, string(file), c.file)
		if c.keep == "both" {
			require.Contains(t, string(b.desk.text), "out: [1]")
			require.Empty(t, b.desk.faults)
			p.until(`document.getElementById("save-state").textContent === "not saved"`)
		}
		p.quiet()
	}
}

// A choice about a file that has changed again meanwhile is not carried out.
func TestConflictAgain(t *testing.T) {
	b := newBench(t)
	require.NoError(t, b.desk.Edit([]byte("rig: Mine\nbanks: {K: {voices: 1}}\n")))
	require.NoError(t, os.WriteFile(b.path, []byte("rig: Theirs\n"), 0o666))
	for _, keep := range []string{"mine", "theirs", "both"} {
		status, answer := b.post("settle", fmt.Sprintf(`{"keep": %q, "seen": "rig: Before\n"}`, keep))
		require.Equal(t, http.StatusConflict, status, answer)
	}
	require.Contains(t, string(b.desk.text), "Mine")
	status, _ := b.post("settle", `{"keep": "neither", "seen": "rig: Theirs\n"}`)
	require.Equal(t, http.StatusBadRequest, status)
	require.Equal(t, []differView{{"−", "a"}, {"+", "b"}, {" ", "c"}, {" ", "d"}, {"…", ""}}, differ("a\nc\nd\ne\nf", "b\nc\nd\ne\nf"))
}

// Where the program has ended the page says so, keeps what is typed, and goes on once it is back.
func TestProgramGoneAndBack(t *testing.T) {
	b := newBench(t)
	p := open(t, b)
	p.do(click("#tab-text"), visible("#text"))
	address := b.web.Listener.Addr().String()
	b.end()
	b.web.Close()
	p.run(`{ const t = document.getElementById("text"); t.value = t.value.replace("out: [2]", "out: [1]"); t.dispatchEvent(new Event("input")); }`)
	p.until(`!document.getElementById("gone").hidden`)
	desk, err := NewDesk(b.path, tools())
	require.NoError(t, err)
	listener, err := net.Listen("tcp", address)
	require.NoError(t, err)
	again := &http.Server{Handler: New(desk, Door{Hosts: Hosts(listener.Addr())})}
	t.Cleanup(func() { again.Close() })
	go again.Serve(listener)
	p.until(`document.getElementById("gone").hidden`)
	p.until(`document.getElementById("save-state").textContent === "not saved"`)
	desk.mu.RLock()
	defer desk.mu.RUnlock()
	require.Contains(t, string(desk.text), "out: [1]", "what was typed is there")
}

// Whoever points at a loss reads what it was, who took it and what would have been heard, in
// the words of the table; j and k walk through the losses, the most heard first.
func TestNoteIsExplained(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := open(t, b)
	p.settled()
	p.run(`{ const v = document.getElementById("voices"); v.value = "10"; v.dispatchEvent(new Event("input")); v.dispatchEvent(new Event("change")); }`)
	p.says("--voices", "10")
	rows := p.cells(`#chosen`)
	said := func() []string { return p.texts("#note dd") }
	p.do(focus("#lanes"))
	for _, step := range []struct {
		key string
		row int
	}{{"j", 0}, {"j", 1}, {"j", 2}, {"k", 1}, {"k", 0}, {"k", 0}} {
		p.do(chromedp.KeyEvent(step.key))
		require.Equal(t, rows[step.row], said())
	}
	p.do(click("#zoom-all"))

	// The pointer goes along the lanes, and meets notes whole and cut.
	type met struct{ Names, Cut []string }
	m := value[met](p, `(() => {
		const box = document.getElementById("lanes"), r = box.getBoundingClientRect(), names = new Set(), cut = new Set();
		for (let y = 8; y < r.height; y += 16) for (let x = 60; x < r.width; x += 9) {
			const e = new PointerEvent("pointermove", { clientX: r.x + x, clientY: r.y + y });
			box.dispatchEvent(e);
			names.add(document.querySelector("#note b")?.textContent ?? "");
			const dd = [...document.querySelectorAll("#note dd")];
			if (dd.length) cut.add(JSON.stringify(dd.map((d) => d.textContent)));
		}
		return { Names: [...names], Cut: [...cut] };
	})()`)
	require.Greater(t, len(m.Names), 20)
	require.Contains(t, strings.Join(m.Names, "; "), "pad ")
	require.NotEmpty(t, m.Cut)
	for _, cut := range m.Cut {
		var cells []string
		require.NoError(t, json.Unmarshal([]byte(cut), &cells))
		require.Contains(t, rows, cells)
	}
	p.quiet()
}
