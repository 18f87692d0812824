package paper

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi/corpora"
	"choirloft/profiles"
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

// Racks of up to 64 voices are one page, on letter too, whatever their banks: in rows of
// 16 and 15 × 33 mm, in rows of 8, or with small banks in one row. All that is read in five
// seconds is there, and the state of what is not simply in. More voices are on no door.
func TestDoorOfManyVoices(t *testing.T) {
	for i, x := range []struct{ banks, voices, doors, across int }{
		{8, 8, 1, 8}, {4, 16, 1, 16}, {20, 3, 1, 8}, {64, 1, 1, 8}, {2, 12, 1, 16}, {2, 32, 1, 8}, {5, 9, 1, 8}, {9, 8, 0, 0}, {1, 65, 0, 0},
	} {
		rig := "rig: Wall\ninterfaces: {main: {profile: cv32-gate32, cv: 128, gates: 96, ports: 8}}\nparts: {pad: {unison: {voices: 4, spread: 12 cents}}}\nbanks:\n"
		for i := range x.banks {
			rig += fmt.Sprintf("  %c%c: {voices: %d, limited: {1: 40-76}}\n", 'K'+i%14, 'a'+i/14, x.voices)
		}
		s, both := sheetOf(t, []byte(rig), plan.Overrides{}), []Options{{}, {Letter: true}}
		for _, o := range both[corpora.Some(i%2, 0):corpora.Some(i%2+1, 2)] {
			pages := pagesOf(s, o)
			inside(t, pages)
			doors := 0
			for _, p := range pages {
				if strings.HasSuffix(p.Title, doorTitle) {
					doors++
				}
			}
			require.Equal(t, x.doors, doors, x)
			if doors == 0 {
				continue
			}
			d, sizes := say.NewDoor(s.Map), map[string]float64{}
			require.Equal(t, x.across, d.Across, x)
			limited := 0
			for _, text := range pages[0].Texts() {
				sizes[text.Text] = max(sizes[text.Text], text.Size)
				if strings.HasPrefix(text.Text, "LIMITED") {
					limited++
				}
			}
			require.Equal(t, x.banks, limited, x)
			for _, l := range d.Lines {
				for _, v := range l.Voices {
					for _, text := range []string{v.Name, v.Pitch, v.Gate} {
						least := 12.0
						if len(text) > 2 && text[0] < 'A' {
							least = 10.5
						}
						require.GreaterOrEqual(t, sizes[text], least*25.4/72-1e-3, "%v %s", x, text)
					}
				}
			}
		}
	}
}

// A name has room for four characters at 12 points, three digits for 10.5, of the widest
// that a rack of up to 64 voices has.
func TestDoorOfLongNumbers(t *testing.T) {
	for _, across := range []int{8, 16} {
		v := say.DoorVoice{Name: "M88", Pitch: "128", Gate: "128", Address: "8.16"}
		f := newFlow("rig", "P", Options{})
		f.door(&say.Door{Across: across, Lines: []say.DoorLine{{Bank: "M", Voices: slices.Repeat([]say.DoorVoice{v}, across)}}})
		for _, x := range f.on().Texts() {
			switch x.Text {
			case "M88":
				require.GreaterOrEqual(t, x.Size, 12*point-1e-3)
			case "128":
				require.GreaterOrEqual(t, x.Size, 10.5*point-1e-3)
			}
		}
	}
}

// What serves voices here and there is listed at 9 points where 12 find no room.
func TestDoorOfScatteredJacks(t *testing.T) {
	d := &say.Door{Across: 8}
	pitch := say.DoorJacks{Kind: "cv", Signal: "pitch"}
	for i := range 8 {
		line := say.DoorLine{Bank: string(rune('K' + i))}
		for j := range 8 {
			name := fmt.Sprintf("%c%d", 'K'+i, j+1)
			line.Voices = append(line.Voices, say.DoorVoice{Name: name, Pitch: "1", Gate: "1"})
			pitch.Runs = append(pitch.Runs, say.DoorRun{Numbers: []string{fmt.Sprint(8*i + j + 1)}, Out: []bool{false}, Names: []string{name}, Label: name})
		}
		d.Lines = append(d.Lines, line)
	}
	gate := pitch
	gate.Kind, gate.Signal = "gt", "gate"
	d.Jacks = []say.DoorJacks{pitch, gate}
	f := newFlow("rig", "P", Options{})
	f.door(d)
	require.Len(t, f.pages, 1)
	inside(t, f.pages)
	seen := 0
	for _, x := range f.on().Texts() {
		if x.Text == "M5" {
			require.GreaterOrEqual(t, x.Size, 9*point-1e-3)
			seen++
		}
	}
	require.Equal(t, 3, seen)
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

// A name stands whole where it fits, in 12 points: in a line, else with its number below the bank. A
// name that fits neither way has a number in brackets, and its key.
func TestDoorNames(t *testing.T) {
	page := func(banks string) map[string]float64 {
		sizes := map[string]float64{}
		rig := "rig: Wall\ninterfaces: {left: {profile: cv64-gate64, cv: 8, gates: 8}, right: {profile: cv64-gate64}}\nbanks: {" + banks + "}\n"
		p := pagesOf(sheetOf(t, []byte(rig), plan.Overrides{}), Options{})[0]
		for _, x := range p.Texts() {
			sizes[x.Text] = max(sizes[x.Text], x.Size)
		}
		return sizes
	}
	const least = 12*point - 1e-3
	sizes := page("Saws: {voices: 8}, Pulse: {voices: 6}")
	for _, name := range []string{"Saws8", "Pulse1", "Pulse6", "left", "right"} {
		require.GreaterOrEqual(t, sizes[name], least, name)
	}
	require.Contains(t, sizes, "cv1") // of right, with its name on the pill
	require.NotContains(t, sizes, "(1)1")
	sizes = page("K: {voices: 8}, Orchestra: {voices: 6}")
	require.GreaterOrEqual(t, max(sizes["Orchestra"], sizes["Orchestra1"]), 9*point-1e-3)
	sizes = page("K: {voices: 8}, the-one-on-the-right-hand-side-of-all-w: {voices: 6}")
	require.Contains(t, sizes, "(1)1")
}

// The door of full.yaml, whose cables are all plugged in studio and not in stage, says so.
func TestDoorSaysItsSetUp(t *testing.T) {
	rig, err := profiles.Load("../../../../testdata/rigs/full.yaml")
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	pages := pagesOf(contract.NewSheet(p), Options{})
	require.True(t, has(pages[0], "set-up: studio"))
	require.False(t, has(pagesOf(demoSheet(t), Options{})[0], "set-up: studio"))
}
