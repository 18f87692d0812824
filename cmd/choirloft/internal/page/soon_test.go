package page

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/say"
)

// Where listening takes longer than a blink the page says so, and says nothing of what is heard before
// that is there; then what is heard takes the place of that, for what is set.
func TestAnswerComesInTwoStepsInTheBrowser(t *testing.T) {
	b := serveDesk(t, manyOn(t, 10_000))
	p := openAt(t, b, "/")
	answer := `document.getElementById("answer-played").textContent`
	p.until(answer + `.includes("on 64 voices") && !document.body.textContent.includes(` + fmt.Sprintf("%q", say.Listening) + `)`)
	p.run(fmt.Sprintf(`window.seen = []; new MutationObserver(() => {
		const said = document.body.textContent.includes(%q), heard = %s.includes("would hear");
		if (%[2]s.includes("on 1 voice") && !document.getElementById("answer-played").classList.contains("old")) window.seen.push([said, heard]);
	}).observe(document.body, { childList: true, subtree: true, characterData: true, attributes: true })`, say.Listening, answer))
	p.do(focus("#line"), chromedp.KeyEvent(kb.Home))
	p.until(answer + `.includes("on 1 voice") && ` + answer + `.includes("would hear")`)
	seen := value[[][]bool](p, "window.seen")
	require.Contains(t, seen, []bool{true, false}, "first what became of the notes, marked")
	require.Equal(t, []bool{false, true}, seen[len(seen)-1], "then what is heard")
	require.NotContains(t, seen, []bool{true, true}, "never both")
	require.NotContains(t, seen, []bool{false, false}, "never unmarked")

	// Where the second step comes to nothing, it says why and promises no more.
	p.run(`{ const real = window.fetch; window.fetch = async (path, init) => {
		if (!String(path).endsWith("/api/picture") || JSON.parse(init.body).soon) return real(path, init);
		window.fetch = real;
		return new Response(JSON.stringify({ error: "it ended" }), { status: 500 });
	}; }`)
	p.do(chromedp.KeyEvent(kb.ArrowUp))
	p.until(`document.getElementById("trouble").textContent === "it ended"`)
	require.NotContains(t, value[string](p, `document.body.textContent`), say.Listening)
	require.Empty(t, value[string](p, `document.getElementById("working").textContent`))
	p.quiet()
}
