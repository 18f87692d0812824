package profiles

import "slices"

// Jacks that gates come out of, and those that inputs are.

// Active says what a gate is while a key is down.
type Active uint8

// The ways of gates.
const (
	High   Active = iota // volts, and 0 V while no key is down
	Low                  // 0 V, and volts while no key is down
	Closed               // a contact to ground: S-trig
)

// InputJack is what a kind of voice says of one of its inputs.
type InputJack struct {
	Input string
	// Normal is the input that it is joined to, and NormalVolts what it has, while there
	// is no plug in it. With Sums they stay, and a plug adds to them.
	Normal      string
	NormalVolts *Volts
	Sums        bool
	Active      Active // of a gate
}

// Jack is what a kind says of an input.
func (k *Kind) Jack(input string) InputJack {
	if i := slices.IndexFunc(k.Jacks, func(j InputJack) bool { return j.Input == input }); i >= 0 {
		return k.Jacks[i]
	}
	return InputJack{Input: input}
}

// GateActive is what opens the gate input.
func (k *Kind) GateActive() Active {
	if k.GateInput == STrig {
		return Closed
	}
	return k.Jack("gate").Active
}

// plugged is what a plug does to the normal of an input.
type plugged uint8

const (
	breaks plugged = iota
	sums
)

// normalWhat is what an input has without a plug, as it is written.
type normalWhat struct {
	input string
	volts *Volts
}

// normalWord is a normal; its values are normalWhat.
var normalWord = leaf{words{"an input of the voice, such as velocity, or volts, such as 5 V", normalWritten, func(r *reader, text string) (any, *complaint) {
	if nameForm().MatchString(text) {
		return normalWhat{input: text}, nil
	}
	v, c := normalVolts.parse(r, written{text: text})
	if c != nil {
		c.message += ", or an input of the voice"
		return nil, c
	}
	return normalWhat{volts: new(v.(Volts))}, nil
}}}

var normalVolts = between[Volts](voltages, "-20 V", "20 V")

// jackShape is an input of a kind; its values are InputJack.
var jackShape = object[InputJack]{what: "an input", fields: []field[InputJack]{
	{key: "normal", shape: normalWord, doc: "what it has while no plug is in it: another input of the voice, or volts", example: "5 V",
		set: func(_ *reader, j *InputJack, v any) {
			j.Normal, j.NormalVolts = v.(normalWhat).input, v.(normalWhat).volts
		}},
	{key: "plug", shape: oneOf[plugged](pluggedNames...), def: "breaks", doc: "whether a plug breaks the normal, or adds to it", example: "sums",
		set: func(_ *reader, j *InputJack, v any) { j.Sums = v.(plugged) == sums }},
	may("active", oneOf[Active](activeNames...), "", func(j *InputJack) *Active { return &j.Active },
		"of a gate: what opens it, volts, 0 V, or a short to ground; by default what gate_input says", "low"),
}}

// finishJacks checks what a kind says of its inputs, and makes gate_input and active agree.
func finishJacks(r *reader, k *Kind, n node, at string) {
	_, jacks := lookup(n, "jacks")
	at = join(at, "jacks")
	for i := range k.Jacks {
		j := &k.Jacks[i]
		place, here := n, join(at, j.Input)
		var inside node
		if jacks != nil {
			place, inside = lookup(jacks, j.Input)
		}
		has := func(input string, where string) {
			if known := slices.Concat(k.Has, commonInputs); !slices.Contains(known, input) {
				r.fault(place, where, complain("a voice has no input %s", input).didYouMean(input, known).orAdvise("add it under has"))
			}
		}
		has(j.Input, here)
		if j.Normal != "" {
			has(j.Normal, join(here, "normal"))
		}
		if k.circles(j) {
			r.fault(place, join(here, "normal"), complain("%s is its own normal", j.Input).advise("a normal ends at an input without one, or at volts"))
		}
		written := inside != nil && writes(inside, "active")
		switch {
		case j.Input != "gate" && written:
			r.fault(place, join(here, "active"), complain("active is on %s, want it on gate", j.Input))
		case j.Input == "gate" && !written && k.GateInput == STrig:
			j.Active = Closed
		case j.Input == "gate" && written && writes(n, "gate_input") && (j.Active == Closed) != (k.GateInput == STrig):
			r.fault(place, join(here, "active"), complain("active is %s beside gate_input %s", j.Active, k.GateInput).advise("leave gate_input out"))
		case j.Input == "gate" && (written || k.GateInput == VTrig):
			k.GateInput = map[bool]GateInput{true: STrig}[j.Active == Closed]
		}
	}
}

func writes(n node, key string) bool {
	_, value := lookup(n, key)
	return value != nil
}

// circles tells whether the normals of inputs lead back to one.
func (k *Kind) circles(j *InputJack) bool {
	at := j.Normal
	for range k.Jacks {
		if at == j.Input {
			return true
		}
		at = k.Jack(at).Normal
	}
	return false
}

// finishActive makes the gate of a box and its active agree: a contact is closed, volts are high or low.
func finishActive(r *reader, gate *Gate, active *Active, n node, at string) {
	switch {
	case gate.STrig == (*active == Closed):
	case writes(n, "gate") && writes(n, "active") || writes(n, "active") && gate.STrig:
		advice := "write gate: S-trig, or leave gate out"
		if gate.STrig {
			advice = "give the gate in volts, such as 5 V"
		}
		key, _ := lookup(n, "active")
		r.fault(key, join(at, "active"), complain("active is %s, and the gate %s", *active, map[bool]string{true: "S-trig, which closes", false: "is in volts"}[gate.STrig]).advise("%s", advice))
	case gate.STrig:
		*active = Closed
	case writes(n, "gate"):
		*active = High
	default:
		gate.STrig = true
	}
}

func setJacks(_ *reader, k *Kind, v any) {
	k.Jacks = nil
	for _, e := range v.([]entry[string, InputJack]) {
		e.value.Input = e.key
		k.Jacks = append(k.Jacks, e.value)
	}
}
