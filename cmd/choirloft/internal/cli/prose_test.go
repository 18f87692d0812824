package cli

import (
	"fmt"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/help"
	"choirloft/cmd/choirloft/internal/prose"
	"choirloft/profiles"
	"choirloft/routing"
)

// proseOf are the texts that are read with no rig and no song: README.md, every
// page of help, the rules and the table of findings, by their places.
func proseOf(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{"README.md": readme(t)}
	var visit func(*cobra.Command)
	visit = func(c *cobra.Command) {
		place := c.CommandPath()
		all[place+" (short)"], all[place] = c.Short, c.Long
		c.LocalFlags().VisitAll(func(f *pflag.Flag) { all[place+" --"+f.Name] = f.Usage })
		for _, sub := range c.Commands() {
			if sub.Runnable() { // topics come below
				visit(sub)
			}
		}
	}
	visit((&app{}).root())
	for _, topic := range help.Topics() {
		if !topic.Quoted {
			all["topic "+topic.Name] = topic.Text()
		}
	}
	for _, k := range profiles.Keys() {
		all["key "+k.Place] = k.Meaning
	}
	for _, c := range routing.Codes() {
		all["finding "+string(c.Code)] = c.Meaning + "\n\n" + c.WayOut
	}
	for _, kind := range alloc.Rules() {
		all["rules of "+kind.Key] = kind.About
		for _, r := range kind.Rules {
			all["rule "+r.Name] = r.About
		}
	}
	for i, r := range alloc.Readings() {
		all[fmt.Sprintf("reading %d", i)] = r
	}
	return all
}

// TestSentencesAreShort: none has more than 25 words.
func TestSentencesAreShort(t *testing.T) {
	for place, text := range proseOf(t) {
		for _, long := range prose.Long(text) {
			t.Errorf("%s: %d words: %s", place, prose.Words(long), long)
		}
	}
}

// TestRetiredWords: none stands in a text but where it is a name.
func TestRetiredWords(t *testing.T) {
	texts := proseOf(t)
	require.Greater(t, len(texts), 200)
	for place, text := range texts {
		for _, word := range prose.Retired(text) {
			t.Errorf("%s: %s", place, word)
		}
	}
}
