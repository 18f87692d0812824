package page

import (
	"bytes"
	"fmt"
	"image/png"
	"sync"
	"testing"
	"time"

	cdp "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// fillPlug has ticks, and others that may be taken over.
func (p *browser) fillPlug() {
	p.until(toggled)
	p.run(`for (const b of document.querySelectorAll("#plug-page .toggle")) if (b.dataset.cable.startsWith("cv")) b.click()`)
	p.lay("rigs/full.yaml")
	p.run(`localStorage.setItem("choirloft-ticks", localStorage.getItem("choirloft-ticks").replaceAll("Kiln Yard", "Full Yard"))`)
	p.reload()
	p.until(`!document.getElementById("plug-carried").hidden`)
	p.run(`document.querySelector("#plug-page .toggle").click()`)
}

// showMoves turns to a page; on that of moves to the first there are.
func (p *browser) showMoves(page string) {
	p.t.Helper()
	p.turn(page)
	if page == "moves" {
		p.run(`{ const s = document.getElementById("plug-change"); s.selectedIndex = 1; s.dispatchEvent(new Event("change")); }`)
		p.until(`document.querySelector("#plug-page .steps") !== null`)
	}
}

// plugSizes are those of a phone and a tablet, both ways up.
var plugSizes = [][2]int64{{390, 844}, {844, 390}, {820, 1180}, {1180, 820}}

// On a phone and on a tablet, both ways up, nothing goes beyond the side, whatever can be pressed is as large as a
// thumb (44 pixels: WCAG 2.2, 2.5.5), and what stays in place leaves the rest alone: it is low, and what has
// the focus is not behind it (2.4.11).
func TestPlugFitsInTheBrowser(t *testing.T) {
	for _, rig := range []string{"kiln-yard.yaml", "rigs/full.yaml", "rigs/shorts.yaml", ""} {
		b := newBench(t)
		if rig == "" {
			require.NoError(t, b.desk.Edit([]byte(wall64)))
		} else {
			b.lay(rig)
		}
		p := openAt(t, b, "/#plug")
		p.until(toggled)
		p.run(`document.querySelector("#plug-page .toggle").click()`)
		for _, size := range plugSizes {
			p.do(chromedp.EmulateViewport(size[0], size[1]))
			for _, page := range []string{"rack", "jacks", "moves"} {
				where := fmt.Sprintf("%s %v %s", rig, size, page)
				p.showMoves(page)
				require.LessOrEqual(t, value[int64](p, `document.documentElement.scrollWidth`), size[0], where)
				require.Empty(t, value[[]string](p, `[...document.querySelectorAll("#view-plug *, [role=tab]")].filter((e) => e.checkVisibility() && !e.closest(".unseen, .wide") && (e.getBoundingClientRect().right > innerWidth + .5 || e.getBoundingClientRect().left < -.5)).map((e) => e.outerHTML.slice(0, 120))`), where)
				require.Empty(t, value[[]string](p, `[...document.querySelectorAll("button, select, summary, a, input, textarea")].filter((e) => {
					const r = e.getBoundingClientRect();
					return e.checkVisibility() && !e.closest(".skip") && (r.width < 44 || r.height < 44);
				}).map((e) => e.outerHTML.slice(0, 120))`), where)
				require.Empty(t, value[[]string](p, `[...document.querySelectorAll("#plug-page .toggle")].filter((e) => e.scrollWidth > e.clientWidth + 1).map((e) => e.outerHTML.slice(0, 120))`), "words leave their button: %s", where)
				stays := value[[]string](p, `[...document.querySelectorAll("body *")].filter((e) => e.checkVisibility() && ["fixed", "sticky"].includes(getComputedStyle(e).position) && !e.matches("th")).map((e) => e.id)`)
				require.Equal(t, []string{"plug-head"}, stays, where)
				require.Less(t, value[float64](p, `document.getElementById("plug-head").offsetHeight`), 64.0, where)
				require.True(t, value[bool](p, `(() => { scrollTo(0, document.body.scrollHeight); const all = [...document.querySelectorAll("#plug-page .toggle")], head = document.getElementById("plug-head");
					return all.reverse().every((b) => { b.focus(); return b.getBoundingClientRect().top >= head.getBoundingClientRect().bottom - 1; }); })()`), where)
			}
		}
		p.quiet()
	}
}

// contrasts are the least contrast of words on the Plug view, and of what is behind all (WCAG 2.2, its formulas of
// contrast ratio and relative luminance). Buttons, and fields for them, have grounds of their own.
const contrasts = `(() => {
	const numbers = (c) => c.match(/[\d.]+/g).map(Number);
	const light = (c) => c.slice(0, 3).map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)).reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
	const behind = (e) => { for (; e; e = e.parentElement) { const c = numbers(getComputedStyle(e).backgroundColor); if (c.length < 4 || c[3] > 0) return c; } return [255, 255, 255]; };
	const found = { Least: 99, What: "", Ground: getComputedStyle(document.body).backgroundColor, Words: 0 };
	for (const e of document.querySelectorAll("#view-plug *, nav *, #wrong *")) {
		if (!e.checkVisibility() || e.closest(".unseen") || ![...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim())) continue;
		const [a, b] = [light(numbers(getComputedStyle(e).color)), light(behind(e))].sort((x, y) => y - x), ratio = (a + 0.05) / (b + 0.05);
		found.Words++;
		if (ratio < found.Least) { found.Least = ratio; found.What = e.outerHTML.slice(0, 120); }
	}
	return found;
})()`

// The dark for a torch is a switch of its own: black, with words that stand out by 7 to 1 (WCAG 2.2, 1.4.6), ticked and not, whatever
// the system likes. It is there after a reload, before the page has asked anything, and on the other views.
func TestTorchInTheBrowser(t *testing.T) {
	p := plugging(t, "rigs/full.yaml")
	type seen struct {
		Least  float64
		What   string
		Ground string
		Words  int
	}
	p.in("prefers-color-scheme", "light")
	require.NotEqual(t, "rgb(0, 0, 0)", value[seen](p, contrasts).Ground)
	p.do(click("#plug-dark"))
	p.run(`for (const b of [...document.querySelectorAll("#plug-page .toggle")].slice(0, 20)) b.click()`)
	for _, scheme := range []string{"light", "dark"} {
		p.in("prefers-color-scheme", scheme)
		p.reload()
		p.until(toggled)
		for _, page := range []string{"rack", "jacks", "moves"} {
			p.showMoves(page)
			if page == "moves" {
				p.run(`document.querySelector("#plug-page .steps button").click()`)
			}
			got := value[seen](p, contrasts)
			require.Equal(t, "rgb(0, 0, 0)", got.Ground)
			require.GreaterOrEqual(t, got.Least, 7.0, "%s %s: %s", scheme, page, got.What)
			require.Greater(t, got.Words, 30)
		}
		p.turn("rack")
	}
	// It is put on by a script that runs before there is a body to show.
	require.Equal(t, []string{"/theme.js"}, value[[]string](p, `[...document.head.querySelectorAll("script:not([type=module], [async], [defer])")].map((s) => s.getAttribute("src"))`))
	require.Equal(t, "dark", value[string](p, `getComputedStyle(document.documentElement).colorScheme`))
	p.do(click("#tab-song"))
	require.Equal(t, "rgb(0, 0, 0)", value[string](p, `getComputedStyle(document.body).backgroundColor`))
	p.do(click("#tab-plug"), click("#plug-dark"))
	p.in("prefers-color-scheme", "light")
	require.NotEqual(t, "rgb(0, 0, 0)", value[string](p, `getComputedStyle(document.body).backgroundColor`))
	p.quiet()
}

// While the page is loaded anew in torch dark, in a system that likes it light, nothing that is shown is white: of every
// frame that Chromium casts, most points are near black.
func TestNoFlashInTheBrowser(t *testing.T) {
	p := plugging(t, "kiln-yard.yaml")
	p.in("prefers-color-scheme", "light")
	p.do(chromedp.EmulateViewport(390, 844))
	p.do(click("#plug-dark"))
	p.run(`document.activeElement.blur()`)
	value[bool](p, `new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(() => done(true), 300))))`) // the dark is drawn, before frames are cast
	var mu sync.Mutex
	var frames [][]byte
	require.NoError(t, chromedp.Listen(p.ctx, func(event any) {
		if e, ok := event.(*cdp.EventScreencastFrame); ok {
			mu.Lock()
			frames = append(frames, e.Data)
			mu.Unlock()
			go chromedp.Call(p.ctx, cdp.ScreencastFrameAck, cdp.ScreencastFrameAckParams{SessionID: e.SessionID})
		}
	}))
	_, err := chromedp.Call(p.ctx, cdp.StartScreencast, cdp.StartScreencastParams{Format: cdp.StartScreencastFormatPng})
	require.NoError(t, err)
	p.reload()
	p.until(toggled)
	p.do(chromedp.Sleep(500 * time.Millisecond))
	mu.Lock()
	defer mu.Unlock()
	require.NotEmpty(t, frames)
	for n, frame := range frames {
		shown, err := png.Decode(bytes.NewReader(frame))
		require.NoError(t, err)
		bright, all, b := 0, 0, shown.Bounds()
		for y := b.Min.Y; y < b.Max.Y; y += 3 {
			for x := b.Min.X; x < b.Max.X; x += 3 {
				if r, g, b, _ := shown.At(x, y).RGBA(); r+g+b > 3*0x4000 {
					bright++
				}
				all++
			}
		}
		require.Less(t, bright, all/3, "frame %d of %d", n+1, len(frames))
	}
	t.Logf("%d frames", len(frames))
	p.quiet()
}
