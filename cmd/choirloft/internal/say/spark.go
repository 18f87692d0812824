package say

import (
	"fmt"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// mostSigns is how many signs a spark line has: with its words it fits the
// narrowest line.
const mostSigns = 32

// sparks are from little to most; nothing has a dot.
var sparks = []rune("▁▂▃▄▅▆▇█")

// spark shows the song bar by bar: lost seconds, or where no more than overlaps
// and tails are lost, how many of these.
func (r result) spark() doc.Paragraph {
	if len(r.LostByBar) == 0 {
		return doc.Paragraph{}
	}
	what, of := "Losses", func(b *contract.LostBar) float64 { return float64(b.Losses) }
	if r.Hurt() > 0 {
		what, of = "Lost seconds", func(b *contract.LostBar) float64 { return b.LostS }
	}
	each := (max(r.Bars, r.LostByBar[len(r.LostByBar)-1].Bar) + mostSigns - 1) / mostSigns
	sums := make([]float64, (r.Bars+each-1)/each)
	worst := &r.LostByBar[0]
	for i := range r.LostByBar {
		b := &r.LostByBar[i]
		at := min((b.Bar-1)/each, len(sums)-1)
		sums[at] += of(b)
		if of(b) > of(worst) {
			worst = b
		}
	}
	text := what + " by bar"
	if each > 1 {
		text = fmt.Sprintf("%s by %d bars", what, each)
	}
	most := unit.Count(worst.Losses, "loss")
	if worst.Losses != 1 {
		most = fmt.Sprintf("%d losses", worst.Losses)
	}
	if r.Hurt() > 0 {
		most = unit.Span(worst.LostS)
	}
	return doc.Paragraph{Text: fmt.Sprintf("%s  %s  most in bar %d: %s", text, sparkLine(sums), worst.Bar, most)}
}

// sparkLine draws numbers, each as high as its share of the largest.
func sparkLine(values []float64) string {
	most := 0.0
	for _, v := range values {
		most = max(most, v)
	}
	var b strings.Builder
	for _, v := range values {
		if v <= 0 {
			b.WriteByte('.')
			continue
		}
		b.WriteRune(sparks[min(len(sparks)-1, int(v/most*float64(len(sparks))))])
	}
	return b.String()
}
