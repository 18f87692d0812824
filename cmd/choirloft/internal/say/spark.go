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

// spark shows the song bar by bar: what is heard most of what goes missing. Where
// nobody listened, it shows lost seconds, or where no more than overlaps and tails
// are lost, how many of these.
func (r result) spark() doc.Paragraph {
	if r.Heard != nil {
		return doc.Paragraph{Text: r.heardSpark()}
	}
	if len(r.LostByBar) == 0 {
		return doc.Paragraph{}
	}
	what, of := "Losses", func(b *contract.LostBar) float64 { return float64(b.Losses) }
	if r.Hurt() > 0 {
		what, of = "Lost seconds", func(b *contract.LostBar) float64 { return b.LostS }
	}
	sums, each, worst := r.byBars(of, func(a, b float64) float64 { return a + b })
	most := losses(worst.Losses)
	if r.Hurt() > 0 {
		most = unit.Span(worst.LostS)
	}
	return doc.Paragraph{Text: fmt.Sprintf("%s  %s  most in bar %d: %s", byBars(what, each), sparkLine(sums), worst.Bar, most)}
}

// heardSpark shows in each bar the loss that is heard most, in dB.
func (r result) heardSpark() string {
	most, each, worst := r.byBars(heardInBar, func(a, b float64) float64 { return max(a, b) })
	if worst == nil || worst.HeardDB == nil {
		return ""
	}
	var b strings.Builder
	for _, db := range most {
		b.WriteRune(heardSign(db))
	}
	return fmt.Sprintf("%s  %s  most in bar %d: %s", byBars("Heard", each), b.String(), worst.Bar, heardDB(worst.HeardDB))
}

// heardInBar is how much is heard in a bar, in dB.
func heardInBar(b *contract.LostBar) float64 {
	if b.HeardDB == nil {
		return 0
	}
	return *b.HeardDB
}

// heardFrom are from how many dB on each sign of [sparks] stands: two for what is
// faint, the last for 10 dB and more.
var heardFrom = []float64{1, 2, 3, 4, 5, 6, 8, 10}

func heardSign(db float64) rune {
	sign := '.'
	for i, from := range heardFrom {
		if db >= from {
			sign = sparks[i]
		}
	}
	return sign
}

// byBars adds bars up to as many as a line has signs, so many at once, and finds the
// one with most; nil where nothing is lost.
func (r result) byBars(of func(*contract.LostBar) float64, add func(a, b float64) float64) (all []float64, each int, worst *contract.LostBar) {
	if len(r.LostByBar) == 0 {
		return nil, 1, nil
	}
	each = (max(r.Bars, r.LostByBar[len(r.LostByBar)-1].Bar) + mostSigns - 1) / mostSigns
	all = make([]float64, (r.Bars+each-1)/each)
	worst = &r.LostByBar[0]
	for i := range r.LostByBar {
		b := &r.LostByBar[i]
		at := min((b.Bar-1)/each, len(all)-1)
		all[at] = add(all[at], of(b))
		if of(b) > of(worst) {
			worst = b
		}
	}
	return all, each, worst
}

// byBars says what a line of signs shows.
func byBars(what string, each int) string {
	if each > 1 {
		return fmt.Sprintf("%s by %d bars", what, each)
	}
	return what + " by bar"
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
