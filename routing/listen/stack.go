package listen

import (
	"reflect"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
	"choirloft/routing"
	"choirloft/routing/detune"
	"choirloft/routing/plan"
)

// Sounding is one sound of a stack, to be compared with the others.
type Sounding struct {
	From, To int64 // frames
	Parts    []int // places of those that have this stack
	Key      midi.Key
	Law      detune.Law
	Spread   detune.Cents   // total, from the lowest to the highest voice
	Cents    []detune.Cents // by position; one of a single voice
	Voices   []int          // indexes into Rig.Voices, by position
	Beats    detune.Beats   // of these cents, without the error of the voices
	// Own: as the rig has it.
	Own bool
}

// What a sound of a stack lasts: its gate, the longest tail, and the silence after it.
const (
	stackGate = 5 * time.Second
	stackTail = time.Second
	stackRest = 500 * time.Millisecond
)

// spreads are those that are tried beside the rig's own, as multiples of it.
var spreads = [...]float64{1. / 2, 2. / 3, 3. / 2, 2}

// usualSpread stands for that of a stack without detune, in cents.
const usualSpread = 12

// NewStacks makes the unisons of a plan audible, one after the other, and once for
// parts that have the same: one voice of a stack at the middle key of its part; the stack as the rig has it at the lowest, the
// middle and the highest key that the map names; then at the middle key other detune
// patterns of that spread, and other spreads of that pattern. Voices have their tuning
// errors and drift, as in a song. The error is an *[Error].
func NewStacks(p *plan.Plan) (*Sketch, []Sounding, error) {
	if len(p.Map.Unisons) == 0 {
		return nil, nil, &Error{"no part of the rig plays in unison, so there is no stack to hear", "give a part several voices a note, as in --unison pad=4"}
	}
	s := &Sketch{Plan: p, tuning: tunings(p)}
	b := &stacker{Sketch: s}
	stacks, err := b.stacks()
	if err != nil {
		return nil, nil, err
	}
	for i := range stacks {
		if err := b.unison(&stacks[i]); err != nil {
			return nil, nil, err
		}
	}
	s.sort()
	return s, b.list, nil
}

// stacker makes the sounds of stacks.
type stacker struct {
	*Sketch
	list  []Sounding
	at    int64
	tones *tones
	shape *shape
	rise  float64 // of the attack, in samples
}

// stack is a unison as it sounds, whichever parts have it.
type stack struct {
	own      Sounding // at the middle key
	keys     [3]routing.KeyBeats
	sound    hearing.Sound
	envelope alloc.Envelope
	pan      float64
	recentre bool
	power    float64
	seed     uint64 // of the first part: it moves the random pattern alone
}

// stacks are those of all parts, each once.
func (b *stacker) stacks() (list []stack, err error) {
	model, _ := b.Plan.Ear()
	for i := range b.Plan.Map.Unisons {
		x, err := b.stack(&b.Plan.Map.Unisons[i], model)
		if err != nil {
			return nil, err
		}
		if same := slices.IndexFunc(list, x.same); same >= 0 {
			list[same].own.Parts = append(list[same].own.Parts, x.own.Parts...)
		} else {
			list = append(list, x)
		}
	}
	return list, nil
}

// stack is that of a unison of the map.
func (b *stacker) stack(w *routing.Unison, model hearing.Model) (x stack, err error) {
	part := &b.Plan.Rig.Parts[w.Part]
	law, err := detune.ParseLaw(part.Unison.Law.String())
	if err != nil {
		return x, &Error{err.Error(), ""}
	}
	voices := b.Plan.Map.Players(w.Part)
	if len(w.Stacks) > 0 {
		voices = w.Stacks[0]
	}
	return stack{own: Sounding{Parts: []int{w.Part}, Key: w.Keys[1].Key, Law: law, Spread: detune.Cents(part.Unison.Spread), Voices: voices[:min(len(voices), w.Of)], Own: true},
		keys: w.Keys, sound: model.Sounds[w.Part], envelope: b.envelope(w.Part), pan: float64(part.Unison.Pan), recentre: part.Unison.Recentre,
		power: part.Unison.Power, seed: part.Seed}, nil
}

// same tells whether two stacks sound alike, the random pattern of other seeds aside.
func (x stack) same(y stack) bool {
	x.own.Parts, x.seed, y.own.Parts, y.seed = nil, 0, nil, 0
	return reflect.DeepEqual(x, y)
}

func (b *stacker) unison(x *stack) error {
	b.tones, b.shape, b.rise = &tones{sound: x.sound}, newShape(x.envelope), frames(x.envelope.Attack)
	own, width := x.own, detune.Share(x.pan)
	one := own
	one.Voices, one.Cents = own.Voices[:1], []detune.Cents{0}
	if err := b.add(one, 0); err != nil {
		return err
	}
	for _, k := range x.keys {
		at := own
		at.Key, at.Cents = k.Key, k.Cents
		if err := b.add(at, width); err != nil {
			return err
		}
	}
	for _, other := range others(own, x.power, x.seed) {
		if x.recentre {
			other.Cents = detune.Recentred(other.Cents)
		}
		if err := b.add(other, width); err != nil {
			return err
		}
	}
	return nil
}

// others are the patterns and spreads beside the rig's own. A pattern that has no place
// for so many voices is left out.
func others(own Sounding, power float64, seed uint64) (list []Sounding) {
	width := own.Spread
	if width == 0 {
		width = usualSpread
	}
	try := func(law detune.Law, spread detune.Cents) {
		x := own
		x.Law, x.Spread, x.Own = law, spread, false
		var err error
		if x.Cents, err = (detune.Spec{Law: law, Voices: len(own.Voices), Width: spread, Power: power, Seed: seed}).Spread(); err == nil {
			list = append(list, x)
		}
	}
	for law := range detune.Random + 1 {
		if law != own.Law || own.Spread == 0 {
			try(law, width)
		}
	}
	for _, times := range spreads {
		try(own.Law, min(detune.MaxWidth, width*detune.Cents(times)))
	}
	return list
}

// envelope is that of a part's voice in service with the slowest release, as its songs
// have it.
func (b *stacker) envelope(part int) (e alloc.Envelope) {
	for _, v := range b.Plan.Rules.Config.Voices {
		if v.State.InService() && slices.Contains(b.Plan.Rules.Config.Parts[part].Banks, v.Bank) && (e == alloc.Envelope{} || v.Envelope.Release > e.Release) {
			e = v.Envelope
		}
	}
	return e
}

// add lets a stack sound next, spread over a share of the stereo field.
func (b *stacker) add(x Sounding, width detune.Share) (err error) {
	if x.Beats, err = detune.BeatsOf(x.Cents, detune.Frequency(detune.Hertz(b.Plan.Rig.A4), float64(x.Key))); err != nil {
		return &Error{err.Error(), ""}
	}
	stereo, err := detune.Pans(x.Cents, width)
	if err != nil {
		return &Error{err.Error(), ""}
	}
	low, stop := b.at+samples(stackGate), b.at+samples(stackGate+stackTail)
	c := newContour(b.shape, []gate{{on: b.at, full: float64(b.at) + b.rise, low: low}}, stop)
	for i, cents := range x.Cents {
		left, right := pan(float64(stereo.Pans[i]))
		pitch := float64(x.Key) + float64(cents)/100
		b.strands = append(b.strands, strand{note: 0, part: x.Parts[0], position: int16(i), voice: x.Voices[i], start: b.at, end: c.ends(),
			pitch: pitches{{from: pitch, to: pitch}}, detune: float64(cents) / 100, tones: b.tones,
			left: int64(float64((1 << 20) * left)), right: int64(float64((1 << 20) * right)), asked: c, played: c, agree: never})
	}
	x.From, x.To = b.at, stop+samples(stackRest)
	b.list, b.at = append(b.list, x), x.To
	return nil
}
