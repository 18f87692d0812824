package plan

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/midi/corpora"
	"choirloft/profiles"
)

const keepable = `# A wall.
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
voices:
  saw:
    release: 2.4 s      # a long tail
banks:
  K: {voices: 4, kind: saw}
  L: {voices: 4, kind: saw, out: [2]}
parts:
  pad:
    channel: 1          # the pad
    pick: lowest
  bass: {channel: 2, unison: {voices: 2, spread: 8 cents}}
`

func TestKeep(t *testing.T) {
	rig := read(t, keepable)
	o := MustParse("--pick", "pad=same-key then nearest", "--steal", "oldest", "--release", "1.2 s", "--unison", "bass=3", "--without", "L3", "--banks", "bass=L", "--reserve", "pad=1",
		"--limit", "pad=3", "--priority", "pad=2", "--mode", "bass=mono low", "--when-short", "bass=thin", "--voices", "5", "--trim", "80 ms")
	kept, after, left, err := Keep(rig, []byte(keepable), o, nil)
	require.NoError(t, err)
	require.Equal(t, MustParse("--voices", "5", "--trim", "80 ms"), left)
	require.Equal(t, `# A wall.
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
voices:
  saw:
    release: 1.2 s      # a long tail
banks:
  K: {voices: 4, kind: saw}
  L: {voices: 4, kind: saw, out: [2, 3]}
parts:
  pad:
    channel: 1          # the pad
    pick: same-key then nearest
    steal: oldest
    reserve: 1
    limit: 3
    priority: 2
  bass: {channel: 2, unison: {voices: 3, spread: 8 cents, when_short: thin}, steal: oldest, mode: mono low, banks: [L]}
`, string(kept))
	require.Equal(t, "Wall", after.Name)
}

func TestWhatCannotBeKept(t *testing.T) {
	const small = "rig: S\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 2}, L: {voices: 2}}\n"
	for _, c := range []struct {
		text string
		o    Overrides
		want string
	}{
		{small, MustParse("--pick", "all=lowest", "--pick", "pad=lowest"), "--pick pad=lowest: no part \"pad\""},
	} {
		_, _, _, err := Keep(read(t, c.text), []byte(c.text), c.o, nil)
		require.ErrorContains(t, err, c.want)
	}
	kept, _, _, err := Keep(read(t, small), []byte(small), MustParse("--release", "1 s"), nil)
	require.NoError(t, err)
	require.Equal(t, "rig: S\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 2, kind: own}, L: {voices: 2, kind: own}}\n\nvoices:\n  own: {profile: saw-lowpass, release: 1 s}\n", string(kept))
	kept, _, _, err = Keep(read(t, keepable), []byte(keepable), MustParse("--release", "bass=1 s", "--banks", "pad=K", "--banks", "bass=L"), nil)
	require.NoError(t, err)
	require.Contains(t, string(kept), "    release: 2.4 s      # a long tail\n  saw2: {release: 1 s}\n")
	require.Contains(t, string(kept), "  K: {voices: 4, kind: saw}\n  L: {voices: 4, kind: saw2, out: [2]}\n")
	kept, _, _, err = Keep(read(t, small), []byte(small), MustParse("--pick", "lowest"), nil)
	require.NoError(t, err)
	require.Equal(t, small+"\nparts:\n  all: {pick: lowest}\n", string(kept))
}

// Whatever is kept in the demo rig, it plays as it did, and all other lines are
// as they were.
func TestKeepKeepsTheRest(t *testing.T) {
	data, err := os.ReadFile("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	rig, err := profiles.Load("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		var o Overrides
		maybe := func(flag string, values ...string) {
			if rapid.Bool().Draw(t, "set") {
				require.NoError(t, o.Add(flag, rapid.SampledFrom(values).Draw(t, "value")))
			}
		}
		maybe("--pick", append(PickNames(), "arp=nearest")...)
		maybe("--steal", append(alloc.StealNames(), "pad=none")...)
		maybe("--tails", "known", "unknown", "lead=unknown")
		maybe("--same-key", append(alloc.SameKeyNames(), "bass=stack lifo")...)
		maybe("--unison", "2", "pad=3")
		maybe("--release", "1.2 s", "350 ms", "2.4 s")
		maybe("--without", "K1", "P1,P2", "L2, N4")
		maybe("--reserve", "lead=1", "pad=2")
		maybe("--banks", "pad=K,L", "bass=P")
		maybe("--limit", "pad=4", "arp=5")
		maybe("--priority", "2", "lead=3")
		maybe("--mode", "bass=mono last", "lead=mono high")
		maybe("--when-short", "thin", "pad=elastic")
		kept, _, left, err := Keep(rig, data, o, os.DirFS("../../testdata"))
		require.NoError(t, err)
		require.True(t, left.IsZero())
		was, is := strings.Split(string(data), "\n"), strings.Split(string(kept), "\n")
		require.Equal(t, len(was), len(is), "the demo's parts stand on a line each")
		changed := 0
		for i := range was {
			if was[i] != is[i] {
				changed++
			}
		}
		require.LessOrEqual(t, changed, 4+1+5, "parts, a release and banks")
	})
}

func init() { corpora.Checks("25", "100") }
