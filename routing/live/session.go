package live

import (
	"math"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/timing"
	"choirloft/midi"
	"choirloft/midi/stream"
	"choirloft/profiles"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// Options say how a session is played.
type Options struct {
	Inputs int // ports that come in, 1–128; 0 for one
	// BendRange of every voice in semitones, 1–127; 0 for one that covers the rig.
	BendRange int
	// Events is how many events the log holds; 0 for no log.
	Events int
	// Watch hears every decision; nil for nobody. The decision is the engine's own
	// until it returns.
	Watch func(*alloc.Decision)
}

// Tick is a microsecond, the unit of the log. Two events are at least one apart.
const Tick = time.Microsecond

// silentAfter is how long an input that sends active sensing may be silent.
const silentAfter = 330 * time.Millisecond

// Session is a plan that is being played.
type Session struct {
	Counts
	plan    *plan.Plan
	options Options
	engine  *alloc.Engine
	stage   *timing.Stage
	stepper midi.Stepper
	inputs  []input
	lanes   []lane  // by voice
	along   [][]int // by voice: those that play along with it
	ports   []int   // out ports that something is on, ascending
	out     []bytes // by out port
	macros  []macro
	gliding []int32 // voices
	log     log
	now     time.Duration // of the last event or advance
	stopped bool

	waits map[alloc.NoteID]time.Duration // notes that wait for a unison, since when
	fates map[alloc.NoteID]fate
	fated []alloc.NoteID // by voice: whose fate it knows of

	decided func(*alloc.Decision) // see decide; made once, since making it allocates
	edge    func(*timing.Edge)
}

// bytes are what waits to be written to a port.
type bytes []byte

// input is what is known of a port that comes in.
type input struct {
	parser  stream.Parser
	heard   time.Duration
	sensing bool
	// touched are the channels on which something may be down.
	touched uint16
}

// macro is a controller that is handed on.
type macro struct {
	from *profiles.Macro
	home deal.Home
}

// New starts a session. The error is a *[deal.Error] where the plan cannot be
// played live.
func New(p *plan.Plan, o Options) (*Session, error) {
	o.Inputs = max(1, o.Inputs)
	if err := check(p, &o); err != nil {
		return nil, err
	}
	homes, err := deal.Homes(p)
	if err != nil {
		return nil, err
	}
	engine, err := alloc.New(p.Rules.Config)
	if err != nil {
		return nil, err
	}
	s := &Session{plan: p, options: o, engine: engine, inputs: make([]input, o.Inputs), lanes: make([]lane, len(homes)),
		stage: timing.New(timing.Rules{Gap: p.Rules.Gap, MinGate: p.Rules.Config.MinGate, Lead: p.Rules.Lead}, timing.Live, len(homes), true)}
	s.waits, s.fates = map[alloc.NoteID]time.Duration{}, make(map[alloc.NoteID]fate, 2*len(homes))
	s.fated = slices.Repeat([]alloc.NoteID{alloc.NoNote}, len(homes))
	s.decided, s.edge = s.decide, s.moveAll
	s.along = make([][]int, len(homes))
	for i := range homes {
		if leader, plays := p.LeaderOf(i); plays && leader != i && homes[i].Interface >= 0 {
			s.along[leader] = append(s.along[leader], i)
		}
	}
	if o.Events > 0 {
		s.log.waiting = make([]byte, 0, logRoom)
	}
	s.routes(homes)
	if o.BendRange == 0 {
		s.options.BendRange = s.bendRange()
	}
	for _, port := range s.ports {
		s.Greet(port)
	}
	return s, nil
}

// check refuses what cannot be played live.
func check(p *plan.Plan, o *Options) error {
	if o.Inputs > 128 {
		return &deal.Error{Message: "more than 128 inputs", Hint: ""}
	}
	for i := range p.Rules.Config.Parts {
		if part := &p.Rules.Config.Parts[i]; part.Steal.Foresight() {
			return &deal.Error{Message: "part " + part.Name + " steals by " + part.Steal.String() + ", which looks ahead, and nobody can live",
				Hint: "take another rule: --steal protect-outer"}
		}
	}
	for _, e := range p.Edits {
		if !e.IsZero() {
			return &deal.Error{Message: "the plan changes the song, and live there is none", Hint: ""}
		}
	}
	return nil
}

// routes says where voices and macros go.
func (s *Session) routes(homes []deal.Home) {
	used := map[int]bool{}
	for i, h := range homes {
		s.lanes[i].bend = bendCentre
		if h.Interface < 0 {
			continue
		}
		s.lanes[i] = lane{voice: i, home: h, plays: true, tune: deal.NewTuner(s.plan, i, h), bend: bendCentre}
		used[int(h.Port)] = true
	}
	for i := range s.plan.Map.Macros {
		l := &s.plan.Map.Macros[i]
		if h, ok := deal.HomeOf(s.plan.Rig, &l.Outlet); ok {
			s.macros = append(s.macros, macro{&s.plan.Rig.Macros[l.Macro], h})
			used[int(h.Port)] = true
		}
	}
	for port := range 128 {
		if used[port] {
			s.ports = append(s.ports, port)
			s.out = append(s.out, make([]bytes, port+1-len(s.out))...)
			s.out[port] = make(bytes, 0, 4096)
		}
	}
}

// Ports are the ports that the session writes to, from 0, ascending.
func (s *Session) Ports() []int { return s.ports }

// BendRange is the bend range in semitones that voices are told.
func (s *Session) BendRange() int { return s.options.BendRange }

// bendRange covers what the rig can ask for.
func (s *Session) bendRange() int {
	need := 1.0
	for i := range s.plan.Rig.Parts {
		p := &s.plan.Rig.Parts[i]
		bend := p.BendRange
		if p.Zone != profiles.NoZone {
			bend = zoneBend
		}
		if p.Mode != profiles.Poly || p.Glide > 0 {
			bend += legatoBend
		}
		for _, w := range s.plan.Map.Unisons {
			if w.Part == i {
				bend += math.Max(math.Abs(float64(w.Cents[0])), math.Abs(float64(w.Cents[len(w.Cents)-1]))) / 100
			}
		}
		need = max(need, bend)
	}
	return min(deal.MostBend, int(math.Ceil(need+s.corrected())))
}

const (
	zoneBend   = 50.0 // semitones: manager 2 and member 48 (M1-100-UM)
	legatoBend = 24.0 // semitones that a legato of a mono part may lead
)

// corrected is the most, in semitones, by which a correction moves a key.
func (s *Session) corrected() (most float64) {
	for i := range s.lanes {
		if !s.lanes[i].plays {
			continue
		}
		for _, k := range s.plan.Map.Voices[i].Keys {
			most = max(most, math.Abs(s.lanes[i].tune.Sent(float64(k.Key))-float64(k.Key)))
		}
	}
	return most
}

// Now is the time of the last event or advance.
func (s *Session) Now() time.Duration { return s.now }

// Receive takes what was read from an input, from 0, at some time.
func (s *Session) Receive(port int, data []byte, at time.Duration) {
	if s.stopped {
		return
	}
	in := &s.inputs[port]
	in.heard = at
	s.now = max(s.now, at.Truncate(Tick))
	for _, b := range data {
		m, ok, broken := in.parser.Next(b)
		if broken {
			s.repair(port, in.parser.Lost())
		}
		switch {
		case !ok:
		case m.Channel():
			s.event(port, m)
		case m.Status == stream.ActiveSensing:
			in.sensing = true
		case m.Status == stream.SystemReset:
			s.letGo(port, in.touched)
		}
	}
	s.settle()
}

// Ended says that an input has ended, or was torn off: whatever is down on it is
// let go.
func (s *Session) Ended(port int, at time.Duration) {
	if s.stopped {
		return
	}
	in := &s.inputs[port]
	if in.parser.Reset() {
		s.Broken++
	}
	in.sensing = false
	s.now = max(s.now, at.Truncate(Tick))
	s.letGo(port, in.touched)
	s.settle()
}

// Advance lets the time pass: what has become due happens.
func (s *Session) Advance(at time.Duration) {
	if s.stopped {
		return
	}
	s.now = max(s.now, at.Truncate(Tick))
	for port := range s.inputs {
		if in := &s.inputs[port]; in.sensing && s.now-in.heard >= silentAfter {
			in.sensing = false
			s.letGo(port, in.touched)
		}
	}
	s.settle()
}

// settle lets everything happen that is due.
func (s *Session) settle() {
	s.engine.Advance(s.now, s.decided)
	s.stage.Due(s.now, s.edge)
	s.glide()
}

// Next is when something will be due; ok is false where nothing waits.
func (s *Session) Next() (t time.Duration, ok bool) {
	t, ok = s.stage.Next()
	earlier := func(u time.Duration, some bool) {
		if some && (!ok || u < t) {
			t, ok = u, true
		}
	}
	earlier(s.engine.Next())
	for _, voice := range s.gliding {
		earlier(s.lanes[voice].next, true)
	}
	for i := range s.inputs {
		if in := &s.inputs[i]; in.sensing {
			earlier(in.heard+silentAfter, true)
		}
	}
	return t, ok
}

// event lets a channel message act.
func (s *Session) event(port int, m stream.Message) {
	s.now += Tick
	s.Events++
	e := midi.Event{Tick: midi.Tick(s.now / Tick), Port: midi.Port(port), Status: m.Status, Data1: m.Data1, Data2: m.Data2}
	s.log.add(e, s.options.Events)
	s.inputs[port].touch(e)
	if e.Kind() == midi.ControlChange {
		s.hand(e)
	}
	if step, ok := s.stepper.Step(e, s.now); ok {
		s.engine.Feed(step, s.decided)
	}
	// what fell due before goes out before, so that edges stay in order
	s.stage.Due(s.now, s.edge)
}

// touch keeps in mind on which channels something may be down.
func (in *input) touch(e midi.Event) {
	down := e.Kind() == midi.NoteOn && e.Data2 > 0
	if e.Kind() == midi.ControlChange && (e.Data1 == sustain || e.Data1 == sostenuto) && e.Data2 >= 64 {
		down = true
	}
	if down {
		in.touched |= 1 << e.Channel()
	}
}

// hand gives a controller on to the macros that it moves.
func (s *Session) hand(e midi.Event) {
	for i := range s.macros {
		m := &s.macros[i]
		if e.Data1 == m.from.Controller && e.Channel() == m.from.Channel && (m.from.AnyPort || e.Port == m.from.Port) {
			s.put(m.home, midi.ControlChange, e.Data1, e.Data2)
		}
	}
}

// The controllers that let go (MIDI 1.0, table III).
const (
	sustain     = 64
	sostenuto   = 66
	allNotesOff = 123
)

// repair lets go of what a broken message may have been meant for.
func (s *Session) repair(port int, status uint8) {
	s.Broken++
	channels := s.inputs[port].touched
	if status >= 0x80 && status < 0xF0 {
		channels &= 1 << (status & 0x0F)
	}
	s.letGo(port, channels)
}

// letGo puts pedals up and lets go of all keys on some channels of an input.
func (s *Session) letGo(port int, channels uint16) {
	for c := range uint8(16) {
		if channels>>c&1 == 0 {
			continue
		}
		s.LetGo++
		s.inputs[port].touched &^= 1 << c
		for _, controller := range [...]uint8{sustain, sostenuto, allNotesOff} {
			s.event(port, stream.Message{Status: 0xB0 | c, Data1: controller})
		}
	}
}

// Stop ends the session: every gate goes low at once and every pedal up,
// whatever was still to come. Further calls do nothing.
func (s *Session) Stop(at time.Duration) {
	if s.stopped {
		return
	}
	s.now = max(s.now, at.Truncate(Tick))
	s.settle()
	s.engine.Finish(s.now, s.decided)
	s.gliding = s.gliding[:0]
	s.stopped = true
	if s.options.Events > 0 {
		s.log.end(midi.Tick(s.now / Tick))
	}
	for _, port := range s.ports {
		s.Silence(port)
	}
}
