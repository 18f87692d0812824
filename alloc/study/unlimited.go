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
	cfg.Voices, cfg.Parts = nil, append([]alloc.Part(nil), cfg.Parts...)
	for i := range cfg.Parts {
		part := &cfg.Parts[i]
		n := ref.voicesOf(i, part)
		for range n {
			v := alloc.Voice{Bank: i}
			if part.BendTails {
				v.Envelope = ref.Envelopes[i]
			}
			cfg.Voices = append(cfg.Voices, v)
		}
		part.Banks, part.Pick, part.Fixed, part.Steal = []int{i}, alloc.PickLongestIdle, nil, alloc.StealNone
		part.Unison, part.OutOfRange, part.TailsUnknown = alloc.Unison{}, alloc.Clamp, false
		part.Reserve, part.Limit = 0, 0
	}
	if len(cfg.Voices) > alloc.MaxVoices {
		return nil, fmt.Errorf("found %d notes at once, want at most %d", len(cfg.Voices), alloc.MaxVoices)
	}
	s := timing.New(timing.Rules{MinGate: cfg.MinGate}, timing.Live, len(cfg.Voices), true)
	if err := run(cfg, p, ref, func(d *alloc.Decision) { s.Decide(d) }); err != nil {
		return nil, err
	}
	return s.Voices(), nil
}

// voicesOf is how many voices a part needs so that none is taken from a note: one
// more where a note begins at the instant at which another ends.
func (ref *Reference) voicesOf(part int, p *alloc.Part) int {
	if p.Mode != alloc.Poly {
		return 1
	}
	var sounds []Interval
	for i := range ref.Notes {
		if n := &ref.Notes[i]; n.Part == part {
			end := n.End
			if p.BendTails {
				end = n.TailEnd
			}
			sounds = append(sounds, Interval{n.Start, end + 1})
		}
	}
	return max(1, Peak(sounds))
}
