package hearing

import (
	"slices"
	"sync"

	"choirloft/alloc/study"
)

// Runs are what an engine made of a song on numbers of voices, by the rules of its parts,
// for several who listen to it: the engine knows neither sounds nor ears. The zero Runs
// has none; several goroutines may use one.
type Runs struct {
	mutex sync.Mutex
	on    map[int]Played // by number of voices
	notes int            // kept, in all of them
}

// keeps is how many notes are kept at most, each of some 150 bytes.
const keeps = 400_000

// Keep keeps a run, as far as there is room. It tells when gates opened late for gaps.
func (r *Runs) Keep(voices int, outcomes []study.Outcome, cuts []study.Cut) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if r.notes+len(outcomes) > keeps {
		return
	}
	if r.on == nil {
		r.on = map[int]Played{}
	}
	r.notes += len(outcomes)
	r.on[voices] = Played{Outcomes: slices.Clone(outcomes), Cuts: slices.Clone(cuts)}
}

// of returns the run on so many voices by rules, and plays it where it is not there.
func (r *Runs) of(rules study.Rules, voices int, play func() (Played, error)) (Played, error) {
	if r == nil {
		return play()
	}
	r.mutex.Lock()
	p, ok := r.on[voices]
	r.mutex.Unlock()
	if ok {
		p.Rules = rules
		return p, nil
	}
	p, err := play()
	if err == nil {
		r.Keep(voices, p.Outcomes, p.Cuts)
	}
	return p, err
}
