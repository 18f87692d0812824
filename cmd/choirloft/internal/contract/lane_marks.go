package contract

import "math"

// LaneMark is a loss in its place on the lanes.
type LaneMark struct {
	AtS    float64
	Voice  int // from 1; 0 for a note that was dropped
	Ending string
	Loss   int // place among the losses; −1 for one that is not listed
	Span   int // place among the spans of the lanes; −1 where there is none
	Weight Weight
	// WantedS is until when it would have been heard, 0 where nothing was taken away; Tail
	// tells whether only its tail is lost.
	WantedS float64
	Tail    bool
}

// spanKey is what a span and its loss have in common.
type spanKey struct {
	at     int64 // in µs
	key    int
	ending string
	voice  int // from 1; 0 for any
}

func spanKeyOf(at float64, key int, ending string) spanKey {
	return spanKey{int64(math.Round(at * 1e6)), key, ending, 0}
}

// on is the same on a voice: two may lose the same key at once.
func (k spanKey) on(voice int) spanKey {
	k.voice = voice
	return k
}

// MarksOn are the losses of a result on its lanes: those that took a voice from a note, or
// let it wait, by span; then notes that were dropped, and what no ending says but is heard.
// Notes at the wrong pitch are no such losses.
func (r *Result) MarksOn(l *Lanes) (list []LaneMark) {
	places := map[spanKey]int{}
	for i := range r.Losses {
		if x := &r.Losses[i]; !x.Flagged() {
			k := spanKeyOf(x.AtS, x.Key, x.Ending)
			if places[k] = i; x.Voice != nil {
				places[k.on(*x.Voice)] = i
			}
		}
	}
	add := func(m LaneMark, lostAt float64, key int) {
		m.Loss = -1
		var loss *Loss
		k := spanKeyOf(lostAt, key, m.Ending)
		at, ok := places[k.on(m.Voice)]
		if !ok { // another voice of its unison
			at, ok = places[k]
		}
		if ok {
			m.Loss, loss = at, &r.Losses[at]
		}
		m.Weight = r.Weigh(loss)
		list = append(list, m)
	}
	for i := range l.Spans {
		s := &l.Spans[i]
		m := LaneMark{Voice: s.Voice, Span: i, WantedS: s.WantedS}
		if s.Ending != "" {
			m.AtS, m.Ending = s.EndS, s.Ending
			m.Tail = (&Loss{Ending: s.Ending}).TailOnly() // even one that had not begun
			add(m, s.EndS, s.Key)
		}
		if s.LateStart {
			m.AtS, m.Ending, m.Tail = s.StartS, "late_start", false // lost from where it was asked for
			add(m, s.StartS-s.WaitedS, s.Key)
		}
	}
	for _, dropped := range []bool{true, false} {
		for i := range r.Losses {
			x := &r.Losses[i]
			m := LaneMark{AtS: x.AtS, Ending: x.Ending, Loss: i, Span: -1, Weight: r.Weigh(x)}
			switch {
			case dropped && x.Voice == nil && !x.Flagged():
				list = append(list, m)
			case !dropped && x.Voice != nil && x.Flagged() && !x.WrongPitch():
				m.Voice = *x.Voice
				list = append(list, m)
			}
		}
	}
	return list
}

// TailOnly tells whether a note lost only its tail: its key and its pedal had all their time.
func (l *Loss) TailOnly() bool {
	return !l.Flagged() && (l.kind() == lossTail || l.kind() == lossOwnTail)
}

// WrongOn are the spans of lanes at another pitch than their notes ask for; nil for none.
func (r *Result) WrongOn(l *Lanes) map[int]bool {
	wrong := map[spanKey]bool{}
	for i := range r.Losses {
		if x := &r.Losses[i]; x.WrongPitch() {
			wrong[spanKeyOf(x.AtS, x.Key, "")] = true
		}
	}
	if len(wrong) == 0 {
		return nil
	}
	spans := map[int]bool{}
	for i := range l.Spans {
		s := &l.Spans[i]
		if wrong[spanKeyOf(s.StartS-s.WaitedS, s.Key, "")] || wrong[spanKeyOf(s.StartS, s.Key, "")] {
			spans[i] = true
		}
	}
	return spans
}
