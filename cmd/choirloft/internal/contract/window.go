package contract

import (
	"cmp"
	"fmt"
)

// Window is a part of a song, in seconds.
type Window struct{ From, To float64 }

// All is the whole song.
func (l *Lanes) All() Window { return Window{0, max(l.Seconds, 0.001)} }

// Within is the window from one bar to the end of another, counted from 1; 0 is
// the start or the end of the song. It fails where there is no such bar.
func (l *Lanes) Within(from, to int) (Window, error) {
	w := l.All()
	last := len(l.Bars)
	switch {
	case from < 0 || to < 0 || from > last || to > last:
		return w, fmt.Errorf("the song has the bars 1 to %d", last)
	case to > 0 && from > to:
		return w, fmt.Errorf("bar %d is after bar %d", from, to)
	}
	if from > 0 {
		w.From = l.Bars[from-1].AtS
	}
	if to > 0 && to < last {
		w.To = l.Bars[to].AtS
	}
	if w.To <= w.From {
		return w, fmt.Errorf("nothing sounds there, in bars %d to %d", max(from, 1), cmp.Or(to, last))
	}
	return w, nil
}

// Split cuts a window into several of at most so many bars, or as many times two
// seconds in a song without bars.
func (l *Lanes) Split(w Window, bars int) []Window {
	var starts []float64
	if l.HasBars {
		for _, b := range l.Bars {
			if b.AtS > w.From && b.AtS < w.To {
				starts = append(starts, b.AtS)
			}
		}
	} else {
		for t := w.From + 2; t < w.To; t += 2 {
			starts = append(starts, t)
		}
	}
	windows := []Window{w}
	for i := bars - 1; i < len(starts); i += bars {
		windows[len(windows)-1].To = starts[i]
		windows = append(windows, Window{starts[i], w.To})
	}
	if n := len(windows) - 1; n > 0 && windows[n].To-windows[n].From < shred*(windows[n-1].To-windows[n-1].From) {
		windows[n-1].To, windows = windows[n].To, windows[:n]
	}
	return windows
}

// shred is what is left of a song at its end that gets no page of its own, as a
// share of a page: such as the overlap of a last chord.
const shred = 0.03
