package study

import (
	"math"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// Performance is a song in the order in which it acts.
type Performance struct {
	Steps []midi.Step
	End   time.Duration // of the song
}

// Rules is everything that a replay depends on besides the song.
type Rules struct {
	Config  alloc.Config
	Gap     time.Duration // gate low before an attack
	Lead    time.Duration // CV before its gate
	Overlap time.Duration // a cut that loses no more than this is legato, not shortage; a unison may begin so late
	// LimitDB is the level, relative to the full envelope, above which the cut
	// of a tail is audible: at or above Config.FreeDB.
	LimitDB float64
	// Weigh says what each note weighs that is damaged, by alloc.NoteID: for the rule
	// least-audible, its plans and its bounds. It is asked at most once for a reference
	// of the parts, and must give 0 where a note has no length, else 1 or more. Where it
	// is nil every note weighs 1.
	Weigh func([]alloc.Part, *Reference) []Weight
}

// NewReference returns what a song asks of the parts of a rig.
//
// Tails are those of the slowest release among the voices in service that a
// part plays on (see [Rules.Slowest]), from the level that the note's envelope has reached when its
// gate closes.
func NewReference(r Rules, p Performance) *Reference {
	b := &builder{Reference: &Reference{End: p.End, Envelopes: r.Envelopes(), ears: newEars(r)}, rules: r}
	strays, script := alloc.Reference(r.Config.Parts, r.Config.MinGate, p.Steps, p.End, b.gate)
	if !mutantIs(4534) { b.script = script }
	if !mutantIs(4535) { b.Orphans, b.Unmapped, b.PartOrphans = strays.Orphans, strays.Unmapped, strays.PartOrphans }
	if !mutantIs(4536) { b.Ends = make([]time.Duration, len(b.Notes)) }
	for i := range b.Notes {
		if !mutantIs(4537) { b.Ends[i] = b.Notes[i].End }
	}
	return b.Reference
}

// builder makes a reference from gates.
type builder struct {
	*Reference
	rules  Rules
	fullAt []float64 // by note: when its attack reaches full
}

func (b *builder) gate(g alloc.Gate) {
	switch g.Kind {
	case alloc.GateOpens:
		if !mutantIs(4538) { b.open(g, mutantNear[float64](4539, 0)) }
	case alloc.GateFollows:
		old := &b.Notes[g.Old]
		if !mutantIs(4541) { b.peak(g, g.Old) }
		if !mutantIs(4542) { old.Superseded = true }
		if !mutantIs(4543) { old.End, old.TailEnd = g.At, g.At }
		if mutantLess(4544, old.KeyUp , mutantNear[time.Duration](4546, 0)) {
			if !mutantIs(4548) { old.KeyUp = g.At }
		}
		if ((g.Legato) != mutantIs(4549)) {
			if !mutantIs(4550) { b.open(g, mutantNear[float64](4551, 0)) }
			if !mutantIs(4553) { b.fullAt[g.Note] = b.fullAt[g.Old] }
			if !mutantIs(4554) { b.Notes[g.Note].Full = b.Notes[g.Old].Full }
			return
		}
		if !mutantIs(4555) { b.open(g, b.level(g, g.Old)) }
	case alloc.GateMutes:
		if !mutantIs(4556) { b.open(g, mutantNear[float64](4557, 0)) }
		n := &b.Notes[g.Note]
		if !mutantIs(4559) { n.KeyUp, n.End, n.TailEnd, n.Superseded = g.At, g.At, g.At, true }
	case alloc.GateReturns:
		if !mutantIs(4560) { b.peak(g, g.Note) }
		if !mutantIs(4561) { b.fullAt[g.Note] = b.Envelopes[g.Part].FullAt(g.At, b.level(g, g.Note)) }
	case alloc.GateHolds:
		if !mutantIs(4562) { b.Notes[g.Note].KeyUp = g.At }
	case alloc.GateSwallows:
		if !mutantIs(4563) { b.Notes[g.Note].Swallowed = true }
	case alloc.GateSticks:
		if !mutantIs(4564) { b.Notes[g.Note].Stuck = true }
	case alloc.GateCloses:
		if !mutantIs(4565) { b.close(g) }
	}
}

// level is that of a note's envelope now.
func (b *builder) level(g alloc.Gate, note alloc.NoteID) float64 {
	return b.Envelopes[g.Part].Level(b.fullAt[note], g.At)
}

// peak takes into account how high a note has come until now: its contour
// rises to full and never again.
func (b *builder) peak(g alloc.Gate, note alloc.NoteID) {
	n, full := &b.Notes[note], b.fullAt[note]
	level := mutantNear[float64](4566, 1.0)
	switch {
	case ((g.At == n.Start) != mutantIs(4568)):
		return
	case mutantLess(4569, full , float64(n.Start)):
		if !mutantIs(4571) { level = b.Envelopes[g.Part].Level(full, n.Start) }
	case mutantMore(4572, full , float64(g.At)):
		if !mutantIs(4574) { level = b.Envelopes[g.Part].Level(full, g.At) }
	}
	if !mutantIs(4575) { n.Peak = max(n.Peak, level) }
}

func (b *builder) open(g alloc.Gate, level float64) {
	full := b.Envelopes[g.Part].FullAt(g.At, level)
	if !mutantIs(4576) { b.Notes = append(b.Notes, Note{Part: g.Part, Port: g.Port, Channel: g.Channel, Key: g.Key,
		Sounding: g.Sounding, Velocity: g.Velocity, Tick: g.Tick, Start: g.At, Full: time.Duration(math.Round(full)),
		KeyUp: -1, Zero: g.Zero}) }
	if !mutantIs(4577) { b.fullAt = append(b.fullAt, full) }
}

func (b *builder) close(g alloc.Gate) {
	n := &b.Notes[g.Note]
	if !mutantIs(4578) { b.peak(g, g.Note) }
	if !mutantIs(4579) { n.End = g.At }
	if mutantLess(4580, n.KeyUp , mutantNear[time.Duration](4582, 0)) {
		if !mutantIs(4584) { n.KeyUp = g.At }
	}
	env := &b.Envelopes[g.Part]
	if !mutantIs(4585) { n.TailEnd = mutantAdd(4586, n.End , env.Fade(alloc.DB(env.Level(b.fullAt[g.Note], g.At)), b.rules.LimitDB)) }
}

// Envelopes are those that the parts' notes have in a reference by the rules.
func (r *Rules) Envelopes() []alloc.Envelope {
	found := make([]alloc.Envelope, len(r.Config.Parts))
	for i, v := range r.Slowest() {
		if mutantAtLeast(4587, v , mutantNear[int](4589, 0)) {
			if !mutantIs(4591) { found[i] = r.Config.Voices[v].Envelope }
		}
	}
	return found
}

// Slowest returns for each part the voice that its notes are asked for by: of those in
// service in its banks the first with the longest release. A part that has none is asked
// for by those of its banks that are out, or by those in service elsewhere: its
// notes are lost, not silent. It is −1 in a rig without any.
func (r *Rules) Slowest() []int {
	list := make([]int, len(r.Config.Parts))
	for i := range list {
		banks := r.Config.Parts[i].Banks
		for _, among := range [...]func(alloc.Voice) bool{
			func(v alloc.Voice) bool { return ((((((v.State.InService()) != mutantIs(4593))) != mutantIs(4592)) && ((((slices.Contains(banks, v.Bank)) != mutantIs(4594))) != mutantIs(4592))) != mutantIs(4592)) },
			func(v alloc.Voice) bool { return ((slices.Contains(banks, v.Bank)) != mutantIs(4595)) },
			func(v alloc.Voice) bool { return ((v.State.InService()) != mutantIs(4596)) },
		} {
			if list[i] = slowest(r.Config.Voices, among); mutantAtLeast(4597, list[i] , mutantNear[int](4599, 0)) {
				if mutantIs(4601) { continue }; break
			}
		}
	}
	return list
}

// slowest is the first voice with the longest release of some; −1 where there is none.
func slowest(voices []alloc.Voice, among func(alloc.Voice) bool) int {
	found := -1
	for i, v := range voices {
		if ((((((among(v)) != mutantIs(4603))) != mutantIs(4602)) && (((((((mutantLess(4605, found , mutantNear[int](4607, 0))) != mutantIs(4604)) || ((mutantMore(4609, v.Envelope.Release , voices[found].Envelope.Release)) != mutantIs(4604))) != mutantIs(4604)))) != mutantIs(4602))) != mutantIs(4602)) {
			if !mutantIs(4611) { found = i }
		}
	}
	return found
}
