package page

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// written waits until the text on the desk is that of the demo with some of it in the place of other, and shows.
func (p *browser) written(pairs ...string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`document.getElementById("text").value === %q`, p.text(pairs...)))
	p.bench.desk.mu.RLock()
	defer p.bench.desk.mu.RUnlock()
	require.Equal(p.t, p.text(pairs...), string(p.desk.text))
}

// text is that of the demo with some of it in the place of other.
func (b *bench) text(pairs ...string) string {
	b.t.Helper()
	text := string(b.desk.disk)
	for i := 0; i < len(pairs); i += 2 {
		require.Equal(b.t, 1, strings.Count(text, pairs[i]), pairs[i])
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

// pressed are the buttons that are pressed in a place, by what they say.
func (p *browser) pressed(where string) []string { return p.texts(where + ` [aria-pressed=true]`) }

// Every state of a voice is set by a click, by the menu and by keys, is written into the text, of which all else
// stays, comments too, and is undone. What the lines are follows from the grammar of a bank (profiles/doc.go).
func TestVoiceStatesInTheBrowser(t *testing.T) {
	const k, m = "row: 1, hp: 88, ma: {+12: 380, -12: 345}}", "row: 3, hp: 88, ma: {+12: 380, -12: 345}}"
	with := func(line, more string) []string {
		return []string{line, strings.TrimSuffix(line, "}") + ", " + more + "}"}
	}
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1#rack")
	p.settled()
	p.do(visible(".voice"), click("[data-voice=K2]"), visible("#states"))
	require.Equal(t, []string{"In"}, p.pressed("#states"))
	undo := func() {
		t.Helper()
		p.do(click("#undo"))
		p.written()
		p.until(`document.getElementById("rack").getAttribute("aria-busy") === "false"`) // what stands there is of that text
	}

	// By click.
	for state, line := range map[string]string{"out": "out: [2]", "spare": "spare: [2]"} {
		p.do(click("#state-" + state))
		p.written(with(k, line)...)
		p.until(fmt.Sprintf(`document.querySelector("[data-voice=K2]").classList.contains(%q) && document.getElementById("state-%s").getAttribute("aria-pressed") === "true"`, state, state))
		p.says() // the answer for the rig as it stands, with no flag
		p.until(`document.getElementById("kept").textContent.startsWith("Written into the rig text.")`)
		undo()
		p.until(`document.getElementById("state-in").getAttribute("aria-pressed") === "true" && document.getElementById("kept").textContent === ""`)
	}
	p.settled()
	p.do(focus("#voice-keys"), chromedp.KeyEvent("E2-E5"), click("#state-limited"))
	p.written(with(k, "limited: {2: E2-E5}")...)
	p.until(`document.getElementById("voice-says").textContent === "The rig says: limited, in service for E2 (40) to E5 (76) only."`)
	undo()

	// In: a voice that is out and has limits is in for all keys. The comments of both stay.
	p.do(click("[data-voice=P2]"))
	p.until(`document.getElementById("voice-says").textContent.startsWith("The rig says: out of service")`)
	require.Equal(t, "The rig says that it is out.", value[string](p, `document.getElementById("take-out").getAttribute("aria-description")`))
	p.do(click("#state-in"))
	p.written("    out: [2]                   # P2", "    # P2", "    limited: {2: 40-76}        # …", "    # …")
	undo()

	// By keys.
	focus := func() { p.run(`document.querySelector("[data-voice=M1]").focus()`) }
	focus()
	for key, line := range map[string]string{"o": "out: [1]", "s": "spare: [1]"} {
		p.do(chromedp.KeyEvent(key))
		p.written(with(m, line)...)
		undo()
		focus()
	}
	p.do(chromedp.KeyEvent("l")) // which keys is not said yet
	p.until(`document.activeElement.id === "voice-keys" && document.getElementById("voice-trouble").textContent.includes("write the lowest and the highest")`)
	p.do(chromedp.KeyEvent("36-60"), chromedp.KeyEvent(kb.Enter))
	p.written(with(m, "limited: {1: 36-60}")...)
	require.Empty(t, value[string](p, `document.getElementById("voice-trouble").textContent`))
	undo()

	// By menu: the right button of a mouse, or the keys of a menu.
	for steps, state := range []string{"out", "spare"} {
		focus()
		p.run(`document.activeElement.dispatchEvent(new MouseEvent("contextmenu", { bubbles: true, cancelable: true }))`)
		p.until(`document.activeElement.getAttribute("role") === "menuitemradio"`)
		for range steps + 1 {
			p.do(chromedp.KeyEvent(kb.ArrowDown))
		}
		require.True(t, strings.HasPrefix(value[string](p, `document.activeElement.textContent`), state))
		p.do(chromedp.KeyEvent(kb.Enter))
		p.written(with(m, state+": [1]")...)
		require.Equal(t, "M1", value[string](p, `document.activeElement.dataset.voice`))
		undo()
	}
	p.quiet()
}

// A voice is tried without: the song is played so and the text stays. A state that is written ends the trial. Both come
// back by Undo.
func TestTryWithoutInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1#rack")
	p.settled()
	p.do(visible(".voice"), click("[data-voice=K2]"), visible("#take-out"), click("#take-out"))
	p.says("--without", "K2")
	p.written()
	p.until(`document.getElementById("take-out").textContent === "Put it back"`)
	require.Equal(t, []string{"In"}, p.pressed("#states"), "the rig says so still")
	require.Contains(t, value[string](p, `document.getElementById("voice-card").textContent`), "the rig text still has it")
	p.do(click("#state-spare"))
	p.written("row: 1, hp: 88, ma: {+12: 380, -12: 345}}", "row: 1, hp: 88, ma: {+12: 380, -12: 345}, spare: [2]}")
	p.says()
	p.do(click("#undo"))
	p.written()
	p.says("--without", "K2")
	p.quiet()
}

// Keys that somebody writes stay as they are written while all else of the voice is drawn anew.
func TestKeysStayInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1#rack")
	p.settled()
	p.do(visible(".voice"), click("[data-voice=K2]"), focus("#voice-keys"), chromedp.KeyEvent("40-"))
	p.run(`document.getElementById("take-out").click()`)
	p.until(`document.getElementById("take-out").textContent === "Put it back"`)
	p.says("--without", "K2")
	p.do(chromedp.KeyEvent("76"))
	require.Equal(t, "40-76", value[string](p, `document.activeElement.value`))
	p.do(chromedp.KeyEvent(kb.Enter))
	p.written("row: 1, hp: 88, ma: {+12: 380, -12: 345}}", "row: 1, hp: 88, ma: {+12: 380, -12: 345}, limited: {2: 40-76}}")
	p.until(`document.getElementById("state-limited").getAttribute("aria-pressed") === "true" && document.getElementById("state-in").getAttribute("aria-pressed") === "false"`)
	p.do(click("#undo"))
	p.written()
	p.until(`document.getElementById("voice-keys").value === ""`)
	p.quiet()
}

// Why a state cannot be set is said at the voice, with the way out, and the text stays.
func TestStatesThatCannotBeInTheBrowser(t *testing.T) {
	b := newBench(t)
	const text = "rig: Bench\nbanks:\n  K: {voices: 4, out: [2], spare: [4], use_spare: true}  # K4 plays for K2\nparts:\n  pad: {channel: 1, unison: {voices: 3}}\n"
	require.NoError(t, b.desk.Edit([]byte(text)))
	p := openAt(t, b, "/#rack")
	for voice, why := range map[string]string{"K4": "K4 is the only spare of bank K, which plays it in place of a voice that is out – make another voice of the bank spare first",
		"K3": "found a unison of 3 voices, and bank K has 2"} {
		p.do(visible(".voice"), click("[data-voice="+voice+"]"), visible("#states"))
		state := map[string]string{"K4": "#state-in", "K3": "#state-spare"}[voice]
		p.do(click(state))
		p.until(fmt.Sprintf(`document.getElementById("voice-trouble").textContent.includes(%q)`, why))
		require.True(t, value[bool](p, `document.getElementById("trouble").hidden`))
		require.Equal(t, text, string(b.desk.text))
	}
	p.do(click("[data-voice=K1]"))
	require.Empty(t, value[string](p, `document.getElementById("voice-trouble").textContent`), "that was another voice")
	p.quiet()
}

// A phone: a tap opens the menu of a voice, everything to tap is 44 px high, and nothing scrolls sideways.
func TestRackOnAPhone(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1#rack")
	require.NoError(t, chromedp.Do(p.ctx, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch)))
	_, err := chromedp.Call(p.ctx, emulation.SetEmitTouchEventsForMouse, emulation.SetEmitTouchEventsForMouseParams{Enabled: true, Configuration: "mobile"})
	require.NoError(t, err)
	p.do(chromedp.Reload(), visible("body[data-ready=yes]"), visible(".voice"))
	p.until(`matchMedia("(pointer: coarse)").matches && document.querySelector("#stack p") !== null`)
	p.run(`document.querySelector("[data-voice=M2]").scrollIntoView({ block: "center" })`)
	at := value[struct{ X, Y float64 }](p, `(() => { const r = document.querySelector("[data-voice=M2]").getBoundingClientRect(); return {X: r.x + r.width / 2, Y: r.y + r.height / 2}; })()`)
	tap := func(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
		_, err := chromedp.Call(p.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
		require.NoError(t, err)
	}
	tap(input.DispatchTouchEventTypeTouchStart, &input.TouchPoint{X: at.X, Y: at.Y})
	tap(input.DispatchTouchEventTypeTouchEnd)
	p.until(`document.querySelector(".menu:popover-open") !== null`)
	small := `[...document.querySelectorAll("#view-rack button, #view-rack select, #view-rack input, .menu button")].filter((e) => e.checkVisibility()).map((e) => [e, e.getBoundingClientRect()]).filter(([, r]) => r.height < 44 || r.width < 44).map(([e]) => e.outerHTML.slice(0, 100))`
	require.Empty(t, value[[]string](p, small))
	p.run(`[...document.querySelectorAll(".menu [role=menuitemradio]")].find((e) => e.textContent.startsWith("out")).click()`)
	p.written("row: 3, hp: 88, ma: {+12: 380, -12: 345}}", "row: 3, hp: 88, ma: {+12: 380, -12: 345}, out: [2]}")
	p.run(`{ const v = document.getElementById("stack-voices"); v.value = 4; v.dispatchEvent(new Event("change")); }`)
	p.until(`document.querySelector("#stack img") !== null`)
	require.LessOrEqual(t, value[int](p, `document.documentElement.scrollWidth`), 390)
	p.quiet()
}

// The parts of a unison are those of the rig as it is now, not of the one that was there before.
func TestUnisonOfOtherPartsInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/#rack")
	p.until(`document.getElementById("stack-part").value === "pad"`)
	p.run(`{ const t = document.getElementById("text"); t.value = t.value.replace("  pad:", "  choir:"); t.dispatchEvent(new Event("input")); }`)
	p.until(`document.getElementById("stack-part").value === "choir"`)
	require.True(t, value[bool](p, `document.getElementById("stack-trouble").hidden`))
	p.quiet()
}

// The picture of a unison follows the slider, the sentence says what the rig says, the number of voices is tried with the
// song, a held key sounds quietly, and what is written is undone.
func TestUnisonInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1#rack")
	p.until(`document.querySelector("#stack p") !== null`)
	require.Equal(t, "One voice has nothing to beat with. Set two or more.", value[string](p, `document.querySelector("#stack-listen [data-version]").getAttribute("aria-description")`))
	set := func(id, text, event string) {
		p.run(fmt.Sprintf(`{ const e = document.getElementById(%q); e.value = %q; e.dispatchEvent(new Event(%q)); }`, id, text, event))
	}
	set("stack-voices", "4", "change")
	p.says("--unison", "pad=4")
	p.written()
	p.until(`document.querySelector("#stack img") !== null && document.getElementById("stack-says").textContent === "Not written yet. The rig says: 1 voice on a note."`)
	cents := func(want ...string) {
		t.Helper()
		p.until(fmt.Sprintf(`[...document.querySelectorAll("#stack tbody tr:first-child td")].slice(1, 5).map((c) => c.textContent).join(" ") === %q`, strings.Join(want, " ")))
	}
	cents("-6.0", "-4.0", "+2.0", "+6.0") // the ruler 0, 1, 4, 6 over 12 cents
	was := value[string](p, `document.querySelector("#stack img").src`)
	set("stack-width", "48", "input")
	cents("-24.0", "-16.0", "+8.0", "+24.0") // and over 48
	require.NotEqual(t, was, value[string](p, `document.querySelector("#stack img").src`))
	require.Contains(t, value[string](p, `document.querySelector("#stack img").alt`), "4 voices on a note, 48.0 cents apart, uneven")
	set("stack-law", "even", "change")
	cents("-24.0", "-8.0", "+8.0", "+24.0")

	require.Equal(t, "25", value[string](p, `document.getElementById("stack-volume").value`))
	require.Contains(t, value[string](p, `document.getElementById("stack-listen").textContent`), "turn your monitors down first")
	p.do(click(`#stack-listen [data-version]`))
	p.until(`document.querySelector("#stack-listen [role=status]").textContent === "" && document.querySelector("#stack-listen [data-version]").getAttribute("aria-pressed") === "true"`)
	require.Zero(t, value[string](p, `document.getElementById("stack-trouble").textContent`))
	p.do(click(`#stack-listen [data-version]`))
	require.Empty(t, p.pressed("#stack-listen"))

	p.do(click("#stack-write"))
	p.written("  pad: {channel: 1}", "  pad: {channel: 1, unison: {voices: 4, spread: 48 cents, law: even}}")
	p.says() // it plays so without a flag
	p.until(`document.getElementById("stack-says").textContent === "So the rig says."`)
	p.do(click("#undo"))
	p.written()
	p.says("--unison", "pad=4")
	p.do(click("#undo"))
	p.says()
	p.until(`document.getElementById("stack-says").textContent === "So the rig says." && document.getElementById("stack-voices").value === "1"`)

	// What cannot be is said, beside what was asked for.
	set("stack-voices", "13", "change")
	p.until(`document.getElementById("stack-trouble").textContent.includes("the uneven pattern ends at 12")`)
	require.True(t, value[bool](p, `document.getElementById("trouble").hidden`))
	set("stack-law", "golden", "change")
	p.until(`document.getElementById("stack-trouble").hidden && document.querySelector("#stack img") !== null`)
	p.quiet()
}
