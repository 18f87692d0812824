package contract

import (
	"fmt"
	"strconv"
	"strings"

	"choirloft/profiles/unit"
)

// recordHead names the fields of [Map.Records].
var recordHead = []string{"row", "lane", "interface", "kind", "jack", "connector", "place", "port", "channel", "message",
	"voice", "name", "bank", "position", "state", "input", "part", "stack", "stack_position", "of", "detune_cents", "pan",
	"zero_key", "volts_at_low_key", "low_key", "volts_at_high_key", "high_key", "fingerprint", "to"}

// Records lists the map as a table of a row a jack, with a head: first the rig
// and its fingerprint, then voices, lanes, macros and spare jacks. Beside a macro, and
// a lane that is only wired, stand the inputs that it moves.
func (m *Map) Records() [][]string {
	all := [][]string{recordHead, record(map[string]string{"row": "rig", "lane": m.Rig, "fingerprint": m.Fingerprint})}
	for i := range m.Voices {
		v := &m.Voices[i]
		fields := v.fields()
		if v.Pitch != nil {
			all = append(all, record(fields, v.Pitch.fields(), v.volts(), map[string]string{"lane": v.Name + ".pitch", "input": "pitch"}))
		}
		if v.Gate != nil {
			all = append(all, record(fields, v.Gate.fields(), map[string]string{"lane": v.Name + ".gate", "input": "gate"}))
		}
		for j := range v.Lanes {
			all = append(all, record(fields, v.Lanes[j].fields()))
		}
	}
	for i := range m.Lanes {
		all = append(all, record(map[string]string{"row": "lane"}, m.Lanes[i].fields()))
	}
	for i := range m.Macros {
		all = append(all, record(map[string]string{"row": "macro"}, m.Macros[i].fields()))
	}
	for _, s := range m.Spare.Jacks {
		for _, jack := range s.Jacks {
			all = append(all, record(map[string]string{"row": "spare", "interface": s.Interface, "kind": s.Kind, "jack": strconv.Itoa(jack)}))
		}
	}
	return all
}

// record lays fields out by their names.
func record(fields ...map[string]string) []string {
	row := make([]string, len(recordHead))
	for i, name := range recordHead {
		for _, f := range fields {
			if text, ok := f[name]; ok {
				row[i] = text
			}
		}
	}
	return row
}

func (v *MapVoice) fields() map[string]string {
	f := map[string]string{"row": "voice", "voice": strconv.Itoa(v.Voice), "name": v.Name, "bank": v.Bank,
		"position": strconv.Itoa(v.Position), "state": v.State, "part": v.PartList(),
		"low_key": strconv.Itoa(v.LowKey), "high_key": strconv.Itoa(v.HighKey)}
	if v.Unison == nil {
		f["part"] = ""
		return f
	}
	if v.SeatsAgree() {
		f["of"], f["stack"], f["stack_position"] = strconv.Itoa(v.Unison.Of), number(v.Unison.Stack), number(v.Unison.Position)
		if v.DetuneCents != nil {
			f["detune_cents"], f["pan"] = unit.Tenths(*v.DetuneCents), unit.Fixed(*v.Pan, 2)
		}
	}
	f["zero_key"] = number(v.ZeroKey)
	return f
}

// PartList names the parts that play on a voice, and its stack in each; a dash
// where none does.
func (v *MapVoice) PartList() string {
	var words []string
	for i := range v.Seats {
		switch s := &v.Seats[i]; {
		case s.Idle:
			words = append(words, s.Part+" (idle)")
		case s.Unison.Stack != nil:
			words = append(words, fmt.Sprintf("%s stack %d", s.Part, *s.Unison.Stack))
		default:
			words = append(words, s.Part)
		}
	}
	if len(words) == 0 {
		return unit.None
	}
	return strings.Join(words, ", ")
}

// volts are those at the lowest and the highest key within reach.
func (v *MapVoice) volts() map[string]string {
	if len(v.VoltsAt) == 0 {
		return nil
	}
	first, last := v.VoltsAt[0], v.VoltsAt[len(v.VoltsAt)-1]
	return map[string]string{
		"low_key": fmt.Sprint(uint8(first.Key)), "volts_at_low_key": unit.Fixed(first.Volts, 3),
		"high_key": fmt.Sprint(uint8(last.Key)), "volts_at_high_key": unit.Fixed(last.Volts, 3),
	}
}

func (j *Jack) fields() map[string]string {
	f := map[string]string{"interface": j.Interface, "kind": j.Kind, "jack": strconv.Itoa(j.Jack),
		"connector": strconv.Itoa(j.Connector), "place": strconv.Itoa(j.Place), "port": number(j.Port), "channel": number(j.Channel)}
	if j.Message != nil {
		f["message"] = *j.Message
	}
	return f
}

func (l *MapLane) fields() map[string]string {
	f := l.Jack.fields()
	f["lane"] = l.Name
	if l.Input != nil {
		f["input"] = *l.Input
	}
	if l.Bank != nil {
		f["bank"] = *l.Bank
		return f
	}
	if len(l.To) > 0 {
		f["to"] = strings.Join(l.To, " ")
	}
	return f
}

// number prints a number, nothing where there is none.
func number(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}
