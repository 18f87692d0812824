package page

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"slices"
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

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi/corpora"
)

// browser is a page in a real browser.
type browser struct {
	*bench
	ctx  context.Context
	host string

	mu       sync.Mutex
	requests []string
	said     []string // errors on the console
}

// A chromium is a browser, in which a test has tabs of its own while no other has any: two tests at a
// time have two of them. To start one takes longer than most tests. [TestMain] ends them.
type chromium struct {
	ctx context.Context
	err error
}

var (
	idle   = make(chan *chromium, 64) // waits for tests
	within sync.Map                   // a test → its browser
	endAll []func()
	ending sync.Mutex
)

func start() *chromium {
	program, err := exec.LookPath("chromium")
	if err != nil {
		return &chromium{err: err}
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.WindowSize(1400, 1200))
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox) // Chromium has none for root
	}
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, _ = chromedp.NewContext(ctx)
	ending.Lock()
	endAll = append(endAll, stop)
	ending.Unlock()
	return &chromium{ctx, chromedp.Do(ctx)}
}

// lent is the browser of a test until that ends, for as many pages as it opens.
func lent(t *testing.T) *chromium {
	if c, ok := within.Load(t); ok {
		return c.(*chromium)
	}
	var c *chromium
	select {
	case c = <-idle:
	default:
		c = start()
	}
	within.Store(t, c)
	t.Cleanup(func() { within.Delete(t); idle <- c })
	return c
}

// alone are the tests in a browser that look at how long something takes: they have the machine to themselves.
var alone = []string{"TestManyNotesInTheBrowser", "TestHugeSongInTheBrowser", "TestNoFlashInTheBrowser", "TestAnswerComesInTwoStepsInTheBrowser"}

func TestMain(m *testing.M) {
	debug.SetGCPercent(400) // as the program does
	defer func() {          // Go gives the status of m.Run itself
		for _, end := range endAll {
			end()
		}
	}()
	m.Run()
}

// open shows the page of a bench. Where there is no Chromium the test is
// skipped, and says so; so is one that nobody asks for.
func open(t *testing.T, b *bench) *browser {
	t.Helper()
	return openAt(t, b, "")
}

// openAt shows the page by a path.
func openAt(t *testing.T, b *bench, path string) *browser {
	t.Helper()
	corpora.Patient(t)
	return visit(t, b, b.web.URL+path)
}

// visit shows the page at an address.
func visit(t *testing.T, b *bench, address string) *browser {
	t.Helper()
	if _, again := within.Load(t); !again && !slices.Contains(alone, t.Name()) {
		t.Parallel()
	}
	c := lent(t)
	if errors.Is(c.err, exec.ErrNotFound) {
		t.Skip("no chromium on this machine (Debian: apt-get install chromium)")
	}
	require.NoError(t, c.err)
	ctx, stop := chromedp.NewContext(c.ctx)
	t.Cleanup(stop)
	ctx, stop = context.WithTimeout(ctx, 2*time.Minute) // a browser that hangs fails, and holds nothing up
	t.Cleanup(stop)
	p := &browser{bench: b, ctx: ctx, host: hostOf(t, address)}
	require.NoError(t, chromedp.Listen(ctx, p.listen))
	p.do(chromedp.Navigate(address), visible("body[data-ready=yes]"))
	return p
}

func hostOf(t *testing.T, address string) string {
	t.Helper()
	u, err := url.Parse(address)
	require.NoError(t, err)
	return u.Host
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
	require.NoError(p.t, chromedp.Do(p.ctx, until(expression)), expression)
}

// quiet holds the page to what must be true at the end of every visit.
func (p *browser) quiet() {
	p.t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	require.Empty(p.t, p.said, "errors on the console")
	for _, r := range p.requests {
		u, err := url.Parse(r)
		require.NoError(p.t, err)
		require.True(p.t, u.Host == p.host || u.Scheme == "blob" || u.Scheme == "data", "a request left the machine: %s", r)
	}
	require.NotEmpty(p.t, p.requests)
}

// playing is how the last answer to a change begins, as the page says it.
const playing = `document.querySelector("#answer-played .answer").textContent`

// answered is an answer of the page's API, as far as the page shows it.
type answered struct{ Doc document }

type document struct {
	Plan   string
	Blocks []struct {
		Kind, Text string
		Groups     []struct {
			Rows  [][]string
			About []string
		}
		Findings []struct {
			Line, Hint string
			Facts      []doc.Fact
		}
	}
}

// told asks for what the page is to say of the demo song with flags.
func (b *bench) told(path string, flags ...string) (a answered) {
	b.t.Helper()
	body, err := json.Marshal(question{Song: "1", Flags: flags})
	require.NoError(b.t, err)
	status, answer := b.post(path, string(body))
	require.Equal(b.t, 200, status, answer)
	require.NoError(b.t, json.Unmarshal([]byte(answer), &a))
	return a
}

// words are the texts of blocks of a kind, in order.
func (a *answered) words(kind string) (words []string) {
	for _, b := range a.Doc.Blocks {
		if b.Kind == kind {
			words = append(words, b.Text)
		}
	}
	return words
}

// lead is what stands before the first heading, lists aside, and the plan's code.
func (a *answered) lead() (words []string) {
	for _, b := range a.Doc.Blocks {
		switch b.Kind {
		case "heading":
			return append(words, "plan "+a.Doc.Plan)
		case "answer", "paragraph", "aside":
			words = append(words, b.Text)
		}
	}
	return words
}

// rows are those of the tables below a heading.
func (a *answered) rows(heading string) (rows [][]string) {
	below := heading == ""
	for _, b := range a.Doc.Blocks {
		if b.Kind == "heading" {
			below = b.Text == heading
		}
		if !below || b.Kind != "table" {
			continue
		}
		for _, g := range b.Groups {
			rows = append(rows, g.Rows...)
		}
	}
	return rows
}

// says waits until the page says what its API tells of the demo song with flags,
// and holds all that it shows of that to the same words.
func (p *browser) says(flags ...string) {
	p.t.Helper()
	a := p.told("play", flags...)
	lead, err := json.Marshal(a.lead()) // with the plan's code: other flags may give the same answer
	require.NoError(p.t, err)
	p.until(fmt.Sprintf("JSON.stringify([...document.querySelectorAll('#answer-played p')].map((e) => e.textContent)) === JSON.stringify(%s)", lead))
	p.until(fmt.Sprintf(`!document.getElementById("working").textContent.includes(%q)`, say.Listening)) // else what is heard is still to come
	if value[bool](p, `document.getElementById("view-song").hidden`) {
		return // it is built once it is shown
	}
	require.Equal(p.t, slices.DeleteFunc(a.words("heading"), func(h string) bool { return h == "Losses" }), p.texts("#played h2"))
	list := p.pictured("shown", question{Song: "1", Flags: flags}).head.Chosen.Doc
	require.Equal(p.t, (&answered{Doc: list}).rows(""), p.cells("#chosen"))
	require.Equal(p.t, a.rows("What became of the notes"), p.cells(`#played section[aria-label="What became of the notes"]`))
}

// texts are what elements say.
func (p *browser) texts(selector string) []string {
	p.t.Helper()
	return value[[]string](p, fmt.Sprintf(`[...document.querySelectorAll(%q)].map((e) => e.textContent)`, selector))
}

// cells are those of the rows of a table; none where there is none.
func (p *browser) cells(selector string) [][]string {
	p.t.Helper()
	rows := value[[][]string](p, fmt.Sprintf(`[...document.querySelectorAll(%q)].map((r) => [...r.cells].map((c) => c.textContent))`, selector+" tbody tr"))
	if len(rows) == 0 {
		return nil
	}
	return rows
}

// Drop the demo song, drag the voices down, take a voice out, undo: the page
// says what the command says.
func TestSongInTheBrowser(t *testing.T) {
	p := open(t, newBench(t))
	require.Contains(t, value[string](p, `document.getElementById("answer").textContent`), "Drop a song here")
	song, err := filepath.Abs(top + "testdata/slow-kiln.mid")
	require.NoError(t, err)
	p.do(chromedp.SetUploadFiles("#add-songs", []string{song}))
	p.until(`document.getElementById("answer").textContent.includes("needs 16 voices, 24 with sine waves")`)
	p.until(`document.getElementById("spoken").textContent === document.querySelector("#answer-played .answer").textContent`)
	require.Equal(t, "status", value[string](p, `document.getElementById("spoken").getAttribute("role")`))
	p.says()

	// The line is dragged from 19 to 12.
	p.dragLine(19, 12)
	p.says("--voices", "12")
	require.Contains(t, value[string](p, playing), "on 12 voices: 2 of 328 notes cut short")
	sized := p.told("size", "--voices", "12")
	p.until(fmt.Sprintf(`document.getElementById("answer-sized").textContent === %q`, sized.words("answer")[0]))
	require.Contains(t, value[string](p, `document.getElementById("command").textContent`), "--voices 12")

	// A click on a loss shows its moment.
	p.do(click(`#chosen tbody tr:nth-child(3)`))
	p.until(`document.querySelector("#chosen tr[aria-selected=true]") !== null`)

	// Undo goes back to all of them.
	p.do(click("#undo"))
	p.says()
	p.quiet()
}

// What is wrong with a rig is listed as the command lists it.
func TestFindingsInTheBrowser(t *testing.T) {
	b := newBench(t)
	text, err := os.ReadFile(top + "testdata/rigs/full.yaml")
	require.NoError(t, err)
	require.NoError(t, b.desk.Edit(text))
	p := open(t, b)
	a := p.told("map")
	var want []string
	for _, block := range a.Doc.Blocks {
		for _, f := range block.Findings {
			said := f.Line + f.Hint
			for _, x := range f.Facts {
				said += strings.TrimSpace(x.Name + x.Figure + " " + x.Unit)
				if x.Assumed {
					said += ", assumed"
				}
			}
			want = append(want, said)
		}
	}
	require.NotEmpty(t, want)
	require.Empty(t, p.texts("#mapped *"), "what is hidden is not built")
	p.do(click("#tab-rack"))
	p.until(`document.querySelector("#mapped .findings") !== null`)
	require.Equal(t, want, p.texts("#mapped .findings > li"))
	listed := value[int](p, `document.querySelectorAll("#wrong-list > li").length`)
	require.Equal(t, listed, value[int](p, `document.querySelectorAll("#mapped .findings > .error, #mapped .findings > .warning").length`), "and on every view, but for notes")
	require.Equal(t, fmt.Sprint(listed), value[string](p, `document.getElementById("tab-rack").dataset.count`))
	require.Equal(t, a.words("answer"), p.texts("#mapped .answer"))
	require.Equal(t, a.words("heading"), p.texts("#mapped h2"))
	p.quiet()
}

// settled waits until every answer about the demo with flags has come: what comes later
// may draw anew, or move, what is about to be clicked.
func (p *browser) settled(flags ...string) {
	p.t.Helper()
	p.says(flags...)
	sized := p.told("size", flags...)
	p.until(fmt.Sprintf(`document.getElementById("answer-sized").textContent === %q`, sized.words("answer")[0]))
}

// dragLine drags the line of the voices from one number to another, once no answer
// is to come that would move it away from where it is taken.
func (p *browser) dragLine(from, to int) {
	p.t.Helper()
	p.settled()
	type point struct{ X, Y float64 }
	at := value[point](p, `(() => { const r = document.getElementById("line").getBoundingClientRect(); return {X: r.x + r.width / 2, Y: r.y + r.height / 2}; })()`)
	per := value[float64](p, `(() => { const box = document.getElementById("demand").getBoundingClientRect(); return (box.height - 22 - 6 - 2) / 25; })()`)
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
	corpora.Need(t, "make the longer visits to the page")
	b := newBench(t)
	b.demo()
	p := open(t, b)
	p.says()
	p.run(`for (const rule of ["lowest", "round-robin", "strict-round-robin", "nearest", "same-key"]) {
		document.getElementById("pick").value = rule; document.getElementById("pick").dispatchEvent(new Event("change")); }`)
	p.says("--pick", "same-key")
	p.do(chromedp.Sleep(300 * time.Millisecond))
	p.settled("--pick", "same-key") // no earlier answer comes after

	p.do(click("#as-rig"))
	p.until(`document.getElementById("answer").textContent.includes("needs 16 voices, 24 with sine waves")`)
	p.dragLine(19, 12)
	p.settled("--voices", "12")
	p.do(click("#find-fixes"))
	p.until(`document.querySelector("#sized tbody tr button") !== null`)
	require.Equal(t, []string{"Fixes, the best by ear first"}, p.texts("#sized h3"))
	p.run(`globalThis.bought = [...document.querySelectorAll("#sized tbody tr:has(button)")].find((row) => row.textContent.includes("4 voices more (16)"))`)
	require.Equal(t, "-", value[string](p, `bought.querySelector("td:nth-child(3)").textContent`), "it promises that no note is cut")
	p.run(`bought.querySelector("button").click()`) // 16 leave no loss to hear, see cmd/demosong
	p.until(`document.getElementById("command").textContent.includes("--voices 16")`)
	p.says("--voices", "16")
	require.Contains(t, value[string](p, playing), "none of 328 notes is cut short or dropped")
	p.do(click("#as-rig"))
	p.run(`document.getElementById("pick").value = "same-key"; document.getElementById("pick").dispatchEvent(new Event("change"))`)
	p.says("--pick", "same-key")

	// It is written into the text of the rig, not into the file, and plays on
	// without the flag.
	p.do(click("#keep"))
	p.until(`document.getElementById("save-state").textContent === "not saved" && !document.getElementById("command").textContent.includes("--pick")`)
	require.Contains(t, value[string](p, `document.getElementById("text").value`), "pick: same-key")
	require.Contains(t, value[string](p, playing), "none of 328 notes is cut short or dropped")
	onDisk, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.NotContains(t, string(onDisk), "pick: same-key")
	p.quiet()
}

// Take a voice out and put it back, edit the text with a fault and without,
// save.
func TestRackAndTextInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := open(t, b)
	p.settled()
	p.do(click("#tab-rack"), visible(`[data-voice=L3]`), click(`[data-voice=L3]`))
	card := value[string](p, `document.getElementById("voice-card").textContent`)
	for _, want := range []string{"No.7", "VoiceL3", "Pitchcv 7", "Gategate 7", "Port1", "Ch.7", "Notes"} {
		require.Contains(t, card, want)
	}
	hidden := value[string](p, `document.getElementById("played").innerHTML`)
	p.do(click("#take-out"))
	p.until(`document.querySelector("[data-voice=L3]").classList.contains("out")`)
	p.says("--without", "L3")
	require.Equal(t, hidden, value[string](p, `document.getElementById("played").innerHTML`), "what is hidden is not built anew")
	p.do(click("#tab-song"))
	p.says("--without", "L3")
	p.do(click("#undo"))
	p.says()

	p.do(click("#tab-text"), visible("#text"))
	type_ := func(from, to string) {
		p.run(fmt.Sprintf(`{ const t = document.getElementById("text"); t.focus(); t.value = t.value.replace(%q, %q); t.dispatchEvent(new Event("input")); }`, from, to))
	}
	type_("out: [2]", "out: [9]")
	p.until(`document.querySelector("#faults button") !== null`)
	require.Contains(t, value[string](p, `document.getElementById("faults").textContent`), ":36:11: banks.P.out (1st): ")
	require.Contains(t, value[string](p, `document.querySelector("#margin b").textContent`), "36")
	require.Equal(t, "The text has faults. Correct them first.", value[string](p, `document.getElementById("save").getAttribute("aria-description")`))
	type_("out: [9]", "out: [1, 2]")
	p.until(`document.getElementById("save-state").textContent === "not saved"`)
	before, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.Contains(t, string(before), "out: [2]", "the file is as it was")
	p.do(click("#save"))
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
	p.says()
	press := func(keys string) { p.do(chromedp.KeyEvent(keys)) }
	p.do(focus("#line"))
	press(kb.ArrowDown)
	p.says("--voices", "18")
	require.Equal(t, "18", value[string](p, `document.getElementById("line").getAttribute("aria-valuenow")`))
	for n, view := range []string{"song", "parts", "rack", "plug", "paper", "text"} {
		p.do(focus("#tab-song"))
		if n > 0 {
			press(fmt.Sprint(n + 1))
		}
		require.True(t, value[bool](p, fmt.Sprintf(`!document.getElementById("view-%s").hidden`, view)), view)
		p.run(`document.activeElement.blur()`)
		press("1")
	}
	const losses = "#chosen tbody tr"
	p.do(focus(losses))
	press(kb.ArrowDown)
	press(kb.Enter)
	p.until(`document.querySelector("` + losses + `:nth-child(2)").getAttribute("aria-selected") === "true"`)
	// What can be focused is named.
	require.Empty(t, value[[]string](p, `[...document.querySelectorAll("button, select, input, textarea, [tabindex='0'], [role=slider]")].filter((e) => e.offsetParent && !(
		e.textContent.trim() || e.getAttribute("aria-label") || e.getAttribute("aria-labelledby") || (e.labels && e.labels.length))).map((e) => e.outerHTML.slice(0, 80))`))
	p.quiet()
}

// Ten thousand notes are drawn a pixel a lane and column where all are in view, and one by one
// where fewer are. With CHOIRLOFT_CORPORA they are 50 000, and a frame takes less than 50 ms, zoomed or not.
func TestManyNotesInTheBrowser(t *testing.T) {
	b, count := newBench(t), 10_000
	timed := corpora.Asked()
	if timed {
		count = 50_000
	}
	require.NoError(t, b.desk.Edit([]byte("rig: Wall\ninterfaces: {main: {profile: cv64-gate64, window: 0 V to 10 V, zero_key: 12}}\nbanks: {K: {voices: 32}, L: {voices: 32}}\n")))
	status, answer := b.post("song?name=many.mid", string(manyNotes(count)))
	require.Equal(t, 200, status, answer)
	p := open(t, b)
	p.until(`document.body.dataset.frame !== undefined`)
	require.Contains(t, value[string](p, playing), fmt.Sprintf("none of %d notes is cut short", count))
	fastest := func(button string) float64 { // other work on this machine makes a frame slower, nothing makes it faster
		least := 1e9
		for range 6 {
			frame := value[string](p, `new Promise((done) => { document.getElementById("`+button+`").click(); requestAnimationFrame(() => requestAnimationFrame(() => done(document.body.dataset.frame))); })`)
			ms, err := strconv.ParseFloat(frame, 64)
			require.NoError(t, err)
			least = min(least, ms)
		}
		return least
	}
	drawn := func() int { return value[int](p, `Number(document.body.dataset.drawn)`) }
	whole := fastest("zoom-all")
	require.Equal(t, 64, drawn(), "lanes")
	near := fastest("zoom-in") // by 2⁶
	require.Greater(t, drawn(), count/64)
	require.Less(t, drawn(), count/64+64*8, "notes in view, and those that reach into it")
	if timed {
		require.Less(t, whole, 50.0, "the whole song in one picture")
		require.Less(t, near, 50.0, "notes one by one")
	}
	p.quiet()
}

// 560 000 notes open, and panning them draws a pixel a lane and column.
func TestHugeSongInTheBrowser(t *testing.T) {
	corpora.Need(t, "make the longer visits to the page")
	b := newBench(t)
	require.NoError(t, b.desk.Edit([]byte("rig: Wall\ninterfaces: {main: {profile: cv64-gate64, window: 0 V to 10 V, zero_key: 12}}\nbanks: {K: {voices: 32}, L: {voices: 32}}\n")))
	status, answer := b.post("song?name=huge.mid", string(manyNotes(560_000)))
	require.Equal(t, 200, status, answer)
	p := open(t, b)
	p.until(`document.body.dataset.frame !== undefined`)
	require.Equal(t, 64, value[int](p, `Number(document.body.dataset.drawn)`), "lanes")
	p.do(click("#zoom-in"), focus("#lanes"))
	least := 1e9
	for range 6 {
		p.do(chromedp.KeyEvent(kb.ArrowRight))
		least = min(least, value[float64](p, `new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(Number(document.body.dataset.frame)))))`))
	}
	require.Equal(t, 64, value[int](p, `Number(document.body.dataset.drawn)`))
	t.Logf("a frame of panning: %.1f ms", least)
	require.Less(t, least, 50.0)
	p.quiet()
}

// manyNotes is a song of so many notes, twenty a second, each a second long.
func manyNotes(count int) []byte {
	var track []byte
	key := func(n int) byte { return byte(30 + n*7%61) }
	track = append(track, 0, 0xff, 0x51, 3, 7, 0xa1, 0x20) // 120 bpm; 100 ticks a quarter
	for n := range count {
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
