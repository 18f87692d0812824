package contract

import (
	"cmp"
	"slices"
)

// Scenes are what is drawn of a song that is too long for one picture: the bars in which
// a loss is heard plainly, in windows short enough to name notes.
type Scenes struct {
	List  []Scene // in the order of time
	Left  []Scene // further ones, which are heard less and not drawn
	Plain []int   // bars in which a loss is heard plainly, from 1
	// Together is in how many of them no loss is plain by itself, but several together are.
	Together int
	Bars     int // of the song
}

// Scene is a window of whole bars.
type Scene struct {
	Window
	FirstBar, LastBar int     // from 1
	DBS               float64 // what is heard in it above 1 dB, in dB·s
}

// What is drawn of a long song. A picture names notes in four bars, or in 14 s where
// bars are long; it begins a bar before the loss, so that the note is seen that is lost.
const (
	barsOnOnePage = 16
	barsOfAScene  = 4
	secondsOfOne  = 14.0
	mostScenes    = 12
)

// plainShare is for how many seconds of a bar several losses together are heard plainly, so
// that it counts where none of them is by itself.
const plainShare = 0.2

// Scenes decides what is drawn of a whole song; nil where one picture shows all of it, or
// nobody listened.
func (l *Lanes) Scenes(r *Result) *Scenes {
	if r.Heard == nil || len(l.Split(l.All(), barsOnOnePage)) < 2 {
		return nil
	}
	bars := l.heardBars(r)
	s := &Scenes{Bars: r.Bars}
	for at := 0; at < len(bars); at++ {
		if !bars[at].plain {
			continue
		}
		first := at
		if at > 0 && (len(s.List) == 0 || s.List[len(s.List)-1].LastBar < at) { // counted from 1: the bar before is of no scene
			first--
		}
		last := at
		for next := at + 1; next < len(bars) && next-first < barsOfAScene && bars[next].To-bars[first].From <= secondsOfOne; next++ {
			if bars[next].plain {
				last = next
			}
		}
		scene := Scene{Window{bars[first].From, bars[last].To}, first + 1, last + 1, 0}
		for i := first; i <= last; i++ {
			scene.DBS += bars[i].dbS
		}
		s.List, at = append(s.List, scene), last
	}
	for i := range bars {
		if bars[i].plain {
			s.Plain = append(s.Plain, i+1)
			if !bars[i].alone {
				s.Together++
			}
		}
	}
	s.choose()
	return s
}

// choose leaves the scenes that are heard most.
func (s *Scenes) choose() {
	if len(s.List) <= mostScenes {
		return
	}
	slices.SortStableFunc(s.List, func(a, b Scene) int { return cmp.Compare(b.DBS, a.DBS) })
	s.Left = slices.Clone(s.List[mostScenes:])
	s.List = s.List[:mostScenes]
	for _, list := range [][]Scene{s.List, s.Left} {
		slices.SortFunc(list, func(a, b Scene) int { return a.FirstBar - b.FirstBar })
	}
}

// Most is the scene in which most is heard; nil where there is none.
func (s *Scenes) Most() *Scene {
	if len(s.List) == 0 {
		return nil
	}
	most := &s.List[0]
	for i := range s.List {
		if s.List[i].DBS > most.DBS {
			most = &s.List[i]
		}
	}
	return most
}

// Only are the scenes if one alone is drawn.
func (s *Scenes) Only(scene *Scene) *Scenes {
	if scene == nil {
		return s
	}
	only := *s
	only.List, only.Left = []Scene{*scene}, nil
	for _, list := range [][]Scene{s.List, s.Left} {
		for i := range list {
			if list[i] != *scene {
				only.Left = append(only.Left, list[i])
			}
		}
	}
	slices.SortFunc(only.Left, func(a, b Scene) int { return a.FirstBar - b.FirstBar })
	return &only
}

// heardBar is what is heard in a bar.
type heardBar struct {
	Window
	plainS, dbS float64
	plain       bool
	alone       bool // a loss is plain by itself
}

// heardBars are the bars of the song with what is heard in each.
func (l *Lanes) heardBars(r *Result) []heardBar {
	bars := make([]heardBar, len(l.Bars))
	for i := range bars {
		bars[i].Window = Window{l.Bars[i].AtS, l.Seconds}
		if i > 0 {
			bars[i-1].To = l.Bars[i].AtS
		}
	}
	of := func(at float64) int { // the bar of a time
		i, found := slices.BinarySearchFunc(bars, at, func(b heardBar, at float64) int { return cmp.Compare(b.From, at) })
		if !found {
			i--
		}
		return max(0, i)
	}
	for i, db := range r.Heard.Course.DB {
		if b := &bars[of((float64(i)+0.5)*r.Heard.Course.StepS)]; db >= 1 {
			b.dbS += (db - 1) * r.Heard.Course.StepS
			if r.Heard.Course.Plain(i) {
				b.plainS += r.Heard.Course.StepS
			}
		}
	}
	for _, at := range r.Heard.Order {
		if x := &r.Losses[at]; x.Plain() && !x.WrongPitch() {
			bars[of(x.AtS)].alone = true
		}
	}
	for i := range bars {
		bars[i].plain = bars[i].alone || bars[i].plainS >= plainShare-1e-9
	}
	return bars
}
