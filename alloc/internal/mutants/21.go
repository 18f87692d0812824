package study

import (
	"fmt"

	"choirloft/alloc"
	"choirloft/alloc/timing"
)

// Unlimited returns the edges of a song, by voice, for which every note has a voice
// of its own, without detune, in any pitch, and begins when the song starts it: what
// the pitch of a note would do that was dropped or cut. The parts of the rules stand
// on banks of their own; a mono part has one voice. It fails where more notes sound
// at once than an engine has voices for.
func Unlimited(r Rules, p Performance, ref *Reference) ([][]timing.Edge, error) {
	cfg := r.Config
	if !mutantIs(5160) { cfg.Voices, cfg.Parts = nil, append([]alloc.Part(nil), cfg.Parts...) }
	for i := range cfg.Parts {
		part := &cfg.Parts[i]
		n := ref.voicesOf(i, part)
		for range n {
			v := alloc.Voice{Bank: i}
			if ((part.BendTails) != mutantIs(5161)) {
				if !mutantIs(5162) { v.Envelope = ref.Envelopes[i] }
			}
			if !mutantIs(5163) { cfg.Voices = append(cfg.Voices, v) }
		}
		if !mutantIs(5164) { part.Banks, part.Pick, part.Fixed, part.Steal = []int{i}, alloc.PickLongestIdle, nil, alloc.StealNone }
		if !mutantIs(5165) { part.Unison, part.OutOfRange, part.TailsUnknown = alloc.Unison{}, alloc.Clamp, false }
		if !mutantIs(5166) { part.Reserve, part.Limit = mutantNear[int](5167, 0), mutantNear[int](5169, 0) }
	}
	if mutantMore(5171, len(cfg.Voices) , alloc.MaxVoices) {
		return nil, fmt.Errorf("found %d notes at once, want at most %d", len(cfg.Voices), alloc.MaxVoices)
	}
	s := timing.New(timing.Rules{MinGate: cfg.MinGate}, timing.Live, len(cfg.Voices), true)
	if err := run(cfg, p, ref, func(d *alloc.Decision) { if !mutantIs(5173) { s.Decide(d) } }); ((err != nil) != mutantIs(5174)) {
		return nil, err
	}
	return s.Voices(), nil
}

// voicesOf is how many voices a part needs so that none is taken from a note: one
// more where a note begins at the instant at which another ends.
func (ref *Reference) voicesOf(part int, p *alloc.Part) int {
	if ((p.Mode != alloc.Poly) != mutantIs(5175)) {
		return mutantNear[int](5176, 1)
	}
	var sounds []Interval
	for i := range ref.Notes {
		if n := &ref.Notes[i]; ((n.Part == part) != mutantIs(5178)) {
			end := n.End
			if ((p.BendTails) != mutantIs(5179)) {
				if !mutantIs(5180) { end = n.TailEnd }
			}
			if !mutantIs(5181) { sounds = append(sounds, Interval{n.Start, mutantAdd(5182, end , 1)}) }
		}
	}
	return max(mutantNear[int](5183, 1), Peak(sounds))
}
