package listen

import (
	"context"
	"slices"
)

// stretch is how many frames are looked at together for what is loudest: half a second.
const stretch = Rate / 2

// Loudest is [Sketch.Peaks] of some frames alone: of the stretches in which the gates of
// the loudest voices are high, up to so many frames. It is for an excerpt that cannot wait for the
// whole song, which may be louder elsewhere by a little; PeakDB leaves room for that.
func (s *Sketch) Loudest(ctx context.Context, frames int64) (p Peaks, err error) {
	loud := s.loudness()
	order := make([]int, len(loud))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(min(1, max(-1, loud[b]-loud[a]))) })
	for _, at := range order[:min(len(order), int(frames/stretch))] {
		m := s.mixer(int64(at)*stretch, everyPart)
		for end := min(s.Frames, int64(at+1)*stretch); m.at < end; {
			if err := ctx.Err(); err != nil {
				return p, err
			}
			m.mix()
			m.peaks(&p)
		}
	}
	return p, nil
}

// loudness adds up by stretch how loud the strands are whose gates are high.
func (s *Sketch) loudness() []int64 {
	loud := make([]int64, (s.Frames+stretch-1)/stretch)
	for i := range s.strands {
		x := &s.strands[i]
		c := x.asked
		if c == nil {
			c = x.played
		}
		for _, g := range c.gates {
			for at := g.on / stretch; at < int64(len(loud)) && at*stretch < min(g.low, x.end); at++ {
				loud[at] += (x.left + x.right) * (min(g.low, x.end, (at+1)*stretch) - max(g.on, at*stretch)) / stretch
			}
		}
	}
	return loud
}
