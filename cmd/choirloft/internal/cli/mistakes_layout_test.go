package cli

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// blockRig is a rig with a line a key. Its lines are counted from 1.
const blockRig = `rig: Block
interfaces:
  main:
    profile: cv16-gate16
voices:
  saw:
    attack: 5 ms
    release: 1.5 s
banks:
  K:
    voices: 4
    kind: saw
  L:
    voices: 4
    kind: saw
parts:
  lead:
    channel: 1
    mode: mono last
    banks: [K]
  pad:
    channel: 2
    banks: [L]
    unison:
      voices: 2
      spread: 10 cents
`

// TestMistakesOfLayout: one line of a good rig is written wrongly. What is said names
// that line, though the parser of YAML gives up in another, and what to write there.
func TestMistakesOfLayout(t *testing.T) {
	t.Setenv("COLUMNS", "120")
	t.Chdir(t.TempDir())
	for _, m := range []struct {
		line           int
		instead        string
		found, written string
	}{
		{17, "  lead", "17:3: `lead` has no colon", "write lead:"},
		{18, "    channel 1", "18:5: `channel 1` has no colon", "write channel: 1"},
		{18, "    channel:1", "18:12: `channel:1` has no space behind its colon", "write channel: 1"},
		{18, "  channel: 1", "18:3: `channel: 1` stands as far left as `lead:`", "begin it with 4 spaces, as line 19 does"},
		{18, "     channel: 1", "18:6: `channel: 1` begins with 5 spaces", "begin it with 4 spaces, as line 19 does"},
		{19, "   mode: mono last", "19:4: `mode: mono last` begins with 3 spaces", "begin it with 4 spaces, as line 18 does"},
		{17, " lead:", "17:2: `lead:` begins with 1 space", "begin it with 2 spaces, as line 13 does"},
		{21, "   pad:", "21:4: `pad:` begins with 3 spaces", "begin it with 2 spaces, as line 17 does"},
		{20, "    banks: [K], L", "20:15: `L` stands behind the ]", "write banks: [K, L]"},
		{20, "    banks: [K", "20:5: `banks: [K` has a [ that nothing closes", "write banks: [K]"},
		{20, "    banks: [K, K, K, K, K, K, K, K, K, K, K, K, L", "20:5: `banks: [K, K, K, K, K, K, K, K, K, K, K,…` has a [ that nothing closes", "end it with …K, K, K, K, K, K, L]"},
		{17, "  - lead:", "17:3: `- lead:` begins with a dash", "write lead:"},
		{1, `rig: "Block`, "1:1: `rig: \"Block` has a quote that nothing closes", `write rig: "Block"`},
		{25, "    voices: 2", "25:5: `voices: 2` stands as far left as `unison:`", "begin it with 6 spaces, as line 26 does"},
		{21, "  pad: {channel: 2}\n   bass: {channel: 3}\n  arp:", "22:4: `bass: {channel: 3}` begins with 3 spaces", "begin it with 2 spaces, as line 21 does"},
	} {
		lines := strings.Split(blockRig, "\n")
		lines[m.line-1] = m.instead
		got := check(t, strings.Join(lines, "\n"))
		require.Equal(t, "rig.yaml:"+m.found+"\n    "+m.written+"\n", got, m.instead)
	}
}

// TestPartOutOfPlace: a part at the edge of the file, or inside another part.
func TestPartOutOfPlace(t *testing.T) {
	t.Setenv("COLUMNS", "120")
	t.Chdir(t.TempDir())
	for _, instead := range []string{"pad:", "    pad:"} {
		got := check(t, strings.Replace(blockRig, "  pad:", instead, 1))
		require.Contains(t, got, "unknown key \"pad\"")
		require.Contains(t, got, "\n    a part stands two spaces in, under parts\n")
	}
}

// TestMistakesOfValues: what players write for a value, and what to write instead.
func TestMistakesOfValues(t *testing.T) {
	t.Setenv("COLUMNS", "120")
	t.Chdir(t.TempDir())
	for _, m := range []struct{ good, instead, says string }{
		{"channel: 1", "channel: 1,2", "write [1, 2]"},
		{"channel: 1", "channel: 1 and 2", "write [1, 2]"},
		{"channel: 1", "channel: 17", "a port has 16 channels; on the next ones write it like port 2 channel 1"},
		{"voices: 4", "voices: 4 voices", "write 4"},
		{"spread: 10 cents", "spread: 10%", "write it in cents, such as 8 cents: a semitone has 100"},
		{"    unison:\n      voices: 2\n      spread: 10 cents", "    unison: 2", "want a unison, key by key\n    write {voices: 2}"},
	} {
		got := check(t, strings.Replace(blockRig, m.good, m.instead, 1))
		require.Contains(t, got, m.says+"\n", m.instead)
	}
	got := check(t, "rig: Wall\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {B: {voices: 2}, K: {voices: 4}, D: {voices: 2}}\n")
	require.Contains(t, got, "rename B, D to L, M, here and on the labels\n")
}

// TestPlayersWordsHaveHelp: each leads to the keys that do it, and help without rig
// says where they are.
func TestPlayersWordsHaveHelp(t *testing.T) {
	for _, word := range []string{"legato", "split", "mono", "unison", "velocity", "multiple", "slur", "drums", "normalled", "split_point"} {
		require.Contains(t, run(t, "", "help", "rig", word).stdout, "stands ", word)
		require.Contains(t, run(t, "", "help", word).stderr, "choirloft help rig "+word+"\n", word)
	}
	require.Contains(t, run(t, "", "help", "rig", "gates").stdout, `one of multiples, "or"`)
}

// TestSongOrTable: the one given for the other is told by its ending.
func TestSongOrTable(t *testing.T) {
	require.Equal(t, "choirloft: --song wall.csv: that is a table\n    a rig is made of it with --patch wall.csv\n", run(t, "", "new", "--song", "wall.csv").stderr)
	require.Equal(t, "choirloft: --patch a.mid: that is a song\n    a rig is made of it with --song a.mid\n", run(t, "", "new", "--patch", "a.mid").stderr)
}
