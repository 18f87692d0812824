package page

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// Every list is one stop of the tab key, and arrows, Home and End go through it; Home and End also
// lead along the line of voices.
func TestListsInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1&set=voices||10")
	p.settled("--voices", "10")
	require.Empty(t, p.texts(`table:has(tbody tr[tabindex="0"] ~ tr[tabindex="0"]), thead th[tabindex="0"] ~ th[tabindex="0"], dl dt[tabindex="0"] ~ dt[tabindex="0"]`))
	at := func(item string) int {
		return value[int](p, fmt.Sprintf(`[...document.querySelectorAll(%q)].indexOf(document.activeElement)`, item))
	}
	walk := func(item string, steps ...any) {
		t.Helper()
		require.Equal(t, 1, value[int](p, fmt.Sprintf(`[...document.querySelectorAll(%q)].filter((e) => e.tabIndex === 0).length`, item)), item)
		p.run(fmt.Sprintf(`[...document.querySelectorAll(%q)].find((e) => e.tabIndex === 0).focus()`, item))
		for i := 0; i < len(steps); i += 2 {
			p.do(chromedp.KeyEvent(steps[i].(string)))
			want := steps[i+1].(int)
			if want < 0 {
				want += value[int](p, fmt.Sprintf(`document.querySelectorAll(%q).length`, item))
			}
			require.Equal(t, want, at(item), "%s, step %d", item, i/2+1)
		}
		require.Equal(t, 1, value[int](p, fmt.Sprintf(`[...document.querySelectorAll(%q)].filter((e) => e.tabIndex === 0).length`, item)), item)
	}
	walk("#chosen tbody tr[tabindex]", kb.ArrowDown, 1, kb.ArrowDown, 2, kb.ArrowUp, 1, kb.End, -1, kb.ArrowDown, -1, kb.Home, 0, kb.ArrowUp, 0)
	p.do(focus("#line"))
	p.do(chromedp.KeyEvent(kb.End))
	p.says() // all that there are
	p.do(chromedp.KeyEvent(kb.Home))
	p.says("--voices", "1")
	p.do(click("#tab-rack"), visible(".voice"))
	walk(".voice", kb.ArrowRight, 1, kb.ArrowDown, 5, kb.ArrowDown, 9, kb.ArrowUp, 5, kb.ArrowLeft, 4, kb.End, 19, kb.ArrowDown, 19, kb.Home, 0) // 5 banks of 4
	p.do(focus("#tab-rack"), chromedp.KeyEvent(kb.End))
	require.Equal(t, "tab-text", value[string](p, `document.activeElement.id`))
	p.quiet()
}

// At 200 % of a window of 1280 pixels, and at 400 %, nothing is beside the window: WCAG 2.2, 1.4.4 and 1.4.10.
// What is wider than that, as tables and texts are, scrolls by itself.
func TestZoomInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1&set=voices||10")
	p.settled("--voices", "10")
	for _, times := range []int64{2, 4} {
		p.do(chromedp.EmulateViewport(1280/times, 1024/times, chromedp.EmulateScale(float64(times))))
		for _, view := range []string{"song", "parts", "rack", "plug", "paper", "text"} {
			p.run(fmt.Sprintf(`document.getElementById("tab-%s").click()`, view))
			require.Empty(t, value[[]string](p, `[...document.querySelectorAll("body *")].filter((e) => {
				const r = e.getBoundingClientRect(), s = getComputedStyle(e);
				if (!e.checkVisibility() || !r.width || r.right <= innerWidth + 1 && r.right > 0) return false;
				if (e.closest(".skip, #spoken")) return false;
				for (let box = e.parentElement; box !== document.body; box = box.parentElement) if (["auto", "scroll", "hidden"].includes(getComputedStyle(box).overflowX)) return false;
				return true;
			}).map((e) => e.outerHTML.slice(0, 120))`), "%s at %d00 %%", view, times)
			require.LessOrEqual(t, value[int](p, `document.documentElement.scrollWidth`), int(1280/times), "%s at %d00 %%", view, times)
		}
	}
	p.quiet()
}

// With colours of the system nothing is told by a colour of the page's own: what is drawn stands out from
// what is behind it, and what is chosen has a rim. Who wants little motion gets none.
func TestForcedColoursInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1&set=voices||10")
	p.settled("--voices", "10")
	for _, scheme := range []string{"light", "dark"} {
		p.in("forced-colors", "active", "prefers-color-scheme", scheme, "prefers-reduced-motion", "reduce")
		require.True(t, value[bool](p, `matchMedia("(forced-colors: active)").matches`))
		p.run(`document.getElementById("zoom-all").click()`)
		// The colour that is drawn most, against that of the page, by WCAG 2.2's contrast ratio.
		contrast := value[float64](p, `new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => {
			const box = document.getElementById("lanes"), { data } = box.getContext("2d").getImageData(0, 0, box.width, box.height), seen = new Map();
			for (let i = 0; i < data.length; i += 4) if (data[i + 3] === 255) { const c = data.slice(i, i + 3).join(); seen.set(c, (seen.get(c) ?? 0) + 1); }
			const drawn = [...seen].sort((a, b) => b[1] - a[1])[0][0].split(",").map(Number), behind = getComputedStyle(document.body).backgroundColor.match(/\d+/g).map(Number);
			const light = (c) => c.slice(0, 3).map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)).reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
			const [a, b] = [light(drawn), light(behind)].sort((x, y) => y - x);
			done((a + 0.05) / (b + 0.05));
		})))`)
		require.Greater(t, contrast, 4.5, scheme)
		require.Equal(t, "solid", value[string](p, `getComputedStyle(document.querySelector("[role=tab][aria-selected=true]")).outlineStyle`))
		require.Empty(t, value[[]string](p, `[...document.querySelectorAll("*")].filter((e) => { const s = getComputedStyle(e); return s.animationName !== "none" || s.transitionDuration !== "0s" || s.scrollBehavior !== "auto"; }).map((e) => e.outerHTML.slice(0, 80))`))
		require.Zero(t, value[int](p, `document.getAnimations().length`))
	}
	p.quiet()
}

// A button that cannot act is there for the keyboard, says why, and does nothing.
func TestUnableButtonsInTheBrowser(t *testing.T) {
	b := newBench(t)
	p := open(t, b)
	why := func() map[string]string {
		return value[map[string]string](p, `Object.fromEntries([...document.querySelectorAll("button[aria-disabled=true]")].map((b) => [b.textContent, b.getAttribute("aria-description")]))`)
	}
	const none, nothing = "There is no song yet. Add one first.", "No setting differs from the rig."
	require.Equal(t, map[string]string{"Save rig": "There is nothing to save: the file has this text.", "Undo": "There is nothing to undo.", "Redo": "There is nothing to redo.",
		"As the rig says": "It already plays as the rig says.", "Write into the rig": nothing, "Write into the rig text (--write)": "Nothing is measured yet.", "Compare": none, "Try fixes": none, "Two at once": none,
		"▶ As asked": none, "▶ As played": none, "▶ What is missing": none, "+": none, "−": none, "Whole song": none}, why())
	require.Empty(t, p.texts("button[disabled]"))
	p.do(focus("#save"))
	require.Equal(t, "There is nothing to save: the file has this text.", value[string](p, `document.getElementById("means").textContent`))
	require.Equal(t, "as on disk", value[string](p, `document.getElementById("save-state").textContent`))
	b.demo()
	p.until(`document.getElementById("find-fixes").getAttribute("aria-disabled") === null`)
	require.Contains(t, value[string](p, `document.getElementById("find-fixes").getAttribute("aria-description")`), "something to try", "its meaning is back")
	p.settled()
	p.do(click("#keep"))
	require.Equal(t, nothing, value[string](p, `document.getElementById("means").textContent`))
	require.NotContains(t, why(), "Compare")
	p.quiet()
}
