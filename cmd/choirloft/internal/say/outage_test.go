package say

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// outageOf is what it means that a voice fails, with the demo's song.
func outageOf(t testing.TB, rig *profiles.Rig, voice string, o plan.Overrides) *contract.Outage {
	t.Helper()
	fails, err := whatif.NewOutage(rig, o, voice)
	require.NoError(t, err)
	data, err := os.ReadFile(demo("slow-kiln.mid"))
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	before, after, without, err := fails.Play(song)
	require.NoError(t, err)
	return contract.NewOutage(fails, []contract.OutageSong{contract.NewOutageSong(fails, "slow-kiln.mid", song, before, after, without)}, nil)
}

// Rigs of two voices and a spare: one with jacks of its own, one that takes over
// those of the voice, and one whose voices share a jack.
const (
	ownJacks   = "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 3, spare: [3]}}\n"
	fewJacks   = "interfaces: {main: {cv: 2, gates: 2}}\nbanks: {K: {voices: 3, spare: [3], use_spare: true}}\n"
	sharedJack = "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm}}\nbanks: {K: {voices: 3}}\n" +
		"wiring: [{from: main.cv 1, through: passive, to: [K1.pitch, K2.pitch]}]\n"
)

func outages(t testing.TB) map[string]*contract.Outage {
	of := func(text string) *profiles.Rig { return planOfText(t, text, plan.Overrides{}).Rig }
	return map[string]*contract.Outage{
		"none":   outageOf(t, planOf(t, "kiln-yard.yaml", plan.Overrides{}).Rig, "M1", plan.Overrides{}),
		"unison": outageOf(t, planOf(t, "kiln-yard.yaml", plan.Overrides{}).Rig, "M1", plan.Overrides{Unison: plan.Only("pad", 4)}),
		"own":    outageOf(t, of(ownJacks), "K1", plan.Overrides{}),
		"few":    outageOf(t, of(fewJacks), "K1", plan.Overrides{}),
		"shared": outageOf(t, of(sharedJack), "K1", plan.Overrides{}),
	}
}

// failures are outages for the screen and for paper.
func failures(t testing.TB) (all []said) {
	for name, r := range outages(t) {
		for room, of2 := range map[Room]string{Screen: "screen", Paper: "paper"} {
			all = append(all, of("outage "+name+" "+of2, r, func(r *contract.Outage) *doc.Doc { return Outage(r, room) }))
		}
	}
	return all
}

func TestOutage(t *testing.T) {
	all := outages(t)
	for name, want := range map[string]string{
		"none":   "M1 fails, and no spare stands in; no cable has to move; 2 cables may stay",
		"own":    "K1 fails, and K3 stands in (write use_spare: true); no cable has to move; 2 cables may stay",
		"few":    "K1 fails, and K3 stands in; 2 cables to move",
		"shared": "K1 fails, and no spare stands in; no cable has to move; 2 cables may stay",
	} {
		require.Equal(t, all[name].Rig+": "+want, outage{all[name]}.summary())
	}
	require.True(t, Outage(all["none"], Paper).Blocks[1].(doc.List).Items[0].Optional, "they are no moves")
	require.False(t, Outage(all["few"], Paper).Blocks[1].(doc.List).Items[0].Optional)
	require.Contains(t, outage{all["few"]}.lines(), "Move, muted: cv1 (main cv 1) from K1.pitch to K3.pitch; gt1 (main gate 1) from K1.gate to K3.gate.")
	require.Contains(t, outage{all["few"]}.lines(), "Every part has as many voices as before.")
	require.Contains(t, outage{all["none"]}.lines(), "Voices for pad, bass, arp and lead: 18, was 19.")
	// Alone behind 1 kohm, 100 kohm keep 100/101 of the volts, where two of them
	// kept 50/51: 1200·(1.02/1.01 − 1) = +11.88 cents an octave.
	require.Contains(t, strings.Join(outage{all["shared"]}.lines(), " "), "cv1/1 (main cv 1) from K1.pitch (it also feeds K2.pitch: pulled, they go +11.9 cents per octave)")
}

// TestLinesThatChange: only the voice itself, and the spare that stands in.
func TestLinesThatChange(t *testing.T) {
	all := outages(t)
	for name, want := range map[string][]string{"none": {"M1 OUT"}, "own": {"K1 OUT", "K3 FOR K1"}, "unison": {"M1 OUT"}} {
		var got []string
		for _, row := range tableRows([]doc.Block{outage{all[name]}.rows()}) {
			got = append(got, row[1]+" "+row[2])
		}
		require.Equal(t, want, got, name)
		require.Len(t, all[name].Before, len(want))
	}
}

// TestWorstOfNew: of the demo without M1 nothing new is heard; on ten voices a screen has
// eight of what is, paper forty, most of all first; where nobody listened all that is new.
func TestWorstOfNew(t *testing.T) {
	r := outages(t)["none"]
	song := &r.Songs[0]
	blocks := outageSong(song, Screen)
	require.Equal(t, fmt.Sprintf("New or worse: %d losses, none that you would hear.", len(song.More)), blocks[1].(doc.Paragraph).Text)
	require.Empty(t, tableRows(blocks))
	require.Contains(t, fmt.Sprint(blocks[0]), "Then: no loss heard; 24 still at the wrong pitch.")

	few := &outageOf(t, planOf(t, "kiln-yard.yaml", plan.Overrides{}).Rig, "K1", plan.MustParse("--without", "K2,K3,K4,L1,L2,L3,L4,M1")).Songs[0]
	places := few.Worst(len(few.More))
	require.Greater(t, len(places), 8)
	require.Less(t, len(places), len(few.More))
	for i := 1; i < len(places); i++ {
		require.GreaterOrEqual(t, *few.More[places[i-1]].HeardDB, *few.More[places[i]].HeardDB)
	}
	blocks = outageSong(few, Screen)
	require.Len(t, tableRows(blocks), 8)
	require.Equal(t, fmt.Sprintf("New or worse: %d losses; you would hear %d of them. The worst 8:", len(few.More), len(places)), blocks[1].(doc.Paragraph).Text)

	song.After.Heard = nil
	require.Greater(t, len(song.More), 40)
	for room, most := range map[Room]int{Screen: 8, Paper: 40} {
		blocks := outageSong(song, room)
		require.Len(t, tableRows(blocks), most)
		require.Equal(t, fmt.Sprintf("New or worse: %d losses. The worst %d:", len(song.More), most), blocks[1].(doc.Paragraph).Text)
	}
}
