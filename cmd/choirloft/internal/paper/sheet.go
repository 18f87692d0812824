package paper

import (
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/figures"
	"choirloft/cmd/choirloft/internal/say"
)

// Drawings are the figures of the sheet of a map: its rack on one page, or where it has too
// many lines of voices its interfaces and its banks; its unisons, and labels for its cables.
func Drawings(m *contract.Map) Figures {
	var door *say.Door
	if say.OnDoor(m) {
		door = say.NewDoor(m)
	}
	k, panels := newKeys(m), say.Panels(m)
	all := Figures{say.FigureLabels: func(f *flow) { f.labels(say.CableLabels(m), k) }}
	if door != nil {
		all[say.FigureDoor] = func(f *flow) { f.keys = k; f.door(door) }
	} else {
		all[say.FigureBanks] = func(f *flow) { f.whole(k, func(f *flow) { f.faces(say.Faces(m)) }) }
		for i := range panels {
			all[say.Numbered(say.FigureJacks, i)] = func(f *flow) { f.whole(k, func(f *flow) { f.panel(&panels[i]); f.jackLegend() }) }
		}
	}
	for i := range m.Unisons {
		all[say.Numbered(say.FigureUnison, i)] = func(f *flow) { f.inset(figures.UnisonParts(&m.Unisons[i], f.measure())...) }
	}
	return all
}

// cableInks are the inks for the colours of cables; none for no colour.
var cableInks = map[string]draw.Ink{"brown": draw.Brown, "red": draw.Red, "orange": draw.Orange, "yellow": draw.Yellow, "green": draw.Green,
	"blue": draw.Blue, "violet": draw.Violet, "grey": draw.Grey, "white": draw.Paper, "black": draw.Black}

// swatch paints a colour of cables so that white and yellow show on paper.
func swatch(ink draw.Ink) draw.Style { return draw.Style{Fill: ink, Stroke: draw.Black, Width: 0.2} }
