package unit

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNearest(t *testing.T) {
	names := []string{"count", "+12", "+5", "longest-idle", "longest", "known", "unknown", "lead", "pad", strings.Repeat("x", 45)}
	for _, row := range []struct{ found, want string }{
		{"cuont", "count"}, {"coun", "count"}, {"counts", "count"}, {"xyz", ""}, {"c", ""}, {"", ""},
		{"12", "+12"}, {"+9", ""}, {"longest-idel", "longest-idle"}, {"longestidle", "longest-idle"},
		{"pda", "pad"}, {"pa", "pad"}, {"ap", ""}, {"kown", "known"}, {"knonw", "known"}, {"paddd", ""},
		{strings.Repeat("x", 40), strings.Repeat("x", 45)}, {strings.Repeat("x", 41), ""},
	} {
		got, ok := Nearest(row.found, names)
		require.Equal(t, row.want, got, row.found)
		require.Equal(t, row.want != "", ok, row.found)
	}
	require.Equal(t, "did you mean pad?", DidYouMean("pda", names))
	require.Empty(t, DidYouMean("xyz", names))
}

// Damerau's four errors count one each; two swapped neighbours are one error.
func TestDistance(t *testing.T) {
	for _, row := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"", "abc", 3}, {"abc", "", 3}, {"abc", "abc", 0}, {"abc", "axc", 1}, {"abc", "ac", 1},
		{"abc", "abxc", 1}, {"abc", "acb", 1}, {"ca", "abc", 3}, {"größe", "grösse", 2},
	} {
		require.Equal(t, row.want, distance(row.a, row.b), "%s %s", row.a, row.b)
	}
}
