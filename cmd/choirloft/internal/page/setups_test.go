package page

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

// lay puts a rig of testdata on the desk.
func (b *bench) lay(rig string) {
	b.t.Helper()
	text, err := os.ReadFile(top + "testdata/" + rig)
	require.NoError(b.t, err)
	require.NoError(b.t, b.desk.Edit(text))
	require.Empty(b.t, b.desk.faults)
}

// Moves come as the command prints them; choirloft/routing/setups holds them to all there are.
func TestRepatch(t *testing.T) {
	b := newBench(t)
	status, answer := b.post("repatch", `{"from": "studio", "to": "stage"}`)
	require.Equal(t, 404, status)
	require.Contains(t, answer, "the rig has no set-ups")
	b.lay("rigs/full.yaml")
	status, answer = b.post("repatch", `{"from": "studio", "to": "stge"}`)
	require.Equal(t, 404, status)
	require.JSONEq(t, `{"error": "no set-up \"stge\", the rig has studio, stage", "hint": "did you mean stage?"}`, answer)
	status, answer = b.post("repatch", `{"from": "studio", "to": "stage", "voice": "K1"}`)
	require.Equal(t, 400, status, answer)
	status, answer = b.post("repatch", `{"from": "studio", "to": "stage"}`)
	require.Equal(t, 200, status)
	var got struct {
		From, To     string
		Moves        int
		Pulls, Plugs []map[string]string
		Switches     []any
		Doc          document
	}
	require.NoError(t, json.Unmarshal([]byte(answer), &got))
	require.Equal(t, []string{"studio", "stage"}, []string{got.From, got.To})
	require.Equal(t, got.Moves, len(got.Pulls)+len(got.Plugs)+len(got.Switches))
	require.NotZero(t, got.Moves)
	require.NotEmpty(t, got.Doc.Blocks)
}

// A voice that fails: who stands in, and which cables move. In this rig P4 is the spare of bank P, and use_spare is
// off, so that the answer asks for it.
func TestOutage(t *testing.T) {
	b := newBench(t)
	b.demo()
	b.lay("rigs/full.yaml")
	status, answer := b.post("outage", `{"voice": "P1", "song": "1"}`)
	require.Equal(t, 200, status, answer)
	var got struct {
		Out     string
		StandIn *string `json:"stand_in"`
		Asks    bool
		Songs   []struct{ Song struct{ Title, File string } }
	}
	require.NoError(t, json.Unmarshal([]byte(answer), &got))
	require.Equal(t, "P1", got.Out)
	require.Equal(t, "slow-kiln.mid", got.Songs[0].Song.File)
	for voice, want := range map[string]string{"P9": "P9", "P2": "P2 is out of service already", "": "--without"} {
		status, answer = b.post("outage", `{"voice": "`+voice+`"}`)
		require.Equal(t, 422, status, answer)
		require.Contains(t, answer, want)
	}
}

// Set-ups come as the command prints them. In this rig the sequencer has the banks K to N on stage, and of P the
// second is out and the fourth a spare: 4·4 + 2 voices in the studio, 2 on stage.
func TestSetUps(t *testing.T) {
	b := newBench(t)
	b.demo()
	b.lay("rigs/full.yaml")
	status, answer := b.post("setups", `{"song": "1", "set": [{"kind": "without", "part": "", "value": "L2"}]}`)
	require.Equal(t, 200, status, answer)
	var got struct {
		SetUps []struct {
			Name  string
			Dealt []string
			Cost  *struct{ Damaged int }
		} `json:"set_ups"`
		Ways []struct {
			Name         string
			Shown, Plays bool
			Set          []contract.Override
		}
	}
	require.NoError(t, json.Unmarshal([]byte(answer), &got))
	require.Len(t, got.SetUps[0].Dealt, 18)
	require.Equal(t, []string{"P1", "P3"}, got.SetUps[1].Dealt)
	require.False(t, got.Ways[0].Shown, "L2 is out, which the studio has in")
	for i, way := range got.Ways {
		set, err := json.Marshal(way.Set)
		require.NoError(t, err)
		status, answer = b.post("play", `{"song": "1", "set": `+string(set)+`}`)
		require.Equal(t, 200, status, answer)
		var played struct{ Replay struct{ Damaged int } }
		require.NoError(t, json.Unmarshal([]byte(answer), &played))
		require.Equal(t, got.SetUps[i].Cost.Damaged, played.Replay.Damaged, way.Name)
		status, answer = b.post("setups", `{"set": `+string(set)+`}`)
		require.Equal(t, 200, status)
		require.Contains(t, strings.Join(strings.Fields(answer), ""), `"shown":true`)
	}
	status, answer = b.post("setups", `{"song": "7"}`)
	require.Equal(t, 404, status, answer)
}

// touched shows the page as on a phone that is touched.
func (p *browser) touched(width, height int64) {
	p.t.Helper()
	p.do(chromedp.EmulateViewport(width, height, chromedp.EmulateMobile, chromedp.EmulateTouch))
}

// thumbs holds what can be touched within an element to 44 CSS pixels (WCAG 2.2, 2.5.5), and the page to its width.
func (p *browser) thumbs(within string) {
	p.t.Helper()
	small := value[[]string](p, fmt.Sprintf(`[...document.querySelectorAll(%q)].flatMap((box) => [...box.querySelectorAll("button, select, input, textarea, a, summary")])
		.map((e) => ({ e: e.closest("label") ?? e, name: e.outerHTML.slice(0, 90) })).filter(({ e }) => e.offsetParent !== null)
		.filter(({ e }) => { const r = e.getBoundingClientRect(); return r.width < 44 || r.height < 44; }).map(({ e, name }) => name + " " + Math.round(e.getBoundingClientRect().width) + "x" + Math.round(e.getBoundingClientRect().height))`, within))
	require.Empty(p.t, small)
	require.Equal(p.t, value[int](p, "innerWidth"), value[int](p, "document.documentElement.scrollWidth"), "no scrolling sideways")
}

// choose chooses what a list offers.
func (p *browser) choose(id, option string) {
	p.t.Helper()
	p.run(fmt.Sprintf(`const s = document.getElementById(%q); s.value = %q; if (s.value !== %[2]q) throw new Error("no such option"); s.dispatchEvent(new Event("change", { bubbles: true }))`, id, option))
}

// From set-up to set-up: the moves with a box a cable, boxes that stay ticked, a set-up shown and left again, a voice
// that fails. Every word is that of the API, and that of the command.
func TestSetUpsInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	b.lay("rigs/full.yaml")
	p := openAt(t, b, "/?song=1#rack")
	p.until(`document.querySelector("#repatch input") !== null`)
	for _, way := range [][2]string{{"studio", "stage"}, {"stage", "studio"}} {
		_, answer := b.post("repatch", fmt.Sprintf(`{"from": %q, "to": %q}`, way[0], way[1]))
		var moves struct {
			Pulls, Plugs []struct{ Cable string }
			answered
		}
		require.NoError(t, json.Unmarshal([]byte(answer), &moves))
		p.until(fmt.Sprintf(`document.querySelector("#repatch .answer").textContent === %q`, moves.words("answer")[0]))
		boxes := p.texts("#repatch label")
		for _, c := range append(moves.Pulls, moves.Plugs...) {
			require.Len(t, slices.DeleteFunc(slices.Clone(boxes), func(line string) bool { return !strings.HasSuffix(line, "("+c.Cable+")") }), 1, c.Cable)
		}
		if way[0] == "studio" {
			p.do(click("#repatch label:first-of-type"), click("#repatch-turn"))
		}
	}
	p.do(click("#repatch-turn"))
	p.until(`document.querySelectorAll("#repatch input:checked").length === 1`)

	p.do(click(`[aria-label="Show stage"]`))
	var without []string
	for _, v := range []string{"K1", "K2", "K3", "K4", "L1", "L2", "L3", "L4", "M1", "M2", "M3", "M4", "N1", "N2", "N3", "N4"} {
		without = append(without, "--without", v)
	}
	answers := func(flags ...string) {
		a := p.told("play", flags...)
		p.until(fmt.Sprintf(`document.getElementById("answer-played").textContent.startsWith(%q) && document.getElementById("answer-played").textContent.includes(%q)`, a.words("answer")[0], a.Doc.Plan))
	}
	answers(without...)
	p.until(`document.querySelector('[aria-label="Show stage"]').getAttribute("aria-disabled") === "true"`)
	p.until(`document.querySelector("[data-voice=K1]").classList.contains("out") && !document.querySelector("[data-voice=P1]").classList.contains("out")`)
	require.Equal(t, 1, value[int](p, `document.querySelectorAll("#repatch input:checked").length`), "the boxes stay ticked")
	p.do(click("#undo"))
	answers()

	p.choose("outage-voice", "K1")
	_, answer := b.post("outage", `{"voice": "K1", "song": "1"}`)
	var fails answered
	require.NoError(t, json.Unmarshal([]byte(answer), &fails))
	p.until(fmt.Sprintf(`document.querySelector("#outage-says .answer")?.textContent === %q`, fails.words("answer")[0]))
	require.Equal(t, fails.words("heading"), p.texts("#outage-says h3"))
	p.axed("set-ups")
	p.choose("outage-voice", "P2")
	p.until(`document.getElementById("outage-says").textContent.includes("P2 is out of service already")`)
	p.touched(390, 844)
	p.thumbs("#setups, #outage")
	p.quiet()
}

// A rig without set-ups says so, and how they are written.
func TestWithoutSetUpsInTheBrowser(t *testing.T) {
	p := openAt(t, newBench(t), "/#rack")
	p.until(`document.getElementById("setups-list").textContent.includes("Kiln Yard has no set-ups")`)
	require.True(t, value[bool](p, `document.getElementById("repatch-ask").hidden`))
	require.Equal(t, "", value[string](p, `document.getElementById("working").textContent`))
	p.quiet()
}
