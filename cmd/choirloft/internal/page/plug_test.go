package page

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/routing/plan"
)

// plugging shows a rig of testdata on the Plug view.
func plugging(t *testing.T, rig string) *browser {
	t.Helper()
	b := newBench(t)
	b.lay(rig)
	p := openAt(t, b, "/#plug")
	p.until(toggled)
	return p
}

const toggled = `document.querySelector("#plug-page .toggle") !== null`

// plugged is the progress as it is shown.
func (p *browser) plugged() string {
	p.t.Helper()
	return value[string](p, `document.getElementById("plug-count").textContent`)
}

// turn turns to one of the three pages of the view.
func (p *browser) turn(page string) {
	p.t.Helper()
	p.do(click(fmt.Sprintf("[data-page=%s]", page)))
}

// ticked are the cables that are shown as plugged.
func (p *browser) ticked() []string {
	p.t.Helper()
	return value[[]string](p, `[...document.querySelectorAll("#plug-page [data-cable][aria-pressed=true]")].map((b) => b.dataset.cable).sort()`)
}

// reload shows the page anew.
func (p *browser) reload() {
	p.t.Helper()
	p.do(chromedp.Reload(), visible("body[data-ready=yes]"))
}

// Ticks are on both pages, survive a reload, and go away by a second tap.
func TestTicksInTheBrowser(t *testing.T) {
	p := plugging(t, "kiln-yard.yaml")
	require.Equal(t, "0 of 58", p.plugged()) // 20 pitches, 20 gates, 5 cutoffs; 3 macros that lead to 10 inputs through multiples
	for _, cable := range []string{"cv1", "gt1", "cv27/2", "cv31"} {
		p.do(click(fmt.Sprintf(`[data-cable="%s"]`, cable)))
	}
	require.Equal(t, "4 of 58", p.plugged())
	require.Equal(t, "cv31: main cv 31 to multiple at main cv 31, 15 cm", value[string](p, `document.getElementById("plug-last").textContent`))
	p.turn("jacks")
	want := []string{"cv1", "cv27/2", "cv31", "gt1"}
	require.Equal(t, want, p.ticked())
	p.reload()
	p.until(toggled)
	require.Equal(t, "true", value[string](p, `document.querySelector("[data-page=jacks]").getAttribute("aria-pressed")`), "the page is remembered")
	require.Equal(t, want, p.ticked())
	require.Equal(t, "4 of 58", p.plugged())
	require.True(t, value[bool](p, `document.getElementById("plug-carried").hidden`))
	p.do(click(`[data-cable="cv1"]`))
	p.turn("rack")
	require.Equal(t, []string{"cv27/2", "cv31", "gt1"}, p.ticked())
	// By keys: all are one stop of the tab key, arrows go on, Enter ticks.
	const stops, focused = `[...document.querySelectorAll("#plug-page .toggle")].filter((b) => b.tabIndex === 0).length`, `document.activeElement.dataset.cable`
	require.Equal(t, 1, value[int](p, stops))
	p.do(focus(`[data-cable="cv1"]`), chromedp.KeyEvent(kb.ArrowRight))
	require.Equal(t, "gt1", value[string](p, focused))
	p.do(chromedp.KeyEvent(kb.Enter))
	require.Equal(t, []string{"cv27/2", "cv31"}, p.ticked())
	p.do(chromedp.KeyEvent(kb.Enter), chromedp.KeyEvent(kb.ArrowDown))
	require.Equal(t, "cv2", value[string](p, focused))
	require.Equal(t, 1, value[int](p, stops))
	p.do(click("#plug-clear"))
	require.Empty(t, p.ticked())
	p.do(click("#plug-clear")) // which has become what brings them back
	require.Equal(t, []string{"cv27/2", "cv31", "gt1"}, p.ticked())
	p.quiet()
}

// A change of the rig is a new plan: ticks go on where a cable joins the same ends. What
// joins others now is named. When the old text is back, later ticks by the other plan are not forgotten.
func TestTicksOfAChangedRigInTheBrowser(t *testing.T) {
	const rig = "rig: Kiln Shed\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}, L: {voices: %d}}\n"
	b := newBench(t)
	lay := func(voices int, more string) {
		require.NoError(t, b.desk.Edit(fmt.Appendf(nil, rig+more, voices)))
	}
	lay(2, "")
	p := openAt(t, b, "/#plug")
	p.until(toggled)
	for _, cable := range []string{"cv1", "gt1", "cv3", "gt4"} { // K1, L1, L2
		p.do(click(fmt.Sprintf(`[data-cable="%s"]`, cable)))
	}
	before := p.plan()

	// Another bank stands where L did: another tab, or the editor, has changed the text.
	require.NoError(t, b.desk.Edit([]byte("rig: Kiln Shed\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}, M: {voices: 1}}\n")))
	p.until(`!document.getElementById("plug-carried").hidden`)
	require.Equal(t, []string{"cv1", "gt1"}, p.ticked())
	require.Equal(t, "The rig has changed since you ticked, by plan "+before+". Of 4 ticked cables 2 still join the same ends, and stay ticked.",
		value[string](p, `document.getElementById("plug-carried-text").textContent`))
	require.Equal(t, []string{"cv3 was ticked from main cv 3 to L1.pitch. Now it goes from main cv 3 to M1.pitch.",
		"gt4 was ticked from main gate 4 to L2.gate. There is no such cable now: pull it, muted."}, p.texts("#plug-changed li"))

	// Who ticks on, or takes a tick away, before he has read that finds it so on a reload.
	p.do(click(`[data-cable="gt2"]`), click(`[data-cable="cv1"]`))
	p.reload()
	p.until(`!document.getElementById("plug-carried").hidden`)
	require.Equal(t, []string{"gt1", "gt2"}, p.ticked())
	p.do(click("#plug-take"))
	require.Equal(t, []string{"gt1", "gt2"}, p.ticked())
	require.True(t, value[bool](p, `document.getElementById("plug-carried").hidden`))
	p.reload()
	p.until(toggled)
	require.Equal(t, []string{"gt1", "gt2"}, p.ticked())
	require.True(t, value[bool](p, `document.getElementById("plug-carried").hidden`))

	// The old text again: what was ticked by it is older than what was done since.
	planned := func() {
		t.Helper()
		p.until(fmt.Sprintf(`document.getElementById("plug-last").textContent === "plan %s" && %s`, p.plan(), toggled))
		require.Equal(t, []string{"gt1", "gt2"}, p.ticked())
		require.True(t, value[bool](p, `document.getElementById("plug-carried").hidden`), "no cable has changed: nothing is asked")
	}
	lay(2, "")
	planned()

	// A part more moves no cable.
	lay(2, "parts: {pad: {}}\n")
	planned()
	p.reload()
	planned()
	p.quiet()
}

// plan is the code of the plan that is plugged.
func (p *browser) plan() string {
	p.t.Helper()
	return p.mapped().Fingerprint
}

// mapped is the map of what is on the desk, made without the page.
func (p *browser) mapped() *contract.Map {
	p.t.Helper()
	made, err := p.desk.plan(plan.Overrides{})
	require.NoError(p.t, err)
	return contract.NewMap(made)
}

// Another tab of the same browser sees what is ticked in one.
func TestTicksOfTwoTabsInTheBrowser(t *testing.T) {
	p := plugging(t, "kiln-yard.yaml")
	ctx, stop := chromedp.NewContext(p.ctx)
	defer stop()
	other := &browser{bench: p.bench, ctx: ctx}
	other.do(chromedp.Navigate(p.web.URL+"/#plug"), visible("body[data-ready=yes]"))
	other.until(toggled)
	other.do(click(`[data-cable="cv5"]`))
	p.until(`document.getElementById("plug-count").textContent === "1 of 58"`)
	require.Equal(t, []string{"cv5"}, p.ticked())
	p.quiet()
}

// Every cable of every rig of testdata can be ticked once on a page, of each set-up those that it plugs.
func TestPlugOfEveryRigInTheBrowser(t *testing.T) {
	p := plugging(t, "kiln-yard.yaml")
	rigs, err := filepath.Glob(top + "testdata/rigs/*.yaml")
	require.NoError(t, err)
	require.NoError(t, os.CopyFS(filepath.Join(filepath.Dir(p.path), "profiles"), os.DirFS(top+"testdata/rigs/profiles")))
	for _, file := range append([]string{top + "testdata/kiln-yard.yaml"}, rigs...) {
		p.lay(strings.TrimPrefix(file, top+"testdata/"))
		m := p.mapped()
		code, err := json.Marshal("plan " + m.Fingerprint)
		require.NoError(t, err)
		p.reload()
		p.until(fmt.Sprintf(`document.getElementById("plug-last").textContent === %s`, code))
		setUps := m.SetUps
		if len(setUps) == 0 {
			setUps = []string{""}
		}
		for _, setUp := range setUps {
			var want []string
			for _, x := range slices.Concat(m.Cables, m.SetUpCables) {
				if setUp == "" || slices.Contains(x.SetUps, setUp) {
					want = append(want, x.Number)
				}
			}
			slices.Sort(want)
			for _, page := range []string{"rack", "jacks"} {
				p.turn(page)
				if setUp != "" {
					p.run(fmt.Sprintf(`{ const s = document.getElementById("plug-set-up"); s.value = %q; s.dispatchEvent(new Event("change")); }`, setUp))
				}
				got := value[[]string](p, `[...document.querySelectorAll("#plug-page .toggle")].filter((b) => b.checkVisibility()).map((b) => b.dataset.cable)`)
				slices.Sort(got)
				require.Equal(t, want, got, "%s %s %s", file, setUp, page)
				require.Equal(t, fmt.Sprintf("0 of %d", len(want)), p.plugged())
			}
		}
	}
	p.quiet()
}

// Moves from one set-up to another: what is pulled is out on the other pages too, and what is plugged is in.
func TestMovesInTheBrowser(t *testing.T) {
	p := plugging(t, "rigs/full.yaml")
	p.run(`for (const b of document.querySelectorAll("#plug-page .toggle")) b.click()`)
	require.Equal(t, "49 of 49", p.plugged())
	p.turn("moves")
	p.run(`{ const s = document.getElementById("plug-change"); s.value = "studio to stage"; s.dispatchEvent(new Event("change")); }`)
	p.until(`document.querySelectorAll("#plug-page .steps button").length === 41`) // 16 pulls, 24 plugs, and what has to be held
	require.Equal(t, "0 of 41", p.plugged())
	p.run(`document.querySelector("#plug-page .steps button").click()`)
	require.Equal(t, "1 of 41", p.plugged())
	p.turn("rack")
	require.Equal(t, "48 of 49", p.plugged())
	require.NotContains(t, p.ticked(), "gt1")
	p.reload()
	p.until(`document.getElementById("plug-count").textContent === "48 of 49"`)
	p.turn("moves")
	p.until(`document.getElementById("plug-count").textContent === "1 of 41"`)
	p.run(`document.querySelector("#plug-page .steps button").click()`) // and back
	p.turn("rack")
	require.Equal(t, "49 of 49", p.plugged())
	p.turn("moves")
	p.until(`document.querySelector("#plug-page .steps button") !== null`)
	p.run(`for (const b of document.querySelectorAll("#plug-page .steps button")) b.click()`)
	require.Equal(t, "41 of 41", p.plugged())
	p.turn("rack")
	require.Equal(t, "33 of 49", p.plugged()) // 33 stay
	p.run(`{ const s = document.getElementById("plug-set-up"); s.value = "stage"; s.dispatchEvent(new Event("change")); }`)
	require.Equal(t, "57 of 57", p.plugged()) // 33 and 24
	p.quiet()
}

// A voice has failed: its cables move to the spare, which has no jacks of its own, and are there once the rig says so.
func TestFailureInTheBrowser(t *testing.T) {
	const rig = "rig: Kiln Shed\ninterfaces: {main: {cv: 2, gates: 2}}\nbanks: {K: {voices: 3, spare: [3], use_spare: true}}\n"
	b := newBench(t)
	require.NoError(t, b.desk.Edit([]byte(rig)))
	p := openAt(t, b, "/#plug")
	p.until(toggled)
	p.run(`for (const b of document.querySelectorAll("#plug-page .toggle")) b.click()`)
	require.Equal(t, "4 of 4", p.plugged())
	p.turn("moves")
	p.run(`{ const s = document.getElementById("plug-change"); s.value = "K1 fails"; s.dispatchEvent(new Event("change")); }`)
	p.until(`document.querySelectorAll("#plug-page .steps button").length === 2`)
	require.Contains(t, p.texts("#plug-page .answer")[0], "K1 fails, and K3 stands in; 2 cables to move")
	require.Contains(t, strings.Join(p.texts("#plug-page .steps li"), " "), "Mute, then move:")
	require.Equal(t, []string{"cv1 (main cv 1) from K1.pitch to K3.pitch", "gt1 (main gate 1) from K1.gate to K3.gate"}, p.texts("#plug-page .steps button"))
	p.run(`for (const b of document.querySelectorAll("#plug-page .steps button")) b.click()`)
	require.Equal(t, "2 of 2", p.plugged())
	p.turn("rack")
	require.Equal(t, "2 of 4", p.plugged(), "they are where the rig does not have them yet")
	require.NoError(t, b.desk.Edit([]byte(rig+"pins: {K2.pitch: main.cv 2, K2.gate: main.gate 2, K3.pitch: main.cv 1, K3.gate: main.gate 1}\n")))
	p.until(`document.getElementById("plug-count").textContent === "4 of 4"`)
	require.True(t, value[bool](p, `document.getElementById("plug-carried").hidden`))

	// Where no spare stands in the cables may stay: they count as nothing to do.
	require.NoError(t, b.desk.Edit([]byte("rig: Kiln Shed\ninterfaces: {main: {cv: 2, gates: 2}}\nbanks: {L: {voices: 2}}\n")))
	p.turn("moves")
	p.until(`[...document.getElementById("plug-change").options].some((o) => o.value === "L1 fails")`)
	p.run(`{ const s = document.getElementById("plug-change"); s.value = "L1 fails"; s.dispatchEvent(new Event("change")); }`)
	p.until(`document.querySelectorAll("#plug-page .steps button").length === 2`)
	require.Contains(t, p.texts("#plug-page .answer")[0], "no cable has to move; 2 cables may stay")
	require.Empty(t, p.plugged())
	p.quiet()
}

// The page and the paper agree: the numbers in the cell of each voice on the printed sheet are those of its
// cables on the page. The sheet is read as PDF by poppler.
func TestPlugAgreesWithTheSheet(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext on this machine (Debian: apt-get install poppler-utils)")
	}
	for _, rig := range []string{"kiln-yard.yaml", "rigs/full.yaml", "rigs/small-wall.yaml", ""} {
		p := plugging(t, "kiln-yard.yaml")
		voices := map[string]int{"": 64, "rigs/small-wall.yaml": 8}[rig]
		if voices == 0 {
			voices = 20
		}
		if rig == "" {
			require.NoError(t, p.desk.Edit([]byte(wall64)))
		} else {
			p.lay(rig)
		}
		p.reload()
		p.until(toggled)
		type pair struct{ Name, Pitch, Gate string }
		shown := value[[]pair](p, `[...document.querySelectorAll("#plug-page .cell:not(.long)")].map((c) => ({ Name: c.querySelector("h3").textContent,
			Pitch: c.querySelector(".pill b")?.textContent ?? "", Gate: c.querySelector(".square b")?.textContent ?? "" }))`)
		require.Len(t, shown, voices, rig)
		status, pdf := p.post("file", `{"kind": "sheet.pdf"}`)
		require.Equal(t, 200, status)
		file := filepath.Join(t.TempDir(), "sheet.pdf")
		require.NoError(t, os.WriteFile(file, []byte(pdf), 0o666))
		door := printedWords(t, file)[0]
		for _, v := range shown {
			require.Equal(t, []string{v.Pitch, v.Gate}, besideName(door.Words, v.Name), "%s: %s", rig, v.Name)
		}
		p.quiet()
	}
}

var jackNumber = regexp.MustCompile(`^(\d+:)?\d+$`)

// besideName are the two numbers that stand next at the height of a name; a name at a jack has none beside it.
func besideName(words []printedWord, name string) []string {
	for _, n := range words {
		if n.Text != name {
			continue
		}
		var beside []printedWord
		for _, w := range words {
			if w.X > n.X && w.X < n.X+100 && w.Y > n.Y-8 && w.Y < n.Y+8 {
				beside = append(beside, w)
			}
		}
		slices.SortFunc(beside, func(a, b printedWord) int { return int(100 * (a.X - b.X)) })
		if len(beside) > 1 && jackNumber.MatchString(beside[0].Text) && jackNumber.MatchString(beside[1].Text) {
			return []string{beside[0].Text, beside[1].Text}
		}
	}
	return nil
}

// From another machine: the address that is printed, with its token, leads to the view, which asks and keeps ticks; after a
// reload the token is not in the address any more.
func TestPlugByTokenInTheBrowser(t *testing.T) {
	b := newBench(t)
	at := b.web.Listener.Addr().String()
	name := "kiln-phone.localhost" + at[strings.LastIndexByte(at, ':'):] // which leads here, and is not what one says on this machine: RFC 6761, 6.3
	b.web.Config.Handler = New(b.desk, Door{Hosts: []string{at, name}, Token: "OPEN-KILN"})
	b.web.URL = "http://" + name
	p := openAt(t, b, "/OPEN-KILN/#plug")
	p.until(toggled)
	p.do(click(`[data-cable="cv7"]`))
	require.Equal(t, "/#plug", value[string](p, `location.pathname + location.hash`))
	p.reload()
	p.until(toggled)
	require.Equal(t, []string{"cv7"}, p.ticked())
	p.quiet()
}

// wall64 fills a door: eight banks of eight.
const wall64 = "rig: Wall\ninterfaces: {main: {profile: cv64-gate64}}\nparts: {pad: {unison: {voices: 4, spread: 12 cents}}}\nbanks: {K: {voices: 8}, L: {voices: 8}, M: {voices: 8}, N: {voices: 8}, P: {voices: 8}, R: {voices: 8}, S: {voices: 8}, T: {voices: 8}}\n"
