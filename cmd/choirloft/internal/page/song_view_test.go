package page

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// barLines are the columns of pixels in which lines of bars end below each picture, where nothing
// else is drawn: 22 pixels are left below for the numbers.
const barLines = `(() => ["demand", "lanes"].map((id) => {
	const c = document.getElementById(id), ratio = devicePixelRatio, box = c.getBoundingClientRect();
	const row = c.getContext("2d").getImageData(0, Math.round((box.height - 22 + 1) * ratio), c.width, 1).data, found = [];
	for (let x = 62 * ratio; x < c.width; x++) if (row[4 * x + 3] > 100 && !(found.at(-1) === x - 1)) found.push(x);
	return { left: box.left, width: box.width, found };
}))()`

type barred struct {
	Left, Width float64
	Found       []int
}

// A bar of the lanes stands under itself in what is wanted, whatever is shown of the song and
// however wide the page is.
func TestOneTimeAxis(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1")
	p.settled()
	for _, size := range [][2]int64{{1440, 900}, {390, 844}, {844, 390}} {
		p.do(chromedp.EmulateViewport(size[0], size[1]))
		for _, id := range []string{"zoom-all", "zoom-in", "zoom-in"} {
			p.run(`document.getElementById("` + id + `").click(); document.body.dataset.drawn = ""`)
			p.until(`document.body.dataset.drawn !== ""`)
			both := value[[]barred](p, barLines)
			require.InDelta(t, both[0].Left, both[1].Left, 0.01, size)
			require.InDelta(t, both[0].Width, both[1].Width, 0.01, size)
			require.Equal(t, both[0].Found, both[1].Found, size)
			require.Greater(t, len(both[0].Found), 2, size)
		}
	}
	p.quiet()
}

// order are the tops of what a song view shows, from above.
const order = `["answer", "moments", "demand-box", "lanes-box", "losses", "rules", "played"].map((id) => document.getElementById(id).getBoundingClientRect().top)`

// On a phone the answer comes first, then what is wrong and the worst moments, the picture, the
// losses, and what can be set, which is folded; nothing sticks over the picture, and nothing is
// wider than the page.
func TestPhone(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1&set=voices||10&set=without||P2")
	p.until(`document.querySelectorAll("#most-heard tbody tr").length === 3`)
	for _, size := range [][2]int64{{390, 844}, {844, 390}} {
		p.do(chromedp.EmulateViewport(size[0], size[1]))
		p.until(`!document.getElementById("rules").open`)
		tops := value[[]float64](p, order)
		require.IsIncreasing(t, tops, size)
		require.True(t, value[bool](p, `["answer", "wrong", "moments"].map((id) => document.getElementById(id)).every((e, i, all) => !i || (all[i - 1].compareDocumentPosition(e) & Node.DOCUMENT_POSITION_FOLLOWING) > 0)`))
		require.Equal(t, false, value[bool](p, `document.getElementById("controls").checkVisibility()`))
		require.LessOrEqual(t, value[int64](p, `document.documentElement.scrollWidth`), size[0], "nothing is wider than the page")
		require.Empty(t, value[[]string](p, `[...document.querySelectorAll("body *")].filter((e) => ["fixed", "sticky"].includes(getComputedStyle(e).position) && e.checkVisibility() && !e.closest("table")).map((e) => e.id || e.tagName)`))
	}
	// What stands in the moments is what the table of losses begins with.
	require.Equal(t, p.texts(`#chosen tbody tr:nth-child(1) td:first-child`), p.texts(`#most-heard tbody tr:nth-child(1) td:first-child`))
	p.do(focus("#most-heard tbody tr"), chromedp.KeyEvent(kb.Enter))
	p.until(`document.querySelector("#note dl") !== null`)
	p.run(`document.querySelector("#rules > summary").click()`)
	p.until(`document.getElementById("controls").checkVisibility()`)
	p.do(chromedp.EmulateViewport(1440, 900))
	p.until(`document.getElementById("rules").open && !document.querySelector("#rules > summary").checkVisibility()`)
	p.quiet()
}
