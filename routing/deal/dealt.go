package deal

import (
	"cmp"
	"fmt"
	"strings"

	"choirloft/midi"
	"choirloft/profiles/pattern"
	"choirloft/routing/plan"
)

// text says in the file what it was dealt for.
func (d *Deal) text() string {
	return mark + planText(d.Plan)
}

// planText tells a plan from any other: its rig, and with overrides its code and
// what they are.
func planText(p *plan.Plan) string {
	said := p.Rig.Fingerprint()
	if p.Overrides.IsZero() {
		return said + " (" + p.Rig.Name + ")"
	}
	return said + ", plan " + p.Code() + " (" + p.Rig.Name + ") with " + strings.Join(p.Overrides.Flags(), " ")
}

// mark stands before the fingerprint in a dealt file.
const mark = "choirloft: dealt for rig "

var marked = pattern.Of(`^` + mark + `([0-9A-Z]{8})\b(?:, plan ([0-9A-Z]{8})\b)?`)

// DealtFor returns the fingerprint of the rig that a song was dealt for and the
// code of the plan that did; ok is false for a song that was not dealt.
func DealtFor(song *midi.Song) (rig, code string, ok bool) {
	for i := range song.Tracks {
		if m := marked().FindStringSubmatch(song.Tracks[i].Text); m != nil {
			return m[1], cmp.Or(m[2], m[1]), true
		}
	}
	return "", "", false
}

// Read returns the plan with which a file that was dealt by a plan is played,
// and the song as the voices hear it: each voice is a part of its own and takes
// its channel, gates are as long as the file has them, and controllers that
// move other lanes than pitch do not act as pedals. The plan carries the code of
// the one that dealt the song, changed by the overrides of p. The error is an *[Error]
// where the song was not dealt, or for another rig.
func Read(p *plan.Plan, song *midi.Song) (*plan.Plan, *midi.Song, error) {
	found, code, ok := DealtFor(song)
	switch mine := p.Rig.Fingerprint(); {
	case !ok:
		return nil, nil, &Error{"this song was not dealt by choirloft write: no track says for which rig", "leave --dealt out"}
	case found != mine:
		return nil, nil, &Error{fmt.Sprintf("dealt for the rig %s, and this rig is %s", found, mine),
			"deal the song again, or take the rig file that it was dealt for"}
	}
	homes, err := Homes(p)
	if err != nil {
		return nil, nil, err
	}
	again := p.ByVoice(code, func(voice int) (midi.Port, midi.Channel, bool) {
		h := homes[voice]
		return h.Port, h.Channel, h.Interface >= 0
	})
	return again, heard(p, song, homes), nil
}

// heard leaves out of a dealt song what does not concern the pitches and gates
// of voices, and the notes that only drive a gate on another interface than the
// pitch.
func heard(p *plan.Plan, song *midi.Song, homes []Home) *midi.Song {
	type wire struct {
		port    midi.Port
		channel midi.Channel
	}
	gates := map[wire]bool{}
	for i := range homes {
		if gate, ok := laneHome(p, i, "gate"); ok && homes[i].Interface >= 0 && gate != homes[i] {
			gates[wire{gate.Port, gate.Channel}] = true
		}
	}
	out := *song
	out.Events, out.NoteOns = nil, 0
	for _, e := range song.Events {
		if gates[wire{e.Port, e.Channel()}] || e.Kind() == midi.ControlChange && !midi.SelectsParameter(e.Data1) {
			continue
		}
		if e.Kind() == midi.NoteOn && e.Data2 > 0 {
			out.NoteOns++
		}
		out.Events = append(out.Events, e)
	}
	return &out
}
