package page

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// corpus is a folder of songs of the Debian package openttd-openmsx 0.4.2-1 (GPL-2).
const corpus = "/usr/share/games/openttd/baseset/openmsx/"

// built is the program.
func built(t *testing.T) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), "choirloft")
	out, err := exec.Command("go", "build", "-o", program, "choirloft/cmd/choirloft").CombinedOutput()
	require.NoError(t, err, string(out))
	return program
}

// served is the address at which the program serves a page, from a folder, until the test ends.
func served(t *testing.T, program, folder string, args ...string) string {
	t.Helper()
	ctx, end := context.WithCancel(context.Background())
	cmd := exec.CommandContext(ctx, program, append([]string{"serve", "--port", "0"}, args...)...)
	cmd.Dir = folder
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	var said bytes.Buffer
	cmd.Stderr = &said
	require.NoError(t, cmd.Start())
	t.Cleanup(func() { end(); cmd.Wait() })
	address, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err, said.String())
	return strings.TrimSpace(address)
}

// From a song to a printed sheet without a line of YAML, three times: by mouse, by touch, by keys alone.
// The rig that results passes check, and replay by command gives the figures of the page.
func TestFromSongToSheetInTheBrowser(t *testing.T) {
	song := corpus + "5432gone_redfarn.mid" // six channels with notes, one of them drums
	if _, err := os.Stat(song); err != nil {
		t.Skip("no " + song + " on this machine (Debian: apt-get install openttd-openmsx)")
	}
	corpora.Patient(t)
	program := built(t)
	for name, with := range map[string]func(*browser) hand{
		"mouse": func(p *browser) hand { return mouse{p} },
		"touch": func(p *browser) hand {
			p.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch))
			return finger{p}
		},
		"keys": func(p *browser) hand { return keys{p} },
	} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			p := visit(t, &bench{t: t}, served(t, program, folder))
			p.walk(with(p), song)
			p.printed()
			p.quiet()
			p.checks(program, folder, song)
		})
	}
}

// walk goes the whole way.
func (p *browser) walk(h hand, song string) {
	p.t.Helper()
	const gone, bass = `[data-name="ch 5"]`, `[data-name="ch 4"]`
	h.add(song)
	p.until(`document.getElementById("answer-sized").textContent !== ""`) // nothing moves any more
	h.show("parts")
	p.until(`document.querySelectorAll("#bench-channels > li").length === 6`)
	p.reads(gone, "→ Alto")

	// A channel to another part, and back.
	was := p.rigText()
	h.carry(gone, `[data-drop="part Piano"]`, gone+" button", "Piano")
	p.reads(gone, "→ Piano")
	require.NotEqual(p.t, was, p.rigText())
	h.undo()
	p.reads(gone, "→ Alto")
	require.Equal(p.t, was, p.rigText())

	// A channel to a part of its own, in the place of the one that it had, by a name of the player's.
	h.carry(bass, `[data-drop="new part"]`, bass+" button", "a new part")
	p.reads(bass, "→ part")
	h.choose(`[data-at="part Bass-Guitar"]`, "Remove it")
	p.until(`document.querySelector('[data-at="part Bass-Guitar"]') === null`)
	h.choose(`[data-at="part part"]`, "Rename")
	h.name("#naming", "low end")
	p.reads(bass, "→ low-end")
	h.choose(`[data-at="part low-end"]`, "mono low")
	p.reads(`[data-drop="part low-end"]`, "mono low")

	// A part to a bank, to another in its place, and to that too; a bank more, another interface.
	part, banks := `[data-drag="part low-end"]`, `[data-at="part low-end banks"]`
	h.carry(part, `[data-drop="bank M"]`, banks, "M alone")
	p.saysExactly(banks, "M")
	h.carry(part, `[data-drop="bank K"]`, banks, "K alone")
	p.saysExactly(banks, "K")
	h.also(part, `[data-drop="bank M"]`, banks, "also on M")
	p.saysExactly(banks, "K M")
	p.run(`document.querySelector("[role=menu]:popover-open")?.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape" }))`)
	h.press(`[data-at="more banks"]`)
	p.reads(`[data-name="bank N"]`, "N4")
	h.choose(`[data-at="interface main"]`, "cv32-gate32")
	p.reads(`[data-at="interface main"]`, "cv32-gate32")

	h.show("paper")
	p.until(`!document.getElementById("view-paper").hidden && document.querySelectorAll("#sheets img").length > 0`)
	h.press("#save")
	h.name("#save-as", "mine.yaml")
	p.until(`document.getElementById("save-state").textContent === "as on disk"`)
}

// reads waits until something says so.
func (p *browser) reads(selector, text string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`document.querySelector(%q)?.textContent.includes(%q)`, selector, text))
}

// saysExactly waits until something says so, and no more.
func (p *browser) saysExactly(selector, text string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`document.querySelector(%q)?.textContent === %q`, selector, text))
}

// rigText is the text of the rig as the page has it.
func (p *browser) rigText() string {
	p.t.Helper()
	return value[string](p, `document.getElementById("text").value`)
}

// printed holds the sheet, as it is printed, to what was done.
func (p *browser) printed() {
	p.t.Helper()
	p.until(`document.querySelectorAll("#sheets img").length > 0 && [...document.querySelectorAll("#sheets img")].every((i) => i.complete && i.naturalWidth > 0)`)
	pdf, err := chromedp.Run(p.ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
	require.NoError(p.t, err)
	file := filepath.Join(p.t.TempDir(), "sheet.pdf")
	require.NoError(p.t, os.WriteFile(file, pdf, 0o666))
	pages := printedWords(p.t, file)
	require.Len(p.t, pages, value[int](p, `document.querySelectorAll("#sheets img").length`))
	for _, word := range []string{"low-end", "Piano", "K1", "N4"} {
		require.Contains(p.t, fmt.Sprint(pages), word)
	}
}

// checks holds the rig that was saved to the commands.
func (p *browser) checks(program, folder, song string) {
	p.t.Helper()
	run := func(args ...string) string {
		cmd := exec.Command(program, args...)
		cmd.Dir = folder
		var said bytes.Buffer
		cmd.Stderr = &said
		out, err := cmd.Output()
		require.NoError(p.t, err, "%s: %s%s", args, out, said.String())
		return string(out)
	}
	run("check", "mine.yaml")
	var replay struct{ Summary, Fingerprint string }
	require.NoError(p.t, json.Unmarshal([]byte(run("replay", "--json", "mine.yaml", song)), &replay))
	require.Equal(p.t, replay.Fingerprint, value[string](p, `document.getElementById("rig-mark").textContent`))
	said := strings.Join(p.texts("#answer-played p, #answer-played li"), " ")
	require.True(p.t, strings.HasPrefix(said, replay.Summary), "%q and %q", said, replay.Summary)
}
