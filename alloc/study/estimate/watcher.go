package estimate

import (
	"math"
	"sort"
	"sync"
	"time"

	"choirloft/alloc/study"
)

// watcher sums up what becomes of the notes that count, by batch.
type watcher struct {
	from, batch time.Duration
	mu          sync.Mutex
	runs        map[run]*[batches]study.Score
}

// run is on so many voices by one of the ways.
type run struct{ voices, way int }

// see takes what became of every note of a run. Notes are in the order of their
// starts.
func (w *watcher) see(voices, way int, ref *study.Reference, outcomes []study.Outcome) {
	scores := new([batches]study.Score)
	at := w.after(ref, 0)
	for b := range scores {
		end := w.after(ref, b+1)
		scores[b] = study.ScoreOf(outcomes[at:end])
		at = end
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.runs == nil {
		w.runs = map[run]*[batches]study.Score{}
	}
	w.runs[run{voices, way}] = scores
}

// after is the first note that begins at the start of a batch or later.
func (w *watcher) after(ref *study.Reference, batch int) int {
	start := w.from + time.Duration(batch)*w.batch
	return sort.Search(len(ref.Notes), func(i int) bool { return ref.Notes[i].Start >= start })
}

// seek tells of each level which numbers of voices keep it as played, by the rules
// of the parts.
func (w *watcher) seek() []func(*study.SizePoint) bool {
	list := make([]func(*study.SizePoint) bool, len(Levels))
	for i, level := range Levels {
		list[i] = func(at *study.SizePoint) bool { return w.played(at.Voices, len(ways)).Share <= level }
	}
	return list
}

func (w *watcher) played(voices, way int) Played {
	scores := w.runs[run{voices, way}]
	var p Played
	for b := range scores {
		p.Score.Add(&scores[b])
	}
	if p.Score.Notes == 0 {
		return p
	}
	all := float64(p.Score.Notes)
	p.Share, p.TailShare = float64(p.Score.Damaged())/all, float64(p.Score.TailCuts())/all
	sum := 0.0
	for b := range scores {
		off := float64(scores[b].Damaged()) - p.Share*float64(scores[b].Notes)
		sum += off * off
	}
	p.Error = math.Sqrt(sum*batches/(batches-1)) / all
	return p
}
