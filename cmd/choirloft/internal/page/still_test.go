package page

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// watch notes, a frame at a time, where the tabs and what the view begins with stand on the page.
const watch = `{ window.stood = new Set(); const at = (e) => { const r = e.getBoundingClientRect(); return [Math.round(r.left), Math.round(r.top + scrollY)]; };
	const look = () => { window.stood.add(JSON.stringify([...document.querySelectorAll("[role=tab], #bench")].map(at))); window.watching = requestAnimationFrame(look); };
	cancelAnimationFrame(window.watching); look(); }`

// What a thumb is about to press stays where it is, whatever is said meanwhile: that something was written, that another tab has
// changed the text, that a file is no song, that answers are under way, and how many things are wrong.
func TestMessagesMoveNothingInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	noSong := filepath.Join(t.TempDir(), "no-song.mid")
	require.NoError(t, os.WriteFile(noSong, []byte("no song"), 0o666))
	p := openAt(t, b, "/?song=1#parts")
	for _, size := range [][2]int64{{390, 844}, {1280, 800}} {
		p.do(chromedp.EmulateViewport(size[0], size[1]))
		p.until(`document.querySelectorAll("#bench-parts > li").length === 4 && document.querySelector(".old, [aria-busy=true]") === null && document.getElementById("answer-sized").textContent !== ""`)
		// The longest answer first: room that it has had it keeps.
		settled := `document.getElementById("kept").textContent === "" && document.querySelector(".old, [aria-busy=true]") === null`
		mouse{p}.choose(`[data-at="part pad banks"]`, "K alone")
		p.reads("#kept", "Written")
		p.until(`document.querySelector(".old, [aria-busy=true]") === null`)
		p.do(click("#undo"))
		p.until(settled)
		p.run(watch)

		status, answer := b.post("rig", fmt.Sprintf(`{"text": %q}`, strings.Replace(string(b.desk.text), "rig: Kiln Yard", "rig: Kiln Hall", 1)+"\n"))
		require.Equal(t, 200, status, answer)
		p.until(`document.getElementById("news-text").textContent.includes("Another tab has changed")`)
		mouse{p}.choose(`[data-at="part pad banks"]`, "K alone")
		p.reads("#kept", "Written")
		p.do(chromedp.SetUploadFiles("#add-songs", []string{noSong}))
		p.until(`!document.getElementById("trouble").hidden`)
		p.do(click("#undo"))
		p.until(`document.getElementById("trouble").hidden && ` + settled)
		p.run(`document.getElementById("news-close").click()`)
		p.until(`document.getElementById("news-text").textContent === ""`)
		require.Len(t, value[[]string](p, `[...window.stood]`), 1, "%v", size)
	}
	// In the song the picture stays under the line that is dragged, where the answer gets shorter again.
	p.do(click("#tab-song"))
	p.run(`{ const v = document.getElementById("voices"); v.value = "10"; v.dispatchEvent(new Event("input")); v.dispatchEvent(new Event("change")); }`)
	p.until(`document.getElementById("answer-played").textContent.includes("on 10 voices") && document.getElementById("working").textContent === ""`)
	long := value[float64](p, `document.getElementById("answer").offsetHeight`)
	p.run(`document.getElementById("as-rig").click()`)
	p.until(`document.getElementById("answer-played").textContent.includes("on 19 voices") && document.getElementById("working").textContent === ""`)
	require.Equal(t, long, value[float64](p, `document.getElementById("answer").offsetHeight`))
	p.quiet()
}
