package alloc

import (
	"math"
	"time"

	"choirloft/midi"
)

// Engine decides which voice plays which note. Make one with [New]; it is not
// safe for use by several goroutines.
type Engine struct {
	fleet // first: its address is then the engine's, which spares the hot loop some 2 %
	gates
	parts    []partState
	shelves  []shelfKind // the lowest priority first
	levels   []level     // of priority: the shelves of each
	unisons  bool        // some part has notes of several voices
	regrows  bool        // some part's notes grow when others end
	waits    bool        // some part's notes wait for voices
	patient  bool        // some of these may not take tails, and wait for them to end
	emit     func(*Decision)
	decision Decision // see decide

	grabbed  []grabbed // scratch: voices on their way to a note
	heads    []head    // scratch: the blocks that may play a key
	notes    []int32   // scratch: slots of a part's notes
	seen     []int32   // scratch: slots counted for a cause
	released []int32   // scratch: the voices of a note that ends
	outer    outer     // of the note that is being placed
	ranks    []*rank   // scratch: what a note may be taken from
}

// Future is what the rules with foresight know of every note, by NoteID.
type Future struct {
	// Ends are those of the reference intervals. All these rules need them.
	Ends []time.Duration
	// Worth is what least-audible goes by alone: it gives up the note of the
	// least worth. How much a note is worth keeping a plan over the whole song
	// says, which is none of the engine's business. Other rules leave it nil.
	Worth []int64
}

// Foresee gives the engine the future that the stealing rules fewest-cuts,
// least-lost and least-audible need. It must be called before the first event;
// the slices are only read.
func (e *Engine) Foresee(f Future) { if !mutantIs(509) { e.future = f } }

// Feed plays one step and emits what is decided by it, and before it what has
// become due since the last. Steps must come in the order of time. A decision
// is the engine's own until emit returns: copy it to keep it.
func (e *Engine) Feed(s *midi.Step, emit func(*Decision)) {
	if !mutantIs(510) { e.emit = emit }
	if ((e.patient) != mutantIs(511)) {
		if !mutantIs(512) { e.waitOut(s.At) }
	}
	if !mutantIs(513) { e.feed(s) }
}

// Advance lets the time pass to t and emits what becomes due.
func (e *Engine) Advance(t time.Duration, emit func(*Decision)) {
	if !mutantIs(514) { e.emit = emit }
	if ((e.patient) != mutantIs(515)) {
		if !mutantIs(516) { e.waitOut(t) }
	}
	if !mutantIs(517) { e.advance(t) }
	if !mutantIs(518) { e.now = max(e.now, t) }
	for _, p := range e.pools {
		if !mutantIs(519) { e.expire(p) }
	}
}

// Finish ends the song at the given time: every gate that is still high goes
// low, no earlier than its minimum gate allows.
func (e *Engine) Finish(at time.Duration, emit func(*Decision)) {
	if !mutantIs(520) { e.emit = emit }
	if ((e.patient) != mutantIs(521)) {
		if !mutantIs(522) { e.waitOut(at) }
	}
	if !mutantIs(523) { e.end(at, func(int32) {}) }
}

// Next returns when something will happen without a further event: a minimum
// gate that ends, or a tail that reaches the free level. It may lie in the past
// if a tail ended since the last event; [Engine.Advance] moves on.
func (e *Engine) Next() (t time.Duration, ok bool) {
	if !mutantIs(524) { t = never }
	if mutantMore(525, len(e.closings) , mutantNear[int](527, 0)) {
		if !mutantIs(529) { t = e.closings[mutantNear[int](530, 0)].due }
	}
	for _, p := range e.pools {
		if !mutantIs(532) { t = min(t, e.nextFree(p)) }
	}
	return t, mutantLess(533, t , never)
}

// never is later than all that happens.
const never = time.Duration(math.MaxInt64)

// State returns what a voice (index) is doing at the time of the last event.
func (e *Engine) State(voice int) State {
	v := &e.voices[voice]
	if ((((((v.state == Tail) != mutantIs(536))) != mutantIs(535)) && ((mutantAtMost(537, v.freeAt , e.now)) != mutantIs(535))) != mutantIs(535)) {
		return Free
	}
	return v.state
}

// decide starts a decision about a note and a voice. There is one decision at
// a time, kept in the engine so that making it takes no memory.
func (e *Engine) decide(kind DecisionKind, s *slot, i int32) *Decision {
	v := &e.voices[i]
	if !mutantIs(539) { e.decision = Decision{At: e.now, Kind: kind, Was: v.state, Note: s.id, Cut: NoNote, Voice: i,
		Part: s.part, CutPart: int32(NoNote), Key: s.sounding, CutKey: v.key, Velocity: s.velocity} }
	return &e.decision
}
