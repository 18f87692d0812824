package paper

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi/corpora"
	"choirloft/routing/plan"
)

// On a phone of 390 px nothing has to be scrolled sideways: the sheets of a rack with
// set-ups and of one with long names, and a report, in Chromium.
func TestPhone(t *testing.T) {
	corpora.Need(t, "open sheets in chromium")
	program, err := exec.LookPath("chromium")
	require.NoError(t, err)
	ctx, stop := chromedp.NewExecAllocator(t.Context(), append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox)...)
	defer stop()
	ctx, stop = chromedp.NewContext(ctx)
	defer stop()
	ctx, stop = context.WithTimeout(ctx, 4*time.Minute) // a browser that hangs fails, and holds nothing up
	defer stop()
	full, err := os.ReadFile("../../../../testdata/rigs/full.yaml")
	require.NoError(t, err)
	pages := map[string]*bytes.Buffer{}
	for name, text := range map[string]string{"full": string(full), "large": largeRig} {
		s := sheetOf(t, []byte(text), plan.Overrides{})
		pages[name] = new(bytes.Buffer)
		require.NoError(t, HTML(pages[name], say.Sheet(s), Drawings(s.Map), Options{}))
	}
	song := demoSong(t, plan.MustParse("--voices", "8"))
	pages["report"] = new(bytes.Buffer)
	require.NoError(t, HTML(pages["report"], say.Replay(song.Replay, say.Paper), song.Figures(), Options{}))
	for name, page := range pages {
		file := filepath.Join(t.TempDir(), name+".html")
		require.NoError(t, os.WriteFile(file, page.Bytes(), 0o666))
		require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(390, 844), chromedp.Navigate("file://"+file)), name)
		wide, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](`[...document.querySelectorAll("body, body *:not(svg *):not(caption)")].filter(
			x => x.getBoundingClientRect().right > 390.5 || x.matches(".wide") && x.scrollWidth > x.clientWidth + 1).map(x => x.outerHTML.slice(0, 120))`))
		require.NoError(t, err, name)
		require.Empty(t, strings.Join(wide, "\n"), name)
		cards, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`getComputedStyle(document.querySelector(".cards thead")).display === "none" && document.documentElement.scrollWidth <= 390`))
		require.NoError(t, err, name)
		require.True(t, cards, name)
	}
}
