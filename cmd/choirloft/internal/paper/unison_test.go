package paper

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
)

// Where each voice of a unison stands, and how fast neighbours beat at three keys, is on the sheet: up to
// four voices in the picture alone, with more in a table that has no column of what the picture says.
func TestUnisonsSayAllOnSheets(t *testing.T) {
	for voices, table := range map[int]bool{2: false, 3: false, 4: false, 5: true, 6: true, 7: true, 12: true} {
		s := sheetOf(t, fmt.Appendf(nil, "rig: Stack\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 12}}\nparts: {p: {unison: {voices: %d, pan: 60 %%}}}\n", voices), plan.Overrides{})
		u, printed := &s.Map.Unisons[0], map[string]bool{}
		for _, p := range pagesOf(s, Options{}) {
			for _, x := range p.Texts() {
				printed[x.Text] = true
			}
		}
		has := func(text string) { require.True(t, printed[text], "%d voices: %s", voices, text) }
		for i := range u.DetuneCents {
			has(unit.Signed(u.DetuneCents[i]))
			has(unit.Pan(u.Pans[i]))
		}
		for _, k := range u.Keys {
			has(fmt.Sprintf("%s (%d)", k.KeyName, k.Key))
			for _, b := range k.Neighbours {
				has(strings.TrimSuffix(unit.Hertz(b.BeatHz), " Hz"))
			}
		}
		under, tables := "", 0
		for _, b := range say.Sheet(s).Blocks {
			switch b := b.(type) {
			case doc.Heading:
				under = b.Text
			case doc.Table:
				if under == "Unison of p" {
					tables++
				}
			}
		}
		require.Equal(t, table, tables == 1, "%d voices: %d tables", voices, tables)
	}
}
