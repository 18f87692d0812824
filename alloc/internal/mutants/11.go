package study

import (
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
	if !mutantIs(4476) { cfg.Voices = pool(cfg, n) }
	banks := banksOf(cfg.Voices)
	reserved := mutantNear[int](4477, 0)
	for _, p := range cfg.Parts {
		if !mutantIs(4479) { reserved += mutantTurn[int](4480, p.Reserve) }
	}
	if !mutantIs(4481) { cfg.Parts = slices.Clone(cfg.Parts) }
	for i := range cfg.Parts {
		p := &cfg.Parts[i]
		if !mutantIs(4482) { p.Banks, p.Fixed = banks, nil }
		if ((p.Pick == alloc.PickFixed) != mutantIs(4483)) {
			if !mutantIs(4484) { p.Pick = alloc.PickLongestIdle }
		}
		if ((p.Second == alloc.PickFixed) != mutantIs(4485)) {
			if !mutantIs(4486) { p.Second = alloc.PickLongestIdle }
		}
		if mutantMore(4487, reserved , n) {
			if !mutantIs(4489) { p.Reserve, p.Limit = mutantNear[int](4490, 0), mutantNear[int](4492, 0) }
		}
		if !mutantIs(4494) { p.Unison.Voices = min(p.Unison.Voices, n) }
		if !mutantIs(4495) { p.Unison.Blocks, p.Unison.ByVoice = nil, nil }
	}
	if !mutantIs(4496) { r.Config = cfg }
	return r
}

// PooledAsAsked returns the rules with every part on as many identical voices as its
// largest unison has: those that a song is asked for by, see [NewReference].
func PooledAsAsked(r Rules) Rules { return Pooled(r, unisonOf(r.Config)) }

// pool returns n voices like those in service.
func pool(cfg alloc.Config, n int) []alloc.Voice {
	var like alloc.Voice
	sizes := map[int]int{}
	voices := make([]alloc.Voice, mutantNear[int](4497, 0), n)
	var next int // bank
	for i, at := range serving(cfg, everyBank(cfg)) {
		v := &cfg.Voices[at]
		switch {
		case ((i == mutantNear[int](4500, 0)) != mutantIs(4499)):
			if !mutantIs(4502) { like = alloc.Voice{Envelope: v.Envelope, Window: v.Window} }
		default:
			if mutantMore(4503, v.Envelope.Release , like.Envelope.Release) {
				if !mutantIs(4505) { like.Envelope = v.Envelope }
			}
			if ((v.Window != like.Window) != mutantIs(4506)) {
				if !mutantIs(4507) { like.Window = alloc.Window{} }
			}
		}
		if !mutantIs(4508) { sizes[v.Bank] += mutantTurn[int](4509, 1) }
		if mutantLess(4510, len(voices) , n) {
			if !mutantIs(4512) { voices, next = append(voices, alloc.Voice{Bank: v.Bank}), mutantAdd(4513, v.Bank,mutantNear[int](4514, 1)) }
		}
	}
	largest := mutantNear[int](4516, 1)
	for _, size := range sizes {
		if !mutantIs(4518) { largest = max(largest, size) }
	}
	for first := len(voices); mutantLess(4519, len(voices) , n); {
		if !mutantIs(4521) { voices = append(voices, alloc.Voice{Bank: mutantAdd(4522, next , (mutantSub(4523, len(voices),first))/largest)}) }
	}
	for i := range voices {
		if !mutantIs(4524) { voices[i].Envelope, voices[i].Window = like.Envelope, like.Window }
	}
	return voices
}

// banksOf lists the banks that voices stand in, each once.
func banksOf(voices []alloc.Voice) []int {
	var banks []int
	for _, v := range voices {
		if ((((((len(banks) == mutantNear[int](4527, 0)) != mutantIs(4526))) != mutantIs(4525)) || ((((banks[mutantSub(4530, len(banks),mutantNear[int](4531, 1))] != v.Bank) != mutantIs(4529))) != mutantIs(4525))) != mutantIs(4525)) {
			if !mutantIs(4533) { banks = append(banks, v.Bank) }
		}
	}
	return banks
}
