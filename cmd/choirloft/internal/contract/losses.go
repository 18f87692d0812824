package contract

import (
	"cmp"
	"maps"
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// losses lists every damaged note and every audible cut of a tail by time,
// those of one instant by note.
func (b *builder) losses() []Loss {
	lost := b.lost()
	losses := make([]Loss, len(lost))
	for at, i := range lost {
		losses[at] = b.loss(&b.replay.Reference.Notes[i], &b.replay.Outcomes[i])
	}
	return losses
}

// lost are the notes of these losses.
func (b *builder) lost() (lost []int) {
	outcomes := b.replay.Outcomes
	for i := range outcomes {
		if isLoss(outcomes[i].Ending) {
			lost = append(lost, i)
		}
	}
	slices.SortFunc(lost, func(i, j int) int {
		return cmp.Or(cmp.Compare(outcomes[i].At, outcomes[j].At), i-j)
	})
	return lost
}

func (b *builder) loss(n *study.Note, o *study.Outcome) Loss {
	l := Loss{
		AtS:    seconds(o.At),
		Key:    n.Sounding,
		Ending: EndingName(o.Ending),
		LostS:  seconds(o.Lost),
		Cause:  causeName(o),
		Outer:  o.Outer,
	}
	l.Bar, l.Part, l.KeyName = b.place(n)
	l.BarNumber, l.Beat = b.song.Meter.Beat(n.Tick)
	if o.Voice != alloc.NoVoice {
		number := o.Voice + 1
		l.Voice, l.VoiceName, l.LevelDB = &number, &b.rig.Voices[o.Voice].Name, level(o.LevelDB)
	}
	if o.By != alloc.NoNote {
		by := &b.replay.Reference.Notes[o.By]
		bar, part, name := b.place(by)
		l.Bar, l.ByPart, l.ByKey, l.ByKeyName = bar, &part, &by.Sounding, &name
		l.BarNumber, l.Beat = b.song.Meter.Beat(by.Tick)
	}
	return l
}

// byBar adds losses up by the bars in which they happen.
func byBar(losses []Loss) []LostBar {
	at := map[int]LostBar{}
	for i := range losses {
		l := &losses[i]
		bar := at[l.BarNumber]
		bar.Bar = l.BarNumber
		if !l.Flagged() {
			bar.Losses, bar.LostS = bar.Losses+1, bar.LostS+l.LostS
		}
		if db := l.heard(); db > 0 && (bar.HeardDB == nil || db > *bar.HeardDB) {
			bar.HeardDB = &db
		}
		at[l.BarNumber] = bar
	}
	list := []LostBar{}
	for _, n := range slices.Sorted(maps.Keys(at)) {
		list = append(list, at[n])
	}
	return list
}

// bars counts the bars that begin before the song ends, one at least.
func (b *builder) bars() int {
	end := b.song.Tempo.Tick(max(0, b.replay.Reference.End-1))
	return b.song.Meter.Position(end).Bar
}

// kinds of loss, the worst first.
const (
	lossDamage = iota
	lossOverlap
	lossTail
	lossOwnTail
)

func (l *Loss) kind() int {
	switch l.Ending {
	case EndingName(study.TailCutOtherKey):
		return lossTail
	case EndingName(study.TailCutOwnKey):
		return lossOwnTail
	case EndingName(study.OverlapOnly):
		return lossOverlap
	}
	return lossDamage
}

// worst returns the order of losses from the worst: damage by what was lost,
// legato overlaps alike, cut tails by their level, tails cut by their own key. Outer
// voices go before inner ones, and earlier losses before later ones.
func worst(losses []Loss) []int {
	order, kinds := make([]int, len(losses)), make([]int, len(losses))
	for i := range order {
		order[i], kinds[i] = i, losses[i].kind()
	}
	slices.SortFunc(order, func(i, j int) int {
		if kinds[i] != kinds[j] {
			return kinds[i] - kinds[j]
		}
		return cmp.Or(compareAlike(&losses[i], &losses[j], kinds[i]), i-j)
	})
	return order
}

// compareAlike is negative where x is worse than y, which is of the same kind.
func compareAlike(x, y *Loss, kind int) int {
	if c := cmp.Compare(y.LostS, x.LostS); c != 0 {
		return c
	}
	if x.LevelDB != nil && y.LevelDB != nil && kind != lossDamage {
		if c := cmp.Compare(*y.LevelDB, *x.LevelDB); c != 0 {
			return c
		}
	}
	return outerFirst(x.Outer, y.Outer)
}

func outerFirst(x, y bool) int {
	switch {
	case x == y:
		return 0
	case x:
		return -1
	}
	return 1
}

// MostHeard returns the places of the losses that are heard as lists and pictures have them: those of
// [Heard] that are plain, then those that are faint.
func (r *Result) MostHeard() []int {
	order := slices.Clone(r.Heard.Order)
	faint := func(at int) int {
		if r.Losses[at].Plain() {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(order, func(a, b int) int { return faint(a) - faint(b) })
	return order
}

// Worst returns the places of up to n losses, the worst first: those that are heard
// as they are, then the others.
func (r *Result) Worst(n int) []int {
	order := worst(r.Losses)
	if r.Heard != nil {
		heard := map[int]bool{}
		first := r.MostHeard()
		for _, at := range first {
			heard[at] = true
		}
		order = append(first, slices.DeleteFunc(order, func(at int) bool { return heard[at] })...)
	}
	return order[:min(n, len(order))]
}

// Flagged tells whether it is no ending but what else is heard of a note.
func (l *Loss) Flagged() bool { return l.HeardOne != nil && l.Flag != nil }

// Damaged tells whether the note lost some of its key or pedal time, or all.
func (l *Loss) Damaged() bool {
	return !l.Flagged() && (l.kind() == lossDamage || l.kind() == lossOverlap)
}

// WrongPitch tells whether it is a note at another pitch than it asks for, which
// no number of voices cures.
func (l *Loss) WrongPitch() bool { return l.Flagged() && *l.Flag == FlagWrongPitch }

// heard is how much is heard of what voices could cure, in dB; 0 for nothing.
func (l *Loss) heard() float64 {
	if l.HeardOne == nil || l.HeardDB == nil || l.WrongPitch() {
		return 0
	}
	return *l.HeardDB
}

// Hurt counts the damaged notes other than legato overlaps.
func (t *Totals) Hurt() int { return t.Damaged - t.Endings[study.OverlapOnly] }
