package figures

import (
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
)

// Bar is what a number of voices costs on a picture of sizes.
type Bar struct {
	Voices int     `json:"voices"`
	Dark   float64 `json:"dark"` // part of Grey
	Grey   float64 `json:"grey"`
	Known  bool    `json:"known"`
	Says   string  `json:"says"`
}

// Sizes are the bars of a picture that has numbers of voices for its axis: what they measure, and
// what their two fills stand for; the legend is a sentence of that.
type Sizes struct {
	Label  string         `json:"label"`
	Dark   string         `json:"dark"`
	Grey   string         `json:"grey"`
	Legend string         `json:"legend"`
	Bars   []Bar          `json:"bars"`
	Marks  []say.SizeMark `json:"marks"`
}

// NewSizes are the bars of a curve as [Curve] draws it.
func NewSizes(s *contract.SizeResult) *Sizes {
	m := measureOf(s)
	b := &Sizes{Label: m.label, Dark: m.dark, Grey: m.grey, Bars: []Bar{}, Marks: []say.SizeMark{}}
	heard := 2*m.unheard <= len(m.points)
	b.Legend = say.SizeLegend(m.label, m.dark, m.grey, heard)
	for _, p := range m.points {
		dark, grey, ok := m.of(p)
		b.Bars = append(b.Bars, Bar{p.Voices, dark, grey, ok, say.SizeBar(p, heard)})
	}
	return b
}
