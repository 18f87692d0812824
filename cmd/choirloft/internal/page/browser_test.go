package page

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// browser is a page in a real browser.
type browser struct {
	*bench
	ctx context.Context

	mu       sync.Mutex
	requests []string
	said     []string // errors on the console
}

// open shows the page of a bench. Where there is no Chromium the test is
// skipped, and says so.
func open(t *testing.T, b *bench) *browser {
	t.Helper()
	program, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("no chromium on this machine (Debian: apt-get install chromium)")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.WindowSize(1400, 1200))
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox) // Chromium has none for root
	}
	ctx, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx)
	t.Cleanup(stop)
	p := &browser{bench: b, ctx: ctx}
	require.NoError(t, chromedp.Listen(ctx, p.listen))
	p.do(chromedp.Navigate(b.web.URL), chromedp.WaitVisible("body[data-ready=yes]"))
	return p
}

func (p *browser) listen(event any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		p.requests = append(p.requests, e.Request.URL)
	case *runtime.EventExceptionThrown:
		p.said = append(p.said, e.ExceptionDetails.Text+" "+e.ExceptionDetails.URL)
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError {
			p.said = append(p.said, fmt.Sprint(e.Args))
		}
	}
}

func (p *browser) do(actions ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, actions...))
}

// value is what an expression comes to.
func value[T any](p *browser, expression string) T {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(p.t, err, expression)
	return v
}

// run runs a statement.
func (p *browser) run(statement string) {
	p.t.Helper()
	value[bool](p, "(() => { "+statement+"; return true; })()")
}

// until waits for an expression to be true.
func (p *browser) until(expression string) {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.ctx, 20*time.Second)
	defer stop()
	_, err := chromedp.Run(ctx, chromedp.Poll[bool](expression))
	require.NoError(p.t, err, expression)
}

// quiet holds the page to what must be true at the end of every visit.
func (p *browser) quiet() {
	p.t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	require.Empty(p.t, p.said, "errors on the console")
	host := strings.TrimPrefix(p.web.URL, "http://")
	for _, r := range p.requests {
		u, err := url.Parse(r)
		require.NoError(p.t, err)
		require.True(p.t, u.Host == host || u.Scheme == "blob" || u.Scheme == "data", "a request left the machine: %s", r)
	}
	require.NotEmpty(p.t, p.requests)
}

// figure is one of the figures above the pictures.
func (p *browser) figure(n int) string {
	p.t.Helper()
	return value[string](p, fmt.Sprintf(`document.querySelectorAll("#figures dd")[%d].firstChild.textContent.trim()`, n))
}

// played is what the command says of the demo song with flags.
func (b *bench) played(flags ...string) (damaged, tails int) {
	b.t.Helper()
	body, err := json.Marshal(question{Song: "1", Flags: flags})
	require.NoError(b.t, err)
	status, answer := b.post("play", string(body))
	require.Equal(b.t, 200, status, answer)
	var r struct {
		Replay struct {
			Damaged int
			Endings map[string]int
		}
	}
	require.NoError(b.t, json.Unmarshal([]byte(answer), &r))
	return r.Replay.Damaged, r.Replay.Endings["tail_cut_other_key"]
}

// Drop the demo song, drag the voices down, take a voice out, undo: the page
// says what the command says.
func TestSongInTheBrowser(t *testing.T) {
	p := open(t, newBench(t))
	require.Contains(t, value[string](p, `document.getElementById("answer").textContent`), "Drop a song here")
	song, err := filepath.Abs(top + "testdata/slow-kiln.mid")
	require.NoError(t, err)
	p.do(chromedp.SetUploadFiles("#add-songs", []string{song}))
	p.until(`document.getElementById("answer").textContent.includes("needs 13 voices for its notes, 24 for every release tail")`)
	require.Equal(t, "19 voices", p.figure(0))

	// The line is dragged from 19 to 12.
	p.dragLine(19, 12)
	p.until(`document.querySelector("#figures dd").textContent.startsWith("12 voices")`)
	damaged, tails := p.played("--voices", "12")
	require.Equal(t, fmt.Sprint(damaged), p.figure(1))
	require.Equal(t, fmt.Sprint(tails), p.figure(3))
	require.Contains(t, value[string](p, `document.querySelectorAll("#figures dd")[1].textContent`), "any rule: 2 or more")
	require.Contains(t, value[string](p, `document.getElementById("command").textContent`), "--voices 12")

	// A click on a loss shows its moment.
	p.do(chromedp.Click(`#losses tbody tr:nth-child(3)`))
	p.until(`document.querySelector("#losses tr[aria-selected=true]") !== null`)

	// Undo goes back to all of them.
	p.do(chromedp.Click("#undo"))
	p.until(`document.querySelector("#figures dd").textContent.startsWith("19 voices")`)
	p.quiet()
}

// dragLine drags the line of the voices from one number to another.
func (p *browser) dragLine(from, to int) {
	p.t.Helper()
	type point struct{ X, Y float64 }
	at := value[point](p, `(() => { const r = document.getElementById("line").getBoundingClientRect(); return {X: r.x + r.width / 2, Y: r.y + r.height / 2}; })()`)
	per := value[float64](p, `(() => { const box = document.getElementById("demand").getBoundingClientRect(); return (box.height - 22 - 6) / 25; })()`)
	y := at.Y + per*float64(from-to)
	p.do(chromedp.MouseEvent("mousePressed", at.X, at.Y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	for i := 1; i <= 10; i++ {
		p.do(chromedp.MouseEvent("mouseMoved", at.X, at.Y+(y-at.Y)*float64(i)/10, chromedp.ButtonLeft))
	}
	p.do(chromedp.MouseEvent("mouseReleased", at.X, y, chromedp.ButtonLeft))
}

// Rules are changed faster than answers come: the last one is shown. A remedy
// is tried, and its figures are those that the list promised.
func TestRulesInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := open(t, b)
	p.until(`document.querySelector("#figures dd") !== null`)
	p.run(`for (const rule of ["lowest", "round-robin", "strict-round-robin", "nearest", "same-key"]) {
		document.getElementById("pick").value = rule; document.getElementById("pick").dispatchEvent(new Event("change")); }`)
	_, tails := b.played("--pick", "same-key")
	p.until(fmt.Sprintf(`document.querySelectorAll("#figures dd")[3].firstChild.textContent.trim() === "%d"`, tails))
	p.do(chromedp.Sleep(300 * time.Millisecond))
	require.Equal(t, fmt.Sprint(tails), p.figure(3), "no earlier answer comes after")

	p.do(chromedp.Click("#as-rig"), chromedp.Click("#find-fixes"))
	p.until(`document.querySelector("#fixes tbody tr button") !== null`)
	promised := value[string](p, `document.querySelector("#fixes tbody tr td:nth-child(2)").textContent`)
	p.do(chromedp.Click("#fixes tbody tr button"))
	p.until(fmt.Sprintf(`document.querySelectorAll("#figures dd")[3].firstChild.textContent.trim() === %q`, promised))
	require.Contains(t, value[string](p, `document.getElementById("command").textContent`), "--release")

	// It is written into the text of the rig, not into the file, and plays on
	// without the flag.
	p.do(chromedp.Click("#keep"))
	p.until(`document.getElementById("save-state").textContent === "not saved" && !document.getElementById("command").textContent.includes("--release")`)
	require.Contains(t, value[string](p, `document.getElementById("text").value`), "release: 1.2 s ")
	require.Equal(t, promised, p.figure(3))
	onDisk, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.Contains(t, string(onDisk), "release: 2.4 s ")
	p.quiet()
}

// Take a voice out and put it back, edit the text with a fault and without,
// save.
func TestRackAndTextInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := open(t, b)
	p.do(chromedp.Click("#tab-rack"), chromedp.WaitVisible(`[data-voice=B3]`), chromedp.Click(`[data-voice=B3]`))
	card := value[string](p, `document.getElementById("voice-card").textContent`)
	require.Contains(t, card, "B3, voice 7")
	require.Contains(t, card, "CV 7")
	require.Contains(t, card, "port 1, channel 7")
	p.do(chromedp.Click("#take-out"))
	p.until(`document.querySelector("[data-voice=B3]").classList.contains("out")`)
	p.do(chromedp.Click("#tab-song"))
	p.until(`document.querySelector("#figures dd").textContent.startsWith("18 voices")`)
	p.do(chromedp.Click("#undo"))
	p.until(`document.querySelector("#figures dd").textContent.startsWith("19 voices")`)

	p.do(chromedp.Click("#tab-text"), chromedp.WaitVisible("#text"))
	type_ := func(from, to string) {
		p.run(fmt.Sprintf(`{ const t = document.getElementById("text"); t.focus(); t.value = t.value.replace(%q, %q); t.dispatchEvent(new Event("input")); }`, from, to))
	}
	type_("out: [2]", "out: [9]")
	p.until(`document.querySelector("#faults button") !== null`)
	require.Contains(t, value[string](p, `document.getElementById("faults").textContent`), "line 36")
	require.Contains(t, value[string](p, `document.querySelector("#margin b").textContent`), "36")
	require.True(t, value[bool](p, `document.getElementById("save").disabled`))
	type_("out: [9]", "out: [1, 2]")
	p.until(`document.getElementById("save-state").textContent === "not saved"`)
	before, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.Contains(t, string(before), "out: [2]", "the file is as it was")
	p.do(chromedp.Click("#save"))
	p.until(`document.getElementById("save-state").textContent === "as on disk"`)
	after, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.Contains(t, string(after), "out: [1, 2]")
	p.quiet()
}

// Without a mouse: views by number, the line by arrows, rows by Enter.
func TestKeyboardInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := open(t, b)
	p.until(`document.querySelector("#figures dd") !== null`)
	press := func(keys string) { p.do(chromedp.KeyEvent(keys)) }
	p.do(chromedp.Focus("#line"))
	press(kb.ArrowDown)
	p.until(`document.querySelector("#figures dd").textContent.startsWith("18 voices")`)
	require.Equal(t, "18", value[string](p, `document.getElementById("line").getAttribute("aria-valuenow")`))
	for n, view := range []string{"song", "rack", "paper", "text"} {
		p.do(chromedp.Focus("#tab-song"))
		if n > 0 {
			press(fmt.Sprint(n + 1))
		}
		require.True(t, value[bool](p, fmt.Sprintf(`!document.getElementById("view-%s").hidden`, view)), view)
		p.run(`document.activeElement.blur()`)
		press("1")
	}
	p.do(chromedp.Focus("#losses tbody tr"))
	press(kb.ArrowDown)
	press(kb.Enter)
	p.until(`document.querySelector("#losses tbody tr:nth-child(2)").getAttribute("aria-selected") === "true"`)
	// What can be focused is named.
	require.Empty(t, value[[]string](p, `[...document.querySelectorAll("button, select, input, textarea, [tabindex='0'], [role=slider]")].filter((e) => e.offsetParent && !(
		e.textContent.trim() || e.getAttribute("aria-label") || e.getAttribute("aria-labelledby") || (e.labels && e.labels.length))).map((e) => e.outerHTML.slice(0, 80))`))
	p.quiet()
}

// Ten thousand notes: a frame takes less than 50 ms, zoomed or not.
func TestManyNotesInTheBrowser(t *testing.T) {
	b := newBench(t)
	require.NoError(t, b.desk.Edit([]byte("rig: Wall\ninterfaces: {main: {profile: cv64-gate64, window: 0 V to 10 V, zero_key: 12}}\nbanks: {A: {voices: 32}, B: {voices: 32}}\n")))
	status, answer := b.post("song?name=many.mid", string(manyNotes()))
	require.Equal(t, 200, status, answer)
	p := open(t, b)
	p.until(`document.body.dataset.frame !== undefined`)
	require.Equal(t, "10000", p.figure(4))
	fastest := 1e9 // other work on this machine makes a frame slower, nothing makes it faster
	for range 6 {
		frame := value[string](p, `new Promise((done) => { document.getElementById("zoom-all").click(); requestAnimationFrame(() => requestAnimationFrame(() => done(document.body.dataset.frame))); })`)
		ms, err := strconv.ParseFloat(frame, 64)
		require.NoError(t, err)
		fastest = min(fastest, ms)
	}
	require.Less(t, fastest, 50.0, "the whole song in one picture")
	p.do(chromedp.Click("#zoom-in"))
	p.quiet()
}

// manyNotes is a song of 10 000 notes, twenty a second, each a second long.
func manyNotes() []byte {
	var track []byte
	key := func(n int) byte { return byte(30 + n*7%61) }
	track = append(track, 0, 0xff, 0x51, 3, 7, 0xa1, 0x20) // 120 bpm; 100 ticks a quarter
	for n := range 10_000 {
		track = append(track, 10, 0x90, key(n), 80)
		if n >= 20 {
			track = append(track, 0, 0x80, key(n-20), 64)
		}
	}
	track = append(track, 0, 0xff, 0x2f, 0)
	size := len(track)
	head := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x64MTrk")
	return append(append(head, byte(size>>24), byte(size>>16), byte(size>>8), byte(size)), track...)
}

// The paper prints as a PDF.
func TestPrintInTheBrowser(t *testing.T) {
	p := open(t, newBench(t))
	p.do(chromedp.Click("#tab-paper"))
	p.until(`document.querySelectorAll("#sheets img").length > 3 && [...document.querySelectorAll("#sheets img")].every((i) => i.complete && i.naturalWidth > 0)`)
	pdf, err := chromedp.Run(p.ctx, chromedp.PrintToPDF())
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(string(pdf), "%PDF-"))
	file := filepath.Join(t.TempDir(), "page.pdf")
	require.NoError(t, os.WriteFile(file, pdf, 0o666))
	printed, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	require.NoError(t, err, "poppler-utils")
	require.Contains(t, string(printed), "E4", "the sheet is printed as text and lines, not as a bitmap")
	require.NotContains(t, string(printed), "Try remedies")
	p.quiet()
}
