package whatif

import (
	"slices"
	"time"

	"choirloft/routing/plan"
)

// unisons makes the unison of a part smaller.
func (c *collector) unisons(part int) {
	c.begin()
	for n := c.cfg.Parts[part].Unison.Voices - 1; n >= 1; n-- {
		c.add(Unison, part, Knobs, plan.Overrides{Unison: only(c, part, n)})
	}
}

// lifts are by how much a pedal is let up earlier.
var lifts = []time.Duration{100 * time.Millisecond, 250 * time.Millisecond, 500 * time.Millisecond, time.Second}

// edits changes what a part is given to play, where that changes anything.
func (c *collector) edits(part int) {
	c.begin()
	c.edit(Trim, part, plan.Overrides{Trim: only(c, part, c.plan.Rules.Overlap)})
	c.begin()
	for _, by := range lifts {
		c.edit(Lift, part, plan.Overrides{Lift: only(c, part, by)})
	}
	c.begin()
	c.edit(Doubles, part, plan.Overrides{Doubles: only(c, part, true)})
}

func (c *collector) edit(kind Kind, part int, o plan.Overrides) {
	p, err := plan.Draft(c.rig, c.base.With(o))
	if err != nil || slices.Equal(p.Performance(c.song).Steps, c.given.Steps) {
		return
	}
	c.add(kind, part, Playing, o)
}

// shares of a release that are tried, in hundredths.
var releaseShares = []int{90, 80, 70, 60, 50, 40, 30, 25}

// releases shortens the tails of each part that has its voices for itself, and
// those of all voices.
func (c *collector) releases() {
	for i := range c.cfg.Parts {
		if len(c.cfg.Parts) > 1 && !c.shares(i) {
			c.release(i)
		}
	}
	c.release(wholeRig)
}

func (c *collector) release(part int) {
	longest := c.longestRelease(part)
	c.begin()
	for _, share := range releaseShares {
		d, ok := twoDigits(longest * time.Duration(share) / 100)
		if !ok {
			continue
		}
		values := plan.All(d)
		if part != wholeRig {
			values = only(c, part, d)
		}
		c.add(Release, part, Knobs, plan.Overrides{Release: values})
	}
}

// longestRelease is that of the voices in the banks of a part, or of all.
func (c *collector) longestRelease(part int) time.Duration {
	longest := time.Duration(0)
	for _, v := range c.cfg.Voices {
		if part == wholeRig || slices.Contains(c.cfg.Parts[part].Banks, v.Bank) {
			longest = max(longest, v.Envelope.Release)
		}
	}
	return longest
}

// twoDigits rounds a time of at least 10 ms as one would set it on a knob.
func twoDigits(d time.Duration) (time.Duration, bool) {
	step := time.Second
	switch {
	case d < 10*time.Millisecond:
		return 0, false
	case d < 100*time.Millisecond:
		step = time.Millisecond
	case d < 995*time.Millisecond:
		step = 10 * time.Millisecond
	case d < 9950*time.Millisecond:
		step = 100 * time.Millisecond
	}
	return d.Round(step), true
}

// mostMore is the most voices that are added.
const mostMore = 64

// voices adds voices, up to what the audible peak takes: for the notes, and for
// the tails too.
func (c *collector) voices() {
	have := c.before.Rig.Voices
	for _, notesOnly := range []bool{true, false} {
		c.begin()
		for n := have + 1; n <= min(have+mostMore, c.before.Rig.Demand.Audible); n++ {
			if o, ok := c.withVoices(n); ok {
				c.add(Voices, wholeRig, Buying, o)
				c.fixes[len(c.fixes)-1].notesOnly = notesOnly
			}
		}
	}
}

// withVoices makes it n voices in service; ok is false where how many there
// are is being tried out in another way.
func (c *collector) withVoices(n int) (o plan.Overrides, ok bool) {
	aimed := slices.ContainsFunc(c.base.Voices, func(v plan.For[int]) bool { return v.Part != "" })
	if aimed || len(c.base.More) > 0 {
		return o, false
	}
	all := c.inService()
	if n < all || len(c.base.Voices) > 0 {
		o.Voices = plan.All(n)
	}
	if n > all {
		o.More = plan.All(n - all)
	}
	return o, true
}

// inService counts the voices of the rig that are, but for those that overrides
// take out.
func (c *collector) inService() int {
	n := 0
	for i := range c.plan.Rig.Banks {
		n += c.plan.Rig.InService(i)
	}
	return n
}
