package hearing

// likely are the bands in which nearly as much was missing as in the most when all were
// looked at last. Until something comes or goes no other need be looked at, as long as
// there is one of them in which more is missing than could be by now in any other: what
// is missing fades, or stays where gates are high, and what masks it fades no faster
// than by the release, and stays where new notes come.
type likely struct {
	bands []uint8 // none where all must be looked at
	rest  float64 // at most in all others: what is missing, of what was played
	tail  int     // the rate of tails then
	scale float64 // of it
	taken int     // how often anything asked for has become less at once by then
}

// nearly is how much of the most counts as nearly as much.
const nearly = 0.45

// most10 is the ratio of powers at the limit.
const most10 = 10.0

// odds are what a step asks for, and what of it is missing: of gates that are at their
// level, and of tails of one rate.
type odds struct {
	asked        *row // nil where it has not been added up
	all, tails   *row // what is asked for
	stays, fades *row // what is missing
	k            float64
	gates        bool // some are missing
	low, high    int  // bands in which anything may be
	tail, taken  int  // see likely
}

// odds are those of this step; k is the scale of tails.
func (l *listener) odds(k float64) odds {
	lost := &l.lost[0]
	all := &l.mix.asked
	o := odds{all: &all.rows[0], tails: &all.rows[l.tail], stays: &lost.rows[0], fades: &lost.rows[l.tail], k: k, gates: lost.gates > 0,
		low: lost.low, high: lost.high, tail: l.tail, taken: l.mix.taken}
	if l.looked {
		o.asked = &l.asked
	}
	return o
}

// beyond tells whether the limit is reached in a band; k is the scale of tails.
func (l *listener) beyond(b uint8, k float64) bool {
	all, lost := l.mix.asked.rows, l.lost[0].rows
	asked := theEar.noise[b] + all[0][b] + float64(k*all[l.tail][b])
	played := max(asked-(lost[0][b]+float64(k*lost[l.tail][b])), theEar.noise[b])
	return asked >= float64(most10*played)
}

// quick is [listener.play] and [differ] in one, band by band. Where the limit is
// reached in the band that it is told first, it looks no further. Last is true where
// what is missing changes after this stretch.
func (l *listener) quick(o *odds, near *likely, first uint8, last bool) (db float64, band uint8) {
	all, played := l.heardIn(o, first)
	if all >= float64(most10*played) {
		return limit, first
	}
	num, den, band := all, played, first
	if len(near.bands) > 0 && near.tail == o.tail && near.taken == o.taken && o.k <= near.scale {
		for _, b := range near.bands {
			if all, played := l.heardIn(o, b); float64(all*den) > float64(num*played) {
				num, den, band = all, played, b
			}
		}
		rest := near.rest
		if o.gates && o.k < near.scale {
			rest = float64(rest*near.scale) / o.k
		}
		if num-den >= float64(rest*den) {
			return min(limit, decibels(num/den)), band
		}
	}
	num, den, band = l.inAll(o, num, den, band)
	if near.bands = near.bands[:0]; !last {
		l.gatherLikely(o, near, num, den)
	}
	return min(limit, decibels(num/den)), band
}

// heardIn is what excites a band as asked, added up as [stage.look] does, and as
// played.
func (l *listener) heardIn(o *odds, b uint8) (asked, played float64) {
	if o.asked != nil {
		asked = o.asked[b]
	} else {
		asked = theEar.noise[b] + o.all[b] + float64(o.k*o.tails[b])
	}
	return asked, max(asked-(o.stays[b]+float64(o.k*o.fades[b])), theEar.noise[b])
}

// inAll looks at all bands for one with a larger ratio than num ÷ den of band.
func (l *listener) inAll(o *odds, num, den float64, band uint8) (float64, float64, uint8) {
	switch {
	case o.asked != nil:
	case o.all == &l.mix.asked.rows[0]:
		l.look()
		o.asked = &l.asked
	default:
		l.then.excite(o.all, o.tails, o.k)
		o.asked = &l.then
	}
	low, high := max(o.low, 0), min(o.high, Bands)
	noise, asked, stays, fades, to, k := &theEar.noise, o.asked, o.stays, o.fades, &l.played, o.k
	for b := low; b < high; b++ {
		all := asked[b]
		played := all - (stays[b] + float64(k*fades[b]))
		if played < noise[b] {
			played = noise[b]
		}
		to[b] = played
		if float64(all*den) > float64(num*played) {
			num, den, band = all, played, uint8(b)
		}
	}
	return num, den, band
}

// gatherLikely notes the bands to look at next time, where num ÷ den is the most.
func (l *listener) gatherLikely(o *odds, near *likely, num, den float64) {
	share := nearly * (num - den) / den
	low, high := max(o.low, 0), min(o.high, Bands)
	asked, all := o.asked, &l.played
	var bands [Bands]uint8
	n := 0
	for b := low; b < high; b++ {
		if played := all[b]; asked[b]-played > float64(share*played) && n < Bands {
			bands[n] = uint8(b)
			n++
		}
	}
	near.bands = append(near.bands, bands[:n]...)
	const slack = 1 + 1e-6 // of rounding
	near.rest, near.tail, near.scale, near.taken = share*slack, o.tail, o.k, o.taken
}
