package advise

import (
	"slices"

	"choirloft/routing/plan"
)

// Effort is what a fix asks of the player, the least first.
type Effort uint8

// The efforts.
const (
	Setting   Effort = iota // how voices are given out
	Export                  // it must be known beforehand what comes: an exported song
	Sound                   // releases, unisons, knobs
	Playing                 // the song is played or edited otherwise
	Wiring                  // cables are moved
	Recording               // several recordings are made and mixed
	Buying                  // further voices
)

// slot is one value of one part, or of one interface, that can be set.
type slot struct {
	flag   string
	part   int     // or the interface
	values []value // the first is as it is
}

type value struct {
	text   string // as it is typed
	effort Effort
	banks  uint64 // of --banks: which, a bit a bank
	more   int    // keys of the rig that it changes besides one
}

// state is what is set: of each slot the place of its value.
type state []int16

// space is all that can be set.
type space struct {
	parts []string
	boxes []string // interfaces
	slots []slot
}

// as is how things are.
func (x *space) as() state { return make(state, len(x.slots)) }

// slot adds one, with the value as it is.
func (x *space) slot(flag string, part int, now value) int {
	x.slots = append(x.slots, slot{flag, part, []value{now}})
	return len(x.slots) - 1
}

// intern is the place of a value of a slot.
func (s *slot) intern(v value) int16 {
	at := slices.IndexFunc(s.values, func(w value) bool { return w.text == v.text })
	if at < 0 {
		at, s.values = len(s.values), append(s.values, v)
	}
	return int16(at)
}

// key tells states apart.
func (s state) key() string {
	b := make([]byte, 0, 2*len(s))
	for _, v := range s {
		b = append(b, byte(v), byte(v>>8))
	}
	return string(b)
}

// set is the state with one value.
func (s state) set(slot int, v int16) state {
	t := slices.Clone(s)
	t[slot] = v
	return t
}

// lines counts what is changed: a key of the rig file each.
func (x *space) lines(s state) (n int) {
	for i, v := range s {
		if v != 0 {
			n += 1 + x.slots[i].values[v].more
		}
	}
	return n
}

// effort is the dearest of what is set.
func (x *space) effort(s state) (e Effort) {
	for i, v := range s {
		if v != 0 {
			e = max(e, x.slots[i].values[v].effort)
		}
	}
	return e
}

// overrides says a state as overrides: one for every part where all have the same.
func (x *space) overrides(s state) plan.Overrides {
	var words []string
	for i := 0; i < len(s); {
		end := i + 1
		for end < len(s) && x.slots[end].flag == x.slots[i].flag {
			end++
		}
		words = append(words, x.words(s, i, end)...)
		i = end
	}
	return plan.MustParse(words...)
}

// words are those of one kind.
func (x *space) words(s state, from, to int) (words []string) {
	first, same := x.text(s, from), to-from == len(x.parts) && x.forAll(from)
	changed := false
	for i := from; i < to; i++ {
		same, changed = same && x.text(s, i) == first, changed || s[i] != 0
	}
	switch {
	case !changed:
		return nil
	case same && first != "":
		return []string{x.slots[from].flag, first}
	}
	for i := from; i < to; i++ {
		if s[i] != 0 {
			words = append(words, x.slots[i].flag, x.name(i)+"="+x.text(s, i))
		}
	}
	return words
}

// forAll tells whether a value for all parts is one value: not where it counts from where each
// part is, or is of an interface.
func (x *space) forAll(slot int) bool {
	return x.slots[slot].flag != transposeFlag && x.slots[slot].flag != zeroKeyFlag
}

// name is that of what a slot is of.
func (x *space) name(slot int) string {
	s := &x.slots[slot]
	if s.flag == zeroKeyFlag {
		return x.boxes[s.part]
	}
	return x.parts[s.part]
}

func (x *space) text(s state, slot int) string { return x.slots[slot].values[s[slot]].text }

// groups are the slots that are set, those together that have the same value of a
// kind; who plays where is one.
func (x *space) groups(s state) (list [][]int) {
	for i, v := range s {
		if v == 0 {
			continue
		}
		at := slices.IndexFunc(list, func(g []int) bool {
			first := g[0]
			return x.slots[first].flag == x.slots[i].flag && (x.slots[i].flag == banksFlag || x.text(s, first) == x.text(s, i))
		})
		if at < 0 {
			list = append(list, []int{i})
		} else {
			list[at] = append(list[at], i)
		}
	}
	return list
}

// without is a state with some slots as they are.
func (s state) without(slots []int) state {
	t := slices.Clone(s)
	for _, i := range slots {
		t[i] = 0
	}
	return t
}
