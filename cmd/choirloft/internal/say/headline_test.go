package say

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/midi"
	"choirloft/routing/plan"
)

// planted are losses of each kind: five keys, 48, 52, 55, 60 and 64, that sound
// together from 400 ms on (see onRig), on rigs on which just one thing is wrong.
// Five keys at once need five voices; without a release no tail needs more.
var planted = map[string]struct{ rig, says, fix, many string }{
	// Nobody may steal, so the fifth of five on four is not played at all.
	"dropped": {"banks: {K: {voices: 4, kind: v}}\nparts: {p: {steal: none}}\n",
		"slow-kiln.mid on 4 voices: 1 of 5 notes is dropped, none cut short.", "", "1 note dropped in 1 song."},
	// The fifth takes the voice of the first.
	"cut short": {"banks: {K: {voices: 4, kind: v}}\nparts: {p: {steal: lowest}}\n",
		"slow-kiln.mid on 4 voices: 1 of 5 notes is cut short, none dropped.", "", "1 note cut short in 1 song."},
	// 0–1 V from key 48 on, a volt an octave, ends at key 60; 64 is above it.
	"clamped": {"banks: {K: {voices: 5, kind: v}}\nparts: {p: {out_of_range: clamp}}\n",
		"1 note at the wrong pitch", "play p on a wider CV range", "1 note at the wrong pitch in 1 song."},
	// Folded, 64 sounds an octave lower.
	"folded": {"banks: {K: {voices: 5, kind: v}}\nparts: {p: {out_of_range: fold}}\n",
		"1 note at the wrong pitch", "play p on a wider CV range", "1 note at the wrong pitch in 1 song."},
	// No part plays the three keys below 60, and the two from there on need two.
	"unplayed": {"banks: {K: {voices: 5, kind: v}}\nparts: {p: {keys: 60-127}}\n",
		"slow-kiln.mid: 3 of 5 notes are unplayed; no other is cut short or dropped.", "a part for keys C3-G3 (48-55) of channel 1", "3 notes played by no part in 1 song."},
	// 17 voices on an interface of 16 CVs and 16 gates.
	"no jack": {"banks: {K: {voices: 17, kind: v}}\n",
		"You would hear no loss if 1 voice had its jack", "give K17 a jack", "K17 has no jack for pitch or gate, and cannot play: see check."},
	// From 1 March to 1 September 2026 are 184 days, to 30 May 90.
	"old readings": {"banks: {K: {voices: 5, kind: v}}\ncorrections: {K1: {offset: 1 mV, measured: 2026-03-01}, K2: {offset: 1 mV, measured: 2026-09-01}}\n",
		"1 voice with old readings", "measure K1 again", "1 voice has old readings, over 90 days before the newest: K1."},
}

// TestHeadlinesHideNothing: what is wrong stands in the headline, of one song and
// of many, and nothing else does. The first four lines say what is lost, what is
// wrong, how many voices are needed, what to try, and what all that rests on.
func TestHeadlinesHideNothing(t *testing.T) {
	whole := onRig(t, "banks: {K: {voices: 5, kind: v}}\n")
	require.Equal(t, []string{"slow-kiln.mid on 5 voices: none of 5 notes is cut short or dropped.",
		"You would hear no loss; no pitch is wrong.", "Needs 5 voices. Nothing needs a fix.",
		"Rests on: release 0 s (not measured), saw waves through 2 kHz (assumed)."},
		whole.head())
	require.Equal(t, []string{"No tail is cut, no pitch is wrong, no note is unplayed.", "At its peak 5 voices, 5 with tails. Nothing needs a fix.",
		"Rests on: release 0 s (not measured). 30 % longer or shorter: no change."}, deaf(whole).head()[1:])
	// Keys 48 to 64, on 0 to 5 V from key 36 on: 36 to 96.
	require.Equal(t, "The CV range (assumed) decides which pitches are right: 12 keys to spare.", whole.rangeLine())
	for _, c := range []struct {
		spare, high, low int
		says             string
	}{{1, 0, 0, "decides which pitches are right: 1 key to spare"}, {0, 0, 0, "decides which pitches are right: no key to spare"},
		{-4, 4, 0, "begins 4 keys too high"}, {-4, 0, 4, "ends 4 keys too low"}, {-4, 1, 4, "begins 1 key too high and ends 4 keys too low"}} {
		require.Equal(t, "The CV range (assumed) "+c.says+".",
			rangeLine(&contract.Values{RangeAssumed: true, RangeSpareKeys: &c.spare, RangeTooHigh: c.high, RangeTooLow: c.low}))
	}
	require.Equal(t, -7, *demoOn(t, plan.Overrides{}).RestsOn.RangeSpareKeys) // bass F1 (29) on 36 to 96
	require.Equal(t, "1 song on 5 voices: 1 without a loss.", newSongs(whole).summary())
	require.Equal(t, doc.Good, whole.tone())
	for name, x := range planted {
		window := ""
		if strings.HasSuffix(name, "ed") && strings.Contains(x.rig, "out_of_range") {
			window = "window: 0 V to 1 V, zero_key: 48, "
		}
		r := onRig(t, x.rig, window)
		require.Contains(t, r.summary(), x.says, name)
		four := firstFour(t, r)
		require.Contains(t, four, x.says, name)
		if x.fix == "" {
			require.Contains(t, four, "Needs 5 voices. choirloft size tries fixes.", name)
		} else {
			require.Contains(t, four, "First fix: "+x.fix+".", name)
		}
		needed := "Needs 5 voices"
		if name == "unplayed" {
			needed = "Needs 2 voices"
		}
		require.Contains(t, four, needed+".", name)
		require.Contains(t, firstFour(t, deaf(r)), strings.Replace(needed, "Needs", "At its peak", 1)+", "+strings.Fields(needed)[1]+" with tails.", name)
		require.Contains(t, four, "Rests on: release 0 s (not measured)", name)
		require.Contains(t, newSongs(r).summary(), x.many, name)
		require.NotEqual(t, doc.Good, r.tone(), name)
		require.NotEqual(t, doc.Good, newSongs(r).tone(), name)
		for other, y := range planted {
			if other != name && y.says != x.says {
				require.NotContains(t, r.summary(), y.says, "%s beside %s", other, name)
			}
		}
	}
}

// firstFour are the first four lines that a player reads, and one that is folded.
func firstFour(t *testing.T, r result) string {
	t.Helper()
	d := newDoc("", "P9395XX0")
	d.Add(r.answer()...)
	return strings.ReplaceAll(strings.Join(strings.Split(textOf(t, d, 80), "\n")[:5], "\n"), "\n    ", " ")
}

// TestHeadOfADamagedSong: the demo on 10 voices. Each number is that of the JSON;
// the first fix is the one that mends most notes: 24 of the bass lie below C2, 17
// are cut short.
func TestHeadOfADamagedSong(t *testing.T) {
	r := demoOn(t, plan.Overrides{Voices: plan.All(10)})
	four := firstFour(t, r)
	for _, words := range []string{fmt.Sprintf("%d of 328 notes cut short by up to 60 ms, none dropped.", r.Damaged), "24 notes at the wrong pitch",
		fmt.Sprintf("You would hear %d losses, %d plainly", *r.Heard.Faint, *r.Heard.Plain), "Needs 16 voices.",
		"First fix: transpose bass up 1 octave.", "Rests on: release 2.40 s (not measured), saw waves through 2 kHz (assumed)."} {
		require.Contains(t, four, words)
	}
	require.Contains(t, r.verdict(), "no rule cuts or drops fewer than 11 notes. 16 voices leave no loss to hear.")
	require.Contains(t, deaf(r).verdict(), "no rule cuts or drops fewer than 11 notes. The loudest tail is cut at -1.0 dB. 13 voices play every note whole, 24 let every tail ring out. choirloft size tries fixes.")
	require.Contains(t, firstFour(t, deaf(r)), fmt.Sprintf("%d tails cut.", r.Endings[study.TailCutOtherKey]))
	r = demoOn(t, plan.Overrides{Voices: plan.All(4)}) // 69 are cut short
	require.Contains(t, firstFour(t, r), "Needs 16 voices. choirloft size tries fixes.")
	require.Contains(t, firstFour(t, deaf(r)), "At its peak 13 voices, 24 with tails. choirloft size tries fixes.")
}

// TestFirstFixes: what plays wrong has a fix that is known without a trial; the rest is
// left to size. A part for channel 10 is nobody's first fix, as it may be drums.
func TestFirstFixes(t *testing.T) {
	first := func(channel string, hurt int) string {
		list := []contract.UnmappedKeys{{Channel: channel, Whole: true}}
		text, _ := firstMend(false, faults{unplayed: unplayed{list, 4}, hurt: hurt})
		return text
	}
	require.Equal(t, "First fix: a part for channel 9.", first("channel 9", 0))
	require.Empty(t, first("channel 9", 1))
	require.Empty(t, first("channel 10", 0))
	_, after := faults{unplayed: unplayed{[]contract.UnmappedKeys{{Channel: "channel 10", Whole: true}}, 4}}.around(false)
	require.Equal(t, []mend{{effort: "setting", text: "a part for channel 10, if it is not drums"}}, after)
	// 24 of 32 are mended and 8 moved for nothing; so many that 10 of 24 may go along, which move 14
	n := func(n int) *int { return &n }
	wrong := []contract.WrongPitch{{Part: "bass", Notes: 24, Of: 32, Range: contract.Range{OctavesToFit: n(1)}}, {Part: "arp", Notes: 10, Of: 24, Range: contract.Range{OctavesToFit: n(1)}}}
	require.Equal(t, "transpose bass and arp up 1 octave", faults{wrongPitch: wrong}.pitch().text)
	wrong[1].Of = 36 // 26 would move: more than the 34 that are mended have to spare
	require.Equal(t, "transpose bass up 1 octave", faults{wrongPitch: wrong}.pitch().text)
	require.Empty(t, faults{wrongPitch: wrong[1:]}.pitch().text)
	wrong[1].Range.OctavesToFit = nil
	require.Equal(t, "play arp on a wider CV range", faults{wrongPitch: wrong[1:]}.pitch().text)
	for _, rig := range []string{"banks: {K: {voices: 4, kind: v}, L: {voices: 4, kind: v}}\nparts: {p: {banks: [K]}}\n", pairsOnFour} {
		require.Contains(t, onRig(t, rig).needHead(), " choirloft size tries fixes.")
	}
}

// TestUnplayedFrom: channels are named where a sentence has room, and counted where not.
func TestUnplayedFrom(t *testing.T) {
	whole := func(names ...string) (u unplayed) {
		for _, name := range names {
			u.list = append(u.list, contract.UnmappedKeys{Channel: name, Whole: true})
		}
		return u
	}
	for _, c := range []struct {
		from           unplayed
		part, sentence string
	}{
		{whole("channel 5"), "a part for channel 5", "2 notes are unplayed: no part plays channel 5."},
		{whole("channel 5", "channel 7", "channel 9"), "parts for channels 5, 7 and 9", "2 notes are unplayed: no part plays channels 5, 7 and 9."},
		{whole("channel 1", "channel 2", "channel 3", "channel 4", "channel 5"), "parts for 5 channels", "2 notes on 5 channels are unplayed, such as channel 1."},
		{whole("channel 5", "port 2 channel 7"), "parts for 2 channels", "2 notes on 2 channels are unplayed, such as channel 5."},
		{unplayed{[]contract.UnmappedKeys{{Channel: "channel 1", LowKey: 50, HighKey: 76}}, 4}, "a part for keys D3-E5 (50-76) of channel 1",
			"2 notes are unplayed: no part plays keys D3-E5 (50-76) of channel 1."},
	} {
		require.Equal(t, c.part, c.from.part())
		require.Equal(t, c.sentence, c.from.sentence(2))
	}
}

// TestLongTitles: a title yields to the figures, and keeps eight characters.
func TestLongTitles(t *testing.T) {
	r := onRig(t, planted["dropped"].rig)
	r.Song.Title = new(strings.Repeat("Ä", 100))
	require.Equal(t, strings.Repeat("Ä", 80-len(" on 4 voices: 1 of 5 notes is dropped, none cut short.")-1)+"… on 4 voices: 1 of 5 notes is dropped, none cut short.", r.lossHead())
	r.Demand.Voices, r.Song.Notes, r.Damaged, r.Endings[study.Dropped], r.Song.Title = 1024, 12345678, 12345678, 10000000, new("Slow Kiln at Dawn")
	require.Equal(t, "Slow Ki… on 1024 voices: 10000000 of 12345678 notes are dropped, 2345678 cut short.", r.lossHead())
}

// TestNeedsFitALine: what is needed and what to try first stand on one line of 80,
// so that what they rest on is the fourth; where notes come from yields to that.
func TestNeedsFitALine(t *testing.T) {
	r := demoOn(t, plan.Overrides{})
	require.Equal(t, "Needs 16 voices. First fix: transpose bass up 1 octave.", r.needHead())
	r = deaf(r)
	require.Equal(t, "At its peak 13 voices, 24 with tails. First fix: transpose bass up 1 octave.", r.needHead())
	r.Flags.Unmapped, r.UnmappedKeys = 7, []contract.UnmappedKeys{{Channel: "channel 10", Whole: true}}
	require.Equal(t, "At its peak 13 voices, 24 with tails. First fix: transpose bass up 1 octave.", r.needHead())
}

// TestHeadlineOrder: unplayed notes where there are some, dropped before cut short, then wrong pitches,
// voices without a jack, tails; in several songs in the order of their table.
func TestHeadlineOrder(t *testing.T) {
	r := demoOn(t, eightVoices())
	r.NoJack, r.OldReadings, r.Flags.Unmapped, r.UnmappedKeys = []string{"K1"}, []string{"K2"}, 7, []contract.UnmappedKeys{{Channel: "channel 10", Whole: true}}
	for text, kinds := range map[string][]string{
		r.summary():                  {"7 of 335 notes are unplayed", "cut short", "You would hear", "had its jack", "wrong pitch", "old readings"},
		deaf(r).summary():            {"7 of 335 notes are unplayed", "cut short", "wrong pitch", "without a jack", "old readings", "tails cut"},
		newSongs(r).summary():        {"no part", "that you would hear", "cut short", "wrong pitch", "K1 has no jack", "old readings"},
		newSongs(deaf(r)).summary():  {"no part", "tail", "cut short", "wrong pitch", "K1 has no jack", "old readings"},
		strings.Join(r.wrong(), " "): {"wrong pitch", "7 notes are unplayed: no part plays channel 10.", "K1 has no jack", "1 voice has old readings, over 90 days before the newest: K2."},
	} {
		at := -1
		for _, words := range kinds {
			next := strings.Index(text, words)
			require.Greater(t, next, at, "%q in %s", words, text)
			at = next
		}
	}
}

// TestWorstSongFirst: a song of which no part plays three notes comes before one
// that loses one.
func TestWorstSongFirst(t *testing.T) {
	whole, cut := onRig(t, "banks: {K: {voices: 5, kind: v}}\n"), onRig(t, planted["cut short"].rig)
	silent := onRig(t, planted["unplayed"].rig)
	p := planOf(t, "kiln-yard.yaml", eightVoices())
	v := contract.NewSongs(p, []*contract.Result{whole.Result, cut.Result, silent.Result}, nil)
	require.Equal(t, []int{2, 1, 0}, v.Order)
}

// TestWhatItRestsOn: a release is measured where the rig says so, from the rig where
// it says no more than the value, given for this run, or assumed; the weakest of
// several counts, so that none is hidden by one beside it. Without a tail it moves
// nothing.
func TestWhatItRestsOn(t *testing.T) {
	const measured = "voices: {v: {release: 1 s, measured: [release]}, w: {release: 1 s}}\n"
	for banks, says := range map[string]string{
		measured + "banks: {K: {voices: 4, kind: v}}\n":                           "release 1.00 s (measured)",
		measured + "banks: {K: {voices: 4, kind: v}, L: {voices: 1, kind: w}}\n":  "release 1.00 s (not measured)",
		measured + "banks: {K: {voices: 4, kind: v}, L: {voices: 1}}\n":           "release 1.50 s (assumed)",
		measured + "banks: {K: {voices: 4, kind: v}, L: {voices: 1, out: [1]}}\n": "release 1.00 s (measured)", // L1 plays nothing
		"banks: {K: {voices: 4}}\n":                                               "release 1.50 s (assumed)",
	} {
		require.Contains(t, onVoices(t, banks).basis(), "Rests on: "+says+", saw waves through 2 kHz (assumed).", banks)
	}
	require.Contains(t, demoOn(t, plan.MustParse("--release", "1 s")).basis(), "Rests on: release 1.00 s (for this run), saw waves")
	require.Contains(t, onVoices(t, "voices: {v: {sound: {wave: triangle, cutoff: 900 Hz}}}\nbanks: {K: {voices: 4, kind: v}}\n").basis(), "triangle waves through 900 Hz (not measured).")
	require.Contains(t, deaf(demoOn(t, eightVoices())).basis(), "Rests on: release 2.40 s (not measured). 30 % longer: 244 tails cut; shorter: 237.")
}

// TestSparkLine: each bar is as high as its share of the most.
func TestSparkLine(t *testing.T) {
	require.Equal(t, ".▁▅█", sparkLine([]float64{0, 0.1, 4, 8}))
	r := demoOn(t, eightVoices())
	// Of what is heard each sign stands for so many dB: faint below 3, the last 10 or more.
	for db, sign := range map[float64]rune{0: '.', 0.9: '.', 1: '▁', 2.9: '▂', 3: '▃', 9.9: '▇', 10: '█'} {
		require.Equal(t, sign, heardSign(db), db)
	}
	require.Regexp(t, `^Heard by bar  [.▁▂▃▄▅▆▇█]{17}  most in bar 9: 7.2 dB$`, r.spark().Text)
	r = deaf(r)
	require.Regexp(t, `^Losses by bar  [.▁▂▃▄▅▆▇█]{17}  most in bar \d+: \d+ losses$`, r.spark().Text)
	r.Bars = 100 // 4 bars a sign
	require.Regexp(t, `^Losses by 4 bars  [.▁▂▃▄▅▆▇█]{25}  most`, r.spark().Text)
}

// TestCutOffFiles: a song whose file ends too early says so in its second line, of
// replay and of size; a whole one does not.
func TestCutOffFiles(t *testing.T) {
	data, err := os.ReadFile(demo("slow-kiln.mid"))
	require.NoError(t, err)
	for _, bytes := range []int{1500, len(data)} {
		song, err := midi.Read(data[:bytes], midi.Options{})
		require.NoError(t, err)
		_, r := sizeOf(t, "kiln-yard.yaml", plan.Overrides{}, song, "slow-kiln.mid", false)
		top, _, _ := size{r}.advice()
		head := played(t, planOf(t, "kiln-yard.yaml", plan.Overrides{}), song).head()
		const says = "The song's file is damaged or cut off: notes may be missing."
		if bytes < len(data) {
			require.Equal(t, says, head[1])
			require.Equal(t, says, top[0])
		} else {
			require.NotContains(t, append(top, head...), says)
		}
	}
}

// TestLossesCountTheirKinds: what is counted is what is listed: losses that are heard,
// without those of pitch alone; where nobody listened, tails that their own note cuts
// are among the losses, and not among the tails cut of the headline.
func TestLossesCountTheirKinds(t *testing.T) {
	r := demoOn(t, plan.Overrides{})
	own := r.Endings[study.TailCutOwnKey]
	tails := r.Endings[study.TailCutOtherKey] + own
	require.Equal(t, len(r.Losses), tails+r.Heard.WrongPitch.Faint)
	require.Equal(t, fmt.Sprintf("You would hear none of %d losses (--all shows them all).", tails), r.lossLine(0))
	require.Equal(t, fmt.Sprintf("The worst 6 of %d losses, %d of them tails cut by their own note (--all shows them all):", tails, own), deaf(r).lossLine(6))
	require.Empty(t, r.losses(Screen)[1].(doc.Table).Groups)
	require.Len(t, r.losses(All)[1].(doc.Table).Groups[0].Rows, len(r.Losses))
	pitch := onRig(t, "banks: {K: {voices: 8, kind: v}}\n", "window: 0 V to 5 V, zero_key: 50, ") // key 48 is below
	require.Equal(t, doc.Paragraph{Text: "Nothing goes missing but pitch (--all shows each note)."}, pitch.losses(Screen)[0])
	require.Equal(t, doc.Paragraph{Text: "Nothing goes missing but pitch:"}, pitch.losses(All)[0])
	require.Len(t, pitch.losses(All)[1].(doc.Table).Groups[0].Rows, len(pitch.Losses))
	r = demoOn(t, plan.Overrides{Voices: plan.All(10)})
	require.Equal(t, "The worst 6 of 56 losses that you would hear (--all shows all):", r.lossLine(6))
	require.Len(t, r.losses(Screen)[1].(doc.Table).Groups[0].Rows, 6)
}
