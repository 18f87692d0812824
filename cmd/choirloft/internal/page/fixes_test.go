package page

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

// What can be done with fixes: what the rig's grammar has a key for can be written (profiles/doc.go has transpose, release
// and banks), the line of voices and edits of the song cannot, and several recordings are no single run.
func TestWaysOfFixes(t *testing.T) {
	fix := func(command string, words ...string) contract.Fix {
		f := contract.Fix{Command: command}
		for i := 0; i < len(words); i += 2 {
			f.Overrides = append(f.Overrides, contract.Override{Kind: words[i], Value: words[i+1]})
		}
		return f
	}
	ways, err := viewWays([]contract.Fix{fix("replay", "transpose", "12"), fix("replay", "voices", "16"), fix("replay", "trim", "20 ms"), fix("replay", "trim", "20 ms", "release", "1 s"),
		fix("replay", "more", "4"), fix("write", "release", "1 s")})
	require.NoError(t, err)
	for i, want := range []wayView{{true, true, ""}, {true, false, "moves the line of voices alone"}, {true, false, "changes the song"}, {true, true, ""}, {true, true, ""}, {false, false, "several recordings"}} {
		require.Equal(t, want.Try, ways[i].Try, i)
		require.Equal(t, want.Write, ways[i].Write, i)
		require.Contains(t, ways[i].Why, want.Why, i)
		require.Equal(t, want.Why == "", ways[i].Why == "", i)
	}
}

// A fix is written with what is tried already, and what is bought with it; what no rig says stays tried.
func TestKeepAFix(t *testing.T) {
	b := newBench(t)
	status, answer := b.post("keep", `{"set": [{"kind": "voices", "part": "", "value": "12"}], "top": [{"kind": "transpose", "part": "bass", "value": "12"}, {"kind": "more", "part": "", "value": "2"}], "bought": true}`)
	require.Equal(t, 200, status, answer)
	var kept keptView
	require.NoError(t, json.Unmarshal([]byte(answer), &kept))
	require.Contains(t, kept.Desk.Text, "  bass: {channel: 2, transpose: 12}\n")
	require.Contains(t, kept.Desk.Text, "  Q: {voices: 2, kind: kiln", "a bank more, of the kind of the last one")
	require.Equal(t, []string{"--voices", "12"}, kept.Flags)
	require.Equal(t, "Written into the rig text. Undo takes it back, saving keeps it. Still only tried: --voices 12.", kept.Says)
}

// A fix of the list is tried, written from where it stands, and taken back. What is shown then is the answer for the rig as
// it stands, and of the text no other line has changed.
func TestFixesInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := open(t, b)
	p.settled()
	was := string(b.desk.text)
	rows := `[...document.querySelectorAll("#sized tbody tr")].filter((row) => row.querySelector(".fix"))`
	find := func() {
		p.do(click("#find-fixes"))
		p.until(rows + ".length > 0")
		p.run(`globalThis.fix = ` + rows + `.find((row) => /transpose bass/i.test(row.textContent) && !row.querySelector(".fix [aria-disabled]"))`)
	}
	press := func(name string) {
		p.run(fmt.Sprintf(`[...fix.querySelectorAll("button")].find((b) => b.textContent === %q).click()`, name))
	}
	find()
	press("Try it")
	p.until(`document.getElementById("command").textContent.includes("--transpose bass=")`)
	require.Equal(t, was, string(b.desk.text), "trying writes nothing")
	tried := strings.Fields(value[string](p, `document.getElementById("command").textContent`))
	p.settled(tried[slices.IndexFunc(tried, func(w string) bool { return strings.HasPrefix(w, "--") }):]...)
	p.do(click("#undo"))
	p.settled()

	find()
	press("Write it into the rig")
	p.until(`document.getElementById("kept").textContent.startsWith("Written into the rig text.")`)
	require.Equal(t, "sized", value[string](p, `document.activeElement.id`))
	p.settled() // no flag is left: it is the answer for the rig as it stands
	require.NotContains(t, value[string](p, `document.getElementById("command").textContent`), "--transpose")
	now := string(b.desk.text)
	require.Contains(t, now, "transpose: ")
	changed := 0
	for i, line := range strings.Split(was, "\n") {
		if other := strings.Split(now, "\n")[i]; other != line {
			require.True(t, strings.HasPrefix(line, "  bass: "), "%q became %q", line, other)
			changed++
		}
	}
	require.Equal(t, 1, changed)

	p.do(click("#undo"))
	p.until(`document.getElementById("kept").textContent === ""`)
	p.written()
	p.settled()
	require.Equal(t, was, string(b.desk.text))
	p.quiet()
}
