package page

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// Without a song the bench says what to do. With one it shows what the program says of it, and a fix that
// it offers is written into the rig.
func TestPartsInTheBrowser(t *testing.T) {
	b := newBench(t)
	p := openAt(t, b, "/")
	p.reads("#no-song", "Drop a song here")
	require.Empty(t, value[[]string](p, `[...document.querySelectorAll("#view-song *")].filter((e) => e.checkVisibility()).map((e) => e.outerHTML.slice(0, 80))`), "no picture of nothing")
	require.Equal(t, 1, value[int](p, `document.querySelectorAll("nav").length`), "the tabs are the only steps")
	p.do(click("#tab-parts"))
	p.reads("#no-channels", "Drop a song here")
	p.until(`document.querySelector('[data-at="new part"]') !== null`)
	require.Equal(t, "A part listens to a channel of a song. Add a song first.", value[string](p, `document.querySelector('[data-at="new part"]').getAttribute("aria-description")`))
	b.demo()
	p.until(`document.querySelectorAll("#bench-channels > li").length === 4`)
	require.True(t, value[bool](p, `document.getElementById("no-channels").hidden`))

	status, answer := b.post("bench", `{"song": "1"}`)
	require.Equal(t, 200, status, answer)
	var bench struct {
		Channels []struct{ Label, About string }
		Parts    []struct{ Name, Listens, Says, Wrong string }
		Banks    []struct{ Name string }
	}
	require.NoError(t, json.Unmarshal([]byte(answer), &bench))
	cards := func(column string) []string { return p.texts("#bench-" + column + " > li") }
	for i, c := range bench.Channels {
		require.Contains(t, cards("channels")[i], c.Label)
		require.Contains(t, cards("channels")[i], c.About)
	}
	for i, part := range bench.Parts {
		for _, said := range []string{part.Name, part.Listens, part.Says, part.Wrong} {
			require.Contains(t, cards("parts")[i], said)
		}
	}
	require.Len(t, cards("banks"), len(bench.Banks))
	require.Contains(t, cards("banks")[4], "P2")

	// Voices look like what is read; the menu of their bank leads to where they are pressed.
	require.Equal(t, []string{"0px", "rgba(0, 0, 0, 0)"}, value[[]string](p, `(({ borderTopWidth, backgroundColor }) => [borderTopWidth, backgroundColor])(getComputedStyle(document.querySelector(".voices li")))`))
	mouse{p}.choose(`[data-at="bank L"]`, "See its voices in Rack")
	p.until(`!document.getElementById("view-rack").hidden && document.activeElement.dataset.voice === "L1" && document.querySelector("#voice-card h2")?.textContent === "L1"`)
	p.do(click("#tab-parts"))

	// A bank that is dropped on a part is its only one; with Ctrl it is one more.
	mouse{p}.carry(`[data-drag="bank L"]`, `[data-drop="part arp"]`, "", "")
	p.saysExactly(`[data-at="part arp banks"]`, "L")
	mouse{p}.also(`[data-drag="bank K"]`, `[data-drop="part arp"]`, "", "")
	p.saysExactly(`[data-at="part arp banks"]`, "K L")
	mouse{p}.carry(`[data-drag="bank K"]`, `[data-drop="part arp"]`, "", "")
	p.saysExactly(`[data-at="part arp banks"]`, "K")
	mouse{p}.press(`[data-at="bank K"]`)
	p.item("arp")
	require.Equal(t, "arp plays on K alone. Choose another bank first.", value[string](p, `document.querySelector("[role=menu] [data-wanted]").getAttribute("aria-description")`))
	p.do(chromedp.KeyEvent(kb.Escape))
	p.do(click("#undo"), click("#undo"), click("#undo"))
	p.saysExactly(`[data-at="part arp banks"]`, "every bank")

	// The bass goes below what 0 V to 5 V reaches from C2 (36); an octave up nothing does.
	p.reads(`[data-drop="part bass"] .bad`, "24 notes below C2 (36)")
	mouse{p}.press(`[data-at="part bass fix 0"]`)
	p.until(`document.querySelector('[data-drop="part bass"] .bad') === null`)
	require.Contains(t, p.rigText(), "transpose: 12")
	p.until(`!document.getElementById("answer-played").textContent.includes("wrong pitch")`)
	p.quiet()
}

// On a phone and on a tablet, either way up, what is pressed is as large as a thumb, 44 pixels (WCAG 2.2, 2.5.5),
// and nothing stands beside the window.
func TestPartsByThumbInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1#parts")
	for _, size := range [][2]int64{{390, 844}, {844, 390}, {820, 1180}, {1180, 820}} {
		p.do(chromedp.EmulateViewport(size[0], size[1], chromedp.EmulateMobile, chromedp.EmulateTouch))
		p.until(`matchMedia("(pointer: coarse)").matches && document.querySelectorAll("#bench-parts > li").length === 4 && document.querySelector(".old, [aria-busy=true]") === null`)
		f := finger{p}
		f.press(`[data-at="part pad"]`)
		p.item("Rename")
		require.Empty(t, value[[]string](p, `[...document.querySelectorAll("header button, header select, header .button, nav button, #view-parts button, [role=menu] button, .grip")].map((e) => {
			const { width, height } = e.getBoundingClientRect();
			return width >= 44 && height >= 44 ? "" : e.outerHTML.slice(0, 100) + " " + width + " by " + height;
		}).filter(Boolean)`), "%v", size)
		box := value[[]float64](p, `(() => { const r = document.querySelector("[role=menu]").getBoundingClientRect(); return [r.left, r.right, innerWidth]; })()`)
		require.GreaterOrEqual(t, box[0], 0.0)
		require.LessOrEqual(t, box[1], box[2])
		f.touch("touchStart", point{float64(size[0]) - 4, 4}) // beside it, and it closes
		f.touch("touchEnd")
		p.until(`document.querySelector("[role=menu]:popover-open") === null`)
		require.LessOrEqual(t, value[int](p, `document.documentElement.scrollWidth`), int(size[0]), "%v", size)
	}
	p.quiet()
}

// deskEdits are twenty edits of the demo, and what then is read beside them: a button, an item of its menu
// or a name typed, and where what is written.
var deskEdits = []struct{ button, item, name, at, says string }{
	{"channel ch 1", "bass", "", "channel ch 1", "→ bass"},
	{"channel ch 1", "pad", "", "channel ch 1", "→ pad"},
	{"channel ch 2", "arp", "", "part arp sources", "ch 2"}, // that too
	{"part arp sources", "ch 2", "", "channel ch 2", "nobody"},
	{"part bass sources", "ch 2", "", "channel ch 2", "→ bass"},
	{"part pad banks", "K alone", "", "part pad banks", "K"},
	{"part pad banks", "also on L", "", "part pad banks", "K L"},
	{"bank N", "lead", "", "part lead banks", "K L M P"},
	{"part lead banks", "every bank", "", "part lead banks", "every bank"},
	{"part bass", "mono low", "", "part bass", "bass"},
	{"part bass", "Rename", "low end", "part low-end", "low-end"},
	{"part low-end fix 0", "", "", "part low-end", "low-end"},
	{"more banks", "", "", "bank Q", "Q"},
	{"bank Q", "Add a voice", "", "bank Q", "Q"},
	{"bank Q", "Remove the bank", "", "fewer banks", "Bank P"},
	{"interface main", "cv48-gate48", "", "interface main", "cv48-gate48"},
	{"interface main", "cv32-gate32", "", "interface main", "cv32-gate32"},
	{"more interfaces", "cv8-gate8", "", "interface main gone", "main"},
	{"new part", "ch 4", "", "channel ch 4", "→ part"},
	{"part lead", "Remove it", "", "channel ch 4", "→ part"},
}

var comment = regexp.MustCompile(`#.*`)

// Twenty edits of a rig that somebody wrote by hand leave his comments where they are, and twenty times
// undo brings back every byte.
func TestTwentyEditsInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1#parts")
	p.until(`document.querySelectorAll("#bench-parts > li").length === 4`)
	was, err := os.ReadFile(b.path)
	require.NoError(t, err)
	comments := comment.FindAllString(string(was), -1)
	require.Greater(t, len(comments), 10)
	texts := []string{string(was)}
	place := func(at string) string { return fmt.Sprintf(`[data-at=%q]`, at) }
	for _, e := range deskEdits {
		switch m := (mouse{p}); {
		case e.item == "":
			m.press(place(e.button))
		default:
			m.choose(place(e.button), e.item)
		}
		if e.name != "" {
			mouse{p}.name("#naming", e.name)
		}
		p.until(fmt.Sprintf(`document.getElementById("text").value !== %q`, texts[len(texts)-1]))
		p.reads(place(e.at), e.says)
		p.run(`document.querySelector("[role=menu]:popover-open")?.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape" }))`)
		texts = append(texts, p.rigText())
		require.Equal(t, comments, comment.FindAllString(p.rigText(), -1), "%s, %s", e.button, e.item)
		require.True(t, value[bool](p, `document.getElementById("trouble").hidden`))
	}
	require.Len(t, texts, 21)
	step := func(which string, to int) {
		p.do(click("#" + which))
		p.until(fmt.Sprintf(`document.getElementById("text").value === %q`, texts[to]))
	}
	again := func() { p.do(chromedp.Reload(), visible("body[data-ready=yes]")) }
	again() // which loses nothing of it
	for i := range 20 {
		step("undo", 19-i)
	}
	again()
	step("redo", 1)
	step("undo", 0)
	step("redo", 1)

	// What was changed elsewhere while the page was away is not undone unasked, and the button says so.
	at := value[string](p, `location.href`)
	p.do(chromedp.Navigate("about:blank"))
	status, answer := b.post("rig", fmt.Sprintf(`{"text": %q}`, texts[1]+"# by another\n"))
	require.Equal(t, 200, status, answer)
	p.do(chromedp.Navigate(at), visible("body[data-ready=yes]"))
	require.Equal(t, "true", value[string](p, `document.getElementById("undo").getAttribute("aria-disabled")`))
	require.Contains(t, value[string](p, `document.getElementById("undo").title`), "changed elsewhere while this page was away")
	require.Equal(t, texts[1]+"# by another\n", p.rigText())
	p.until(`document.getElementById("working").textContent === ""`)
	p.quiet()
}
