package page

import (
	"fmt"
	"time"

	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// hand is one way to use the page: by mouse, by touch, or by keys alone. What it does are events of the
// browser's own input, never calls of the page.
type hand interface {
	press(button string)
	// choose chooses of the menu that a button opens.
	choose(button, item string)
	// carry takes a thing to a place; where nothing is dragged it chooses an item of the menu of a button.
	carry(thing, place, button, item string)
	// also does so, and leaves the thing where it was too.
	also(thing, place, button, item string)
	// name answers a dialog that asks for a name.
	name(dialog, name string)
	// add puts a file on the desk.
	add(file string)
	show(view string)
	undo()
}

type point struct{ X, Y float64 }

// seen scrolls to an element, once it is there and all answers are, and is its middle: on a busy machine a tap
// lasts until the page has time for it, and one that lasts is none.
func (p *browser) seen(selector string) point {
	p.t.Helper()
	p.until(fmt.Sprintf(`document.getElementById("working").textContent === "" && document.querySelector(%q)?.checkVisibility()`, selector))
	at, err := chromedp.Run(p.ctx, still(selector, `scrollIntoView({ block: "center", behavior: "instant" })`))
	require.NoError(p.t, err)
	return point{at[0], at[1]}
}

func (p *browser) middle(selector string) point {
	p.t.Helper()
	return value[point](p, fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return { X: r.x + r.width / 2, Y: r.y + r.height / 2 }; })()`, selector))
}

// item finds a choice of the menu that is open, by what it says before anything else.
func (p *browser) item(text string) string {
	p.t.Helper()
	p.until(`document.querySelector("[role=menu]:popover-open") !== null`)
	n := value[int](p, fmt.Sprintf(`[...document.querySelectorAll("[role=menu] button")].findIndex((b) => b.querySelector("span").textContent.startsWith(%q))`, text))
	require.GreaterOrEqual(p.t, n, 0, "%q of %q", text, p.texts("[role=menu] button span"))
	p.run(fmt.Sprintf(`document.querySelectorAll("[role=menu] button").forEach((b, n) => b.toggleAttribute("data-wanted", n === %d))`, n))
	return "[role=menu] [data-wanted]"
}

// mouse drags whole things, and drops files.
type mouse struct{ *browser }

func (m mouse) press(button string) {
	m.t.Helper()
	at := m.seen(button)
	m.do(chromedp.MouseEvent("mousePressed", at.X, at.Y, chromedp.ButtonLeft, chromedp.ClickCount(1)), chromedp.MouseEvent("mouseReleased", at.X, at.Y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
}

func (m mouse) choose(button, item string) {
	m.t.Helper()
	m.press(button)
	m.press(m.item(item))
}

func (m mouse) carry(thing, place, _, _ string) { m.t.Helper(); m.drag(thing, place) }

func (m mouse) also(thing, place, _, _ string) { m.t.Helper(); m.drag(thing, place, kb.ModifierCtrl) }

func (m mouse) drag(thing, place string, held ...kb.Modifier) {
	m.t.Helper()
	from, with := m.seen(thing), chromedp.ButtonModifiers(held...)
	m.do(chromedp.MouseEvent("mousePressed", from.X, from.Y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	to := m.reach(place, func(at point) { m.do(chromedp.MouseEvent("mouseMoved", at.X, at.Y, chromedp.ButtonLeft, with)) }, from)
	require.Equal(m.t, len(held) > 0, value[bool](m.browser, `document.querySelector(".ghost").textContent.endsWith(", too")`), "what is dragged says what a drop does")
	m.do(chromedp.MouseEvent("mouseReleased", to.X, to.Y, chromedp.ButtonLeft, chromedp.ClickCount(1), with))
}

// reach moves what is held to a place, which the page scrolls to while it is held near the edge of the window.
func (p *browser) reach(place string, move func(point), at point) point {
	p.t.Helper()
	height := value[float64](p, `innerHeight`)
	for range 200 {
		to := p.middle(place)
		if to.Y > 60 && to.Y < height-60 {
			for i := 1; i <= 5; i++ {
				move(point{at.X + (to.X-at.X)*float64(i)/5, at.Y + (to.Y-at.Y)*float64(i)/5})
			}
			if at = to; value[bool](p, fmt.Sprintf(`document.querySelector(%q).matches(".over")`, place)) {
				return to
			}
			continue // the page scrolled on
		}
		at = point{to.X, 10}
		if to.Y > height/2 {
			at.Y = height - 10
		}
		move(at)
		p.do(chromedp.Sleep(20 * time.Millisecond))
	}
	require.Fail(p.t, place+" does not take it")
	return at
}

func (m mouse) add(file string) {
	m.t.Helper()
	data := &input.DragData{Items: []*input.DragDataItem{}, Files: []string{file}, DragOperationsMask: 1}
	for _, kind := range []input.DispatchDragEventType{"dragEnter", "dragOver", "drop"} {
		_, err := chromedp.Call(m.ctx, input.DispatchDragEvent, input.DispatchDragEventParams{Type: kind, X: 300, Y: 300, Data: data})
		require.NoError(m.t, err)
	}
}

// typed puts a name into a dialog: what stood there is chosen, and goes.
func (p *browser) typed(dialog, name string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`document.querySelector(%q).open`, dialog))
	_, err := chromedp.Call(p.ctx, input.InsertText, input.InsertTextParams{Text: name})
	require.NoError(p.t, err)
}

func (m mouse) name(dialog, name string) {
	m.t.Helper()
	m.typed(dialog, name)
	m.press(dialog + " .actions button")
}

func (m mouse) show(view string) { m.t.Helper(); m.press("#tab-" + view) }
func (m mouse) undo()            { m.t.Helper(); m.press("#undo") }

// finger drags by the grips of things, and chooses files.
type finger struct{ *browser }

func (f finger) touch(kind input.DispatchTouchEventType, at ...point) {
	f.t.Helper()
	points := []*input.TouchPoint{}
	for _, p := range at {
		points = append(points, &input.TouchPoint{X: p.X, Y: p.Y})
	}
	_, err := chromedp.Call(f.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
	require.NoError(f.t, err)
}

func (f finger) press(button string) {
	f.t.Helper()
	f.touch("touchStart", f.seen(button))
	f.touch("touchEnd")
}

func (f finger) choose(button, item string) {
	f.t.Helper()
	f.press(button)
	f.press(f.item(item))
}

func (f finger) carry(thing, place, _, _ string) {
	f.t.Helper()
	from := f.seen(thing + " .grip")
	f.touch("touchStart", from)
	f.reach(place, func(at point) { f.touch("touchMove", at) }, from)
	f.touch("touchEnd")
}

// also has no key to hold: the menu does it.
func (f finger) also(_, _, button, item string) { f.t.Helper(); f.choose(button, item) }

func (f finger) name(dialog, name string) {
	f.t.Helper()
	f.typed(dialog, name)
	f.press(dialog + " .actions button")
}

func (f finger) add(file string)  { f.t.Helper(); f.file(file, func() { f.press("#add-songs") }) }
func (f finger) show(view string) { f.t.Helper(); f.press("#tab-" + view) }
func (f finger) undo()            { f.t.Helper(); f.press("#undo") }

// file chooses a file where the browser asks for one.
func (p *browser) file(name string, ask func()) {
	p.t.Helper()
	asked := make(chan *page.EventFileChooserOpened, 1)
	require.NoError(p.t, chromedp.Listen(p.ctx, func(event any) {
		if e, ok := event.(*page.EventFileChooserOpened); ok {
			asked <- e
		}
	}))
	_, err := chromedp.Call(p.ctx, page.SetInterceptFileChooserDialog, page.SetInterceptFileChooserDialogParams{Enabled: true})
	require.NoError(p.t, err)
	ask()
	select {
	case e := <-asked:
		_, err = chromedp.Call(p.ctx, dom.SetFileInputFiles, dom.SetFileInputFilesParams{Files: []string{name}, BackendNodeID: e.BackendNodeID})
		require.NoError(p.t, err)
	case <-time.After(time.Minute):
		require.Fail(p.t, "nobody asks for a file")
	}
}

// keys has nothing but a keyboard.
type keys struct{ *browser }

// tab goes on by the tab key until something is focused, and by arrows where that is in a list, which is one stop.
func (k keys) tab(to string) {
	k.t.Helper()
	k.until(fmt.Sprintf(`document.querySelector(%q)?.checkVisibility()`, to))
	const list = "#bench-channels, #bench-parts, #bench-banks"
	for range 300 {
		if value[bool](k.browser, fmt.Sprintf(`document.activeElement.matches(%q)`, to)) {
			return
		}
		if value[bool](k.browser, fmt.Sprintf(`(document.querySelector(%q).closest(%q)?.contains(document.activeElement) ?? false)`, to, list)) {
			k.arrow(to, kb.Home)
			return
		}
		k.do(chromedp.KeyEvent(kb.Tab))
	}
	require.Fail(k.t, "the tab key does not lead to "+to)
}

// arrow goes on through a list until something is focused, from where a key leads first.
func (k keys) arrow(to, first string) {
	k.t.Helper()
	for key, n := first, 0; n < 100; key, n = kb.ArrowDown, n+1 {
		k.do(chromedp.KeyEvent(key))
		if value[bool](k.browser, fmt.Sprintf(`document.activeElement.matches(%q)`, to)) {
			return
		}
	}
	require.Fail(k.t, "arrows do not lead to "+to)
}

func (k keys) press(button string) {
	k.t.Helper()
	k.tab(button)
	k.do(chromedp.KeyEvent(kb.Enter))
}

func (k keys) choose(button, item string) {
	k.t.Helper()
	k.press(button)
	k.arrow(k.item(item), kb.Home)
	k.do(chromedp.KeyEvent(kb.Enter))
}

func (k keys) carry(_, _, button, item string) { k.t.Helper(); k.choose(button, item) }
func (k keys) also(_, _, button, item string)  { k.t.Helper(); k.choose(button, item) }

func (k keys) name(dialog, name string) {
	k.t.Helper()
	k.until(fmt.Sprintf(`document.querySelector(%q).open`, dialog))
	k.do(chromedp.KeyEvent(name), chromedp.KeyEvent(kb.Enter))
}

func (k keys) add(file string) {
	k.t.Helper()
	k.file(file, func() { k.tab("#add-songs"); k.do(chromedp.KeyEvent(kb.Enter)) })
}

var viewKeys = map[string]string{"song": "1", "parts": "2", "paper": "5"}

func (k keys) show(view string) { k.t.Helper(); k.do(chromedp.KeyEvent(viewKeys[view])) }
func (k keys) undo() {
	k.t.Helper()
	k.do(chromedp.KeyEvent("z", chromedp.KeyModifiers(kb.ModifierCtrl)))
}
