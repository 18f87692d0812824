package paper

import (
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Drawings are the figures of the sheet of a map: its rack on one page, or where it has too
// many lines of voices its interfaces and its banks; its unisons, and labels for its cables.
func Drawings(m *contract.Map) Figures {
	figures := Figures{say.FigureLabels: func(f *flow) { f.labels(say.CableLabels(m)) }}
	if say.OnDoor(m) {
		figures[say.FigureDoor] = func(f *flow) { f.door(say.NewDoor(m)) }
	} else {
		figures[say.FigureBanks] = func(f *flow) { f.faces(say.Faces(m)) }
		panels := say.Panels(m)
		for i := range panels {
			figures[say.Numbered(say.FigureJacks, i)] = func(f *flow) { f.panel(&panels[i]); f.jackLegend() }
		}
	}
	for i := range m.Unisons {
		figures[say.Numbered(say.FigureUnison, i)] = func(f *flow) { f.scales(&m.Unisons[i]) }
	}
	return figures
}

// Measures of a cable's flag, in mm: two halves that are glued back to back,
// with what goes round the cable between them.
const (
	flagHalf   = 27.0
	flagWrap   = 8.0
	flagHeight = 15.5
)

// labels are flags to cut out, two for each cable, one for either end; each
// names both ends.
func (f *flow) labels(list []say.CableLabel) {
	const wide = 2*flagHalf + flagWrap
	across := max(1, int(f.width()/wide))
	at := 0
	for i := range list {
		for range 2 {
			if at%across == 0 {
				if at > 0 {
					f.y += flagHeight
				}
				if f.need(flagHeight) {
					at = 0
				}
			}
			f.flag(&list[i], f.left()+float64(at%across)*wide)
			at++
		}
	}
	f.y += flagHeight
}

func (f *flow) flag(l *say.CableLabel, x float64) {
	p := f.on()
	p.Rect(x, f.y, 2*flagHalf+flagWrap, flagHeight, draw.Style{Stroke: draw.Grey, Width: 0.15})
	if ink := cableInks[l.Colour]; ink != draw.None {
		p.Rect(x+flagHalf, f.y, flagWrap, flagHeight, swatch(ink)) // a ring, once it is round the cable
	}
	for _, fold := range []float64{flagHalf, flagHalf + flagWrap} {
		p.Line(x+fold, f.y, x+fold, f.y+flagHeight, draw.Style{Stroke: draw.Grey, Width: 0.15, Dash: 1})
	}
	for _, half := range []float64{0, flagHalf + flagWrap} {
		left, width := x+half+1.2, flagHalf-2.4
		number := draw.Type{Size: 3.6, Bold: true}
		p.Text(left, f.y+4, draw.FitName(l.Name, width, number), number)
		t := draw.Type{Size: small}
		p.Text(left, f.y+7.6, end(l.From, width, t), t)
		p.Text(left, f.y+10.9, end("→ "+l.To, width, t), t)
		t.Ink = draw.Dark
		p.Text(left, f.y+14.2, draw.Fit(l.Kind, width, t), t)
	}
}

// cableInks are the inks for the colours of cables; none for no colour.
var cableInks = map[string]draw.Ink{"brown": draw.Brown, "red": draw.Red, "orange": draw.Orange, "yellow": draw.Yellow, "green": draw.Green,
	"blue": draw.Blue, "violet": draw.Violet, "grey": draw.Grey, "white": draw.Paper, "black": draw.Black}

// swatch paints a colour of cables so that white and yellow show on paper.
func swatch(ink draw.Ink) draw.Style { return draw.Style{Fill: ink, Stroke: draw.Black, Width: 0.2} }

// end cuts the name of an end of a cable, but not the jack on it: cv 12 of an
// interface, pitch of a voice.
func end(name string, width float64, t draw.Type) string {
	at := strings.LastIndex(name, ".")
	if space := strings.LastIndex(name, " "); at < 0 && space > 0 {
		at = strings.LastIndex(name[:space], " ")
	}
	if at > 0 && draw.Width(name[at:], t) < width/2 {
		return draw.FitName(name[:at], width-draw.Width(name[at:], t), t) + name[at:]
	}
	return draw.FitName(name, width, t)
}
