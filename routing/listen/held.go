package listen

import (
	"fmt"
	"slices"

	"choirloft/alloc"
	"choirloft/routing"
	"choirloft/routing/detune"
	"choirloft/routing/plan"
)

// NewHeld makes the stack of one part audible: one key held for five seconds, and a tail of
// a second. The key is the lowest (0), the middle (1) or the highest (2) that the map names for the
// unison. Voices have their tuning errors and drift, as in a song. The error is an *[Error].
func NewHeld(p *plan.Plan, part, key int) (*Sketch, *Sounding, error) {
	at := slices.IndexFunc(p.Map.Unisons, func(w routing.Unison) bool { return w.Part == part })
	if at < 0 {
		return nil, nil, &Error{fmt.Sprintf("part %s plays one voice on a note, so there is no stack to hear", p.Rig.Parts[part].Name), "give it several voices a note"}
	}
	s := &Sketch{Plan: p, tuning: tunings(p)}
	b := &stacker{Sketch: s}
	model, _ := p.Ear()
	x, err := b.stack(&p.Map.Unisons[at], model)
	if err != nil {
		return nil, nil, err
	}
	if x.envelope == (alloc.Envelope{}) {
		return nil, nil, &Error{fmt.Sprintf("no voice of part %s is in service, so nothing sounds", p.Rig.Parts[part].Name), "put a voice of its banks into service"}
	}
	b.tones, b.shape, b.rise = &tones{sound: x.sound}, newShape(x.envelope), frames(x.envelope.Attack)
	own := x.own
	own.Key, own.Cents = x.keys[key].Key, x.keys[key].Cents
	if err := b.add(own, detune.Share(x.pan)); err != nil {
		return nil, nil, err
	}
	s.sort()
	return s, &b.list[0], nil
}
