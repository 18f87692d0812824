package advise

import (
	"context"
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
	f := &finder{Options: o, left: o.Work, songs: songs, plan: songs[0].Plan(), known: map[string]*tried{}}
	rig := f.plan.Rig
	f.count = make([]int, len(rig.Banks))
	for i := range f.plan.Unchanged.Parts {
		f.parts = append(f.parts, rig.Parts[i].Name)
	}
	for i := range rig.Interfaces {
		f.boxes = append(f.boxes, rig.Interfaces[i].Name)
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
