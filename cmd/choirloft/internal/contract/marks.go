package contract

import (
	"math"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// marks lists the notes with a flag, in the order of their starts.
func (b *builder) marks() []Mark {
	t := &b.replay.Rig.Tally
	marks := make([]Mark, 0, t.Zero+2*t.Late+t.Thinned+t.Clamped+t.Swallowed+t.Stuck+t.Repitched+t.TooLong)
	for i := range b.replay.Outcomes {
		n, o := &b.replay.Reference.Notes[i], &b.replay.Outcomes[i]
		add := func(yes bool, flag string, value float64, unit string) {
			if yes {
				marks = append(marks, b.mark(n, flag, value, unit))
			}
		}
		add(n.Zero, "zero_length", 0, "")
		add(o.Waited > 0, "waited", seconds(o.Waited)*1000, "ms")
		add(o.Late > 0, "late", seconds(o.Late)*1000, "ms")
		add(b.clamped(n, o), "clamped", o.Missed, "cents")
		add(n.Swallowed, "swallowed", 0, "")
		add(n.Stuck, "stuck", 0, "")
		add(o.Repitched, "repitched", 0, "")
		add(o.TooLong > 0, "too_long", seconds(o.TooLong), "s")
		if of := o.Asked(&b.cfg.Parts[n.Part]); o.Fewest > 0 && o.Fewest < of {
			add(true, "thinned", 10*math.Log10(float64(o.Fewest)/float64(of)), "dB") // −10·log10(n/k): uncorrelated voices
			m := &marks[len(marks)-1]
			m.Voices, m.Of = &o.Fewest, &of
		}
	}
	return marks
}

func (b *builder) mark(n *study.Note, flag string, value float64, unit string) Mark {
	m := Mark{Flag: flag, AtS: seconds(n.Start), Key: n.Sounding}
	m.Bar, m.Part, m.KeyName = b.place(n)
	if unit != "" {
		m.Value, m.Unit = finite(value), &unit
	}
	return m
}

// clamped tells whether a note missed its pitch.
func (b *builder) clamped(n *study.Note, o *study.Outcome) bool {
	return o.Missed != 0 && b.cfg.Parts[n.Part].OutOfRange != alloc.Fold
}
