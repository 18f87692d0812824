package figures

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

const testdata = "../../../../testdata/"

// demo is the demo song on so many of the demo's voices.
func demo(t testing.TB, o plan.Overrides) (*contract.Lanes, *contract.Result) {
	t.Helper()
	rig, err := profiles.Load(testdata + "kiln-yard.yaml")
	require.NoError(t, err)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	data, err := os.ReadFile(testdata + "slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	replay, spans, err := p.Lanes(song)
	require.NoError(t, err)
	r := contract.NewResult(p, "slow-kiln.mid", song, replay)
	require.NoError(t, r.Listen(p, song, replay))
	return contract.NewLanes(p, song, replay, spans), r
}

// golden compares with a file of testdata, or writes it.
func golden(t *testing.T, name string, p *draw.Picture) {
	t.Helper()
	file := filepath.Join("testdata", name)
	got := draw.AppendSVG(nil, p)
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.MkdirAll("testdata", 0o777))
		require.NoError(t, os.WriteFile(file, got, 0o666))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.True(t, bytes.Equal(want, got), "%s differs; UPDATE_GOLDEN=1 writes it", file)
}

func TestGolden(t *testing.T) {
	l, r := demo(t, plan.Overrides{Voices: plan.All(10)})
	golden(t, "lanes.svg", Lanes(l, r, l.All(), 273, 170))
}

// one is a song of two voices, made by hand: a key from 0 to 1 s that a pedal
// holds to 2 s, with a tail to 4 s; on the other voice a key from 1 s that is cut
// at 3 s; and a note that is dropped at 2.5 s.
func one() (*contract.Lanes, *contract.Result) {
	l := &contract.Lanes{Seconds: 4, HasBars: true, Voices: []contract.LaneVoice{{Name: "K1", Bank: "K", State: "in"}, {Name: "K2", Bank: "K", State: "in"}},
		Spans: []contract.LaneSpan{{Voice: 1, StartS: 0, UpS: 1, LowS: 2, EndS: 4}, {Voice: 2, StartS: 1, UpS: 3, LowS: 3, EndS: 3, Ending: "held_cut"}},
		Bars:  []contract.BarLine{{Bar: 1, AtS: 0}, {Bar: 2, AtS: 2}},
		Held:  []contract.DepthStep{{AtS: 0, Voices: 1}, {AtS: 1, Voices: 1}, {AtS: 2.5, Voices: 3}, {AtS: 3, Voices: 0}}}
	l.Pedal, l.Audible = l.Held, l.Held
	r := &contract.Result{Losses: []contract.Loss{{AtS: 2.5, Ending: "dropped"}, {AtS: 3, Ending: "held_cut"}}}
	r.Demand.Voices = 2
	return l, r
}

func svg(p *draw.Picture) string { return string(draw.AppendSVG(nil, p)) }

// TestPlaces works the places out by hand: the lanes are 100 mm wide for 4 s,
// from 17 mm on.
func TestPlaces(t *testing.T) {
	l, r := one()
	text := svg(Lanes(l, r, l.All(), 119, 100))
	require.Contains(t, text, "M17.35 ")                            // the key, after a gap of 0.35 mm …
	require.Regexp(t, `M17\.35 [\d.]+h24\.65v`, text)               // … to 1 s, at 42 mm
	require.Regexp(t, `M42 [\d.]+h25v[\d.]+h-25z`, text)            // the pedal, to 2 s, at 67 mm
	require.Regexp(t, `M67 [\d.]+L67 [\d.]+L117 [\d.]+L117 `, text) // the tail to 4 s, at 117 mm
	require.Regexp(t, `M42\.35 [\d.]+h49\.65v`, text)               // the other key, to 3 s, at 92 mm
	for _, word := range []string{"K1", "K2", "dropped (1)", "stolen while held (1)", "2 voices in service", "too few", "tail", "sustained"} {
		require.Contains(t, text, ">"+word+"<")
	}
	// Too few voices from 2.5 s (79.5 mm) to 3 s (92 mm): three wanted, two there.
	require.Regexp(t, `fill="#b03414" d="M17 [\d.]+L17 [\d.]+L42 [\d.]+L42 [\d.]+L79\.5 [\d.]+L79\.5 [\d.]+L92 `, text)
}

// A moment with too few voices is seen however short: 0.01 s of 4 s are 0.25 mm of 100, and are marked 0.8 mm wide
// about their middle, in paper 0.25 mm wider on either side; one of 0.5 s has no such mark.
func TestShortMomentsAreSeen(t *testing.T) {
	l, r := one()
	require.NotContains(t, svg(Lanes(l, r, l.All(), 119, 100)), "h0.8v1.8h-0.8z")
	l.Pedal = []contract.DepthStep{{AtS: 0, Voices: 1}, {AtS: 2, Voices: 3}, {AtS: 2.01, Voices: 2}}
	text := svg(Lanes(l, r, l.All(), 119, 100))
	require.Regexp(t, `fill="#b03414" d="M66\.7[23]? [\d.]+h0\.8v1\.8h-0\.8z"`, text) // 67 + 0.125 − 0.4
	require.Contains(t, text, "h1.3v2.3h-1.3z")
}

// heardOne is one with what is heard: the cut plainly, the dropped note faintly.
func heardOne() (*contract.Lanes, *contract.Result) {
	l, r := one()
	l.Parts, r.Heard = []string{"pad", "arp"}, &contract.Heard{Order: []int{1, 0}}
	l.Spans[1].Key, l.Spans[1].KeyName, l.Spans[1].WantedS = 69, "A4", 3.5
	db, little, voice, by, key := 6.04, 1.5, 2, "arp", "C5"
	r.Losses[0].HeardOne = &contract.HeardOne{HeardDB: &little, Kind: "start"}
	r.Losses[0].Part, r.Losses[0].KeyName = "arp", "C6"
	r.Losses[1] = contract.Loss{AtS: 3, Ending: "held_cut", Part: "pad", Key: 69, KeyName: "A4", BarNumber: 2, Beat: 3, Voice: &voice, ByPart: &by, ByKeyName: &key,
		HeardOne: &contract.HeardOne{HeardDB: &db, Kind: "end"}}
	return l, r
}

// The sentence above says what the marks show: of a window only what is in it. A loss
// says who lost what to whom, in as many words as there is room for.
func TestLossesByWhatIsHeard(t *testing.T) {
	l, r := heardOne()
	wide := svg(Lanes(l, r, l.All(), 273, 100))
	for _, word := range []string{"You would hear 2 losses, 1 plainly. Worst: 2.3, pad A4 (69), 6.0 dB. 1 note dropped.", "pad A4 to arp C5, 6.0 dB", "pad A4",
		"loss that you would hear plainly (1)", "faintly (1)", "dropped", "note missing"} {
		require.Contains(t, wide, ">"+word+"<")
	}
	require.NotContains(t, wide, "not heard (")
	require.NotContains(t, wide, "tail missing")
	narrow := svg(Lanes(l, r, l.All(), 60, 100))
	require.Contains(t, narrow, ">A4<", "no room for more")
	require.Contains(t, narrow, ">2.3 K2: pad A4 to arp C5, 6.0 dB<", "so that the list says it")
	require.NotContains(t, wide, "without room")
	first := svg(Lanes(l, r, contract.Window{From: 0, To: 2}, 273, 100))
	require.Contains(t, first, ">Bar 1: nothing is lost.<")
	require.NotContains(t, first, "plainly")
	second := svg(Lanes(l, r, contract.Window{From: 2, To: 4}, 273, 100))
	require.Contains(t, second, ">Bar 2: you would hear 2 losses, 1 plainly. Worst: 2.3, pad A4 (69), 6.0 dB. 1 note dropped.<")
	// What is missing is dashed, level, from 3 s to 3.5 s, but for 1.6 mm behind the mark: 254 mm for 4 s, from 17 mm on.
	dashes := regexp.MustCompile(`M209\.1 ([\d.]+)L239\.25 ([\d.]+)`).FindStringSubmatch(wide)
	require.Len(t, dashes, 3)
	require.Equal(t, dashes[1], dashes[2])
}

// A cut tail is told from a cut note, faint or plain: its dashes fall, below its label too, and the words say tail.
func TestTailsAreToldFromNotes(t *testing.T) {
	l, r := heardOne()
	key := 72
	r.Losses[1].Ending, r.Losses[1].ByKey, l.Spans[1].Ending, l.Spans[1].LowS = "tail_cut_other_key", &key, "tail_cut_other_key", 2.5
	for _, db := range []float64{6, 2} {
		*r.Losses[1].HeardDB = db
		text := svg(Lanes(l, r, l.All(), 273, 100))
		require.Contains(t, text, fmt.Sprintf("Worst: 2.3, pad A4 (69) tail to arp C5 (72), %.1f dB.", db))
		require.Contains(t, text, ">tail missing<")
		require.NotContains(t, text, ">note missing<", "a note that was dropped has no dashes")
		require.Equal(t, db == 6, strings.Contains(text, ">pad A4 tail to arp C5, 6.0 dB<"))
		require.Equal(t, db == 6, strings.Contains(text, "You would hear 2 losses, 1 plainly (only a tail). "))
		dashes := regexp.MustCompile(`stroke-dasharray="0.45" d="M209\.1 ([\d.]+)L239\.25 ([\d.]+)`).FindStringSubmatch(text)
		require.Len(t, dashes, 3)
		from, _ := strconv.ParseFloat(dashes[1], 64)
		to, _ := strconv.ParseFloat(dashes[2], 64)
		// It falls 1.6 mm, from 0.5 mm below marks that hang 1.3 mm higher, to 0.2 mm over the notes, in 31.75 mm.
		require.InDelta(t, 1.6*30.15/31.75, to-from, 0.02)
	}
	narrow := svg(Lanes(l, r, l.All(), 60, 100))
	require.NotContains(t, narrow, ">A4 tail<", "no room")
	*r.Losses[1].HeardDB, *r.Losses[0].HeardDB = 6, 5
	require.Contains(t, svg(Lanes(l, r, l.All(), 273, 100)), "You would hear 2 losses, all plainly. ", "one is a note")
}

// A note that was stolen at once or dropped has a mark of its own, and the picture of a whole song says what no mark can: how many notes
// no part plays.
func TestStolenAtOnceIsTold(t *testing.T) {
	l, r := heardOne()
	key := 72
	r.Losses[1].Ending, r.Losses[1].ByKey, l.Spans[1].Ending = "born_cut", &key, "born_cut"
	whole := svg(Lanes(l, r, l.All(), 273, 100))
	for _, word := range []string{"You would hear 2 losses, 1 plainly. Worst: 2.3, pad A4 (69) at once to arp C5 (72), 6.0 dB. 1 note dropped, 1 stolen at once.", "pad A4 at once to arp C5, 6.0 dB", "stolen at once or dropped (1 of them)"} {
		require.Contains(t, whole, ">"+word+"<")
	}
	r.Flags.Unmapped, r.UnmappedKeys = 3, []contract.UnmappedKeys{{Channel: "channel 10", Whole: true, Notes: 3}}
	require.Contains(t, svg(Lanes(l, r, l.All(), 273, 100)), "1 note dropped, 1 stolen at once, 3 unplayed (channel 10).<")
	require.NotContains(t, svg(Lanes(l, r, contract.Window{From: 2, To: 4}, 273, 100)), "unplayed")
	r.UnmappedKeys = append(r.UnmappedKeys, contract.UnmappedKeys{Channel: "channel 12", Whole: true})
	require.Contains(t, svg(Lanes(l, r, l.All(), 273, 100)), ", 3 unplayed (channels 10 and 12).<")
	r.Losses, r.Heard.Order = nil, nil
	require.Contains(t, svg(Lanes(l, r, l.All(), 273, 100)), ">No note or tail is cut. 3 notes unplayed (channels 10 and 12).<", "which is a loss")
}

// In a song of one part that is not named: a key says which note it is.
func TestOnePartIsNotNamed(t *testing.T) {
	l, r := heardOne()
	l.Parts, r.Parts = []string{"pad"}, make([]contract.Part, 1)
	text := svg(Lanes(l, r, l.All(), 273, 100))
	for _, says := range []string{"You would hear 2 losses, 1 plainly. Worst: 2.3, A4 (69), 6.0 dB. 1 note dropped.", "A4 to C5, 6.0 dB", "A4"} {
		require.Contains(t, text, ">"+says+"<")
	}
	require.NotContains(t, text, "pad A4")
}

// A note at the wrong pitch has a frame, and stands in the sentence: no voice cures it.
func TestWrongPitchIsFramed(t *testing.T) {
	l, r := heardOne()
	flag, db, voice := contract.FlagWrongPitch, 4.0, 1
	before := svg(Lanes(l, r, l.All(), 273, 100))
	r.Losses = append(r.Losses, contract.Loss{AtS: 0, Key: l.Spans[0].Key, Voice: &voice, HeardOne: &contract.HeardOne{HeardDB: &db, Flag: &flag}})
	after := svg(Lanes(l, r, l.All(), 273, 100))
	require.Contains(t, after, ">You would hear 2 losses, 1 plainly. Worst: 2.3, pad A4 (69), 6.0 dB. 1 note dropped, 1 at the wrong pitch.<")
	require.Contains(t, after, ">wrong pitch (1)<")
	lowest := 36
	r.WrongPitch, l.MiddleC = []contract.WrongPitch{{Part: "pad", Notes: 1, Range: contract.Range{LowKey: 33, WindowLowKey: &lowest}}}, 3
	r.Flags.Unmapped = 2
	require.Contains(t, svg(Lanes(l, r, l.All(), 273, 100)), " 1 note dropped, 1 at the wrong pitch, pad below C1 (36). 2 notes unplayed.<")
	require.Contains(t, svg(Lanes(l, r, contract.Window{From: 2, To: 4}, 273, 100)), " 6.0 dB. 1 note dropped.<", "it is not in these bars")
	require.Regexp(t, `M17 [\d.]+h127v`, after, "the first note, to 2 s, 254 mm for 4 s from 17 mm on")
	require.NotContains(t, before, "wrong pitch")
}

// A frame says what sounds: beside what was asked where there is room, behind it over the tail, else alone.
func TestWrongPitchSaysWhatSounds(t *testing.T) {
	require.Empty(t, draw.Lacking("→"))
	texts := func(up, end float64) (all []string) {
		l, r := heardOne()
		flag, db, voice := contract.FlagWrongPitch, 4.0, 1
		s := &l.Spans[0]
		s.KeyName, s.SoundsName, s.UpS, s.LowS, s.EndS = "G1", "C2", up, up, end
		r.Losses = append(r.Losses, contract.Loss{AtS: 0, Key: s.Key, Voice: &voice, HeardOne: &contract.HeardOne{HeardDB: &db, Flag: &flag}})
		p := Lanes(l, r, l.All(), 273, 100)
		require.Contains(t, svg(p), ">wrong pitch (1), → what sounds<")
		for _, x := range p.Texts() {
			if strings.Contains(x.Text, "G1") || x.Text == "→C2" {
				all = append(all, x.Text)
			}
		}
		return all
	}
	// A second is 63.5 mm: 1, 0.15 and 0.12 s are 63.5, 9.5 and 7.6 mm.
	require.Equal(t, []string{"pad G1→C2"}, texts(1, 1))
	require.Equal(t, []string{"G1→C2"}, texts(0.18, 0.18))
	require.Equal(t, []string{"→C2", "G1"}, texts(0.12, 1))
	require.Equal(t, []string{"→C2"}, texts(0.12, 0.12))
	require.Equal(t, []string{"G1"}, texts(0.085, 0.085), "5.4 mm")
}

// Losses of one instant on one lane share a mark, which names the worst and counts the others.
func TestLossesAtOnce(t *testing.T) {
	l, r := heardOne()
	for i, db := range []float64{3, 8} {
		x := r.Losses[0] // a note that was dropped at 2.5 s
		x.HeardOne = &contract.HeardOne{HeardDB: &db, Kind: "start"}
		x.KeyName = []string{"E5", "G5"}[i]
		r.Losses, r.Heard.Order = append(r.Losses, x), append(r.Heard.Order, len(r.Losses))
	}
	require.Contains(t, svg(Lanes(l, r, l.All(), 273, 100)), ">arp G5, 8.0 dB +2<")
}

// The demo's pictures count what the replay counts.
func TestPicturesCountTheSame(t *testing.T) {
	for _, voices := range []int{6, 10, 16} {
		l, r := demo(t, plan.Overrides{Voices: plan.All(voices)})
		text := svg(Lanes(l, r, l.All(), 273, 170))
		if *r.Heard.Faint == 0 {
			require.Contains(t, text, ">You would hear none of ")
			continue
		}
		require.Contains(t, text, fmt.Sprintf(">You would hear %d losses, %d plainly. ", *r.Heard.Faint, *r.Heard.Plain))
		require.Contains(t, text, fmt.Sprintf(">loss that you would hear plainly (%d)<", *r.Heard.Plain))
	}
}

// Names on the fills of parts can be read: WCAG 2.2 asks for a contrast of 4.5 (1.4.3);
// the luminance is that of its definition. The fills differ from each other without colour.
func TestFillsCarryTheirNames(t *testing.T) {
	luminance := func(i draw.Ink) float64 {
		l := 0.0
		for c, v := range i.RGB() {
			x := float64(v) / 255
			if x <= 0.04045 {
				x /= 12.92
			} else {
				x = math.Pow((x+0.055)/1.055, 2.4)
			}
			l += [3]float64{0.2126, 0.7152, 0.0722}[c] * x
		}
		return l
	}
	contrast := func(a, b draw.Ink) float64 {
		x, y := luminance(a), luminance(b)
		return (max(x, y) + 0.05) / (min(x, y) + 0.05)
	}
	require.InDelta(t, 21, contrast(draw.Paper, draw.Black), 4, "nearly black on white")
	for i, look := range looks {
		require.GreaterOrEqual(t, contrast(look.fill, look.text), 4.5, i)
		for _, other := range looks[:i] {
			require.True(t, look.hatch != other.hatch || contrast(look.fill, other.fill) > 1.5, "%d", i)
		}
	}
}

func TestWindows(t *testing.T) {
	l, r := one()
	w, err := l.Within(2, 2)
	require.NoError(t, err)
	require.Equal(t, contract.Window{From: 2, To: 4}, w)
	w, err = l.Within(0, 1)
	require.NoError(t, err)
	require.Equal(t, contract.Window{From: 0, To: 2}, w)
	text := svg(Lanes(l, r, w, 119, 100))
	require.NotContains(t, text, "dropped") // it is in the second bar
	for _, bad := range [][2]int{{3, 0}, {0, 3}, {2, 1}, {-1, 0}} {
		_, err := l.Within(bad[0], bad[1])
		require.Error(t, err, bad)
	}
	demoLanes, _ := demo(t, plan.Overrides{})
	require.Len(t, demoLanes.Split(demoLanes.All(), 16), 1) // 16 bars and 60 ms
	four := demoLanes.Split(demoLanes.All(), 4)
	require.Len(t, four, 4)
	require.InDelta(t, 4*4*60.0/72, four[0].To, 1e-5) // four bars of four beats at 72 a minute
	require.Equal(t, four[0].To, four[1].From)
	require.Equal(t, demoLanes.Seconds, four[3].To)
}

// TestInside: no text runs out of a picture, whatever its size and names.
func TestInside(t *testing.T) {
	l, r := one()
	for i := range 62 {
		l.Voices = append(l.Voices, contract.LaneVoice{Name: fmt.Sprintf("Печь-очень-длинное🎹%d", i), Bank: fmt.Sprint(i / 8), State: "out"})
	}
	for _, size := range [][2]float64{{273, 170}, {186, 230}, {273, 220}} {
		for _, x := range Lanes(l, r, l.All(), size[0], size[1]).Texts() {
			require.True(t, x.Left >= 0 && x.Top >= -0.5 && x.Right <= size[0]+0.01 && x.Bottom <= size[1], "%+v", x)
		}
	}
}

// TestEndingsLookDifferent: every kind of loss has a shape of its own, colour
// aside.
func TestEndingsLookDifferent(t *testing.T) {
	shapes := map[string]string{}
	for _, ending := range []string{"dropped", "late_start", "born_cut", "held_cut", "overlap_only", "pedal_cut", "tail_cut_own_key", "tail_cut_other_key"} {
		p := draw.New(10, 10)
		lossMark(p, ending, 5, 2, 6)
		shape := strings.NewReplacer("#b03414", "", "#545454", "").Replace(svg(p))
		require.NotContains(t, shapes, shape, ending)
		shapes[shape] = ending
	}
}

// A late start is marked where the note begins, if that is in the picture: at
// 1 s, 42 mm from the left.
func TestLateStartIsMarked(t *testing.T) {
	l, r := one()
	before := svg(Lanes(l, r, l.All(), 119, 100))
	l.Spans[1].WaitedS, l.Spans[1].LateStart = 0.5, true
	after := svg(Lanes(l, r, l.All(), 119, 100))
	require.Equal(t, strings.Count(before, "M42 ")+1, strings.Count(after, "M42 "), "its upright")
	from := contract.Window{From: 2, To: 4}
	late := svg(Lanes(l, r, from, 119, 100))
	l.Spans[1].LateStart = false
	require.Equal(t, svg(Lanes(l, r, from, 119, 100)), late)
}

func TestNice(t *testing.T) {
	for v, want := range map[float64]float64{0: 1, 1: 1, 1.1: 2, 2.1: 5, 5.1: 10, 11: 20, 400: 500} {
		require.Equal(t, want, nice(v, 1), "%g", v)
	}
	require.Equal(t, 30.0, ceiling(24))
	require.Equal(t, "1:05", clock(65, false))
	require.Equal(t, "0:05.5", clock(5.5, true))
}

// long is a song of n notes on 64 voices.
func long(n int) (*contract.Lanes, *contract.Result) {
	l := &contract.Lanes{Seconds: float64(n) / 20, HasBars: true}
	for i := range 64 {
		l.Voices = append(l.Voices, contract.LaneVoice{Name: fmt.Sprintf("V%d", i+1), Bank: fmt.Sprint(i / 8), State: "in"})
	}
	for i := range n {
		at := float64(i) / 20
		l.Spans = append(l.Spans, contract.LaneSpan{Voice: i%64 + 1, StartS: at, UpS: at + 1, LowS: at + 1.2, EndS: at + 2.5,
			Ending: []string{"", "tail_cut_other_key", "held_cut"}[i%3]})
		l.Held = append(l.Held, contract.DepthStep{AtS: at, Voices: i % 40})
	}
	for i := range n / 40 {
		l.Bars = append(l.Bars, contract.BarLine{Bar: i + 1, AtS: 2 * float64(i)})
	}
	l.Pedal, l.Audible = l.Held, l.Held
	r := &contract.Result{}
	r.Demand.Voices = 32
	return l, r
}

// BenchmarkLanes draws 10 000 notes, and writes them in each format.
func BenchmarkLanes(b *testing.B) {
	l, r := long(10_000)
	for name, write := range map[string]func(*bytes.Buffer, *draw.Picture) error{
		"svg": func(w *bytes.Buffer, p *draw.Picture) error { return draw.SVG(w, p) },
		"png": func(w *bytes.Buffer, p *draw.Picture) error { return draw.PNG(w, p, 5) },
		"pdf": func(w *bytes.Buffer, p *draw.Picture) error { return draw.PDF(w, draw.About{}, p) },
	} {
		b.Run(name, func(b *testing.B) {
			var w bytes.Buffer
			for b.Loop() {
				w.Reset()
				if err := write(&w, Lanes(l, r, l.All(), 273, 216)); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(w.Len()), "B/file")
		})
	}
}

// The picture of sizes goes by what is heard, worked out by hand: 40 s at all and 20
// plainly on one voice, nothing on two, which are enough. Where nobody listened the notes
// that are cut or dropped stand there, and what no rule can do better. A dot is the rig
// as it is: its two voices lose 20 s where as many identical ones lose nothing.
func TestCurveByEar(t *testing.T) {
	two := 2
	s := &contract.SizeResult{Song: contract.Song{Notes: 5}, Voices: 2, OwnRules: &contract.RulesName{Pick: "lowest", Steal: "oldest", Tails: "known"},
		EnoughOwn: contract.OwnFrom{Undamaged: &two}, Curve: []contract.SizePoint{{Voices: 1, FewestDamaged: 1, Own: contract.Cost{Damaged: 3, TailCuts: 2}}, {Voices: 2}}}
	text := svg(Curve(s, 119, 120))
	for _, word := range []string{"Notes cut or dropped", "by any rule", "cut or dropped", "2: no note cut, you have"} {
		require.Contains(t, text, ">"+word+"<")
	}
	require.NotContains(t, text, "seconds")
	s.Curve[0].Heard, s.Curve[1].Heard = &contract.HeardFigures{FaintS: 40, PlainS: 20}, &contract.HeardFigures{}
	s.NowHeard = &contract.HeardFigures{FaintS: 20}
	p := Curve(s, 119, 120)
	text = svg(p)
	for _, word := range []string{"Seconds with a loss that you hear", "plainly", "faintly", "seconds heard", "40", "20", "tails cut"} {
		require.Contains(t, text, ">"+word+"<")
	}
	// The axis ends at 40 s, so the grey column is as high as the chart, the dark one and
	// the dot half as high; the columns share 87 mm from 28 mm on.
	grey := regexp.MustCompile(`M28 ([\d.]+)h43\.5v([\d.]+)h-43\.5z`).FindAllStringSubmatch(text, -1)
	require.Len(t, grey, 2)
	top, _ := strconv.ParseFloat(grey[0][1], 64)
	high, _ := strconv.ParseFloat(grey[0][2], 64)
	middle, _ := strconv.ParseFloat(grey[1][1], 64)
	half, _ := strconv.ParseFloat(grey[1][2], 64)
	require.InDelta(t, high/2, half, 0.02)
	require.InDelta(t, top+high/2, middle, 0.02)
	require.Contains(t, text, fmt.Sprintf("M%g %sL", 28+0.75*87+nowDot, grey[1][1]))
}

// The voices in service have their name and the dot where all numbers stand small, on either side of those that stand large.
func TestCurveShowsWhatYouHave(t *testing.T) {
	for _, have := range []int{1, 30} {
		s := &contract.SizeResult{Song: contract.Song{Notes: 5}, Voices: have, Curve: make([]contract.SizePoint, 30), NowHeard: &contract.HeardFigures{}}
		for i := range s.Curve {
			s.Curve[i] = contract.SizePoint{Voices: i + 1, Heard: &contract.HeardFigures{}}
		}
		s.Demand.HeardDemand, s.Hearing = &contract.HeardDemand{None: new(21 - have/2)}, &contract.Hearing{} // 21 or 6: below it 4 stand large, and 11 above
		text := svg(Curve(s, 273, 120))
		require.Contains(t, text, fmt.Sprintf(">%d: you have<", have))
		require.Contains(t, text, ">Identical voices that all parts share; dot: the rig as it is, with its parts and banks.<")
		// 68 mm for 30 columns from 14 mm on.
		require.Regexp(t, fmt.Sprintf(`<path fill="#b03414"[^>]* d="M%.2f`, 14+(0.3*273-14)*(float64(have)-0.5)/30+nowDot), text)
	}
}

// Where the rig as it is loses other notes than as many identical voices, the picture says what
// each of its parts may use, and what the columns are; where it loses the same it does not.
func TestCurveSaysWhatPartsMayUse(t *testing.T) {
	parts := []contract.PartVoices{{PartBanks: contract.PartBanks{Part: "pad"}, Voices: 1}, {PartBanks: contract.PartBanks{Part: "bass"}, Voices: 2}}
	s := &contract.SizeResult{Song: contract.Song{Notes: 5}, Voices: 2, Now: contract.Cost{Damaged: 1}, MayUse: parts, Curve: []contract.SizePoint{{Voices: 1}, {Voices: 2}}}
	const says = ">In service is the rig as it is: pad may use 1 voice, bass 2. Other rows are identical voices that all parts share.<"
	require.Contains(t, svg(Curve(s, 273, 120)), says)
	s.Now.Damaged = 0
	require.NotContains(t, svg(Curve(s, 273, 120)), "may use")
}
