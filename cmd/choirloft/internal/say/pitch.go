package say

import (
	"fmt"
	"math"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// FigurePitch is the curve of [Pitch].
const FigurePitch = "pitch"

// Pitch says how far off one voice may be, term by term and key by key.
func Pitch(r *contract.Pitch) *doc.Doc {
	p, d := pitch{r}, newDoc(r.Rig+": pitch of "+r.Voice, r.Fingerprint)
	d.Add(doc.Answer{Text: p.summary() + ".", Tone: doc.Fair}, doc.Sentences(p.lines()...))
	if r.Budget == nil {
		return d
	}
	d.Under("What moves it, at "+p.key(r.Budget.AtKey), p.terms())
	d.Under("Key by key, in cents", doc.Paragraph{Text: p.spark()}, doc.Figure{Name: FigurePitch}, p.curve())
	return d
}

// PitchPicture is the sentence above the curve of a pitch.
func PitchPicture(r *contract.Pitch) string { return pitch{r}.summary() + "." }

type pitch struct{ *contract.Pitch }

func (p pitch) key(key int) string {
	return fmt.Sprintf("%s (%d)", contract.KeyName(key, p.MiddleC), key)
}

// summary is the answer in a sentence.
func (p pitch) summary() string {
	switch {
	case p.Budget == nil:
		return p.Voice + " has no pitch jack, or no key within its CV range"
	case len(p.Budget.Unknown) > 0:
		return "The tuning error of " + p.Voice + " is not known before it is measured"
	}
	mark := ""
	if p.Budget.Assumed {
		mark = ", part of it assumed"
	}
	return fmt.Sprintf("%s is likely within %s, at worst %s, at %s%s", p.Voice, centsOrLess(*p.Budget.LikelyCents), centsOrLess(*p.Budget.WorstCents),
		p.key(p.Budget.AtKey), mark)
}

// lines are what else there is to say.
func (p pitch) lines() (lines []string) {
	if p.Budget == nil {
		return nil
	}
	lines = append(lines, fmt.Sprintf("It plays %s to %s.", p.key(p.LowKey), p.key(p.HighKey)))
	for _, t := range p.Budget.Unknown {
		lines = append(lines, fmt.Sprintf("Nothing can be assumed of its %s: measure the voice, or give %s.", t.Term, t.Source))
	}
	if p.FlattensFrom != nil {
		lines = append(lines, fmt.Sprintf("From %s on, above 2 kHz, many oscillators go flat. That is not in these figures.", p.key(*p.FlattensFrom)))
	}
	if p.SettledMS != nil {
		lines = append(lines, fmt.Sprintf("A new CV is within 3 cents after %s ms, from one end of its keys to the other.", unit.Tenths(*p.SettledMS)))
	}
	return append(lines, "Formulas: choirloft help electrical.")
}

// terms has a row for each cause.
func (p pitch) terms() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("cause of error").Wide(15), number("cents of a cause").Wide(7), words("kind of error").Wide(9), words("basis").Wide(8),
		words("rig key").Wide(20).Ranked(1)}}
	for _, x := range append(p.Budget.Terms[:len(p.Budget.Terms):len(p.Budget.Terms)], p.Budget.Unknown...) {
		t.Row("", x.Term, p.size(&x), lawText(&x), x.Basis, x.Source)
	}
	return t
}

// size is that of a term, with what a law needs.
func (p pitch) size(t *contract.Term) string {
	for i := range p.Budget.Unknown {
		if p.Budget.Unknown[i] == *t {
			return unknown
		}
	}
	if t.Law == "shift" {
		return unit.Signed(t.Cents)
	}
	return strayCell(t.Cents)
}

// lawText says how the errors of a term are distributed.
func lawText(t *contract.Term) string {
	switch t.Law {
	case "shift":
		return "exactly"
	case "limit":
		return "at most"
	case "deviation":
		return "one sigma"
	}
	return fmt.Sprintf("s of a fit, %s", unit.Count(*t.Degrees, "degree"))
}

// spark shows the worst over the keys.
func (p pitch) spark() string {
	if len(p.Budget.Unknown) > 0 {
		return ""
	}
	each := (len(p.Curve) + mostSigns - 1) / mostSigns
	var values []float64
	for i, s := range p.Curve {
		if i%each == 0 {
			values = append(values, 0)
		}
		values[len(values)-1] = math.Max(values[len(values)-1], *s.LikelyCents)
	}
	return fmt.Sprintf("Likely, %s to %s  %s", p.key(p.LowKey), p.key(p.HighKey), sparkLine(values))
}

// curve has a row for each C, the ends, and the worst key.
func (p pitch) curve() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("key").Wide(8), number("known shift").Wide(6), number("likely").Wide(6), number("worst").Wide(6)}}
	for i, s := range p.Curve {
		if i == 0 || i == len(p.Curve)-1 || s.Key%12 == 0 || s.Key == p.Budget.AtKey {
			shift := unit.None
			if s.ShiftCents != 0 {
				shift = unit.Signed(s.ShiftCents)
			}
			t.Row("", p.key(s.Key), shift, tenths(s.LikelyCents), tenths(s.WorstCents))
		}
	}
	return t.WithoutEmpty(unit.None)
}
