package whatif

import (
	"slices"
	"strings"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/circuit"
	"choirloft/routing/plan"
)

// Outage is what it means that a voice fails.
type Outage struct {
	Voice         int        // index into Rig.Voices
	Before, After *plan.Plan // After has a spare of the bank standing in, if there is one
	// StandIn is the spare that plays in After and not in Before, in place of
	// For, the first voice of the bank that is out; both −1 without. Asks: the rig
	// has yet to say use_spare.
	StandIn, For int
	Asks         bool
	// Without is After without that spare, nil where there is none.
	Without *plan.Plan
	Cables  []OutageCable
}

// OutageCable is a cable that leads to the voice.
type OutageCable struct {
	From  routing.Outlet
	Input routing.Input
	// To is the voice to whose input of that name the cable moves, since it has
	// none of its own; −1 where it stays, or is pulled with the voice.
	To int
	// Others hang on the same jack. Bend is what they do if this one is pulled,
	// for pitches: cents per octave, or cents with hertz per volt.
	Others []routing.Input
	Bend   float64
}

// NewOutage takes a voice out of a rig that is changed by overrides, and lets
// the first spare of its bank stand in. The error is an *[plan.OverrideError].
func NewOutage(rig *profiles.Rig, base plan.Overrides, voice string) (*Outage, error) {
	before, err := plan.Build(rig, base)
	if err != nil {
		return nil, err
	}
	if strings.Contains(voice, ",") {
		return nil, &plan.OverrideError{Name: "--without", Value: voice, Message: "want one voice, as in K3"}
	}
	out := base.With(plan.Overrides{Without: []string{voice}})
	without, err := plan.Build(rig, out)
	if err != nil {
		return nil, err
	}
	at := slices.IndexFunc(rig.Voices, func(v profiles.Voice) bool { return v.Name == voice })
	if before.Rig.Voices[at].State == alloc.Out {
		return nil, &plan.OverrideError{Name: "--without", Value: voice, Message: voice + " is out of service already"}
	}
	o := &Outage{Voice: at, Before: before, After: without, StandIn: -1, For: -1}
	if err := o.standIn(rig, out, without); err != nil {
		return nil, err
	}
	o.cables()
	return o, nil
}

// Code is the plan code of the rig without the voice: that of the plan that is
// built with --without, or another where a spare stands in that the rig does not use.
func (o *Outage) Code() string {
	if o.Asks {
		return profiles.Fingerprint([]byte(o.After.Code()), []byte("use_spare"))
	}
	return o.After.Code()
}

// standIn lets a spare of the bank stand in, if one is left.
func (o *Outage) standIn(rig *profiles.Rig, out plan.Overrides, without *plan.Plan) error {
	bank := rig.Voices[o.Voice].Bank
	if !rig.Banks[bank].UseSpare {
		with := *rig
		with.Banks = slices.Clone(rig.Banks)
		with.Banks[bank].UseSpare = true
		after, err := plan.Build(&with, out)
		if err != nil {
			return err
		}
		if _, _, ok := after.Rig.Replaced(bank); !ok {
			return nil
		}
		o.After, o.Without, o.Asks = after, without, true
	}
	spare, other, ok := o.After.Rig.Replaced(bank)
	_, earlier, had := o.Before.Rig.Replaced(bank)
	if ok && (!had || earlier != other) {
		o.StandIn, o.For = spare, other
	}
	return nil
}

// cables lists what leads to the voice.
func (o *Outage) cables() {
	m := o.Before.Map
	for i := range m.Nets {
		n := &m.Nets[i]
		for _, in := range n.Inputs() {
			if in.Voice != o.Voice {
				continue
			}
			c := OutageCable{From: n.Outlet, Input: in, To: -1}
			for _, other := range n.Inputs() {
				if other != in {
					c.Others = append(c.Others, other)
				}
			}
			if in.Input == "pitch" && len(c.Others) > 0 {
				c.Bend = o.retuned(n)
			}
			if o.StandIn >= 0 && o.lacks(in.Input) {
				c.To = o.StandIn
			}
			o.Cables = append(o.Cables, c)
		}
	}
}

// lacks tells whether the voice that stands in has no jack for an input.
func (o *Outage) lacks(input string) bool {
	return !slices.ContainsFunc(o.After.Map.Nets, func(n routing.Net) bool {
		return slices.Contains(n.Inputs(), routing.Input{Bank: o.After.Rig.Voices[o.StandIn].Bank, Voice: o.StandIn, Input: input})
	})
}

// retuned is what the others on an output do if one of its inputs is pulled.
func (o *Outage) retuned(n *routing.Net) float64 {
	less := n.Load.Calibrated(len(n.Load.Inputs) - 1)
	if len(n.Load.Inputs) < 2 {
		return 0
	}
	if o.Before.Rig.Interfaces[n.Interface].Scale.HertzPerVolt() {
		return circuit.Shift(less, n.Load)
	}
	return circuit.Bend(less, n.Load)
}

// Played is a song that was played, and what is heard of its losses beside the song as
// given: nil where nothing can be, or the song is too long to listen to; see [plan.Listening].
type Played struct {
	*study.Replay
	Heard *hearing.Heard
}

// Play plays a song before and after, and without the spare where there is one
// (nil else).
func (o *Outage) Play(song *midi.Song) (before, after, without *Played, err error) {
	played := make([]*Played, 3)
	for i, p := range []*plan.Plan{o.Before, o.After, o.Without} {
		if p == nil {
			continue
		}
		played[i] = &Played{}
		if played[i].Replay, err = p.Replay(song); err != nil {
			return nil, nil, nil, err
		}
		if played[i].Heard, err = p.Losses(song, played[i].Replay, study.NewBudget(plan.Listening)); err != nil {
			return nil, nil, nil, err
		}
	}
	return played[0], played[1], played[2], nil
}

// Newly lists the notes that are lost after and were not before, by
// alloc.NoteID, which are the same in both: those that are damaged and were
// not, and those whose tails another key cuts audibly and nobody cut so.
func Newly(before, after *study.Replay) (notes []int) {
	for i := range after.Outcomes {
		was, is := before.Outcomes[i].Ending, after.Outcomes[i].Ending
		tail := is == study.TailCutOtherKey && was != study.TailCutOtherKey && !was.Damaged()
		if is.Damaged() && !was.Damaged() || tail {
			notes = append(notes, i)
		}
	}
	return notes
}
