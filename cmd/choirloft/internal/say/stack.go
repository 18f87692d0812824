package say

import (
	"fmt"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Stacks says which stack sounds when in a file of unisons, the caution first. It also
// lies beside the file.
func Stacks(v *contract.Stacks) *doc.Doc {
	s := stacks{v}
	d := newDoc("Unisons of "+v.Rig+", as sound", v.Fingerprint)
	d.Add(doc.Answer{Text: s.summary()}, cautionFor(&v.SoundFile), doc.Sentences(sketchLine,
		s.sharedLine(), "Each voice has its tuning error and drift; beats are those of the pattern without them.", assumedSound(v.Assumed, v.Drift)))
	d.Under("What sounds when", s.table())
	return d
}

// stacks puts unisons as sound into words.
type stacks struct{ *contract.Stacks }

// sharedLine says which parts one test is for.
func (s stacks) sharedLine() string {
	var lines []string
	for i := range s.Sounds {
		if x := &s.Sounds[i]; len(x.Parts) > 1 && (i == 0 || s.Sounds[i-1].Part != x.Part) {
			lines = append(lines, "Parts "+unit.Several(x.Parts)+" have the same stack: what stands under "+x.Part+" is for all of them.")
		}
	}
	return strings.Join(lines, " ")
}

func (s stacks) summary() string {
	return fmt.Sprintf("%s: %s of %s; %s of stereo sound, 24 bit.", s.File, unit.Count(len(s.Sounds), "sound"), s.Rig, unit.Length(s.LengthS))
}

// table is a row a sound.
func (s stacks) table() doc.Table {
	t := doc.Table{Columns: []doc.Column{number("in the file"), words("part").Ranked(3), words("key heard"), number("voices"), words("detune pattern"),
		number("spread"), number("slowest beat").Ranked(1), number("fastest beat").Ranked(2), words("as in the rig")}}
	hertz := func(hz *float64) string {
		if hz == nil {
			return unit.None
		}
		return fmt.Sprintf("%.2f", *hz)
	}
	for i := range s.Sounds {
		x := &s.Sounds[i]
		law, spread, own := x.Law, unit.Tenths(x.Spread), ""
		switch {
		case len(x.Cents) == 1:
			law, spread, own = "one voice", unit.None, ""
		case x.Own:
			own = "yes"
		}
		t.Row("", unit.Clock(x.FileS), x.Part, fmt.Sprintf("%s (%d)", x.KeyName, x.Key), unit.Cell(len(x.Cents)), law, spread, hertz(x.SlowestHz), hertz(x.FastestHz), own)
	}
	return t
}
