package advise

import (
	"slices"
	"strconv"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// Flags of changes that are more than a value for a part.
const (
	banksFlag     = "--banks"
	transposeFlag = "--transpose"
	zeroKeyFlag   = "--zero-key"
)

// move changes a state, as far as it can be.
type move func(state) (state, bool)

func (f *finder) move(m move) { f.moves = append(f.moves, m) }

// each adds a slot, and a move for each value but the one as it is.
func (f *finder) each(flag string, part int, now string, values ...value) {
	values = slices.DeleteFunc(slices.Clone(values), func(v value) bool { return v.text == now })
	if len(values) == 0 || !f.wanted(flag) {
		return
	}
	at := f.slot(flag, part, value{text: now})
	f.move(func(s state) (state, bool) { return s.set(at, 0), true })
	for _, v := range values {
		n := f.slots[at].intern(v)
		f.move(func(s state) (state, bool) { return s.set(at, n), true })
	}
}

// together adds moves that give every part that has the slot the same value, and where
// others is set, every part but one.
func (f *finder) together(flag string, others bool) {
	var texts []string
	for i := range f.slots {
		if s := &f.slots[i]; s.flag == flag {
			for _, v := range s.values {
				if !slices.Contains(texts, v.text) {
					texts = append(texts, v.text)
				}
			}
		}
	}
	spared := []int{-1}
	if others {
		spared = nil
		for part := range f.parts {
			spared = append(spared, part)
		}
	}
	for _, text := range texts {
		for _, but := range spared {
			f.move(func(s state) (state, bool) { return f.allOf(s, flag, text, but) })
		}
	}
}

// allOf sets a value for all parts but one; -1 for really all.
func (f *finder) allOf(s state, flag, text string, but int) (state, bool) {
	t := slices.Clone(s)
	for i := range f.slots {
		x := &f.slots[i]
		if x.flag != flag || x.part == but {
			continue
		}
		at := slices.IndexFunc(x.values, func(v value) bool { return v.text == text })
		if at < 0 {
			return nil, false
		}
		t[i] = int16(at)
	}
	return t, true
}

// candidates makes all slots, those of a kind together and seats first, and all moves.
func (f *finder) candidates() {
	if f.wanted(banksFlag) {
		f.seats()
	}
	several := len(f.parts) > 1
	parts := f.plan.Rules.Config.Parts[:len(f.parts)]
	of := func(add func(part int, p *alloc.Part)) {
		for i := range parts {
			add(i, &parts[i])
		}
	}
	if several {
		of(f.reserves)
		of(f.limits)
		of(func(i int, p *alloc.Part) { f.each("--priority", i, strconv.Itoa(p.Priority), ranks...) })
	}
	of(f.modes)
	of(f.unisons)
	before := len(f.moves)
	of(f.shorts)
	shorts := slices.Clone(f.moves[before:])
	of(f.picks)
	of(f.steals)
	of(f.tails)
	of(f.sameKeys)
	of(f.releases)
	f.transpositions()
	f.zeroKeys()
	for _, e := range f.edits() {
		of(func(i int, p *alloc.Part) { f.edit(i, p, e) })
	}
	single := f.moves
	f.moves = shorts
	if several {
		f.together("--steal", false)
	}
	f.seatMoves()
	if several {
		f.together("--pick", false)
		f.together("--tails", false)
		f.together("--release", false)
		f.together("--priority", true)
	}
	f.moves = append(f.moves, single...) // what is wont to save most comes first, should the budget end
	before = len(f.moves)
	f.seatOn(func(part int) []value { return f.splits[part] })
	if f.outOfRange() && len(f.windows()) > 1 {
		f.divides = f.moves[before:]
	}
}

var ranks = []value{{text: "1"}, {text: "2"}, {text: "3"}}

// mostReserve is the largest reserve that is tried; mostLimits are the limits.
const mostReserve = 4

var mostLimits = []int{1, 2, 3, 4, 6, 8}

func (f *finder) reserves(part int, p *alloc.Part) {
	var values []value
	for n := 0; n <= min(mostReserve, f.peaks[part]); n++ {
		values = append(values, value{text: strconv.Itoa(n)})
	}
	f.each("--reserve", part, strconv.Itoa(p.Reserve), values...)
}

func (f *finder) limits(part int, p *alloc.Part) {
	var values []value
	for _, n := range mostLimits {
		if n < f.peaks[part] && n >= p.Unison.Voices {
			values = append(values, value{text: strconv.Itoa(n)})
		}
	}
	now := ""
	if p.Limit > 0 {
		now = strconv.Itoa(p.Limit)
	}
	f.each("--limit", part, now, values...)
}

// modes makes a line that never overlaps mono.
func (f *finder) modes(part int, p *alloc.Part) {
	if p.Mode == alloc.Poly && f.helds[part] == 1 && len(p.Zones) == 0 {
		f.each("--mode", part, profiles.Poly.String(), value{text: profiles.MonoLast.String()})
	}
}

func (f *finder) unisons(part int, p *alloc.Part) {
	var values []value
	for n := p.Unison.Voices - 1; n >= 1; n-- {
		values = append(values, value{text: strconv.Itoa(n), effort: Sound})
	}
	f.each("--unison", part, strconv.Itoa(p.Unison.Voices), values...)
}

func (f *finder) shorts(part int, p *alloc.Part) {
	if p.Unison.Voices < 2 {
		return
	}
	var values []value
	for s := profiles.Blocks; s <= profiles.Elastic; s++ {
		values = append(values, value{text: s.String()})
	}
	f.each("--when-short", part, profiles.WhenShort(p.Unison.WhenShort).String(), values...)
}

func (f *finder) picks(part int, p *alloc.Part) {
	if p.Pick == alloc.PickFixed {
		return
	}
	var values []value
	for _, name := range plan.PickNames() {
		if name != alloc.PickRandom.String() { // what it gains is luck
			values = append(values, value{text: name})
		}
	}
	f.each("--pick", part, plan.Pick{First: p.Pick, Second: p.Second}.String(), values...)
}

func (f *finder) steals(part int, p *alloc.Part) {
	var values []value
	for _, name := range alloc.StealNames() {
		rule, _ := alloc.ParseSteal(name)
		v := value{text: name}
		if rule.Foresight() {
			v.effort = Export
		}
		values = append(values, v)
	}
	f.each("--steal", part, p.Steal.String(), values...)
}

func (f *finder) tails(part int, p *alloc.Part) {
	if p.TailsUnknown {
		f.each("--tails", part, "unknown", value{text: "known", effort: Export})
	}
}

// sameKeys are of parts that strike a key again while it sounds.
func (f *finder) sameKeys(part int, p *alloc.Part) {
	if !f.restrikes[part] {
		return
	}
	var values []value
	for _, name := range alloc.SameKeyNames() {
		values = append(values, value{text: name})
	}
	f.each("--same-key", part, p.SameKey.String(), values...)
}

// demands looks at what the songs ask of the parts.
func (f *finder) demands() {
	n := len(f.parts)
	f.peaks, f.helds, f.restrikes, f.keys = make([]int, n), make([]int, n), make([]bool, n), make([][]midi.Key, n)
	for _, s := range f.songs {
		for at := range s.Before().Parts {
			p, i := &s.Before().Parts[at], f.plan.Origin[at]
			f.peaks[i] = max(f.peaks[i], p.Demand.Pedal)
			f.helds[i] = max(f.helds[i], p.Demand.Held)
			f.restrikes[i] = f.restrikes[i] || p.Tally.Endings[study.Superseded] > 0
		}
		for _, note := range s.Before().Reference.Notes {
			i := f.plan.Origin[note.Part]
			f.keys[i] = append(f.keys[i], note.Key)
		}
	}
	for _, keys := range f.keys {
		slices.Sort(keys)
	}
}
