package help

import (
	"io/fs"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/licences"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi/corpora"
	"choirloft/profiles"
)

// laidOut are the texts that are laid out: topics and keys, by their names.
func laidOut() map[string]string {
	all := map[string]string{}
	for _, t := range Topics() {
		if !t.Quoted {
			all[t.Name] = t.Text()
		}
	}
	for _, k := range profiles.Keys() {
		all["key "+k.Place] = Key(strings.ReplaceAll(k.Place, "*.", ""))
	}
	return all
}

// No line is longer than the width, from 60 to 120, and no word is lost or said
// twice at any of them, or without CHOIRLOFT_CORPORA at every fifth.
func TestEveryWidth(t *testing.T) {
	texts := laidOut()
	require.Greater(t, len(texts), 100)
	for name, text := range texts {
		for width := 60; width <= 120; width += corpora.Some(5, 1) {
			got := Layout(text, width)
			require.Equal(t, strings.Fields(text), strings.Fields(got), "%s at %d", name, width)
			for line := range strings.Lines(got) {
				line = strings.TrimSuffix(line, "\n")
				require.LessOrEqual(t, utf8.RuneCountInString(line), width, "%s at %d: %s", name, width, line)
				require.Equal(t, strings.TrimRight(line, " "), line)
			}
			require.NotContains(t, got, "\n\n\n", name)
		}
	}
}

// What each kind of line becomes.
func TestLayout(t *testing.T) {
	for _, row := range []struct{ text, want string }{
		{"one two\nthree four", "one two three\nfour\n"},
		{"one\n\n    a  b c d e f g h i j k l\n\ntwo", "one\n\n    a  b c d e f g h i j k l\n\ntwo\n"},
		{"- one two three\n- four", "  - one two\n    three\n  - four\n"},
		{"  - one two\n    three", "  - one two\n    three\n"},
		{"is:\n  a   one\n  bb  two threes\n      four\nend", "is:\n  a   one\n  bb  two\n      threes\n      four\nend\n"},
		{"  -   one\n  a   two", "  -  one\n  a  two\n"},
		{"\tkey   one\n\t  sub two", "key   one\n  sub two\n"},
		{"\ta     one two  = 3\n\t          four\n\t  longer-than-that  x", "a               one\n                two\n                = 3\n                four\n  longer-than-that\n                x\n"},
	} {
		width := 15
		if strings.Contains(row.text, "\ta") {
			width = 20
		}
		require.Equal(t, row.want, Layout(row.text, width), row.text)
	}
}

// The rig topic is the package comment of profiles: all of its sections but the one
// for programmers, word for word. So are the sections of others.
func TestOneSource(t *testing.T) {
	for name, from := range map[string]struct {
		source   string
		sections []string
	}{
		"rig":      {profiles.Source(), []string{"Values", "The rig file", "Profiles"}},
		"estimate": {made["{estimate: The description}"](), nil}, "tuning": {made["{tuning: Readings}"](), nil},
	} {
		text := strings.Join(strings.Fields(laidOut()[name]), " ")
		if from.sections == nil {
			require.Contains(t, text, strings.Join(strings.Fields(from.source), " "), name)
			continue
		}
		for i, heading := range from.sections {
			_, rest, ok := strings.Cut(from.source, "// # "+heading+"\n")
			require.True(t, ok)
			rest, _, ok = strings.Cut(rest, "// # ")
			require.True(t, ok)
			words := strings.Fields(strings.ReplaceAll("\n"+rest, "\n//", "\n"))
			require.Greater(t, len(words), 50, heading)
			require.Contains(t, text, heading+" "+strings.Join(words, " "), "section %d", i)
		}
	}
}

// The whole vocabulary stands in results, every rule and reading in rules.
func TestWordsAndRules(t *testing.T) {
	texts := laidOut()
	for name := range texts {
		texts[name] = strings.Join(strings.Fields(Layout(texts[name], 80)), " ")
	}
	said := func(topic string) string { return texts[topic] }
	for _, kind := range say.Vocabulary() {
		for _, term := range kind.Terms {
			require.Contains(t, said("results"), " "+titled(&term)+" "+term.Explained())
		}
	}
	kinds := map[string][]string{}
	for _, k := range alloc.Rules() {
		for _, r := range k.Rules {
			kinds[k.Key] = append(kinds[k.Key], r.Name)
			require.NotEmpty(t, r.About, r.Name)
			require.Contains(t, said("rules"), " "+r.Name+" "+r.About)
		}
	}
	require.Equal(t, map[string][]string{
		"pick": alloc.PickNames(), "steal": alloc.StealNames(), "same_key": alloc.SameKeyNames(),
		"when_short": {"blocks", "thin", "wait", "elastic"}, "tails": {"known", "unknown"},
	}, kinds)
	for _, r := range alloc.Readings() {
		require.Contains(t, said("rules"), "- "+r)
	}
}

// Every topic has a text of its own, a line about it that fits beside its name, and
// no file is left over.
func TestTopics(t *testing.T) {
	files, err := texts.ReadDir("topics")
	require.NoError(t, err)
	named := 0
	for _, topic := range Topics() {
		require.NotEmpty(t, strings.TrimSpace(topic.Text()), topic.Name)
		require.LessOrEqual(t, len(topic.Short), 60)
		require.NotContains(t, topic.Text(), "{"+topic.Name+"}")
		if topic.text == nil {
			named++
			require.True(t, slices.ContainsFunc(files, func(f fs.DirEntry) bool { return f.Name() == topic.Name+".txt" }), topic.Name)
		}
	}
	require.Len(t, files, named)
	for _, f := range files {
		data, err := texts.ReadFile("topics/" + f.Name())
		require.NoError(t, err)
		for line := range strings.Lines(string(data)) {
			require.LessOrEqual(t, utf8.RuneCountInString(line), 101, line) // with its line feed
		}
	}
	for line := range made {
		used := false
		for _, f := range files {
			data, err := texts.ReadFile("topics/" + f.Name())
			require.NoError(t, err)
			used = used || strings.Contains("\n"+string(data), "\n"+line+"\n")
		}
		require.True(t, used, line)
	}
	licence := Topics()[slices.IndexFunc(Topics(), func(t Topic) bool { return t.Quoted })]
	require.True(t, licences.Text() == licence.Print(60), "quoted, not laid out")
}

// A key says all that its table says; see profiles for what that is.
func TestKey(t *testing.T) {
	require.Equal(t, `release: how long a tail takes to fall by 60 dB; a time constant is multiplied
by 6.9
  stands   voices.NAME.release
  value    a time from 0 ms to 600 s
  units    ms, s or µs
  default  1.5 s

    voices:
      saw:
        release: 1.2 s
`, Layout(Key("voices.release"), 80))
	require.Contains(t, Key("rack.hp"), "units  HP; a number without one is in HP\n")
	require.Contains(t, Key("banks.voices"), "default  none; you must give it\n")
	require.Contains(t, Key("spare"), "default  none, and it may be left out\n")
	require.NotContains(t, Key("limit"), "default  none", "its meaning says it")
	require.Contains(t, Key("timing"), "keys in it  gap, min_gate, lead, overlap\n")
	require.Contains(t, Key("steal"), "choirloft help rules")
	require.Contains(t, Key("interface"), "first in a profile file")
	require.Equal(t, 4, strings.Count(Key("hp"), "  stands  "))
	require.Empty(t, Key("nonsense"))
	require.Empty(t, Explain("nonsense"))
	require.Equal(t, Key("release"), Explain("release"))
	for word, w := range profiles.PlayersWords() {
		require.Empty(t, Key(word), "it is a key")
		require.Contains(t, Explain(word), w.How+".\n\n"+Key(w.Key))
		require.NotEmpty(t, Key(w.Key), word)
	}
	require.Contains(t, Explain("Legato"), "mode: mono last")
	require.Contains(t, Explain("split"), "keys: C2-B3")
	require.Equal(t, 1, strings.Count(Key("parts.pick"), "fixed: "))
	require.NotContains(t, Key("colour"), "default  none")
	require.NotContains(t, Key("interfaces.scale"), "1.2 V")
	require.Subset(t, KeyNames(), []string{"release", "voices.release", "parts.unison.voices", "banks"})
}
