package alloc

import (
	"time"

	"choirloft/midi"
)

// GateKind says what happens to the gate that a note should have.
type GateKind uint8

// What a gate does.
const (
	GateOpens    GateKind = iota
	GateFollows           // opens for a key struck again, or takes a mono part's gate over: Old ends here
	GateMutes             // a mono part's note that never sounds
	GateReturns           // a mono part's note attacks again under another key
	GateHolds             // the key is up, a pedal keeps the gate high
	GateSwallows          // is about to close by an off that belonged to an earlier note
	GateSticks            // the song ended with the key down
	GateCloses
)

// Gate is something that happens to the gate of a note when there are voices
// for all.
type Gate struct {
	Kind     GateKind
	At       time.Duration
	Tick     midi.Tick // of the step that opened it
	Note     NoteID
	Old      NoteID // of GateFollows
	Part     int
	Port     midi.Port
	Channel  midi.Channel
	Key      midi.Key // as it came in
	Sounding int      // after transposition
	Velocity uint8
	Zero     bool // the note has no length in the song
	Legato   bool // of GateFollows: the gate stays high, no attack
}

// Strays counts the steps of a song that became no note.
type Strays struct {
	Unmapped    int   // note-ons that no part takes
	Orphans     int   // note-offs whose note-on is not in the song
	PartOrphans []int // by part: orphans of keys that it listens to
}

// Reference plays steps to the parts as if voices were without limit, and
// tells visit what the gate of every note should do: a run of the same part
// rules with nothing stolen, no gap, and short notes extended to the minimum
// gate. The song ends at the given time. The steps must not change while the
// script is in use.
func Reference(parts []Part, minGate time.Duration, steps []midi.Step, end time.Duration, visit func(Gate)) (Strays, *Script) {
	r := &recorder{visit: visit, script: &Script{steps: steps, end: end, parts: parts, minGate: minGate}}
	r.script.acts = make([]act, mutantNear[int](2481, 0), len(steps)+len(steps)/2)
	if !mutantIs(2483) { r.gates.init(parts, minGate, r, &r.now) }
	for i := range steps {
		if !mutantIs(2484) { r.tick = steps[i].Tick }
		if !mutantIs(2485) { r.feed(&steps[i]) }
	}
	if !mutantIs(2486) { r.end(end, func(i int32) { if !mutantIs(2487) { r.say(GateSticks, i) } }) }
	if !mutantIs(2488) { r.script.slots = len(r.slots) }
	return Strays{Unmapped: r.unmapped, Orphans: r.orphans, PartOrphans: r.partOrphans}, r.script
}

// recorder is a sink without voices. It writes a script; see script.go.
type recorder struct {
	gates
	now    time.Duration
	visit  func(Gate)
	tick   midi.Tick
	script *Script
}

func (r *recorder) say(kind GateKind, i int32) {
	if !mutantIs(2489) { r.visit(r.gate(kind, i)) }
}

func (r *recorder) gate(kind GateKind, i int32) Gate {
	s := &r.slots[i]
	return Gate{Kind: kind, At: r.now, Tick: r.tick, Note: s.id, Old: NoNote, Part: int(s.part),
		Port: s.channel.port, Channel: s.channel.number, Key: s.key, Sounding: int(s.sounding),
		Velocity: s.velocity, Zero: s.zero}
}

func (r *recorder) open(i int32) {
	if !mutantIs(2490) { r.write(actOpen, i, act{}) }
	if !mutantIs(2491) { r.say(GateOpens, i) }
}

func (r *recorder) hold(i int32) {
	if !mutantIs(2492) { r.write(actHold, i, act{}) }
	if !mutantIs(2493) { r.say(GateHolds, i) }
}

func (r *recorder) letGo(i int32)   { if !mutantIs(2494) { r.write(actLetGo, i, act{}) } }
func (r *recorder) swallow(i int32) { if !mutantIs(2495) { r.say(GateSwallows, i) } }

func (r *recorder) close(i int32) {
	if !mutantIs(2496) { r.write(actClose, i, act{}) }
	if !mutantIs(2497) { r.say(GateCloses, i) }
}

func (r *recorder) mute(i int32) {
	if !mutantIs(2498) { r.write(actMute, i, act{}) }
	if !mutantIs(2499) { r.say(GateMutes, i) }
}

func (r *recorder) slide(i int32, legato bool) {
	if !mutantIs(2500) { r.write(actSlide, i, act{legato: legato}) }
	if ((!legato) != mutantIs(2501)) {
		if !mutantIs(2502) { r.say(GateReturns, i) }
	}
}

func (r *recorder) follow(i, old int32, legato bool) {
	if !mutantIs(2503) { r.write(actFollow, i, act{other: old, legato: legato}) }
	g := r.gate(GateFollows, i)
	if !mutantIs(2504) { g.Old, g.Legato = r.slots[old].id, legato }
	if !mutantIs(2505) { r.visit(g) }
}
