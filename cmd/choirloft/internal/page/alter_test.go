package page

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// altered posts deeds and returns what is on the desk then.
func (b *bench) altered(deeds string) (v deskView) {
	b.t.Helper()
	status, answer := b.post("alter", `{"deeds": `+deeds+`}`)
	require.Equal(b.t, 200, status, answer)
	require.NoError(b.t, json.Unmarshal([]byte(answer), &v))
	return v
}

// What a player does is an edit of the text: a line changes, nothing is saved, and the page plays it.
func TestAlter(t *testing.T) {
	b := newBench(t)
	before, err := os.ReadFile(b.path)
	require.NoError(t, err)
	v := b.altered(`[{"do": "channel", "part": "pad", "channel": 3}, {"do": "transpose", "part": "bass", "semitones": 12}]`)
	want := strings.NewReplacer("  pad: {channel: 1}", "  pad: {channel: [1, 3]}", "  bass: {channel: 2}", "  bass: {channel: 2, transpose: 12}",
		"  arp: {channel: 3}", "  arp: {channel: none}").Replace(string(before))
	require.Equal(t, want, v.Text)
	require.Equal(t, "not saved", v.State)
	on, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.Equal(t, before, on)
	b.demo()
	status, answer := b.post("play", `{"song": "1"}`)
	require.Equal(t, 200, status, answer)
	require.Contains(t, answer, "no pitch is wrong", "an octave up no bass note is below C2")
}

// Of several deeds all are done or none; what is refused says where and what to do.
func TestAlterRefuses(t *testing.T) {
	b := newBench(t)
	var v deskView
	_, answer := b.ask("GET", "/api/desk", "")
	require.NoError(t, json.Unmarshal([]byte(answer), &v))
	before := v.Text
	for _, row := range []struct{ name, body, error, hint string }{
		{"the second", `{"deeds": [{"do": "name", "name": "x"}, {"do": "part-gone", "part": "flute"}]}`, `there is no part \"flute\", want one of pad, bass, arp, lead`, "reload the page"},
		{"a bank", `{"deeds": [{"do": "banks", "part": "pad", "banks": ["K"]}, {"do": "bank-gone", "bank": "K"}]}`, "part pad has nothing but bank K", "give it another bank first"},
		{"a hostile name", `{"deeds": [{"do": "name", "name": "x\ny: z"}]}`, "rig: found", ""},
		{"no line", `{"deeds": [{"do": "name", "name": ""}]}`, "rig: found", ""},
		{"a file elsewhere", `{"deeds": [{"do": "interface", "name": "main", "profile": "../../etc/passwd.yaml"}]}`, "profile", ""},
		{"too many", `{"deeds": [` + strings.Repeat(`{"do": "name", "name": "x"},`, 100) + `{"do": "name", "name": "y"}]}`, "101 edits at once, want at most 100", "send fewer"},
	} {
		t.Run(row.name, func(t *testing.T) {
			status, answer := b.post("alter", row.body)
			require.Equal(t, 422, status, answer)
			require.Contains(t, answer, row.error)
			require.Contains(t, answer, row.hint)
			_, answer = b.ask("GET", "/api/desk", "")
			require.NoError(t, json.Unmarshal([]byte(answer), &v))
			require.Equal(t, before, v.Text)
		})
	}
	status, answer := b.post("alter", `{"deeds": [{"do": "name", "nickname": "x"}]}`)
	require.Equal(t, 400, status, answer)
	status, answer = b.post("alter", `{"deeds": [{"do": "name", "name": "`+strings.Repeat("x", 1<<20)+`"}]}`)
	require.Equal(t, 413, status, answer)
	status, answer = b.post("rig", `{"text": "rig: ["}`)
	require.Equal(t, 200, status, answer)
	status, answer = b.post("alter", `{"deeds": [{"do": "name", "name": "x"}]}`)
	require.Equal(t, 422, status)
	require.Contains(t, answer, "correct those first")
}

// A name from a browser becomes one that a rig can have, whatever it is; the text stays a rig.
func TestAlterTakesOddNames(t *testing.T) {
	b := newBench(t)
	for i, name := range []string{"Left hand", "../../x", "K1", "yes", "null", "a: {b}", "\"", "'", "# no", "é\u0301", "<script>", strings.Repeat("long ", 50), "\u202e", "", "\x00"} {
		body, err := json.Marshal(name)
		require.NoError(t, err)
		v := b.altered(fmt.Sprintf(`[{"do": "part", "part": %s}]`, body))
		require.Empty(t, v.Faults)
		require.Len(t, b.desk.played().Parts, 5+i)
	}
	b.altered(`[{"do": "part-name", "part": "script", "name": "no: <b>"}]`)
}

// A deed by a tab that has not seen what another has written is refused.
func TestAlterOvertaken(t *testing.T) {
	b := newBench(t)
	var v deskView
	_, answer := b.ask("GET", "/api/desk", "")
	require.NoError(t, json.Unmarshal([]byte(answer), &v))
	ask := func(tab, name string) int {
		status, _ := b.post("alter", fmt.Sprintf(`{"deeds": [{"do": "name", "name": %q}], "tab": %q, "from": %d}`, name, tab, v.Edition))
		return status
	}
	require.Equal(t, 200, ask("a", "one"))
	require.Equal(t, 200, ask("a", "two"), "it has seen its own")
	require.Equal(t, 412, ask("b", "three"))
	require.Equal(t, "two", b.desk.played().Name)
}
