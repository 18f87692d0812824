package help

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing"
)

// Each cause of an error of pitch stands in help electrical with a formula or a figure of its
// own, under the name that the map gives it, or a shorter one.
func TestEachTermIsExplained(t *testing.T) {
	short := map[string]string{"non-linearity": "non-lin.", "multiple gain": "buffers", "multiple offset": "buffers", "correction": "calibr.", "common drift": "drift", "temperature": "temper."}
	all := Topics()
	at := slices.IndexFunc(all, func(t Topic) bool { return t.Name == "electrical" })
	require.GreaterOrEqual(t, at, 0)
	text := all[at].Text()
	for c := routing.Rounding; c <= routing.Temperature; c++ {
		name := c.String()
		if s, ok := short[name]; ok {
			name = s
		}
		line := regexp.MustCompile(`(?m)^  ` + regexp.QuoteMeta(name) + `  .*$`).FindString(text)
		require.NotEmpty(t, line, c)
		if c != routing.Clamping { // exactly what the range takes
			require.Regexp(t, `[0-9]|e\^`, line, c)
		}
	}
	require.Panics(t, func() { _ = (routing.Temperature + 1).String() }, "there is no further cause")
	for _, module := range []string{"passive", "adder", "attenuator", "offset", "cv-inverter", "gate-OR", "to-s-trig", "from-s-trig", "inverter", "trigger", "buffered"} {
		require.True(t, strings.Contains(text, module), module)
	}
}
