package paper

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/profiles/wild"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// Every rig of testdata keeps the laws of all sheets, on A4 and on letter.
func TestLawsOfOurRigs(t *testing.T) {
	files, err := filepath.Glob("../../../../testdata/rigs/*.yaml")
	require.NoError(t, err)
	require.Greater(t, len(files), 10)
	for i, file := range append(files, demo) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			rig, err := profiles.Load(file)
			require.NoError(t, err)
			p, err := plan.Build(rig, plan.Overrides{})
			require.NoError(t, err)
			o, s := Options{Letter: i%2 == 1}, contract.NewSheet(p)
			found := breaches(t, rig, s, o, corpora.Asked())
			for v := 0; v < len(rig.Voices); v += corpora.Some(5, 1) {
				found = append(found, breachesOfMoves(t, rig, s, rig.Voices[v].Name, o, corpora.Asked() && v == 0)...)
			}
			if len(found) > 0 {
				t.Error(strings.Join(found, "\n"))
			}
		})
	}
}

// Sheets of our rigs need no letters whose fonts are not read ahead.
func TestSheetsHaveUsualLetters(t *testing.T) {
	files, err := filepath.Glob("../../../../testdata/rigs/*.yaml")
	require.NoError(t, err)
	rare := map[string]string{}
	for _, file := range append(files, demo) {
		rig, err := profiles.Load(file)
		require.NoError(t, err)
		p, err := plan.Build(rig, plan.Overrides{})
		require.NoError(t, err)
		s := contract.NewSheet(p)
		for _, page := range Pages(say.Sheet(s), Drawings(s.Map), Options{Command: "choirloft map"}) {
			for _, x := range page.Texts() {
				for _, r := range x.Text {
					if !strings.ContainsRune(draw.Usual, r) {
						rare[string(r)] = filepath.Base(file) + ": " + x.Text
					}
				}
			}
		}
	}
	require.Empty(t, rare)
}

// names are in four alphabets.
var names = []string{"K", "M", "kiln", "Печь", "Ω", "Łódź", "Très", "Große_Halle", "the-one-on-the-right-hand-side-of-all-w", "a-name-as-long-as-any-name-may-be-here-x", "Lapland-by-night"}

// racks are small, and walls have up to 256 voices in banks of up to 20.
var racks = wild.Size{Banks: [2]int{1, 4}, InBank: [2]int{1, 12}, Voices: 48, Played: true, Names: names}
var walls = wild.Size{Banks: [2]int{5, 24}, InBank: [2]int{1, 20}, Voices: 256, Played: true, Names: names}

// beyond are names that the font has no letters for.
var beyond = wild.Size{Banks: [2]int{1, 3}, InBank: [2]int{1, 4}, Voices: 12, Played: true, Names: []string{"東京", "서울", "K", "North"}}

// drawnRack is a random rack, each time the same of a number.
func drawnRack(t *testing.T, size wild.Size, n int) (*profiles.Rig, *contract.Sheet, string) {
	read := func(text string) (*profiles.Rig, bool) {
		rig, faults := profiles.Read("rig.yaml", []byte(text), nil)
		return rig, len(faults) == 0
	}
	text := rapid.Custom(func(t *rapid.T) string { return wild.Rig(t, size) }).
		Filter(func(text string) bool { _, ok := read(text); return ok }).Example(n)
	rig, _ := read(text)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err, text)
	return rig, contract.NewSheet(p), text
}

// Random racks keep the laws of all sheets.
func TestLawsOfRandomRacks(t *testing.T) {
	most := 0
	for i := range corpora.Some(3, 270) {
		size := racks
		if i%10 == 9 {
			size = walls
		}
		rig, s, text := drawnRack(t, size, i)
		most = max(most, len(rig.Voices))
		o, read := Options{Letter: i%3 == 1}, corpora.Asked() && i%6 == 0
		found := breaches(t, rig, s, o, read)
		if v := rig.Voices[i%len(rig.Voices)].Name; len(found) == 0 {
			found = breachesOfMoves(t, rig, s, v, o, read && i%12 == 0)
		}
		if len(found) > 0 {
			t.Errorf("rig %d:\n%s\n%s", i, strings.Join(found, "\n"), text)
		}
	}
	require.Greater(t, most, corpora.Some(5, 200))
}

// Racks with letters that the font lacks are refused, others are not.
func TestLawsOfRacksBeyondTheFont(t *testing.T) {
	refused, n := 0, corpora.Some(5, 30)
	for i := range n {
		rig, s, text := drawnRack(t, beyond, i)
		if len(routing.Letters(rig, draw.Lacking)) > 0 {
			refused++
		}
		require.Empty(t, breaches(t, rig, s, Options{}, corpora.Asked()), text)
	}
	require.Greater(t, refused, n/2)
}
