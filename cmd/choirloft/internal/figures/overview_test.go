package figures

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/prose"
	"choirloft/routing/plan"
)

// overviewed is a song of 20 bars of 2 s with two plain losses and a faint one.
func overviewed() (*contract.Lanes, *contract.Result, *contract.Scenes) {
	l := &contract.Lanes{Seconds: 40, HasBars: true, Voices: []contract.LaneVoice{{Name: "K1", Bank: "K", State: "in"}}, Parts: []string{"pad"}}
	r := &contract.Result{Heard: &contract.Heard{Course: contract.HeardCourse{StepS: 0.1, DB: make([]float64, 300)}, Order: []int{1, 0, 2}}, Bars: 20}
	for i := range 20 {
		l.Bars = append(l.Bars, contract.BarLine{Bar: i + 1, AtS: 2 * float64(i)})
	}
	for i, db := range []float64{4, 10, 1.5} {
		at := []float64{8, 12, 29}[i]
		r.Losses = append(r.Losses, contract.Loss{AtS: at, Part: "pad", Key: 69, KeyName: "A4", BarNumber: int(at/2) + 1, Beat: 1, HeardOne: &contract.HeardOne{HeardDB: &db}})
		r.Heard.Course.DB[int(at*10)] = db
	}
	r.Demand.Voices = 1
	return l, r, l.Scenes(r)
}

// The sentences say what the strip shows, and a line what each scene does.
func TestOverviewSaysWhatItShows(t *testing.T) {
	l, r, s := overviewed()
	p := Overview(l, r, s, 273)
	text := svg(p)
	for _, says := range []string{"You would hear 3 losses, 2 plainly. Worst: 7.1, pad A4 (69), 10 dB+.", "Plain in bars 5 and 7.",
		"Bars 4 to 7: you would hear 2 losses, all plainly. Worst: 7.1, pad A4 (69), 10 dB+."} {
		require.Contains(t, text, ">"+says+"<")
	}
	require.Equal(t, "You would hear 3 losses, 2 plainly. Worst: 7.1, pad A4 (69), 10 dB+.", p.Title)
	// 254 mm for 40 s from 17 mm on, 26 mm for 10 dB from 19 mm down: at 8 s a plain column
	// of 4 dB, at 12 s one of 10, and at 29 s a faint one of 1.5 dB, each 0.1 s wide.
	require.Regexp(t, `fill="#b03414" d="M67\.8 34\.6h0\.6[34]v10\.4h-0\.6[34]zM93\.2 19h0\.6[34]v26h-0\.6[34]z"`, text)
	require.Regexp(t, `fill="#949494" d="M201\.15 41\.1h0\.6[34]v3\.9h-0\.6[34]z"`, text)
	for _, x := range p.Texts() {
		require.True(t, x.Left >= 0 && x.Top >= -0.5 && x.Right <= 273.01 && x.Bottom <= p.Height, "%+v", x)
	}
	r.Heard.Order, s = []int{2}, &contract.Scenes{Bars: 20}
	text = svg(Overview(l, r, s, 273))
	require.Contains(t, text, ">You would hear 1 loss faintly. Worst: 15.1, pad A4 (69), 1.5 dB.<")
	require.Contains(t, text, ">No loss is plain, so none is drawn large.<")
	require.Contains(t, text, ">--from 15 --to 15 draws the worst.<")
}

// Of a song that is all losses the strip says where most is, and what it leaves out.
func TestStripOfMany(t *testing.T) {
	l, r, _ := overviewed()
	s := &contract.Scenes{Bars: 20, Plain: []int{1, 3, 5, 7, 9, 11, 13}}
	for i := range 3 {
		s.List = append(s.List, contract.Scene{Window: contract.Window{From: float64(8 * i), To: float64(8*i + 8)}, FirstBar: 4*i + 1, LastBar: 4*i + 4, DBS: float64(i)})
	}
	s.Left, s.List = s.List[2:], s.List[:2]
	require.Contains(t, svg(Strip(l, r, s, 273)), ">Plain in 7 of 20 bars, most in bars 5 to 8.<")
	require.Contains(t, svg(Strip(l, r, s, 273)), ">These are the 2 passages that are heard most. 1 more is heard less: --from 9 --to 12 draws the next.<")
	require.Contains(t, svg(Strip(l, r, s, 273)), ">Line: drawn large. Dashes: plain losses that are not.<")
	all := &contract.Scenes{Bars: 20, Plain: s.Plain, List: s.List}
	require.Contains(t, svg(Strip(l, r, all, 273)), ">Line: drawn large.<")
	s.Together = 3
	require.Contains(t, svg(Strip(l, r, s, 273)), ">Plain in 7 of 20 bars, most in bars 5 to 8. In 3 of them only several losses together are plain.<")
	s.Together = 7
	require.Contains(t, svg(Strip(l, r, s, 273)), "most in bars 5 to 8. There only several losses together are plain.<")
	require.Contains(t, svg(Strip(l, r, s.Only(&s.List[1]), 273)), ">Below are bars 5 to 8; a .pdf or .html has more.<")
}

// The course of the demo is plain for as long as the demo is, to a step at either end of a moment.
func TestCourseOfTheDemo(t *testing.T) {
	_, r := demo(t, plan.Overrides{Voices: plan.All(10)})
	plain := 0.0
	for i := range r.Heard.Course.DB {
		if r.Heard.Course.Plain(i) {
			plain += r.Heard.Course.StepS
		}
	}
	require.GreaterOrEqual(t, plain, r.Heard.PlainS, "a step is plain where any of it is")
	require.LessOrEqual(t, plain, r.Heard.PlainS+0.2*float64(len(r.Heard.Moments)))
}

// What stands on pictures is read in one go: no sentence of more than 25 words.
func TestSentencesOfPicturesAreShort(t *testing.T) {
	l, r := demo(t, plan.Overrides{Voices: plan.All(10)})
	s := &contract.Scenes{Bars: 16, Plain: []int{1, 3, 5, 7, 9, 11, 13}, Together: 2, List: make([]contract.Scene, 12), Left: make([]contract.Scene, 7)}
	for _, p := range []*draw.Picture{Overview(l, r, s, 273), Overview(l, r, &contract.Scenes{Bars: 16}, 273), Lanes(l, r, l.All(), 273, 170), Unison(stackOf(t, "--unison", "pad=5"), 186)} {
		for _, x := range p.Texts() {
			require.Empty(t, prose.Long(x.Text), x.Text)
			require.Empty(t, prose.Retired(x.Text), x.Text)
		}
	}
}
