package plan

import (
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/profiles"
)

const writable = `# A wall.
rig: Wall
interfaces: {main: {profile: cv24-gate24}}
voices:
  saw:
    release: 2.4 s      # a long tail
banks:
  K: {voices: 4, kind: saw}
  L: {voices: 4, kind: saw, out: [2], lanes: [cutoff], hp: 20, ma: {+12: 100, -12: 40}}   # the old one
parts:
  pad:
    channel: 1          # the pad
  bass: {channel: 2, banks: [K]}
  lead: {channel: 3}
`

func fileOf(t require.TestingT, text string) *profiles.File {
	f, err := profiles.From("wall.yaml", []byte(text))
	require.NoError(t, err)
	return f
}

// TestWriteVoices: the first five in service stay, K1 to K4 and L1, since L2 is out.
func TestWriteVoices(t *testing.T) {
	after, err := Write(fileOf(t, writable), MustParse("--voices", "5", "--pick", "bass=nearest"))
	require.NoError(t, err)
	text := string(after.Data)
	require.Contains(t, text, "  K: {voices: 4, kind: saw}\n")
	require.Contains(t, text, "  L: {voices: 4, kind: saw, out: [2, 3, 4], lanes: [cutoff], hp: 20, ma: {+12: 100, -12: 40}}   # the old one\n")
	require.Contains(t, text, "  bass: {channel: 2, banks: [K], pick: nearest}\n")
}

// TestWriteMore: a bank of two is like the last one, half as wide and hungry, and every
// part plays on it. For one part alone, those that play on all banks are told theirs.
func TestWriteMore(t *testing.T) {
	const bank = "  M: {voices: 2, kind: saw, lanes: [cutoff], hp: 10, ma: {+12: 50, -12: 20}}\n"
	after, err := Write(fileOf(t, writable), MustParse("--more", "2"))
	require.NoError(t, err)
	require.Contains(t, string(after.Data), "# the old one\n"+bank)
	require.Contains(t, string(after.Data), "  pad:\n    channel: 1          # the pad\n  bass: {channel: 2, banks: [K, M]}\n  lead: {channel: 3}\n")
	after, err = Write(fileOf(t, writable), MustParse("--more", "lead=2"))
	require.NoError(t, err)
	require.Contains(t, string(after.Data), bank)
	require.Contains(t, string(after.Data), "    channel: 1          # the pad\n    banks: [K, L]\n  bass: {channel: 2, banks: [K]}\n  lead: {channel: 3}\n")
}

func TestWriteTranspose(t *testing.T) {
	after, err := Write(fileOf(t, writable), MustParse("--transpose", "bass=12"))
	require.NoError(t, err)
	require.Contains(t, string(after.Data), "  bass: {channel: 2, banks: [K], transpose: 12}\n")
}

// TestWriteZeroKey: the interface says it, and the rig plays by it.
func TestWriteZeroKey(t *testing.T) {
	after, err := Write(fileOf(t, writable), MustParse("--zero-key", "main=29"))
	require.NoError(t, err)
	require.Contains(t, string(after.Data), "interfaces: {main: {profile: cv24-gate24, zero_key: 29}}\n")
	require.Equal(t, 29, after.Rig.Interfaces[0].ZeroKey)
}

func TestWhatNoRigSays(t *testing.T) {
	for _, flags := range [][]string{{"--trim", "80 ms"}, {"--lift", "pad=250 ms", "--pick", "lowest"}, {"--doubles", "drop"}} {
		_, err := Write(fileOf(t, writable), MustParse(flags...))
		var edits *EditError
		require.ErrorAs(t, err, &edits)
		require.ErrorContains(t, err, "a rig cannot hold a change of the song: "+flags[0])
	}
	_, err := Write(fileOf(t, writable), MustParse("--voices", "9"))
	require.ErrorContains(t, err, "only 7 voices are in service")
}

// comment is one of a rig; the values before it may change.
var comment = regexp.MustCompile(`#.*`)

// What is written plays as what was overridden, whatever the kinds: the check is in
// keep, so that here it counts how much can be written. Comments stay, and what has
// been written once changes nothing the second time.
func TestWriteWhateverTheKinds(t *testing.T) {
	var files []*profiles.File
	for _, name := range []string{"kiln-yard.yaml", "rigs/small-wall.yaml", "rigs/two-shelves.yaml", "rigs/full.yaml", "rigs/starter.yaml"} {
		f, err := profiles.Open(filepath.Join("../../testdata", name))
		require.NoError(t, err)
		files = append(files, f)
	}
	written, refused := 0, map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(files).Draw(t, "rig")
		o := drawn(t, f.Rig)
		before, err := Draft(f.Rig, o)
		if err != nil {
			t.Skip(err)
		}
		after, err := Write(f, o)
		if err != nil {
			refused[err.Error()]++
			return
		}
		written++
		now, err := Draft(after.Rig, Overrides{})
		require.NoError(t, err)
		require.Equal(t, before.Rules.Config, now.Rules.Config)
		require.Equal(t, comment.FindAllString(string(f.Data), -1), comment.FindAllString(string(after.Data), -1))
		again, err := Write(after, Overrides{Pick: o.Pick, Steal: o.Steal, Tails: o.Tails, SameKey: o.SameKey, Release: o.Release})
		require.NoError(t, err)
		require.Equal(t, string(after.Data), string(again.Data))
	})
	t.Log(written, "written, refused:", refused)
	require.Greater(t, written, 10)
}

// drawn are overrides of any kind that a rig may say, aimed at its parts, banks and voices.
func drawn(t *rapid.T, rig *profiles.Rig) (o Overrides) {
	part := func() string {
		i := rapid.IntRange(-1, len(rig.Parts)-1).Draw(t, "part")
		if i < 0 {
			return ""
		}
		return rig.Parts[i].Name + "="
	}
	maybe := func(flag string, values ...string) {
		if rapid.IntRange(0, 3).Draw(t, flag) == 0 {
			require.NoError(t, o.Add(flag, part()+rapid.SampledFrom(values).Draw(t, "value")))
		}
	}
	numbers := func(from, to int) (all []string) {
		for n := from; n <= to; n++ {
			all = append(all, strconv.Itoa(n))
		}
		return all
	}
	var banks []string
	for i := range rig.Banks {
		banks = append(banks, rig.Banks[i].Name)
	}
	maybe("--pick", PickNames()...)
	maybe("--steal", alloc.StealNames()...)
	maybe("--tails", "known", "unknown")
	maybe("--same-key", alloc.SameKeyNames()...)
	maybe("--unison", numbers(1, 4)...)
	maybe("--release", "1.2 s", "350 ms")
	maybe("--reserve", numbers(0, 3)...)
	maybe("--banks", banks...)
	maybe("--more", numbers(1, 4)...)
	maybe("--voices", numbers(1, len(rig.Voices))...)
	if rapid.Bool().Draw(t, "out") {
		o.Without = []string{rapid.SampledFrom(rig.Voices).Draw(t, "voice").Name}
	}
	return o
}
