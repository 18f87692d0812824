package take

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/pattern"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// A tick of a take is a millisecond: 500 a quarter, 120 quarters a minute.
const quarter = 500

// velocity is that of every note.
const velocity = 100

// Song is a take as a song, and the plan by which each voice plays its own notes of it:
// what is dealt, written as CVs, or played live.
func (t *Take) Song() (*plan.Plan, *midi.Song) {
	p := t.Plan.ByVoice(t.Plan.Code(), func(voice int) (midi.Port, midi.Channel, bool) {
		i, ok := slices.BinarySearchFunc(t.Parts, voice, func(p Part, v int) int { return p.Voice - v })
		return midi.Port(i / 16), midi.Channel(i % 16), ok
	})
	if !t.Through {
		p.Rig.Corrections = nil
	}
	for i := range p.Rig.Voices { // late voices are not started early: it is their latency that is measured
		p.Rig.Voices[i].Answer = nil
	}
	division := midi.Division{Ticks: quarter}
	song := &midi.Song{Format: 1, Tracks: []midi.Track{{Name: "Take"}}, End: ticks(t.Length),
		Tempo: midi.NewTempoMap(division, nil), Meter: midi.NewMeterMap(division, nil)}
	for i := range t.Parts {
		for j := range t.Parts[i].Notes {
			song.Events = append(song.Events, events(&t.Parts[i].Notes[j], i)...)
			song.NoteOns++
		}
	}
	slices.SortStableFunc(song.Events, func(a, b midi.Event) int { return cmp.Compare(a.Tick, b.Tick) })
	return p, song
}

func ticks(at time.Duration) midi.Tick { return midi.Tick(at / time.Millisecond) }

// events are the messages of a note of a part.
func events(n *Note, part int) []midi.Event {
	at := func(at time.Duration, kind midi.Kind, data1, data2 uint8) midi.Event {
		return midi.Event{Tick: ticks(at), Port: midi.Port(part / 16), Status: uint8(kind)<<4 | uint8(part%16), Data1: data1, Data2: data2}
	}
	all := []midi.Event{at(n.At, midi.NoteOn, uint8(n.Key), velocity), at(n.End(), midi.NoteOff, uint8(n.Key), 64)}
	if n.Bend == 0 {
		return all
	}
	value, _ := deal.BendValue(n.Bend, bend)
	const after = 10 * time.Millisecond
	return append([]midi.Event{at(n.At, midi.PitchBend, uint8(value&0x7F), uint8(value>>7))},
		append(all, at(n.End()+after, midi.PitchBend, 0, 64))...)
}

// Score returns the file. The error is a *[deal.Error].
func (t *Take) Score() (*midi.Score, error) {
	p, song := t.Song()
	d, err := deal.New(p, song, deal.Options{})
	if err != nil {
		return nil, err
	}
	score := d.Files(deal.Whole)[0].Score
	score.Texts = []string{t.text()}
	return &score, nil
}

// Through is the word for what keys went through.
func Through(corrections bool) string {
	if corrections {
		return "corrections"
	}
	return "nothing"
}

const mark = "choirloft: take of "

var marked = pattern.Of(`^` + mark + `([0-9A-Z]{8}), plan ([0-9A-Z]{8}), through (nothing|corrections)\b`)

// text says what the take was made for, and what it plays.
func (t *Take) text() string {
	var parts []string
	for i := range t.Parts {
		p := &t.Parts[i]
		parts = append(parts, fmt.Sprintf("%s at %.1f s parks on %d", t.Plan.Rig.Voices[p.Voice].Name, p.From.Seconds(), p.Parking))
	}
	return fmt.Sprintf("%s%s, plan %s, through %s (%s): %s%s%s", mark, Wired(t.Plan), t.Plan.Code(), Through(t.Through), t.Plan.Rig.Name, strings.Join(parts, ", "),
		wired, strings.Join(wiring(t.Plan), between))
}

// What stands in the text before the wiring of a rack, and between its lines.
const wired, between = "; wired: ", " / "

// wiring says what a take rests on, a line a voice and an interface, so that a take of
// other cables can say what differs.
func wiring(p *plan.Plan) []string {
	lines := []string{"rig " + p.Rig.Name, fmt.Sprintf("a4 %g Hz", float64(p.Rig.A4))}
	for i := range p.Rig.Interfaces {
		f := &p.Rig.Interfaces[i]
		lines = append(lines, fmt.Sprintf("%s key %d at 0 V, %g V to %g V, %g V/oct", f.Name, f.ZeroKey, float64(f.Window.Low), float64(f.Window.High), float64(f.Scale.PerOctave)))
	}
	for i := range p.Map.Voices {
		line := p.Rig.Voices[i].Name
		for _, input := range []string{"pitch", "gate"} {
			if l := p.Map.Voices[i].Lane(input); l != nil && l.Fits() {
				kind := "cv"
				if l.GateJack {
					kind = "gate"
				}
				line += fmt.Sprintf(" %s %s.%s %d", input, p.Rig.Interfaces[l.Interface].Name, kind, l.Jack)
				if l.Addressed {
					line += fmt.Sprintf(" port %d channel %d", l.Port+1, l.Channel+1)
				}
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// differs says what is not as it was when a take was made; empty where its file does not
// tell.
func differs(p *plan.Plan, then []string) string {
	now := wiring(p)
	if len(then) == 0 {
		return ""
	}
	for i := range max(len(then), len(now)) {
		switch {
		case i >= len(then):
			return fmt.Sprintf("%s is new", now[i])
		case i >= len(now):
			return fmt.Sprintf("in the take %s, which is gone", then[i])
		case then[i] != now[i]:
			return fmt.Sprintf("in the take %s, now %s", then[i], now[i])
		}
	}
	return ""
}

// Wired tells a rack from any other by what a take rests on: its voices, their jacks,
// ports and channels, and the volts of keys. What is measured does not change it.
func Wired(p *plan.Plan) string {
	lines := []string{p.Rig.Name, fmt.Sprint(p.Rig.A4)}
	for i := range p.Map.Voices {
		lines = append(lines, p.Rig.Voices[i].Name)
		for _, input := range []string{"pitch", "gate"} {
			if l := p.Map.Voices[i].Lane(input); l != nil {
				lines = append(lines, fmt.Sprint(input, l.Outlet))
			}
		}
	}
	for i := range p.Rig.Interfaces {
		f := &p.Rig.Interfaces[i]
		lines = append(lines, fmt.Sprint(f.Name, f.Scale, f.ZeroKey, f.Window))
	}
	return profiles.Fingerprint([]byte(strings.Join(lines, "\n")))
}

// Is tells whether a file says that it is a take, of whatever rig.
func Is(song *midi.Song) bool {
	_, _, _, ok := said(song)
	return ok
}

// Read finds in a file what take it plays. The error is a *[deal.Error] where it is
// none, or one of another rig.
func Read(p *plan.Plan, song *midi.Song) (*Take, error) {
	code, wires, through, ok := said(song)
	switch {
	case !ok:
		return nil, &deal.Error{Message: "this file is no take: no track says for which rig", Hint: "make one with choirloft write RIG --take -o take.mid"}
	case code != Wired(p):
		message := "this take was made for another rig, or for other cables"
		if what := differs(p, wires); what != "" {
			message += ": " + what
		}
		return nil, &deal.Error{Message: message, Hint: "make one with choirloft write RIG --take -o take.mid"}
	}
	homes, err := deal.Homes(p)
	if err != nil {
		return nil, err
	}
	t := &Take{Plan: p, Through: through, Length: song.Duration()}
	for i, h := range homes {
		if h.Interface < 0 {
			continue
		}
		if part := partOf(song, i, h); part != nil {
			t.Parts = append(t.Parts, *part)
		}
	}
	if !t.whole() {
		return nil, &deal.Error{Message: "this take has been changed: its notes are not those that were written", Hint: "make it again with choirloft write RIG --take -o take.mid"}
	}
	return t, nil
}

// said is what the text of a take says: its code, its wiring, and what keys went through.
func said(song *midi.Song) (code string, wires []string, corrected, ok bool) {
	for i := range song.Tracks {
		text := song.Tracks[i].Text
		if m := marked().FindStringSubmatch(text); m != nil {
			if _, list, found := strings.Cut(text, wired); found {
				wires = strings.Split(list, between)
			}
			return m[1], wires, m[3] == Through(true), true
		}
	}
	return "", nil, false, false
}

// partOf finds the notes of a voice; nil where it has none.
func partOf(song *midi.Song, voice int, h deal.Home) *Part {
	part, bent, span := &Part{Voice: voice}, 0.0, 0
	for _, e := range song.Events {
		if e.Port != h.Port || e.Channel() != h.Channel {
			continue
		}
		switch n := len(part.Notes); {
		case e.Kind() == midi.ControlChange && e.Data1 == 6: // of RPN 0, the only one there
			span = int(e.Data2)
		case e.Kind() == midi.PitchBend:
			bent = (float64(int(e.Data2)<<7|int(e.Data1))/8192 - 1) * float64(span)
		case e.Kind() == midi.NoteOn && e.Data2 > 0:
			part.Notes = append(part.Notes, Note{Voice: voice, Key: midi.Key(e.Data1), Bend: bent, At: song.Tempo.At(e.Tick)})
		case n > 0 && part.Notes[n-1].Long == 0 && (e.Kind() == midi.NoteOff || e.Kind() == midi.NoteOn):
			part.Notes[n-1].Long = song.Tempo.At(e.Tick) - part.Notes[n-1].At
		}
	}
	if len(part.Notes) == 0 {
		return nil
	}
	return part
}

// whole tells what each note is for, and where slots end; false where the notes are
// not those of a take.
func (t *Take) whole() bool {
	for i := range t.Parts {
		p := &t.Parts[i]
		n := len(p.Notes)
		if n < 4 {
			return false
		}
		p.Parking = p.Notes[0].Key
		if p.Notes[n-2].Key != p.Parking || p.Notes[n-1].Key != p.Parking {
			return false
		}
		for j := range p.Notes {
			p.Notes[j].told(j, n)
		}
		p.From = p.Notes[1].At
	}
	for i := range t.Parts {
		t.Parts[i].To = t.Parts[len(t.Parts)-1].Notes[len(t.Parts[len(t.Parts)-1].Notes)-1].At
		if i+1 < len(t.Parts) {
			t.Parts[i].To = t.Parts[i+1].From
		}
		if t.Parts[i].To <= t.Parts[i].From {
			return false
		}
	}
	return len(t.Parts) > 0
}

// told sets what a note is for, by its place. Through corrections all notes are bent,
// but by less than a semitone.
func (n *Note) told(at, of int) {
	bent := n.Bend
	n.Bend = 0
	switch {
	case at == 0:
		n.Kind = RollCall
	case at == of-1:
		n.Kind = Again
	case at == of-2:
		n.Kind = Fade
	case n.Long <= longestGate:
		n.Kind = Gate
	case math.Abs(bent) > 1:
		n.Kind, n.Bend = Bent, math.Copysign(bend, bent)
	default:
		n.Kind = Reading
	}
}
