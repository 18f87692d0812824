package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// played puts a song played on a rig into words.
func played(t *testing.T, p *plan.Plan, song *midi.Song) result {
	t.Helper()
	return resultOf(contract.NewReplay(p, heardResult(t, p, "songs/slow-kiln.mid", song)))
}

// heardResult plays a song and listens to it.
func heardResult(t *testing.T, p *plan.Plan, file string, song *midi.Song) *contract.Result {
	t.Helper()
	r, err := p.Replay(song)
	require.NoError(t, err)
	result := contract.NewResult(p, file, song, r)
	require.NoError(t, result.Listen(p, song, r))
	return result
}

// deaf is a result of a song to which nobody listened.
func deaf(r result) result {
	other := *r.Result
	other.Heard, other.Hearing, other.Demand.HeardDemand = nil, nil, nil
	other.Losses = nil
	for _, l := range r.Losses {
		if !l.Flagged() {
			l.HeardOne = nil
			other.Losses = append(other.Losses, l)
		}
	}
	r.Result = &other
	return r
}

// onRig plays five keys, at 0, 100, 200, 300 and 400 ms, all until 2000 ms: 48,
// 52, 55, 60 and 64.
// More is what else the rig says of its interface.
func onRig(t *testing.T, text string, more ...string) result {
	t.Helper()
	return onVoices(t, "voices: {v: {release: 0 s}}\n"+text, more...)
}

// onVoices is the same with kinds of voice of its own.
func onVoices(t *testing.T, text string, more ...string) result {
	t.Helper()
	return playedWith(t, "rig: P\ninterfaces: {main: {"+strings.Join(more, "")+"profile: cv16-gate16}}\n"+text, plan.Overrides{})
}

// onRigWith is [onRig] with overrides.
func onRigWith(t *testing.T, text string, o plan.Overrides) result {
	t.Helper()
	return playedWith(t, "rig: P\ninterfaces: {main: {profile: cv16-gate16}}\nvoices: {v: {release: 0 s}}\n"+text, o)
}

func playedWith(t *testing.T, text string, o plan.Overrides) result {
	t.Helper()
	rig, faults := profiles.Read("rig.yaml", []byte(text), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	song, err := midi.Read(fiveOnFour, midi.Options{})
	require.NoError(t, err)
	return played(t, p, song)
}

// fiveOnFour is five keys as a MIDI file: 1000 ticks a quarter at 60 bpm, so that a tick is a millisecond.
var fiveOnFour = []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x03\xe8" +
	"MTrk\x00\x00\x00\x2b\x00\xff\x51\x03\x0f\x42\x40" +
	"\x00\x90\x30\x40\x64\x34\x40\x64\x37\x40\x64\x3c\x40\x64\x40\x40" +
	"\x8c\x40\x30\x00\x00\x34\x00\x00\x37\x00\x00\x3c\x00\x00\x40\x00" +
	"\x00\xff\x2f\x00")

func eightVoices() plan.Overrides { return plan.Overrides{Voices: plan.All(8)} }

// demoOn plays the demo with overrides.
func demoOn(t *testing.T, o plan.Overrides) result {
	return played(t, planOf(t, "kiln-yard.yaml", o), songOf(t, "slow-kiln.mid"))
}

func TestRulesSayWhatIsNotPlain(t *testing.T) {
	r := onRig(t, "banks: {K: {voices: 6, kind: v}}\nparts:\n"+
		"  bass: {keys: 0-47, mode: mono low, reattack: press, reserve: 1, limit: 1}\n"+
		"  pad: {keys: 48-127, unison: {voices: 2, when_short: elastic}, priority: 3}\n")
	const rules = "pick longest-idle, steal protect-outer, hears tails, retrigger counted"
	require.Equal(t, []string{
		"Part bass on K (6 voices): " + rules + ", mono low, retriggered on press, 1 reserved, at most 1",
		"Part pad on K (6 voices): " + rules + ", unison of 2 (elastic), priority 3",
	}, r.ruleLines())
}

// A mono part that plays a chord sounds one note of it. Of the demo's pad that are 16 chords of five notes, four of
// each left out where the last key counts; where others do, as many as are heard to be. Where the part is mono in this
// run alone they stand among the losses, and are not said twice. Notes that begin further apart than the shortest gate
// are none of a chord: here they begin 100 ms apart.
func TestChordsOfMonoParts(t *testing.T) {
	for _, mode := range []profiles.Mode{profiles.MonoLast, profiles.MonoLow, profiles.MonoHigh} {
		r := demoOn(t, plan.Overrides{Mode: []plan.For[profiles.Mode]{{Part: "pad", Value: mode}}})
		require.Len(t, r.MonoChords, 1)
		n := r.MonoChords[0].Notes
		if mode == profiles.MonoLast {
			require.Equal(t, 64, n)
		}
		says := fmt.Sprintf("pad is mono: of a chord it plays one note, so %d of its 80 notes are left out.", n)
		require.NotContains(t, r.wrong(), says)
		left := len(r.Losses)
		r.Losses = slices.DeleteFunc(r.Losses, func(l contract.Loss) bool { return l.Flagged() && *l.Flag == contract.FlagLeftOut })
		require.Equal(t, left-len(r.Losses), n, "%v", mode)
		require.Contains(t, r.wrong(), says)
	}
	require.Empty(t, demoOn(t, plan.Overrides{}).MonoChords)
	const mono = "banks: {K: {voices: 4, kind: v}}\nparts: {p: {mode: mono last}}\n"
	require.Empty(t, onRig(t, mono+"timing: {min_gate: 100 ms}\n").MonoChords)
	apart := onRig(t, mono+"timing: {min_gate: 101 ms}\n")
	require.Contains(t, apart.wrong(), "p is mono: of a chord it plays one note, so 4 of its 5 notes are left out.")
}

// Fixes are counted beside the song as given, edits too, and so is the rig as it is.
func TestAsItIsIsCountedAsFixesAre(t *testing.T) {
	o := plan.Overrides{Mode: []plan.For[profiles.Mode]{{Part: "pad", Value: profiles.MonoLast}}}
	_, r := sizeOf(t, "kiln-yard.yaml", o, songOf(t, "slow-kiln.mid"), "slow-kiln.mid", false)
	s := size{&contract.NewSize(planOf(t, "kiln-yard.yaml", o), r).SizeResult}
	table, _, _ := s.fixTable(All, 100, nil)
	rows := table.Groups[0].Rows
	require.Equal(t, "as it is", rows[0][len(rows[0])-1])
	require.Equal(t, 64, r.NowLeft.Dropped, "four of each of 16 chords of five")
	require.Equal(t, []string{"11", "64"}, rows[0][1:3])
	require.Contains(t, s.wrong(), "pad is mono: of a chord it plays one note, so 64 of its 80 notes are left out.")
}

// TestThinnedNotes: three voices a note on four: the second note gets the one
// voice left, 10·log10(1/3) = −4.8 dB.
func TestThinnedNotes(t *testing.T) {
	r := onRig(t, "banks: {K: {voices: 4, kind: v}}\nparts: {p: {unison: {voices: 3, when_short: thin}, steal: none}}\n")
	require.Contains(t, r.flagLines(), "1 note thinned, at most to 1 of 3 (-4.8 dB): bar 1")
}

const pairsOnFour = "banks: {K: {voices: 4, kind: v}}\nparts: {p: {unison: {voices: 2, when_short: wait}, steal: none}}\n"

// TestNotesThatWait: two voices a note on four. The third to fifth keys, at 200,
// 300 and 400 ms, wait until 2000 ms: 1800 + 1700 + 1600 ms. Every part of the
// answer says so.
func TestNotesThatWait(t *testing.T) {
	r := onRig(t, pairsOnFour)
	require.Contains(t, r.summary(), "slow-kiln.mid on 4 voices: 3 of 5 notes are cut short, none dropped.")
	require.Equal(t, "On 4 voices no rule cuts or drops fewer than 1 note. 3 notes begin late, by up to 1.80 s, "+
		"waiting for a unison. 10 voices leave no loss to hear.", r.verdict())
	require.Equal(t, []string{"3 notes late, by up to 1.80 s, waiting for the voices of a unison: bar 1"}, r.flagLines())
	require.Equal(t, "Began late", r.endings(Screen).Columns[4].Head)
	require.Equal(t, "began late", EndingLabel(r.Losses[0].Ending))
}

// TestNotesThatWaitALittle: the same with an overlap of 2 s. None is cut short, but
// nothing that is shown says that nothing is lost.
func TestNotesThatWaitALittle(t *testing.T) {
	r := onRig(t, pairsOnFour+"timing: {overlap: 2 s}\n")
	require.Contains(t, r.summary(), "none of 5 notes is cut short or dropped.")
	require.Contains(t, r.verdict(), "3 notes begin late, by up to 1.80 s, waiting for a unison.")

	all := newSongs(onRig(t, "banks: {K: {voices: 5, kind: v}}\n"), r, onRig(t, pairsOnFour))
	require.Equal(t, "1 with notes lost or wrong, 1 with notes a little late, 1 without a loss", all.fates())
	require.Contains(t, heads(all.table(Screen)), "Began late")
	require.NotContains(t, heads(newSongs(r).table(Screen)), "Began late")
}

func newSongs(results ...result) songs {
	v := &contract.Songs{}
	for i, r := range results {
		v.Songs, v.Order = append(v.Songs, r.Result), append(v.Order, i)
	}
	return songs{v}
}

func heads(t doc.Table) (all []string) {
	for _, c := range t.Columns {
		all = append(all, c.Head)
	}
	return all
}

// TestFiveOnFour: lowest takes V1, the bass, at 400 ms: 1600 ms lost while held. A
// tick is 1/1000 of a quarter, so that is beat 1.4. Four voices can hold four of
// five keys that sound together, so one must go.
func TestFiveOnFour(t *testing.T) {
	r := onRig(t, "banks: {K: {voices: 4}}\nmiddle_c: C3\nparts: {all: {steal: lowest}}\n")
	require.Equal(t, "slow-kiln.mid on 4 voices: 1 of 5 notes is cut short, none dropped. You would hear 1 loss plainly; no pitch is wrong.", r.summary())
	require.Equal(t, "On 4 voices no rule cuts or drops fewer. 5 voices leave no loss to hear.", r.verdict())
	require.Equal(t, "Peak: 5 voices for keys, 5 with the pedal, 5 with audible tails; 4 in service.", r.demandLine(All))
	require.Equal(t, []string{"Part all on K (4 voices): pick longest-idle, steal lowest, hears tails, retrigger counted"}, r.ruleLines())
	require.Equal(t, [][]string{{"1.1+.40", "0:00.400", "10 dB+ plain", "K1", "all C2 (48) outer: stolen while held by E3 (64)", "1.60 s", "0.0 dB", "too few voices"}},
		lossTable(r.Losses, r.Worst(8)).Groups[0].Rows)
}

func TestDemoOnEightVoices(t *testing.T) {
	r := demoOn(t, plan.Overrides{Voices: plan.All(8)})
	require.Contains(t, r.rangeLines(), "24 notes of bass out of range by up to 700.0 cents. It plays keys F1-C2 (29-36), "+
		"the CV range has C2-C7 (36-96)")
	require.Equal(t, "Not in service: M1, M2, M3, M4, N1, N2, N3, N4, P1, P2, P3 and P4.", r.restLine())
}

// TestSwallowedNotesNameTheirBars: 20 common tones of the pad, at chord changes;
// not from the fourth chord back to the first.
func TestSwallowedNotesNameTheirBars(t *testing.T) {
	r := demoOn(t, plan.MustParse("--same-key", "retrigger first-off"))
	require.Equal(t, 20, r.Flags.Swallowed)
	require.Equal(t, "bars 2, 3, 4, 6, 7, 8, 10, 11 …", r.bars("swallowed", 8))
}

func TestEveryEndingHasWords(t *testing.T) {
	for e := range study.NumEndings {
		require.NotEmpty(t, endingTerms[e].Name)
		require.NotEmpty(t, endingTerms[e].Means)
		require.Equal(t, endingTerms[e].Name, EndingLabel(contract.EndingName(e)))
	}
}

// replays are the demo in several ways, a song of many losses among them, on the
// screen and on paper.
func replays(t *testing.T) (all []said) {
	song := songOf(t, "slow-kiln.mid")
	for _, o := range []struct {
		rig string
		plan.Overrides
		room Room
	}{
		{"kiln-yard.yaml", plan.Overrides{}, Screen}, {"kiln-yard.yaml", plan.MustParse("--voices", "8", "--steal", "none"), Paper},
		{"rigs/full.yaml", plan.Overrides{}, Screen}, {"rigs/small-wall.yaml", plan.Overrides{Voices: plan.All(3)}, Screen},
		{"kiln-yard.yaml", plan.Overrides{Unison: plan.All(3)}, Screen}, {"kiln-yard.yaml", plan.MustParse("--same-key", "retrigger first-off"), Screen},
	} {
		p := planOf(t, o.rig, o.Overrides)
		r := contract.NewReplay(p, heardResult(t, p, "slow-kiln.mid", song))
		silent := *r
		silent.Result = *deaf(resultOf(r)).Result
		for name, v := range map[string]*contract.Replay{"": r, "deaf ": &silent} {
			all = append(all, of(fmt.Sprint("replay ", name, o), v, func(v *contract.Replay) *doc.Doc { return Replay(v, o.room) }))
		}
	}
	p := planOf(t, "kiln-yard.yaml", plan.Overrides{Voices: plan.All(8)})
	results := []*contract.Result{}
	for _, file := range []string{"a.mid", "folder/b.mid", "c.mid"} {
		results = append(results, heardResult(t, p, file, song))
	}
	return append(all, of("songs", contract.NewSongs(p, results, []contract.Failure{{File: "d.mid", Message: "no song"}}), func(v *contract.Songs) *doc.Doc { return Songs(v, Screen) }))
}

// written4 are what write says: one file, several passes, control voltages.
func written4(t *testing.T) (all []said) {
	song := songOf(t, "slow-kiln.mid")
	for _, passes := range []int{0, deal.Fewest} {
		d, err := deal.New(planOf(t, "kiln-yard.yaml", plan.Overrides{Voices: plan.All(8)}), song, deal.Options{Passes: passes})
		require.NoError(t, err)
		files := d.Files(deal.ByBank)
		names, sizes := make([]string, len(files)), make([]int, len(files))
		for i := range files {
			names[i], sizes[i] = "dealt-"+files[i].Suffix+".mid", 1000
		}
		all = append(all, of(fmt.Sprint("written ", passes), contract.NewWritten(d, "slow-kiln.mid", files, names, sizes),
			func(v *contract.Written) *doc.Doc { return Written(v, Screen) }))
	}
	c, err := deal.NewCV(planOf(t, "kiln-yard.yaml", plan.Overrides{}), song, deal.CVOptions{})
	require.NoError(t, err)
	return append(all, of("cv", contract.NewCV(c, "slow-kiln.mid", "cv.wav", "cv.wav.txt"), func(v *contract.CV) *doc.Doc { return CV(v, Screen) }),
		of("cv sheet", contract.NewCV(c, "slow-kiln.mid", "cv.wav", "cv.wav.txt"), CVSheet))
}

// A report names every note that is cut short or dropped, up to 200, what is heard most
// first, and the worst of the rest after them; no loss twice.
func TestReportNamesAllCutNotes(t *testing.T) {
	for voices, rows := range map[int][]int{10: {17, mostBeside}, 2: {127, mostBeside}, 1: {152, mostBeside}, 19: {mostBeside}} {
		r := demoOn(t, plan.Overrides{Voices: plan.All(voices)})
		blocks := r.losses(Paper)
		var tables []doc.Table
		seen := map[string]bool{}
		for _, b := range blocks {
			if table, ok := b.(doc.Table); ok {
				tables = append(tables, table)
				for _, about := range table.Groups[0].About {
					require.False(t, seen[about], about)
					seen[about] = true
				}
			}
		}
		require.Len(t, tables, len(rows))
		for i := range rows {
			require.Equal(t, rows[i], len(tables[i].Groups[0].Rows), voices)
		}
		if rows[0] == mostBeside {
			require.Zero(t, r.Damaged)
			continue
		}
		require.Equal(t, min(r.Damaged, mostCut), rows[0], "the notes that the headline counts")
		last := 2
		for _, about := range tables[0].Groups[0].About {
			at, _ := strconv.Atoi(strings.TrimPrefix(about, "loss "))
			l := &r.Losses[at]
			require.True(t, l.Damaged())
			rank := 0 // plain, faint, not heard
			if l.HeardOne != nil && l.HeardDB != nil {
				rank = 1
				if l.Plain() {
					rank = 2
				}
			}
			require.LessOrEqual(t, rank, last)
			last = rank
		}
	}
	r := deaf(demoOn(t, plan.Overrides{Voices: plan.All(1)}))
	r.Losses = slices.Concat(r.Losses, r.Losses)
	require.Equal(t, doc.Paragraph{Text: "Cut short or dropped: the worst 200 of 304 notes (--all shows all):"}, r.losses(Paper)[0])
	require.Equal(t, mostCut, len(r.losses(Paper)[1].(doc.Table).Groups[0].Rows))
}

// A bank that runs out is named where voices of others are free. Of the keys 48, 52, 55, 60 and 64, which sound
// together, q has two and p three, from 55 on: of two voices p lacks one, and q leaves two of its four. In a unison of
// two q has them all. Without a release no tail needs more.
func TestBankThatRunsOut(t *testing.T) {
	const two = "banks: {K: {voices: 2, kind: v}, L: {voices: 4, kind: v}}\nparts: {q: {keys: 0-52, banks: [L]%s}, p: {keys: 53-127, banks: [K]}}\n"
	for _, row := range []struct{ rig, says string }{
		{fmt.Sprintf(two, ""), "Bank K runs out: p wants 3 voices at the peak and has 2. Elsewhere at least 2 voices are always free."},
		{fmt.Sprintf(two, ", unison: {voices: 2}"), ""},
		{"banks: {K: {voices: 4, kind: v}, L: {voices: 1, kind: v}}\nparts: {p: {banks: [K]}}\n", "Bank K runs out: p wants 5 voices at the peak and has 4. Elsewhere at least 1 voice is always free."},
		{"banks: {K: {voices: 1, kind: v}, L: {voices: 1, kind: v}, M: {voices: 4, kind: v}}\nparts: {q: {keys: 0-52, banks: [K, L]}, p: {keys: 53-127, banks: [K, L]}}\n",
			"Banks K, L run out: every note that is cut short or dropped is there. Elsewhere at least 4 voices are always free."},
		{"banks: {K: {voices: 4, kind: v}}\nparts: {p: {}}\n", ""},                                              // nothing else is there
		{"banks: {K: {voices: 9, kind: v}, L: {voices: 1, kind: v}}\nparts: {p: {banks: [K], limit: 4}}\n", ""}, // its limit runs out
		{"banks: {K: {voices: 5, kind: v}, L: {voices: 1, kind: v}}\nparts: {p: {banks: [K]}}\n", ""},
	} {
		r := onRig(t, row.rig)
		require.Equal(t, row.says, runsOut(r.RunsOut), row.rig)
		require.Equal(t, row.says != "", strings.HasPrefix(r.verdict(), row.says) && row.says != "", row.rig)
	}
}

// What only sounds otherwise, because a unison is tried that the rig does not ask for, is told beside the losses; once the
// rig asks for it there is none.
func TestTriedSoundIsTold(t *testing.T) {
	const rig = "banks: {K: {voices: 12, kind: v}}\nparts: {p: {unison: {voices: %d}}}\n"
	tried := onRigWith(t, fmt.Sprintf(rig, 1), plan.MustParse("--unison", "2"))
	require.Equal(t, "5 of the losses only sound different from what the rig asks of p. Once written into the rig, they are no losses.", tried.alteredLine())
	require.Contains(t, fmt.Sprint(tried.answer()), tried.alteredLine())
	require.Empty(t, onRigWith(t, fmt.Sprintf(rig, 2), plan.Overrides{}).alteredLine())
}
