package say

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/deal"
	"choirloft/routing/link"
	"choirloft/routing/plan"
	"choirloft/routing/tuning"
)

func checkOf(t *testing.T, text string) check {
	t.Helper()
	rig, faults := profiles.Read("test.yaml", []byte("rig: Test\n"+text), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	return check{contract.NewCheck(p, nil, nil)}
}

// A rig of which little is written says what was assumed for it, and what it is about.
func TestCheckSaysWhatItRestsOn(t *testing.T) {
	c := checkOf(t, "interfaces: {main: {cv: 4, gates: 4}}\nvoices: {saw: {release: 1 s}}\nbanks: {K: {voices: 4, kind: saw}}\n")
	require.Equal(t, []string{"CV range of main", "key at 0 V of main", "drift of saw"}, c.Assumed)
	require.Equal(t, "Rests on 3 assumed values: CV range of main, key at 0 V of main, drift of saw. "+
		"A take measures releases and, on two days, drift: see choirloft help take.", c.restLine())
	told := checkOf(t, "interfaces: {main: {cv: 4, gates: 4, window: 0 V to 5 V, zero_key: C2}}\nvoices: {saw: {release: 1 s, drift: 1 cents}}\nbanks: {K: {voices: 4, kind: saw}}\n")
	require.Empty(t, told.restLine())
}

// The headline counts what songs add.
func TestCheckHeadlineCountsSongs(t *testing.T) {
	c := checkOf(t, "interfaces: {main: {cv: 4, gates: 4}}\nbanks: {K: {voices: 4}}\n")
	require.Contains(t, c.summary(), "Test: nothing wrong; ")
	c.Songs = []contract.CheckSong{{Findings: []contract.Finding{{Severity: "warning"}, {Severity: "warning"}}}}
	require.Contains(t, c.summary(), "Test: nothing wrong in the rig, 2 warnings with the song; ")
}

// 380 of 1000 mA are 38 %; -12 is drawn and not there; B stands in no row, C says
// nothing of itself.
func TestSupplyAndRowTables(t *testing.T) {
	c := checkOf(t, `
banks: {K: {voices: 1, row: 2, hp: 40, ma: {+12: 380, -12: 20}}, L: {voices: 1, ma: {+12: 5}}, M: {voices: 1, row: 1}}
supplies: {one: {+12: 1 A, feeds: [K]}}
`)
	require.Equal(t, [][]string{
		{"one", "+12", "380 mA", "1000 mA", "38 %", "K"},
		{"one", "-12", "20 mA", "0 mA", "-", ""},
	}, c.supplies().Groups[0].Rows)
	require.Equal(t, [][]string{{"2", "40 of 104", "+12 380 mA, -12 20 mA", "K"}}, c.rows().Groups[0].Rows)
	require.Nil(t, c.Supplies[0].Rails[1].Share)
	require.Equal(t, "one", *c.Rows[1].Modules[0].Supply)
	require.Len(t, c.powerCautions(), 1)
	require.True(t, c.Errors()) // the rail that is missing

	silent := checkOf(t, "banks: {K: {voices: 1, row: 1}}\n")
	require.Empty(t, silent.rows().Groups)
	require.Nil(t, silent.powerCautions())
	require.False(t, silent.Errors())
}

// Written out in routing/levels: four saws behind −6 dB, 10.02 V where all peaks
// meet, 0.4 dB below the clip, and 9.09 V passed 0.01 % of the time; banks with as many voices share a row.
func TestLevelTable(t *testing.T) {
	const rig = "banks: {K: {voices: 4}, L: {voices: 4}, M: {voices: 1}}\n"
	require.NotContains(t, Check(checkOf(t, rig).Check).Headings(), "Levels") // nothing is said of them
	c := checkOf(t, rig+"levels: {submix: -6 dB}\n")
	require.Contains(t, Check(c.Check).Headings(), "Levels")
	rows := levelTable(c.Levels).Groups[0].Rows
	require.Len(t, rows, 4)
	require.Equal(t, []string{"banks K-L", "4", "-6.0 dB", "10.0 V", "0.4 dB", "9.1 V", "1.3 dB", "-", "-5.6 dB"}, rows[1])
	require.Equal(t, "bank M", rows[2][0])
	require.Equal(t, "9", rows[3][1])
	// 10·log10(9) and 20·log10(9)
	require.Contains(t, levelCautions(c.Levels)[0], "9 voices that enter together are 9.5 to 19.1 dB louder than one")
}

func TestClipped(t *testing.T) {
	for share, want := range map[float64]string{0: "-", 1e-9: "<1 ppm", 2e-5: "20 ppm", 0.0454: "4.5 %"} {
		require.Equal(t, want, clipped(share))
	}
}

// checks are those of some rigs, and of the demo with its song.
func checks(t *testing.T) (all []said) {
	for _, rig := range []string{"kiln-yard.yaml", "rigs/full.yaml", "rigs/small-wall.yaml", "rigs/one-supply.yaml", "rigs/two-shelves.yaml"} {
		all = append(all, of("check "+rig, contract.NewCheck(planOf(t, rig, plan.Overrides{}), nil, nil), Check))
	}
	p := planOf(t, "kiln-yard.yaml", plan.Overrides{})
	song := songOf(t, "slow-kiln.mid")
	h, err := p.Hear(song)
	require.NoError(t, err)
	load, err := link.Of(p, song)
	require.NoError(t, err)
	songs := []contract.CheckSong{contract.NewCheckSong(p, "slow-kiln.mid", song, h, contract.NewLinks(p, song, load, nil))}
	all = append(all, of("check with a song", contract.NewCheck(p, songs, nil), Check))
	return append(all, of("codes", contract.NewCodes(routing.Codes()), Codes))
}

func channels(t *testing.T) []said {
	p, err := plan.Propose(songOf(t, "slow-kiln.mid"), profiles.StarterOptions{})
	require.NoError(t, err)
	return []said{of("channels", contract.NewChannels("slow-kiln.mid", p), Channels)}
}

func tunes(t *testing.T) []said {
	p := planOf(t, "kiln-yard.yaml", plan.Overrides{})
	data, err := os.ReadFile(demo("kiln-yard-readings.csv"))
	require.NoError(t, err)
	readings, faults := tuning.ReadCSV("kiln-yard-readings.csv", data, p.Rig)
	require.Empty(t, faults)
	study := tuning.Study(p.Rig, readings, 3)
	in := contract.TuneInput{RigFile: "kiln-yard.yaml", Before: p, After: p, Study: study, Readings: len(readings)}
	return []said{of("tune", contract.NewTune(in), Tune)}
}

func lineChecks(t *testing.T) (all []said) {
	for _, rig := range []string{"kiln-yard.yaml", "rigs/full.yaml"} {
		c, err := deal.LineCheck(planOf(t, rig, plan.Overrides{Unison: plan.All(3)}))
		require.NoError(t, err)
		all = append(all, of("line check "+rig, contract.NewLineCheck(c, "check.mid"), LineCheck))
	}
	return all
}

// Beside a finding stand its measures, and whatever nobody gave.
func TestFiguresOfFindings(t *testing.T) {
	number := func(word string, v float64, measure *string, assumed bool, names ...string) contract.Fact {
		return contract.Fact{Word: word, Names: names, Value: &v, Unit: measure, Assumed: assumed}
	}
	cents, key := "cents", "key"
	list := findings([]contract.Finding{{Severity: "note", Facts: []contract.Fact{
		{Word: "part", Names: []string{"pad"}}, number("voices", 4, nil, false), number("apart by", 2.9296875, &cents, false), number("lowest key", 36, &key, false, "C2"),
		number("highest key", 40, &key, false), number("inputs when calibrated", 1, nil, true), {Word: "voices", Names: []string{"K1", "K2"}, Assumed: true}}}})
	require.Equal(t, []doc.Fact{{Name: "apart by", Figure: "2.93", Unit: "cents"}, {Name: "lowest key", Figure: "C2", Unit: "(36)"}, {Name: "highest key", Figure: "40"},
		{Name: "inputs when calibrated", Figure: "1", Assumed: true}, {Name: "voices", Figure: "K1, K2", Assumed: true}}, list[0].Facts)
	require.Equal(t, "apart by 2.93 cents · lowest key C2 (36) · highest key 40 · inputs when calibrated 1 (assumed) · voices K1, K2 (assumed)", list[0].Figures())
}
