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
	*f = fleet{rack: rack, freeDB: freeDB, voices: make([]voice, len(rack))}
	for _, family := range []*links{&f.inAttack, &f.inIdle, &f.inTail, &f.inLast, &f.inQuiet, &f.inChannel} {
		*family = make(links, len(rack))
	}
	for i := range rack {
		env := rack[i].Envelope
		f.windows = append(f.windows, rack[i].Window)
		n := slices.Index(f.envelopes, env)
		if n < 0 {
			n = len(f.envelopes)
			f.envelopes = append(f.envelopes, env)
			f.fullFades = append(f.fullFades, env.fade(0, freeDB))
		}
		f.voices[i].envelope, f.voices[i].rackBank = uint16(n), uint16(rack[i].Bank)
		f.shares = append(f.shares, make([][]share, max(0, rack[i].Bank+1-len(f.shares)))...)
	}
}

// freeAll puts every voice into its first state: free, never used.
func (f *fleet) freeAll() {
	for _, p := range f.pools {
		for _, i := range p.voices {
			f.voices[i].offAt, f.voices[i].note, f.voices[i].slot = neverUsed, NoNote, none
			f.enterFree(i)
			f.enterIdle(p, i)
		}
	}
}

// meet gives a channel its lists of voices.
func (f *fleet) meet(c *channel) {
	c.voiced, c.tails = f.inChannel.grow(), f.inChannel.grow()
}

// followBend lets a tail follow the bend of its channel, until it ends or the
// channel is used again.
func (f *fleet) followBend(i int32) {
	v := &f.voices[i]
	v.bends = true
	f.inChannel.push(v.channel.tails, i)
}

// leaveBend lets the tails of a channel keep the bend they have.
func (f *fleet) leaveBend(c *channel) {
	for !f.inChannel.empty(c.tails) {
		i := f.inChannel[c.tails].next
		f.inChannel.remove(i)
		f.voices[i].bends = false
	}
}

// soundingOn returns the voices that sound for a channel, the oldest note
// first.
func (f *fleet) soundingOn(c *channel, tails bool) []int32 {
	all := f.sounding[:0]
	for i := f.inChannel[c.voiced].next; i != c.voiced; i = f.inChannel[i].next {
		all = append(all, i)
	}
	if tails && !f.inChannel.empty(c.tails) {
		for i := f.inChannel[c.tails].next; i != c.tails; i = f.inChannel[i].next {
			if f.voices[i].freeAt > f.now {
				all = append(all, i)
			}
		}
	}
	byNote := func(a, b int32) int {
		v, w := &f.voices[a], &f.voices[b]
		return cmp.Or(cmp.Compare(v.note, w.note), cmp.Compare(v.position, w.position))
	}
	if !slices.IsSortedFunc(all, byNote) {
		slices.SortFunc(all, byNote)
	}
	f.sounding = all
	return all
}
