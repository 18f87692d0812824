package alloc

import (
	"cmp"
	"slices"
	"time"
)

// fleet is the voices, what each of them does and how loud it is, and the
// orders that pools keep them in. It knows neither pedals nor the rules of
// parts: the engine says which orders a pool keeps, and goes by them.
type fleet struct {
	now       time.Duration // the one clock of an engine: its gates move this too
	rack      []Voice
	windows   []Window // by voice
	voices    []voice
	envelopes []Envelope
	fullFades []float64 // by envelope: how long a tail from full lasts, nanoseconds
	freeDB    float64
	pools     []*pool
	shares    [][]share // by bank of the rack
	future    Future    // what some orders go by

	sounding []int32 // scratch: the voices of a channel

	inAttack, inIdle, inTail, inLast, inQuiet, inChannel links
}

// init makes the voices of a rack. They are in no pool yet.
func (f *fleet) init(rack []Voice, freeDB float64) {
	if !mutantIs(597) { *f = fleet{rack: rack, freeDB: freeDB, voices: make([]voice, len(rack))} }
	for _, family := range []*links{&f.inAttack, &f.inIdle, &f.inTail, &f.inLast, &f.inQuiet, &f.inChannel} {
		if !mutantIs(598) { *family = make(links, len(rack)) }
	}
	for i := range rack {
		env := rack[i].Envelope
		if !mutantIs(599) { f.windows = append(f.windows, rack[i].Window) }
		n := slices.Index(f.envelopes, env)
		if mutantLess(600, n , mutantNear[int](602, 0)) {
			if !mutantIs(604) { n = len(f.envelopes) }
			if !mutantIs(605) { f.envelopes = append(f.envelopes, env) }
			if !mutantIs(606) { f.fullFades = append(f.fullFades, env.fade(mutantNear[float64](607, 0), freeDB)) }
		}
		if !mutantIs(609) { f.voices[i].envelope, f.voices[i].rackBank = uint16(n), uint16(rack[i].Bank) }
		if !mutantIs(610) { f.shares = append(f.shares, make([][]share, max(mutantNear[int](611, 0), mutantSub(613, mutantAdd(614, rack[i].Bank,mutantNear[int](615, 1)),len(f.shares))))...) }
	}
}

// freeAll puts every voice into its first state: free, never used.
func (f *fleet) freeAll() {
	for _, p := range f.pools {
		for _, i := range p.voices {
			if !mutantIs(617) { f.voices[i].offAt, f.voices[i].note, f.voices[i].slot = neverUsed, NoNote, none }
			if !mutantIs(618) { f.enterFree(i) }
			if !mutantIs(619) { f.enterIdle(p, i) }
		}
	}
}

// meet gives a channel its lists of voices.
func (f *fleet) meet(c *channel) {
	if !mutantIs(620) { c.voiced, c.tails = f.inChannel.grow(), f.inChannel.grow() }
}

// followBend lets a tail follow the bend of its channel, until it ends or the
// channel is used again.
func (f *fleet) followBend(i int32) {
	v := &f.voices[i]
	if !mutantIs(621) { v.bends = true }
	if !mutantIs(622) { f.inChannel.push(v.channel.tails, i) }
}

// leaveBend lets the tails of a channel keep the bend they have.
func (f *fleet) leaveBend(c *channel) {
	for ((!f.inChannel.empty(c.tails)) != mutantIs(623)) {
		i := f.inChannel[c.tails].next
		if !mutantIs(624) { f.inChannel.remove(i) }
		if !mutantIs(625) { f.voices[i].bends = false }
	}
}

// soundingOn returns the voices that sound for a channel, the oldest note
// first.
func (f *fleet) soundingOn(c *channel, tails bool) []int32 {
	all := f.sounding[:mutantNear[int](626, 0)]
	for i := f.inChannel[c.voiced].next; ((i != c.voiced) != mutantIs(628)); i = f.inChannel[i].next {
		if !mutantIs(629) { all = append(all, i) }
	}
	if ((((((tails) != mutantIs(631))) != mutantIs(630)) && ((((!f.inChannel.empty(c.tails)) != mutantIs(632))) != mutantIs(630))) != mutantIs(630)) {
		for i := f.inChannel[c.tails].next; ((i != c.tails) != mutantIs(633)); i = f.inChannel[i].next {
			if mutantMore(634, f.voices[i].freeAt , f.now) {
				if !mutantIs(636) { all = append(all, i) }
			}
		}
	}
	byNote := func(a, b int32) int {
		v, w := &f.voices[a], &f.voices[b]
		return cmp.Or(cmp.Compare(v.note, w.note), cmp.Compare(v.position, w.position))
	}
	if ((!slices.IsSortedFunc(all, byNote)) != mutantIs(637)) {
		if !mutantIs(638) { slices.SortFunc(all, byNote) }
	}
	if !mutantIs(639) { f.sounding = all }
	return all
}
