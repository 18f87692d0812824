package page

import (
	"encoding/json"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

// stacked asks what is set once something is put on top of it.
func (b *bench) stacked(body string) []contract.Override {
	b.t.Helper()
	status, answer := b.post("set", body)
	require.Equal(b.t, 200, status, answer)
	var x struct{ Set []contract.Override }
	require.NoError(b.t, json.Unmarshal([]byte(answer), &x))
	return x.Set
}

// What is put on top leaves nothing of what it is put on; what is for every part goes in place
// of all; voices that are out stay out.
func TestSetOnTop(t *testing.T) {
	b := newBench(t)
	pick := func(part, value string) contract.Override {
		return contract.Override{Kind: "pick", Part: part, Value: value}
	}
	const set = `{"set": [{"kind": "release", "part": "pad", "value": "1.2 s"}, {"kind": "pick", "part": "pad", "value": "lowest"}, {"kind": "without", "part": "", "value": "K1"}], "top": [`
	rest := []contract.Override{{Kind: "without", Value: "K1"}, {Kind: "release", Part: "pad", Value: "1.2 s"}}
	for top, want := range map[string][]contract.Override{
		`{"kind": "pick", "part": "pad", "value": "nearest"}`:  append(rest[:2:2], pick("pad", "nearest")),
		`{"kind": "pick", "part": "bass", "value": "nearest"}`: append(rest[:2:2], pick("pad", "lowest"), pick("bass", "nearest")),
		`{"kind": "pick", "part": "", "value": "same-key"}`:    append(rest[:2:2], pick("", "same-key")),
		`{"kind": "without", "part": "", "value": "L2"}`:       {rest[0], {Kind: "without", Value: "L2"}, rest[1], pick("pad", "lowest")},
	} {
		got := b.stacked(set + top + `]}`)
		require.ElementsMatch(t, want, got, top)
	}
	require.Empty(t, b.stacked(`{"set": [], "top": []}`))
	status, answer := b.post("set", `{"top": [{"kind": "volume", "part": "", "value": "11"}]}`)
	require.Equal(t, 422, status, answer)
	status, answer = b.post("set", `{"voices": 4000}`)
	require.Equal(t, 422, status, answer)
	require.Contains(t, answer, "the rack cannot hold that")
}

// The axis ends above what the rack has, and a part stands beside the voices that it may use.
func TestWants(t *testing.T) {
	b := newBench(t)
	b.demo()
	all := b.pictured("shown", question{Song: "1", Flags: []string{"--voices", "10"}})
	require.Equal(t, wantsView{Voices: 10, Label: "10 voices in service", Racked: 19, Bank: 4, NotThere: "19 voices without buying; above: not there"}, all.head.Wants)
	bought := b.pictured("shown", question{Song: "1", Flags: []string{"--buy", "1xP"}})
	require.Equal(t, []int{23, 19}, []int{bought.head.Wants.Voices, bought.head.Wants.Racked})
	part := b.pictured("shown", question{Song: "1", Part: "pad", Flags: []string{"--limit", "pad=7"}})
	require.Equal(t, wantsView{Part: "pad", Voices: 7, Label: "pad may hold 7 voices at most", Racked: 19, Bank: 4, NotThere: "19 voices without buying; above: not there"}, part.head.Wants)

	// What parts want together at a time is what all want.
	most := func(x pictured) (n int) {
		for _, v := range x.columns["held_n"] {
			n = max(n, v)
		}
		return n
	}
	var parts []int
	for _, name := range []string{"pad", "bass", "arp", "lead"} {
		parts = append(parts, most(b.pictured("shown", question{Song: "1", Part: name})))
	}
	require.Equal(t, []int{10, 1, 1, 1}, parts, "see cmd/demosong: chords of up to ten, and three lines")
	require.Equal(t, 13, most(all))
}

// The line goes past the rack: what is bought is a whole bank, and is played.
func TestBeyondTheRack(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := openAt(t, b, "/?song=1&part=nobody") // a part that the rig has no more stands for all
	p.settled()
	p.until(`document.getElementById("costs").textContent === "19 voices: no loss that you hear"`)
	p.do(focus("#line"), chromedp.KeyEvent(kb.ArrowUp))
	p.says("--buy", "1xP")
	p.until(`document.getElementById("command").textContent.includes("--buy 1xP")`)
	p.until(`document.getElementById("line").getAttribute("aria-valuenow") === "23"`)
	p.do(chromedp.KeyEvent(kb.ArrowDown))
	p.says()
	p.until(`document.getElementById("costs").textContent === "19 voices: no loss that you hear"`)
	p.run(`{ const s = document.getElementById("shown-part"); s.value = "pad"; s.dispatchEvent(new Event("change")); }`)
	p.until(`document.getElementById("wants").textContent === "pad may use 19 voices"`)
	require.Contains(t, value[string](p, `location.search`), "part=pad")
	p.until(`document.getElementById("costs").textContent === ""`) // its own curve ends where it wants no more
	p.do(focus("#line"))
	for range 10 {
		p.do(chromedp.KeyEvent(kb.ArrowDown))
	}
	p.until(`document.getElementById("costs").textContent.startsWith("9 voices: ")`)
	p.until(`document.getElementById("command").textContent.includes("--limit pad=9")`)
	p.quiet()
}
