package text

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		text, indent string
		want         []string
	}{
		{"", "", []string{""}},
		{"one two", "", []string{"one two"}},
		{"one two t", "", []string{"one two t"}}, // 9 characters, the width
		{"one two th", "", []string{"one two", "th"}},
		{"one two three four", "  ", []string{"one two", "  three", "  four"}},
		{" a bc defg hi", "  ", []string{" a bc", "   defg", "   hi"}},
		{"unbreakable-word", "", []string{"unbreakable-word"}},
		{"♯♯♯♯ ♯♯♯♯", "", []string{"♯♯♯♯ ♯♯♯♯"}}, // characters, not bytes
	} {
		require.Equal(t, c.want, Wrap(c.text, 9, c.indent), "%q", c.text)
	}
}

func TestColourIsForTerminals(t *testing.T) {
	check := &contract.Check{Summary: "X: nothing wrong"}
	var plainText, coloured strings.Builder
	require.NoError(t, Check(&plainText, check, Options{}))
	require.NoError(t, Check(&coloured, check, Options{Colour: true}))
	require.Equal(t, "X: nothing wrong.\n", plainText.String())
	require.Equal(t, "\x1b[32mX: nothing wrong.\x1b[0m\n", coloured.String())
}
