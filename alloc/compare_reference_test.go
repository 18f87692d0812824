package alloc_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/internal/slow"
)

// notesOf runs the reference under test and makes notes of its gates.
func notesOf(cfg alloc.Config, p performance) slow.Notes {
	var r slow.Notes
	strays, _ := alloc.Reference(cfg.Parts, cfg.MinGate, p.steps, p.end, func(g alloc.Gate) {
		switch g.Kind {
		case alloc.GateOpens, alloc.GateFollows:
			if g.Kind == alloc.GateFollows {
				old := &r.Notes[g.Old]
				old.Superseded, old.End = true, g.At
			}
			r.Notes = append(r.Notes, slow.Note{Part: g.Part, Port: g.Port, Channel: g.Channel, Key: g.Key,
				Sounding: g.Sounding, Velocity: g.Velocity, Tick: g.Tick, Start: g.At, KeyUp: -1, Zero: g.Zero})
		case alloc.GateMutes:
			r.Notes = append(r.Notes, slow.Note{Part: g.Part, Port: g.Port, Channel: g.Channel, Key: g.Key,
				Sounding: g.Sounding, Velocity: g.Velocity, Tick: g.Tick, Start: g.At, KeyUp: g.At, End: g.At,
				Superseded: true, Zero: g.Zero})
		case alloc.GateHolds:
			r.Notes[g.Note].KeyUp = g.At
		case alloc.GateSwallows:
			r.Notes[g.Note].Swallowed = true
		case alloc.GateSticks:
			r.Notes[g.Note].Stuck = true
		case alloc.GateCloses:
			r.Notes[g.Note].End = g.At
		}
	})
	for i := range r.Notes {
		if n := &r.Notes[i]; n.KeyUp < 0 {
			n.KeyUp = n.End
		}
	}
	r.End, r.Unmapped, r.Orphans, r.PartOrphans = p.end, strays.Unmapped, strays.Orphans, strays.PartOrphans
	return r
}

// The reference run gives the notes that the slow one gives.
func TestReferenceLikeTheSlowReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cfg, p := drawConfig(t), drawPerformance(t)
		for rule := range alloc.SameKeyNames() {
			for i := range cfg.Parts {
				cfg.Parts[i].SameKey = alloc.SameKey(rule)
			}
			require.Equal(t, slow.Reference(cfg, p.steps, p.end), notesOf(cfg, p), alloc.SameKey(rule).String())
		}
	})
}
