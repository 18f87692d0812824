package whatif

import (
	"cmp"
	"strconv"

	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// Kind is a kind of remedy.
type Kind string

// The kinds.
const (
	Pick    Kind = "pick"    // another picking rule
	Steal   Kind = "steal"   // another stealing rule
	Tails   Kind = "tails"   // tails known to whoever picks
	Reserve Kind = "reserve" // voices kept for a part
	Banks   Kind = "banks"   // banks of its own for a part
	Unison  Kind = "unison"  // fewer voices on a note
	Release Kind = "release" // shorter tails
	Trim    Kind = "trim"    // legato overlaps cut off
	Lift    Kind = "lift"    // the sustain pedal up earlier
	Doubles Kind = "doubles" // doubled octaves dropped
	Passes  Kind = "passes"  // recorded in several passes
	Voices  Kind = "voices"  // more voices
)

// Cost is what a remedy asks of the player, the least first.
type Cost uint8

// The costs.
const (
	Setting   Cost = iota // how voices are given out
	Export                // it must be known beforehand what comes: an exported song
	Knobs                 // the sound: releases, unisons
	Playing               // the song is played or edited otherwise
	Recording             // several recordings are made and mixed
	Buying                // further voices
)

// Fix is one remedy, or several at once, and what became of the song with it.
type Fix struct {
	Kinds []Kind
	Each  []plan.Overrides // what each of the kinds changes; Overrides are all of it
	// Part is the index of the part that it is aimed at; −1 for the whole rig.
	// Of several at once it is that of the first.
	Part      int
	Overrides plan.Overrides // on top of those of the session
	Passes    int            // that an export is to be split into; 0 if it is not
	Cost      Cost
	After     study.Score
	Heard     *Ear // after it; nil where the budget was not enough to listen
	NoJack    int  // voices in service whose pitch or gate has no jack then
	family    int
	order     int
	notesOnly bool // in its family the notes count, not the tails
}

// Flags returns what is typed for the fix, a flag and its value in turn: for
// replay, or for write where the song is to be recorded in passes.
func (f *Fix) Flags() []string {
	words := f.Overrides.Flags()
	if f.Passes > 0 {
		words = append(words, "--passes", strconv.Itoa(f.Passes))
	}
	return words
}

// Verdict says what a fix does.
type Verdict int8

// The verdicts.
const (
	Worse Verdict = iota - 1
	Same
	Better
)

// Verdict compares a fix with how things are: by what is heard, where that is known
// and anything is, else by the score. By either it is better only where it is so as a
// player reads the figures too; by the score these are notes cut or dropped, seconds
// lost, tails cut, the loudest of these. Nor is it better where less is heard, but more
// notes are dropped, cut or shorter.
func (l *List) Verdict(f *Fix) Verdict {
	counted := false // whether the losses stand beside each other
	if l.Heard != nil && f.Heard != nil {
		c := f.Heard.compare(l.Heard)
		counted = l.byEar() && l.Heard.Counted && f.Heard.Counted
		switch {
		case c > 0:
			return Worse
		case (c < 0 || counted) && f.After.Endings[study.Dropped] <= l.Before.Endings[study.Dropped] && f.Heard.fewer(l.Heard) &&
			cmp.Or(cmp.Compare(f.After.Damaged(), l.Before.Damaged()), cmp.Compare(f.After.Lost, l.Before.Lost)) <= 0:
			return Better
		case c < 0:
			return Same
		}
	}
	v := Verdict(-cmp.Compare(f.After.Compare(&l.Before), 0))
	if v == Better && (counted || asRead(&f.After, &l.Before) >= 0) {
		return Same
	}
	return v
}

func asRead(a, b *study.Score) int {
	return cmp.Or(cmp.Compare(a.Damaged(), b.Damaged()), cmp.Compare(a.Lost, b.Lost),
		cmp.Compare(a.TailCuts(), b.TailCuts()), cmp.Compare(a.Loudest(), b.Loudest()))
}

// saves is 2 where a score leaves nothing to be wished, 1 where no note is
// damaged beyond a legato overlap, else 0.
func saves(s *study.Score) int {
	switch {
	case s.Damaged() == 0 && s.TailCuts() == 0 && s.Lost == 0:
		return 2
	case s.Hurt() == 0:
		return 1
	}
	return 0
}

// byEar tells whether fixes go by what is heard: not where nothing is as things are.
func (l *List) byEar() bool { return l.Heard != nil && l.Heard.silence() < 2 }

// compare orders fixes by what they leave.
func (l *List) compare(a, b *Fix) int {
	if l.byEar() && a.Heard != nil && b.Heard != nil {
		if c := a.Heard.compare(b.Heard); c != 0 {
			return c
		}
	}
	return a.After.Compare(&b.After)
}

// rank orders fixes, the one to try first before the others: by how much is heard
// then, and where that is alike by what they take.
func (l *List) rank(a, b *Fix) int {
	byEar := 0
	if l.byEar() && a.Heard != nil && b.Heard != nil {
		byEar = cmp.Or(cmp.Compare(b.Heard.silence(), a.Heard.silence()), cmp.Compare(a.Heard.tenths(l.Heard), b.Heard.tenths(l.Heard)),
			cmp.Compare(a.Cost, b.Cost), cmp.Compare(len(a.Kinds), len(b.Kinds)))
	}
	return cmp.Or(byEar,
		cmp.Compare(saves(&b.After), saves(&a.After)),
		cmp.Compare(a.Cost, b.Cost),
		cmp.Compare(len(a.Kinds), len(b.Kinds)),
		l.compare(a, b),
		cmp.Compare(a.order, b.order),
	)
}
