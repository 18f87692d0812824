package study

import (
	"reflect"
	"slices"

	"choirloft/alloc"
)

// Pooled returns the rules with every part on the same n identical voices, as
// a rig has them that was made for this song. The voices stand in banks like
// those in service now, and further banks as large as the largest; they are
// limited to no keys. Where today's voices differ, the slowest release counts
// and the pitch window is left aside. A unison of more than n voices has n.
// Left aside are fixed maps of keys, whose voices mean a certain rack (such
// parts pick the longest idle voice), and reserves and limits that n voices
// cannot bear all together.
func Pooled(r Rules, n int) Rules {
	cfg := r.Config
	cfg.Voices = pool(cfg, n)
	banks := banksOf(cfg.Voices)
	reserved := 0
	for _, p := range cfg.Parts {
		reserved += p.Reserve
	}
	cfg.Parts = slices.Clone(cfg.Parts)
	for i := range cfg.Parts {
		p := &cfg.Parts[i]
		p.Banks, p.Fixed = banks, nil
		if p.Pick == alloc.PickFixed {
			p.Pick = alloc.PickLongestIdle
		}
		if p.Second == alloc.PickFixed {
			p.Second = alloc.PickLongestIdle
		}
		if reserved > n {
			p.Reserve, p.Limit = 0, 0
		}
		p.Unison.Voices = min(p.Unison.Voices, n)
		p.Unison.Blocks, p.Unison.ByVoice = nil, nil
	}
	r.Config = cfg
	return r
}

// PooledAsAsked returns the rules with every part on as many identical voices as its
// largest unison has: those that a song is asked for by, see [NewReference].
func PooledAsAsked(r Rules) Rules { return Pooled(r, unisonOf(r.Config)) }

// PooledAlike tells whether two rules, on each number of voices up to n, play every song alike
// as [Pooled] has them. What notes weigh is left aside.
func PooledAlike(a, b Rules, n int) bool { return reflect.DeepEqual(a.pooledTo(n), b.pooledTo(n)) }

// pooledTo is what [Pooled] goes by for up to n voices.
func (r Rules) pooledTo(n int) Rules {
	p := Pooled(r, n)
	p.Weigh = nil
	byBank := false
	for i := range p.Config.Parts {
		part, given := &p.Config.Parts[i], &r.Config.Parts[i]
		part.Reserve, part.Limit, part.Unison.Voices = given.Reserve, given.Limit, given.Unison.Voices // which take more than n
		for _, pick := range [...]alloc.PickRule{part.Pick, part.Second} {
			byBank = byBank || pick == alloc.PickBankSpread || pick == alloc.PickBankFill
		}
	}
	if !byBank { // nobody asks in which bank a voice stands
		for i := range p.Config.Voices {
			p.Config.Voices[i].Bank = 0
		}
		for i := range p.Config.Parts {
			p.Config.Parts[i].Banks = nil
		}
	}
	return p
}

// pool returns n voices like those in service.
func pool(cfg alloc.Config, n int) []alloc.Voice {
	var like alloc.Voice
	sizes := map[int]int{}
	voices := make([]alloc.Voice, 0, n)
	var next int // bank
	for i, at := range serving(cfg, everyBank(cfg)) {
		v := &cfg.Voices[at]
		switch {
		case i == 0:
			like = alloc.Voice{Envelope: v.Envelope, Window: v.Window}
		default:
			if v.Envelope.Release > like.Envelope.Release {
				like.Envelope = v.Envelope
			}
			if v.Window != like.Window {
				like.Window = alloc.Window{}
			}
		}
		sizes[v.Bank]++
		if len(voices) < n {
			voices, next = append(voices, alloc.Voice{Bank: v.Bank}), v.Bank+1
		}
	}
	largest := 1
	for _, size := range sizes {
		largest = max(largest, size)
	}
	for first := len(voices); len(voices) < n; {
		voices = append(voices, alloc.Voice{Bank: next + (len(voices)-first)/largest})
	}
	for i := range voices {
		voices[i].Envelope, voices[i].Window = like.Envelope, like.Window
	}
	return voices
}

// banksOf lists the banks that voices stand in, each once.
func banksOf(voices []alloc.Voice) []int {
	var banks []int
	for _, v := range voices {
		if len(banks) == 0 || banks[len(banks)-1] != v.Bank {
			banks = append(banks, v.Bank)
		}
	}
	return banks
}
