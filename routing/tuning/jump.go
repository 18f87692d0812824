package tuning

import (
	"cmp"
	"math"
	"slices"

	"choirloft/routing"
)

// Jump is a voice whose pitch moved further from one day to the next than drift explains:
// as if someone had turned a trimmer of it. A turn is no drift, so that the days before it
// do not go with those after it.
type Jump struct {
	Voice    *Voice
	From, To string  // the days
	Cents    float64 // it rose by so much, the median over the volts that both days have
	Others   float64 // the median voice rose by so much; NaN where fewer than three were read
	Limit    float64 // drift explains that it moves against the others by so much
}

const (
	// jumpLimit is how many standard deviations drift explains: as of a value that stands
	// apart from its bank.
	jumpLimit = ModifiedZLimit
	// priorMoves is how many voices what was known of drift before counts for, beside what
	// the voices show from one day to the next.
	priorMoves = 4
)

// move is how far a voice moved from a day to its next one.
type move struct {
	voice *Voice
	days  [2]string
	cents []float64 // at each of the volts that both have, ascending by size
}

// jumps finds the voices that moved further than drift explains between two days that follow
// each other. Of n voices read on both the moves scatter by s (by their median absolute
// deviation), and of the drift σ that is known of the kind two days differ by √2·σ:
// √((4·2σ² + n·s²)/(4 + n)), with s no more than √2·σ so that many turns do not hide each
// other. A move counts against the median voice, where there are three.
func (r *Result) jumps() (all []Jump) {
	by := map[[2]string][]move{}
	for _, v := range r.Voices {
		for _, m := range v.nextDays() {
			by[m.days] = append(by[m.days], m)
		}
	}
	for days, moves := range by {
		middles := make([]float64, len(moves))
		for i := range moves {
			middles[i] = median(moves[i].cents)
		}
		scores, others, n := ModifiedZ(middles), math.NaN(), 0.0
		if len(moves) >= fewest {
			others, n = scores.Median, float64(len(moves))
		}
		for i := range moves {
			m := &moves[i]
			known := 2 * math.Pow(r.knownDrift(m.voice), 2)
			shown := math.Min(math.Pow(scores.MAD/consistent, 2), known)
			limit := math.Max(heard, jumpLimit*math.Sqrt((priorMoves*known+n*shown)/(priorMoves+n)))
			if m.apart(against(others)) > limit {
				all = append(all, Jump{m.voice, days[0], days[1], middles[i], others, limit})
			}
		}
	}
	slices.SortFunc(all, func(a, b Jump) int {
		return cmp.Or(cmp.Compare(a.To, b.To), cmp.Compare(a.From, b.From), cmp.Compare(a.Voice.Voice, b.Voice.Voice))
	})
	return all
}

// against is what a move counts against: that of the others, where there are some.
func against(others float64) float64 {
	if math.IsNaN(others) {
		return 0
	}
	return others
}

// Apart is by how many cents the voice moved against the others, where there are some.
func (j *Jump) Apart() float64 { return math.Abs(j.Cents - against(j.Others)) }

// JumpsOf are those to or from a day, without one all, that would count as drift: the days of
// voices that are to be turned by hand end here.
func (r *Result) JumpsOf(day string) (all []Jump) {
	for _, j := range r.Jumps {
		if !j.Voice.ByHand && (day == "" || j.From == day || j.To == day) {
			all = append(all, j)
		}
	}
	return all
}

// nextDays are the moves of a voice, from each dated day to the next one that has volts in
// common with it.
func (v *Voice) nextDays() (all []move) {
	days := v.days()
	for i := 1; i < len(days); i++ {
		m := move{voice: v, days: [2]string{days[i-1], days[i]}}
		for _, at := range v.byVolts() {
			if two := at.means(m.days[:]); len(two) == 2 {
				m.cents = append(m.cents, two[1]-two[0])
			}
		}
		if len(m.cents) > 0 {
			all = append(all, m)
		}
	}
	return all
}

// apart is how far most volts moved against the other voices, whichever way: a turned scale
// may raise some keys and lower others, and one slip of a reading is no turn.
func (m *move) apart(others float64) float64 {
	sizes := make([]float64, len(m.cents))
	for i, cents := range m.cents {
		sizes[i] = math.Abs(cents - others)
	}
	return median(sizes)
}

// knownDrift is the drift of a voice from day to day, one standard deviation in cents: of
// its kind, or the median of what the rig has measured of that, if it is more.
func (r *Result) knownDrift(v *Voice) float64 {
	kindOf := func(voice int) int { return r.Rig.Banks[r.Rig.Voices[voice].Bank].Kind }
	var measured []float64
	for _, c := range routing.Corrections(r.Rig) {
		if c.Drift != nil && kindOf(c.Voice) == kindOf(v.Voice) {
			measured = append(measured, float64(*c.Drift))
		}
	}
	return max(float64(r.Rig.Kinds[kindOf(v.Voice)].Drift), median(measured))
}

// Anew drops the readings of earlier days of voices: one of their trimmers was turned since.
// What has no date stays.
func Anew(readings []Reading, turned func(voice int) bool) []Reading {
	last := map[int]string{}
	for i := range readings {
		last[readings[i].Voice] = max(last[readings[i].Voice], readings[i].Date)
	}
	return slices.DeleteFunc(slices.Clone(readings), func(r Reading) bool {
		return turned(r.Voice) && r.Date != "" && r.Date < last[r.Voice]
	})
}
