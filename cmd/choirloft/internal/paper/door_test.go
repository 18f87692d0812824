package paper

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/plan"
)

// The first page has every voice and every number of its jacks as text. What is read in
// five seconds has 12 points, all else at least 7.5, but for the words at the bar.
func TestDoorIsReadable(t *testing.T) {
	s := demoSheet(t)
	page := pagesOf(s, Options{})[0]
	require.Contains(t, page.Title, doorTitle)
	sizes := map[string]float64{}
	for _, x := range page.Texts() {
		sizes[x.Text] = max(sizes[x.Text], x.Size)
		if x.Text != "This bar is 100 mm long: print at 100 %." {
			require.GreaterOrEqual(t, x.Size, 7.5*25.4/72-1e-3, x.Text)
		}
	}
	for _, l := range say.NewDoor(s.Map).Lines {
		for _, v := range l.Voices {
			for _, text := range []string{v.Name, v.Pitch, v.Gate} {
				require.GreaterOrEqual(t, sizes[text], 12*25.4/72-1e-3, text)
			}
		}
	}
}

// A rack of 64 voices in eight banks, with detune, is one page, on letter too; nine banks
// keep the pages by banks and by jacks.
func TestDoorOfManyVoices(t *testing.T) {
	for banks, doors := range map[int]int{8: 1, 9: 0} {
		rig := "rig: Wall\ninterfaces: {main: {profile: cv32-gate32, cv: 96, gates: 96, ports: 8}}\nparts: {pad: {unison: {voices: 4, spread: 12 cents}}}\nbanks:\n"
		for i := range banks {
			rig += fmt.Sprintf("  %c: {voices: 8, lanes: [cutoff]}\n", 'K'+i)
		}
		for _, o := range []Options{{}, {Letter: true}} {
			pages := pagesOf(sheetOf(t, []byte(rig), plan.Overrides{}), o)
			inside(t, pages)
			found := 0
			for _, p := range pages {
				if strings.HasSuffix(p.Title, doorTitle) {
					found++
				}
			}
			require.Equal(t, doors, found, banks)
		}
	}
}

// Jacks that do not fit beside the voices go on to a second page; the voices stay on the first.
func TestDoorOfManyJacks(t *testing.T) {
	rig := "rig: Wall\ninterfaces: {main: {profile: cv32-gate32, cv: 256, gates: 32, ports: 16}}\nbanks: {K: {voices: 4}, L: {voices: 4}}\nparts: {p: {}}\nmacros:\n"
	for i := range 118 {
		rig += fmt.Sprintf("  m%d: {from: CC %d on 16, to: K.level}\n", i, i+1)
	}
	pages := pagesOf(sheetOf(t, []byte(rig), plan.Overrides{}), Options{})
	inside(t, pages)
	doors := 0
	for _, p := range pages {
		if strings.HasSuffix(p.Title, doorTitle) {
			doors++
		}
	}
	require.Equal(t, 2, doors)
	for _, name := range []string{"K1", "K4", "L1", "L4"} {
		require.True(t, has(pages[0], name), name)
	}
	require.True(t, has(pages[1], "m117") || has(pages[1], "m0"))
}

// A bank of 64 voices whose jacks have three digits: no run of jacks is wider than the page.
func TestDoorOfOneBank(t *testing.T) {
	rig := "rig: Wall\ninterfaces: {main: {cv: 200, gates: 200, connector: 128, ports: 16}}\nbanks: {K: {voices: 64}}\npins:\n"
	for i := 1; i <= 64; i++ {
		rig += fmt.Sprintf("  K%d.pitch: main.cv %d\n  K%d.gate: main.gate %d\n", i, 100+i, i, 100+i)
	}
	s := sheetOf(t, []byte(rig), plan.Overrides{})
	l := &court{sheet: s, doc: say.Sheet(s), pages: ofPictures(pagesOf(s, Options{Letter: true}))}
	l.all()
	require.Empty(t, l.broken)
	require.Contains(t, l.pages[0].squashed, "K1–K28")
}
