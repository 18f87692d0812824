package advise

import (
	"slices"
	"strconv"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// Flags of changes that are more than a value for a part.
const (
	banksFlag     = "--banks"
	transposeFlag = "--transpose"
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

// releaseShares are the shares of a release that are tried, in hundredths.
var releaseShares = []int{80, 60, 40, 25}

func (f *finder) releases(part int, p *alloc.Part) {
	longest := time.Duration(0)
	for _, v := range f.plan.Rules.Config.Voices {
		longest = max(longest, v.Envelope.Release)
	}
	var values []value
	for _, share := range releaseShares {
		if d := (longest * time.Duration(share) / 100).Round(10 * time.Millisecond); d > 0 {
			values = append(values, value{text: plan.TypedTime(d), effort: Sound})
		}
	}
	f.each("--release", part, "", values...)
}

// transpositions bring the notes of parts into range: by the octaves that fit them all, else by
// one up or down.
func (f *finder) transpositions() {
	before := len(f.moves)
	for i := range f.parts {
		now := f.plan.Rules.Config.Parts[i].Transpose
		var values []value
		for _, octaves := range f.octaves(i) {
			if to := now + 12*octaves; -48 <= to && to <= 48 {
				values = append(values, value{text: strconv.Itoa(to), effort: Playing})
			}
		}
		f.each(transposeFlag, i, strconv.Itoa(now), values...)
	}
	f.shifts = f.moves[before:]
}

// outOfRange tells whether any part leaves its range.
func (f *finder) outOfRange() bool {
	return slices.ContainsFunc(f.songs, func(s *whatif.Session) bool { return s.Before().Rig.Tally.Missed > 0 })
}

// octaves are those by which a part that leaves its range may be moved.
func (f *finder) octaves(part int) (list []int) {
	for _, s := range f.songs {
		for i, r := range s.Reach() {
			switch {
			case f.plan.Origin[i] != part || r.Missed == 0:
			case r.Octaves == nil:
				list = append(list, 1, -1)
			case *r.Octaves != 0:
				list = append(list, *r.Octaves)
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// lifts are by how much a pedal is let up earlier.
var lifts = []time.Duration{100 * time.Millisecond, 250 * time.Millisecond, 500 * time.Millisecond, time.Second}

// edit is a kind of change of what a part is given to play.
type edit struct {
	flag   string
	values []string
}

func (f *finder) edits() []edit {
	var times []string
	for _, d := range lifts {
		times = append(times, sooner(d)...)
	}
	return []edit{{"--trim", sooner(f.plan.Rules.Overlap)}, {"--lift", times}, {"--doubles", []string{"drop"}}}
}

// sooner is a time as an edit has it, only where voices are short, and everywhere.
func sooner(d time.Duration) []string {
	return []string{plan.Sooner{By: d, WhenShort: true}.String(), plan.TypedTime(d)}
}

// edit adds one for a part, where it changes any of the songs.
func (f *finder) edit(part int, p *alloc.Part, e edit) {
	if !f.wanted(e.flag) {
		return
	}
	var values []value
	for _, text := range e.values {
		o := plan.MustParse(e.flag, p.Name+"="+text)
		if slices.ContainsFunc(f.songs, func(s *whatif.Session) bool { return s.Edits(o) }) {
			values = append(values, value{text: text, effort: Playing})
		}
	}
	f.each(e.flag, part, "", values...)
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
