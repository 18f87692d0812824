package profiles

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A range says which end is no key, and what to write for the German H or for all
// keys from one on.
func TestRangesSayWhichEnd(t *testing.T) {
	for text, want := range map[string]string{
		"C3-H7":  `found "C3-H7", where "H7" is no key, want a range of keys within 0-127, such as 36-96 or C2-C7; the German H is B here: write C3-B7`,
		"low-B2": `found "low-B2", where "low" is no key, want a range of keys within 0-127, such as 36-96 or C2-C7; `,
		"A-G":    `found "A-G", want a range of keys within 0-127, such as 36-96 or C2-C7; `,
		"48+":    `found "48+", want a range of keys within 0-127, such as 36-96 or C2-C7; write 48-127`,
	} {
		_, c := (&reader{middleC: 4}).parseKeySpan(text)
		require.NotNil(t, c, text)
		require.Equal(t, want, c.message+"; "+c.hint, text)
	}
}
