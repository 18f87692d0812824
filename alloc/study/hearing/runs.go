package hearing

import (
	"slices"
	"sync"
)

// runs are those of a song that several listen to. The engine knows neither sounds nor
// ears: those who differ in these need not play again.
type runs struct {
	mutex sync.Mutex
	on    map[int]Played // by number of voices
	notes int            // kept, in all of them
}

// keeps is how many notes are kept at most, each of some 150 bytes.
const keeps = 400_000

// of returns the run on so many voices, and plays it where it is not there.
func (r *runs) of(voices int, play func() (Played, error)) (Played, error) {
	if r == nil {
		return play()
	}
	r.mutex.Lock()
	p, ok := r.on[voices]
	r.mutex.Unlock()
	if ok {
		return p, nil
	}
	p, err := play()
	if err != nil {
		return p, err
	}
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if r.notes+len(p.Outcomes) <= keeps {
		r.notes += len(p.Outcomes)
		kept := p
		kept.Outcomes, kept.Cuts = slices.Clone(p.Outcomes), slices.Clone(p.Cuts)
		r.on[voices] = kept
	}
	return p, nil
}
