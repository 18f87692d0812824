package page

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// in shows the page as somebody has set it up who likes a feature of media so, as in
// prefers-color-scheme: dark.
func (p *browser) in(features ...string) {
	p.t.Helper()
	var media emulation.SetEmulatedMediaParams
	for i := 0; i < len(features); i += 2 {
		media.Features = append(media.Features, &emulation.MediaFeature{Name: features[i], Value: features[i+1]})
	}
	_, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, media)
	require.NoError(p.t, err)
}

// violation is a rule of axe-core that some elements break.
type violation struct {
	ID, Help string
	Nodes    []struct {
		Target         []string
		FailureSummary string
	}
}

// accessible holds what is shown to rules of axe-core: in the light to every one, best practices too, and
// in the dark to that of colours.
func (p *browser) accessible(where string) {
	p.t.Helper()
	for scheme, rules := range map[string]string{"light": "", "dark": `, runOnly: ["color-contrast"]`} {
		p.in("prefers-color-scheme", scheme)
		found := value[struct{ Violations []violation }](p, `axe.run(document, { resultTypes: ["violations"], preload: false`+rules+` }).then(({ violations }) => ({ violations }))`)
		var said []string
		for _, v := range found.Violations {
			for _, n := range v.Nodes {
				said = append(said, fmt.Sprint(v.ID, ": ", v.Help, " ", n.Target, " ", n.FailureSummary))
			}
		}
		require.Empty(p.t, said, "%s, %s:\n%s", where, scheme, strings.Join(said, "\n"))
	}
}

// TestAxeInTheBrowser holds every view to axe-core, dark and light, with whatever can stand there: losses,
// fixes, faults, findings, a difference. CHOIRLOFT_AXE is the script of that package (npm pack axe-core@4.11.0).
func TestAxeInTheBrowser(t *testing.T) {
	axe := os.Getenv("CHOIRLOFT_AXE")
	if axe == "" {
		t.Skip("set CHOIRLOFT_AXE to the minified script of the npm package axe-core")
	}
	script, err := os.ReadFile(axe)
	require.NoError(t, err)
	for view, fill := range map[string]func(*browser){"song": (*browser).fillSong, "parts": (*browser).fillParts, "rack": (*browser).fillRack, "plug": (*browser).fillPlug, "paper": (*browser).fillPaper, "text": (*browser).fillText} {
		t.Run(view, func(t *testing.T) {
			b := newBench(t)
			b.demo()
			p := openAt(t, b, "/?song=1&set=voices||10#"+view)
			p.settled("--voices", "10")
			fill(p)
			p.run(string(script))
			p.accessible(view)
			if view == "plug" {
				for _, page := range []string{"jacks", "moves"} {
					p.showMoves(page)
					p.accessible("plug, " + page)
				}
			}
			if view == "parts" {
				mouse{p}.press(`[data-at="part pad"]`)
				p.item("Rename")
				p.accessible("menu")
				mouse{p}.press(p.item("Rename"))
				p.until(`document.getElementById("naming").open`)
				p.accessible("naming")
			}
			if view == "text" {
				p.do(click("#news-compare"), visible("#conflict"))
				p.accessible("conflict")
			}
			p.quiet()
		})
	}
}

func (p *browser) fillSong() {
	p.run(`document.getElementById("find-fixes").click()`)
	p.until(`document.querySelector("#sized tbody tr button") !== null`)
	p.run(`document.getElementById("compare").click()`)
	p.until(`document.querySelector("#songs tbody tr") !== null`)
	p.run(`document.getElementById("lanes").focus(); document.getElementById("lanes").dispatchEvent(new KeyboardEvent("keydown", { key: "j" }))`)
	p.until(`document.querySelector("#note dl") !== null`)
}

// fillRack has a voice chosen that cannot be limited yet, its menu open, and a unison drawn.
func (p *browser) fillRack() {
	p.run(`{ const v = document.getElementById("stack-voices"); v.value = 4; v.dispatchEvent(new Event("change")); }`)
	p.until(`document.querySelector("#stack img") !== null`)
	p.settled("--voices", "10", "--unison", "pad=4")
	p.run(`document.querySelector("[data-voice=K2]").click()`)
	p.run(`document.getElementById("state-limited").click()`)
	p.until(`!document.getElementById("voice-trouble").hidden`)
	p.run(`document.querySelector("[data-voice=K2]").dispatchEvent(new MouseEvent("contextmenu", { bubbles: true, cancelable: true }))`)
	p.until(`document.querySelector(".menu:popover-open") !== null`)
}

func (p *browser) fillParts() { p.until(`document.querySelectorAll("#bench-parts > li").length === 4`) }

func (p *browser) fillPaper() { p.until(`document.querySelector("#sheets img") !== null`) }

func (p *browser) fillText() {
	p.run(`{ const t = document.getElementById("text"); t.value = t.value.replace("out: [2]", "out: [9]"); t.dispatchEvent(new Event("input")); }`)
	p.until(`document.querySelector("#faults button") !== null`)
	require.NoError(p.t, os.WriteFile(p.path, []byte("rig: Other\nbanks: {K: {voices: 1}}\n"), 0o666))
	p.until(`!document.getElementById("news-compare").hidden`)
	p.run(`document.getElementById("wrong").open = true`)
}
