package advise

import (
	"cmp"
	"context"
	"math"
	"math/bits"
	"slices"
	"sync/atomic"

	"choirloft/alloc/crew"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/routing/plan"
	"choirloft/routing/purchase"
	"choirloft/routing/whatif"
)

// tried is a state that was played.
type tried struct {
	state     state
	overrides plan.Overrides
	ok        bool // the rig can follow it, and no song says otherwise
	Figures
	Songs    []Figures
	trials   []*whatif.Trial
	parts    []whatif.PartLoss // of all songs together
	effort   Effort
	lines    int
	more     int                // voices more
	adds     plan.Overrides     // that make them
	purchase *purchase.Purchase // of whole banks
	passes   int                // recordings
	groups   [][]int            // the parts of each; nil where each has some of the notes of all
}

// finder is a search.
type finder struct {
	space
	Options
	songs     []*whatif.Session
	plan      *plan.Plan
	banks     []string
	serving   uint64 // banks with a voice in service
	count     []int  // voices in service, by bank
	moving    [][]Effort
	peaks     []int // by part: with the pedal
	helds     []int
	restrikes []bool
	keys      [][]midi.Key // by part: of its notes, as they come in, ascending
	splits    [][]value    // by part: its keys on several banks
	moves     []move
	shifts    []move // of these, those that transpose a part
	divides   []move // of these, those that split keys, where notes are out of range
	known     map[string]*tried
	now       *tried
	left      study.Work
	short     bool // the budget ended the search
	played    int
	further   *float64
	lean      *tried // the best setting that is to be listed and makes nothing worse
	bought    Bought
}

// wanted tells whether a kind of change is to be tried.
func (f *finder) wanted(flag string) bool {
	return len(f.Kinds) == 0 || slices.Contains(f.Kinds, flag)
}

func newFinder(songs []*whatif.Session, o Options) *finder {
	f := &finder{Options: o, songs: songs, plan: songs[0].Plan(), known: map[string]*tried{}}
	rig := f.plan.Rig
	f.count = make([]int, len(rig.Banks))
	for i := range f.plan.Unchanged.Parts {
		f.parts = append(f.parts, rig.Parts[i].Name)
	}
	for i := range rig.Banks {
		f.banks = append(f.banks, rig.Banks[i].Name)
	}
	for _, v := range f.plan.Rules.Config.Voices {
		if v.State.InService() {
			f.count[v.Bank]++
			if v.Bank < mostBanks {
				f.serving |= 1 << v.Bank
			}
		}
	}
	f.demands()
	f.candidates()
	return f
}

// work is what it takes to play a state.
func (f *finder) work(o plan.Overrides) (w study.Work) {
	for _, s := range f.songs {
		w += s.TryWork(o)
	}
	return w
}

// play plays states that were not played yet, as far as the budget goes, and returns
// what is known of each; nil where it is not.
func (f *finder) play(ctx context.Context, states []state) ([]*tried, error) {
	list := make([]*tried, len(states))
	var fresh []*tried
	for i, s := range states {
		key := s.key()
		t := f.known[key]
		if t == nil {
			t = &tried{state: s, overrides: f.overrides(s), effort: f.effort(s), lines: f.lines(s)}
			w := f.work(t.overrides)
			if w > f.left {
				f.short = true
				continue
			}
			f.left -= w
			f.known[key] = t
			fresh = append(fresh, t)
		}
		list[i] = t
	}
	var done atomic.Int64
	before := f.played
	err := crew.Do(ctx, len(fresh), func(context.Context) func(int) error {
		return func(i int) error {
			f.try(fresh[i])
			if n := done.Add(1); f.Progress != nil {
				f.Progress(before + int(n))
			}
			return nil
		}
	})
	f.played += len(fresh)
	return list, err
}

// try plays one state.
func (f *finder) try(t *tried) {
	t.trials, t.Songs = make([]*whatif.Trial, len(f.songs)), make([]Figures, len(f.songs))
	for i, s := range f.songs {
		trial, err := s.Try(t.overrides)
		if err != nil {
			return // a change that the rig cannot follow is none
		}
		t.trials[i] = trial
		t.Songs[i].add(trial)
		t.add(trial)
		t.lose(trial.Parts)
	}
	t.ok = true
}

// lose adds what the parts lost of a song.
func (t *tried) lose(parts []whatif.PartLoss) {
	if t.parts == nil {
		t.parts = make([]whatif.PartLoss, len(parts))
	}
	for i := range parts {
		t.parts[i].Notes += parts[i].Notes
		t.parts[i].Lost += parts[i].Lost
	}
}

// portion is how many are played before the best of them is looked at: a number that
// depends on no machine.
const portion = 8

// What a change has to gain: a share of what is left, and no less than can be told.
const (
	leastShare = 0.005
	leastGain  = 0.01 // dB·s
)

func (f *finder) least(at *tried) float64 { return max(leastGain, leastShare*f.toll(at)) }

// climb goes from a state to a better one, change by change, with no more effort than is
// allowed.
func (f *finder) climb(ctx context.Context, from *tried, most Effort) (*tried, error) {
	at := from
	for {
		gains, best, err := f.sweep(ctx, at, most)
		if err != nil || best == nil {
			return at, err
		}
		if f.gain(at, best) < f.least(at) {
			if !f.short {
				gain := f.gain(at, best) / max(1e-9, f.toll(at))
				f.further = &gain
			}
			return at, nil
		}
		if at, err = f.lazily(ctx, best, gains, most); err != nil {
			return at, err
		}
		if f.short {
			return at, nil
		}
	}
}

func (f *finder) toll(t *tried) float64 { return t.Figures.toll(&f.now.Figures) }

func (f *finder) gain(from, to *tried) float64 { return f.toll(from) - f.toll(to) }

// stale is a move with what it gained when it was played last.
type stale struct {
	move int
	gain float64
}

// byGain orders by what was gained, then as moves are.
func byGain(a, b stale) int { return cmp.Or(cmp.Compare(b.gain, a.gain), cmp.Compare(a.move, b.move)) }

// sweep plays every change of a state, and returns what each gains and the best.
func (f *finder) sweep(ctx context.Context, at *tried, most Effort) (gains []stale, best *tried, err error) {
	all := make([]int, len(f.moves))
	for i := range all {
		all[i] = i
	}
	return f.compare(ctx, at, all, most)
}

// compare plays some changes of a state.
func (f *finder) compare(ctx context.Context, at *tried, moves []int, most Effort) (gains []stale, best *tried, err error) {
	var states []state
	var of []int
	for _, m := range moves {
		s, ok := f.moves[m](at.state)
		if !ok || slices.Equal(s, at.state) || f.effort(s) > most {
			continue
		}
		states, of = append(states, s), append(of, m)
	}
	for len(states) > 0 && err == nil {
		n := min(len(states), 8*portion)
		var list []*tried
		if list, err = f.play(ctx, states[:n]); err != nil {
			return nil, nil, err
		}
		for i, t := range list {
			if t == nil || !t.ok {
				continue
			}
			gains = append(gains, stale{of[i], f.gain(at, t)})
			if best == nil || f.better(t, best) {
				best = t
			}
		}
		states, of = states[n:], of[n:]
	}
	return gains, best, nil
}

// better tells which of two comes first: by what the search makes small, then by effort
// and lines.
func (f *finder) better(a, b *tried) bool {
	return cmp.Or(cmp.Compare(f.toll(a), f.toll(b)), cmp.Compare(a.effort, b.effort), cmp.Compare(a.lines, b.lines)) < 0
}

// lazily goes on from a state by changes that gained something when they were played
// last, the best of these first, until none of them gains enough.
func (f *finder) lazily(ctx context.Context, at *tried, gains []stale, most Effort) (*tried, error) {
	slices.SortFunc(gains, byGain)
	for {
		enough := f.least(at)
		var best *tried
		next := 0 // of gains: all before were played from this state
		for next < len(gains) && gains[next].gain >= enough && (best == nil || f.gain(at, best) < gains[next].gain) {
			n := min(portion, len(gains)-next)
			var moves []int
			for _, g := range gains[next : next+n] {
				moves = append(moves, g.move)
			}
			now, b, err := f.compare(ctx, at, moves, most)
			if err != nil {
				return at, err
			}
			for i := next; i < next+n; i++ {
				j := slices.IndexFunc(now, func(g stale) bool { return g.move == gains[i].move })
				if gains[i].gain = 0; j >= 0 {
					gains[i].gain = now[j].gain
				}
			}
			if b != nil && (best == nil || f.better(b, best)) {
				best = b
			}
			next += n
		}
		if best == nil || f.gain(at, best) < enough || f.short {
			return at, nil
		}
		at = best
		slices.SortFunc(gains, byGain)
	}
}

// mostWhole is how many settings there may be for all to be played.
const mostWhole = 3000

// settings counts the states that there are.
func (f *finder) settings() float64 {
	n := 1.0
	for i := range f.slots {
		if s := &f.slots[i]; s.flag == banksFlag {
			n *= math.Pow(2, float64(bits.OnesCount64(f.serving))) - 1 + float64(len(f.splits[s.part]))
		} else {
			n *= float64(len(s.values))
		}
	}
	return n
}

// whole plays every state, if there are few; false where it did not.
func (f *finder) whole(ctx context.Context) (bool, error) {
	if f.settings() > mostWhole {
		return false, nil
	}
	for _, m := range f.moves { // so that every value has its place
		m(f.as())
	}
	there := 1.0
	for i := range f.slots {
		there *= float64(len(f.slots[i].values))
	}
	if there < f.settings() { // not every choice of banks is a move
		return false, nil
	}
	var all []state
	work := study.Work(0)
	s := f.as()
	for {
		all = append(all, slices.Clone(s))
		if f.known[s.key()] == nil {
			work += f.work(f.overrides(s))
		}
		i := 0
		for ; i < len(s); i++ {
			if s[i]++; int(s[i]) < len(f.slots[i].values) {
				break
			}
			s[i] = 0
		}
		if i == len(s) {
			break
		}
	}
	if work > f.left {
		return false, nil
	}
	_, err := f.play(ctx, all)
	return true, err
}
