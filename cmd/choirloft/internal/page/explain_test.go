package page

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/prose"
	"choirloft/cmd/choirloft/internal/say"
)

var (
	labelled = regexp.MustCompile(`<(?:label|span|b) (?:[^>]* )?data-term="([^"]*)"[^>]*>([^<]*)`)
	tag      = regexp.MustCompile(`<[^>]*>`)
	spoken   = regexp.MustCompile(`aria-label="([^"]*)"`)
)

// heads are what stands for each word of the vocabulary: its name, its head.
func heads() map[string]string {
	all := map[string]string{}
	for _, kind := range say.Vocabulary() {
		for _, t := range kind.Terms {
			all[t.Name] = strings.ToLower(t.Name + "|" + t.Head + "|" + t.Means)
		}
	}
	return all
}

// TestLabelsAreWords: a label that names a word of the vocabulary says that word, and
// what it means besides; no label says a retired one.
func TestLabelsAreWords(t *testing.T) {
	data, err := assets.ReadFile("assets/index.html")
	require.NoError(t, err)
	words, found := heads(), labelled.FindAllStringSubmatch(string(data), -1)
	require.GreaterOrEqual(t, len(found), 8)
	for _, f := range found {
		require.Contains(t, words[f[1]], strings.TrimSpace(strings.ToLower(f[2])), f[0])
	}
	for _, text := range append(tag.Split(string(data), -1), spokenIn(string(data))...) {
		require.Empty(t, prose.Retired(strings.TrimSpace(text)), text)
	}
	page := string(explained(data))
	require.Contains(t, page, `data-term="sustained" title="held by the pedal after its key is up." aria-description="held by the pedal after its key is up."`)
	require.Equal(t, len(termed().FindAll(data, -1)), strings.Count(page, "aria-description="))
	require.Panics(t, func() { explained([]byte(`<b data-term="wanted">`)) })
}

func spokenIn(page string) (all []string) {
	for _, f := range spoken.FindAllStringSubmatch(page, -1) {
		all = append(all, f[1])
	}
	return all
}

// TestRulesAreExplained: every rule that can be chosen has its sentence, and those of
// tails are called by what they hear.
func TestRulesAreExplained(t *testing.T) {
	rules := viewRules()
	require.Len(t, rules, 4)
	for _, r := range rules {
		require.NotEmpty(t, r.About, r.Key)
		for _, c := range r.Choices {
			require.NotEmpty(t, c.About, "%s %s", r.Key, c.Name)
		}
		if r.Key == "tails" {
			require.Equal(t, []choiceView{{"known", "hears tails", r.Choices[0].About}, {"unknown", "deaf to tails", r.Choices[1].About}}, r.Choices)
		}
	}
	require.Len(t, rules[1].Choices, len(alloc.StealNames()))
}
