package study

import (
	"math"
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
}

// NewReference returns what a song asks of the parts of a rig.
//
// Tails are those of the slowest release among the voices in service that a
// part plays on, from the level that the note's envelope has reached when its
// gate closes.
func NewReference(r Rules, p Performance) *Reference {
	b := &builder{Reference: &Reference{End: p.End, Envelopes: slowest(r.Config), ears: &ears{}}, rules: r}
	strays := alloc.Reference(r.Config.Parts, r.Config.MinGate, p.Steps, p.End, b.gate)
	b.Orphans, b.Unmapped, b.PartOrphans = strays.Orphans, strays.Unmapped, strays.PartOrphans
	b.Ends = make([]time.Duration, len(b.Notes))
	for i := range b.Notes {
		b.Ends[i] = b.Notes[i].End
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
		b.open(g, 0)
	case alloc.GateFollows:
		old := &b.Notes[g.Old]
		b.peak(g, g.Old)
		old.Superseded = true
		old.End, old.TailEnd = g.At, g.At
		if old.KeyUp < 0 {
			old.KeyUp = g.At
		}
		if g.Legato {
			b.open(g, 0)
			b.fullAt[g.Note] = b.fullAt[g.Old]
			b.Notes[g.Note].Full = b.Notes[g.Old].Full
			return
		}
		b.open(g, b.level(g, g.Old))
	case alloc.GateMutes:
		b.open(g, 0)
		n := &b.Notes[g.Note]
		n.KeyUp, n.End, n.TailEnd, n.Superseded = g.At, g.At, g.At, true
	case alloc.GateReturns:
		b.peak(g, g.Note)
		b.fullAt[g.Note] = b.Envelopes[g.Part].FullAt(g.At, b.level(g, g.Note))
	case alloc.GateHolds:
		b.Notes[g.Note].KeyUp = g.At
	case alloc.GateSwallows:
		b.Notes[g.Note].Swallowed = true
	case alloc.GateSticks:
		b.Notes[g.Note].Stuck = true
	case alloc.GateCloses:
		b.close(g)
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
	level := 1.0
	switch {
	case g.At == n.Start:
		return
	case full < float64(n.Start):
		level = b.Envelopes[g.Part].Level(full, n.Start)
	case full > float64(g.At):
		level = b.Envelopes[g.Part].Level(full, g.At)
	}
	n.Peak = max(n.Peak, level)
}

func (b *builder) open(g alloc.Gate, level float64) {
	full := b.Envelopes[g.Part].FullAt(g.At, level)
	b.Notes = append(b.Notes, Note{Part: g.Part, Port: g.Port, Channel: g.Channel, Key: g.Key,
		Sounding: g.Sounding, Velocity: g.Velocity, Tick: g.Tick, Start: g.At, Full: time.Duration(math.Round(full)),
		KeyUp: -1, Zero: g.Zero})
	b.fullAt = append(b.fullAt, full)
}

func (b *builder) close(g alloc.Gate) {
	n := &b.Notes[g.Note]
	b.peak(g, g.Note)
	n.End = g.At
	if n.KeyUp < 0 {
		n.KeyUp = g.At
	}
	env := &b.Envelopes[g.Part]
	n.TailEnd = n.End + env.Fade(alloc.DB(env.Level(b.fullAt[g.Note], g.At)), b.rules.LimitDB)
}

// Envelopes are those that the parts' notes have in a reference by the rules.
func (r *Rules) Envelopes() []alloc.Envelope { return slowest(r.Config) }

// slowest returns for each part the envelope with the longest release among
// its voices in service.
func slowest(cfg alloc.Config) []alloc.Envelope {
	found := make([]alloc.Envelope, len(cfg.Parts))
	for i := range cfg.Parts {
		first := true
		for _, v := range serving(cfg, cfg.Parts[i].Banks) {
			if e := cfg.Voices[v].Envelope; first || e.Release > found[i].Release {
				found[i], first = e, false
			}
		}
	}
	return found
}
