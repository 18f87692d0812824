package hearing

import (
	"cmp"
	"math"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// Played is what became of a song: what a replay or a rehearsal tells, and the
// rules that it was played by. Its reference has the notes of what was asked for.
type Played struct {
	Rules    study.Rules
	Outcomes []study.Outcome // by alloc.NoteID
	Cuts     []study.Cut

	otherwise *otherwise // than asked; nil where it was to be played as that: see Asked.Match
}

// Of returns what a replay tells.
func Of(r study.Rules, p *study.Replay) Played {
	return Played{Rules: r, Outcomes: p.Outcomes, Cuts: p.Cuts}
}

// What says what is wrong with a note.
type What uint8

// What can be wrong.
const (
	Gone       What = iota // dropped
	Late                   // its gate opened late, by a gap or waiting for its unison
	Thinned                // it began with fewer voices than its unison has
	Cut                    // it lost a voice, or its tail did
	WrongPitch             // by half a semitone or more
	LeftOut                // nobody was to play it
	Altered                // it was to be played otherwise: shorter, with another release or unison
	HeldOn                 // its gate stayed high for others after its key was up
)

// wrongFrom is from how many cents on a pitch is judged as a wrong one.
const wrongFrom = 50

// piece is a stretch of time in which something of a note is missing, or sounds
// too long.
type piece struct {
	*contour
	from, to time.Duration
	voices   float64 // missing; below 0 where they sound too long, 0 where the pitch is wrong
	note     int32
	loss     int32         // it belongs to; −1
	in       phase         // that it is in now
	fades    time.Duration // 1 and when its tail has faded away, see [piece.gone]; 0 where nobody has asked
}

// event is when a piece changes its phase.
type event struct {
	at    time.Duration
	piece int32
}

// loss is what is wrong with a note while it is judged.
type loss struct {
	note      int32
	what      What
	group     uint8 // that it is judged in
	from      time.Duration
	pieces    int32         // that are not over
	power     float64       // missing now, of full
	stamp     int32         // of the stretch that this holds for
	band      uint8         // in which it was missed most
	most      float64       // what is missing, of what was played, at most; 0 where not known
	next      int           // the first stretch that it waits for
	until     time.Duration // from when on it may wait
	gone      time.Duration // about when its tail has faded away
	series    series
	other     series  // of a wrong pitch: the note too many
	otherBand uint8   // in which that was most
	cents     float64 // of a wrong pitch: by how much
	heard     judge
	area      float64 // of series, in dB·s
}

// gather lists what was not played as asked.
func (l *listener) gather(p Played) {
	pieces, events := len(p.Cuts), 2*len(p.Cuts)
	for i := range p.Outcomes {
		if o := &p.Outcomes[i]; o.Ending == study.Dropped || o.Late > 0 {
			pieces, events = pieces+1, events+4
		}
	}
	if p.otherwise != nil {
		pieces, events = pieces+2*len(l.notes), events+4*len(l.notes)
	}
	l.pieces = slices.Grow(l.pieces[:0], pieces)
	l.events, l.losses = slices.Grow(l.events[:0], events), l.losses[:0]
	if l.each {
		l.losses = slices.Grow(l.losses, pieces)
	}
	l.contours, l.changes, l.held = l.contours[:0], l.changes[:0], nil
	l.cut = slices.Grow(l.cut[:0], len(l.notes))[:len(l.notes)]
	clear(l.cut)
	if p.otherwise != nil {
		l.altered = slices.Grow(l.altered[:0], len(l.notes))[:len(l.notes)]
		clear(l.altered)
	}
	for i := range p.Cuts {
		l.cut[p.Cuts[i].Note] = -1
	}
	for i := range l.notes {
		if n := &l.notes[i]; n.sounds() {
			l.note(&p, int32(i), n, &p.Outcomes[i])
		}
	}
	for i := range p.Cuts {
		l.takeAway(&p, &p.Cuts[i])
	}
	slices.Sort(l.changes)
	l.sortEvents()
}

// sortEvents puts the events in the order of time and of pieces: into as many spans of
// time as there are events, and each of these, of which most hold few, by itself.
func (l *listener) sortEvents() {
	n := len(l.events)
	if n < 2 {
		return
	}
	last := time.Duration(0)
	for i := range l.events {
		last = max(last, l.events[i].at)
	}
	span := last/time.Duration(n) + 1
	l.spans = slices.Grow(l.spans[:0], n+1)[:n+1]
	clear(l.spans)
	for i := range l.events {
		l.spans[l.events[i].at/span+1]++
	}
	for i := 1; i <= n; i++ {
		l.spans[i] += l.spans[i-1]
	}
	l.unsorted, l.events = l.events, slices.Grow(l.unsorted[:0], n)[:n] // all of a stage sort in turn
	for _, e := range l.unsorted {
		at := &l.spans[e.at/span]
		l.events[*at] = e
		*at++
	}
	from := int32(0)
	for _, to := range l.spans[:n] {
		sortFew(l.events[from:to])
		from = to
	}
}

// sortFew sorts a few events, or many.
func sortFew(list []event) {
	if len(list) > 32 {
		slices.SortFunc(list, func(a, b event) int { return cmp.Or(cmp.Compare(a.at, b.at), int(a.piece-b.piece)) })
		return
	}
	for i := 1; i < len(list); i++ {
		x, k := list[i], i
		for ; k > 0 && (list[k-1].at > x.at || list[k-1].at == x.at && list[k-1].piece > x.piece); k-- {
			list[k] = list[k-1]
		}
		list[k] = x
	}
}

// note lists what is missing of a note from its start, and what it has too much.
func (l *listener) note(p *Played, i int32, n *asked, o *study.Outcome) {
	contour, voices := &n.contour, n.voices
	if p.otherwise != nil {
		if x := &p.otherwise.notes[i]; x.out {
			l.leaveOut(i, n)
			return
		} else if x.from < never || x.voices != n.voices {
			contour, voices = &x.contour, x.voices
		}
	}
	if o.Ending == study.Dropped {
		l.miss(piece{contour: &n.contour, from: n.start, to: n.stop, voices: n.voices, note: i}, Gone)
		return
	}
	if o.Voice == alloc.NoVoice {
		return // struck again at once
	}
	got := voices
	if !l.elastic(alloc.NoteID(i)) {
		got = min(got, float64(o.Voices))
	}
	if got < voices {
		l.miss(piece{contour: &n.contour, from: n.start, to: n.stop, voices: voices - got, note: i}, Thinned)
	}
	begins := min(n.start+o.Late, n.stop)
	if o.Late > 0 {
		l.miss(piece{contour: &n.contour, from: n.start, to: begins, voices: got, note: i}, Late)
	}
	if contour != &n.contour {
		l.alter(i, n, &p.otherwise.notes[i], got, begins)
	}
	if o.TooLong > 0 {
		l.heldOn(piece{contour: contour, from: max(contour.low, begins), to: n.stop, voices: got, note: i}, o.TooLong)
		return
	}
	if ends := begins + p.Rules.Config.MinGate; ends > contour.low && l.cut[i] == 0 {
		l.tooLong(piece{contour: contour, from: max(contour.low, begins), to: n.stop, voices: got, note: i, loss: -1}, begins-n.start, ends)
	}
}

// elastic tells whether the notes of a part share its voices among them.
func (l *listener) elastic(note alloc.NoteID) bool {
	return l.parts[l.Reference.Notes[note].Part].Unison.WhenShort == alloc.Elastic
}

// gatherWrong adds the notes of wrong pitch, to be judged by themselves.
func (l *listener) gatherWrong(p Played) {
	for i := range l.notes {
		n, o := &l.notes[i], &p.Outcomes[i]
		if math.Abs(o.Missed) < wrongFrom || !n.sounds() || o.Ending == study.Dropped || o.Voice == alloc.NoVoice {
			continue
		}
		x := piece{contour: &n.contour, from: min(n.start+o.Late, n.stop), to: n.stop, note: int32(i)}
		if p.otherwise != nil {
			y := &p.otherwise.notes[i]
			if y.out {
				continue
			}
			if y.from < never || y.voices != n.voices {
				x.contour = &y.contour
			}
		}
		l.wrongPitch(x, o)
	}
	l.sortEvents()
}

func (l *listener) wrongPitch(x piece, o *study.Outcome) {
	if o.Ending >= study.BornCut {
		x.to = o.At
	}
	before := len(l.losses)
	l.miss(x, WrongPitch)
	for k := before; k < len(l.losses); k++ {
		l.losses[k].cents = o.Missed
	}
}

// tooLong lets a gate that opened late stay high until its shortest time is over:
// the note as it was played sounds, and the one of the piece does not. Of a
// note that loses a voice such milliseconds are left out.
func (l *listener) tooLong(x piece, late, ends time.Duration) {
	y := *x.contour
	y.full, y.low = y.full+late, ends
	y.end()
	l.contours = append(l.contours, y)
	l.add(x)
	x.contour, x.voices = &l.contours[len(l.contours)-1], -x.voices
	l.add(x)
	l.changes = append(l.changes, x.from, min(y.full, ends), ends)
}

// held is a note whose gate stayed high for others: as it was to be played, as it sounded,
// and its loss.
type held struct {
	short, long *contour
	loss        int32
}

// heldOn lets a note sound on for so long, where others hold the gate of its voices.
func (l *listener) heldOn(x piece, long time.Duration) {
	if x.from >= min(x.low+long, x.to) {
		return
	}
	y := *x.contour
	y.low += long
	y.end()
	if x.loss = -1; l.each {
		x.loss = int32(len(l.losses))
		l.losses = append(l.losses, loss{note: x.note, what: HeldOn, from: x.from})
	}
	if l.held == nil {
		l.held = map[int32]held{}
	}
	l.held[x.note] = held{x.contour, &y, x.loss}
	l.instead(x, &y)
}

// instead lets another contour sound than that of a piece. Below 0 voices do so no more.
func (l *listener) instead(x piece, other *contour) {
	l.addTo(x)
	l.changes = append(l.changes, x.from, min(x.to, other.low))
	x.contour, x.voices = other, -x.voices
	l.addTo(x)
}

// takeAway lists what a note has lost with a voice.
func (l *listener) takeAway(p *Played, c *study.Cut) {
	n, o := &l.notes[c.Note], &p.Outcomes[c.Note]
	if !n.sounds() {
		return
	}
	voices := 1.0
	if l.elastic(c.Note) {
		if c.Left > 0 {
			return // its voices are shared out anew: so it is played
		}
		voices = 1 / float64(max(1, o.Fewest))
	}
	x := piece{contour: &n.contour, from: max(c.At, min(n.start+o.Late, n.stop)), to: n.stop, voices: voices, note: int32(c.Note)}
	if p.otherwise != nil {
		if l.altered[c.Note] > 0 || !l.each {
			l.swap(x.note, n, &p.otherwise.notes[c.Note], -voices, x.from)
		}
	}
	if h, ok := l.held[x.note]; ok && x.from < x.to {
		y := x
		y.contour, y.voices, y.loss = h.short, -voices, h.loss
		l.instead(y, h.long)
	}
	if before := l.cut[c.Note]; l.each && before > 0 && x.from < x.to {
		x.loss = before - 1
		l.losses[x.loss].pieces++
		l.add(x)
		return
	}
	l.miss(x, Cut)
	l.cut[c.Note] = int32(len(l.losses))
}

// miss adds a piece that is a loss of its own.
func (l *listener) miss(x piece, what What) {
	if x.from >= x.to {
		return
	}
	if x.loss = -1; !l.each {
		l.add(x)
		return
	}
	x.loss = int32(len(l.losses))
	l.losses = append(l.losses, loss{note: x.note, what: what, from: x.from, pieces: 1})
	l.add(x)
}

func (l *listener) add(x piece) {
	if x.from >= x.to || x.phase(x.from) == silent && x.from >= x.low {
		return
	}
	at := int32(len(l.pieces))
	l.pieces = append(l.pieces, x)
	l.events = append(l.events, event{x.from, at})
	for _, t := range [...]time.Duration{min(x.full, x.low), x.low, x.to} {
		if x.from < t && t <= x.to && t < never {
			l.events = append(l.events, event{t, at})
		}
	}
}
