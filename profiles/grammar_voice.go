package profiles

import (
	"slices"
	"strings"
)

// The grammar of kinds of voice.

var inputOhms = leaf{between[Ohms](resistances, "1 kohm", "10 Mohm")}

var inputNames = listOf[string]{
	of: leaf{name{what: "an input"}}, what: "inputs", max: 64,
	same: func(a, b string) bool { return a == b },
}

// soundShape is what a kind of voice sounds like; its values are Sound.
var soundShape = object[Sound]{what: "a sound", fields: []field[Sound]{
	may("wave", oneOf[Shape](shapeNames...), "saw", func(s *Sound) *Shape { return &s.Wave },
		"waveform of the oscillator", "square"),
	may("cutoff", leaf{between[Hertz](frequencies, "100 Hz", "20 kHz")}, "2 kHz", func(s *Sound) *Hertz { return &s.Cutoff },
		"cutoff of the low-pass at middle C, where it takes 12 dB", "4 kHz"),
	may("track", leaf{between[Share](shares, "0 %", "100 %")}, "0 %", func(s *Sound) *Share { return &s.Track },
		"how much of an octave the cutoff follows a key an octave up", "50 %"),
}}

// kindFields are what a kind of voice and its profile have in common.
var kindFields = []field[Kind]{
	may("attack", leaf{between[Duration](times, "0 ms", "60 s")}, "5 ms",
		func(k *Kind) *Duration { return &k.Envelope.Attack },
		"how long the envelope goes from silence to full", "2 ms"),
	may("decay", leaf{between[Duration](times, "0 ms", "600 s")}, "300 ms",
		func(k *Kind) *Duration { return &k.Envelope.Decay },
		"how long it takes from full down to sustain: until 60 dB of the way are gone", "600 ms"),
	{key: "sustain", shape: leaf{between[Share](shares, "0 %", "100 %")}, def: "100 %",
		doc: "level while the gate is high, of full", example: "70 %",
		set: func(_ *reader, k *Kind, v any) { k.Envelope.Sustain = float64(v.(Share)) }},
	may("release", leaf{between[Duration](times, "0 ms", "600 s").in("s")}, "1.5 s",
		func(k *Kind) *Duration { return &k.Envelope.Release },
		"how long a tail takes to fall by 60 dB; a time constant is multiplied by 6.9", "1.2 s"),
	may("pitch_resistance", inputOhms, "100 kohm", func(k *Kind) *Ohms { return &k.PitchResistance },
		"resistance of the pitch input", "50 kohm"),
	may("gate_threshold", leaf{between[Volts](voltages, "0.1 V", "20 V")}, "2.5 V",
		func(k *Kind) *Volts { return &k.GateThreshold },
		"volts above which a gate counts as high", "1.8 V"),
	may("gate_resistance", inputOhms, "100 kohm", func(k *Kind) *Ohms { return &k.GateResistance },
		"resistance of the gate input", "47 kohm"),
	may("gate_input", oneOf[GateInput](gateInputNames...), "V-trig", func(k *Kind) *GateInput { return &k.GateInput },
		"what opens the gate input: volts, or a short to ground", "S-trig"),
	may("group_pitch", oneOf[GroupPitch](groupNames...), "none", func(k *Kind) *GroupPitch { return &k.GroupPitch },
		"what the common pitch jack of a bank does with its voices' own pitch", "sums"),
	{key: "jacks", shape: dictOf[string, InputJack]{name{what: "an input"}, jackShape, "inputs", 64}, doc: "what its inputs have without a plug, and what opens its gate",
		example: "{velocity: {normal: 5 V}}", set: setJacks},
	may("has", inputNames, "[pitch, gate, velocity, cutoff, resonance, level]", func(k *Kind) *[]string { return &k.Has },
		"inputs that a voice has: pitch, gate, and any others by names of yours", "[pitch, gate, velocity, cutoff, drive]"),
	may("inputs", inputNames, "[pitch, gate]", func(k *Kind) *[]string { return &k.Inputs },
		"inputs that get a CV or a gate for each voice", "[pitch, gate, velocity]"),
	may("sound", soundShape, "{}", func(k *Kind) *Sound { return &k.Sound },
		"what the voice sounds like, for what is heard of a song", "{wave: square, cutoff: 4 kHz}"),
	may("drift", leaf{between[Cents](intervals, "0 cents", "100 cents")}, "2 cents", func(k *Kind) *Cents { return &k.Drift },
		"how far a voice drifts between tuning and playing, one sigma; 10 cents where tuned says warm: false", "3 cents"),
	may("tracking", leaf{between[Cents](intervals, "0 cents", "100 cents")}, "3 cents", func(k *Kind) *Cents { return &k.Tracking },
		"limit of the tracking error, for each octave from trim_key", "2 cents"),
	may("trim_key", keyNumber, "60", func(k *Kind) *int { return &k.TrimKey },
		"key at which the oscillator is trimmed, from which its tracking counts", "C3"),
	may("compensated", yesOrNo, "true", func(k *Kind) *bool { return &k.Compensated },
		"whether its pitch is compensated for temperature", "false"),
	may("balance_key", keyNumber, "60", func(k *Kind) *int { return &k.BalanceKey },
		"key whose pitch stays as the temperature changes, without compensation", "C3"),
	may("measured", measuredList, "", func(k *Kind) *[]Measurable { return &k.Measured },
		"which of these values somebody measured; the others count as not measured", "[release, drift]"),
}

var measuredList = listOf[Measurable]{
	of: oneOf[Measurable](measurableNames...), what: "measured values", max: len(measurableNames), none: "leave the key out",
	same: func(a, b Measurable) bool { return a == b },
}

// kindShape is a kind of voice of a rig; its values are Kind.
var kindShape = object[Kind]{
	what: "a kind of voice",
	fields: append([]field[Kind]{
		may("profile", profileIn("voices"), "saw-lowpass", func(k *Kind) *string { return &k.Profile },
			"a built-in profile, or the path of a profile file; other fields override it", "pulse-lowpass"),
	}, kindFields...),
	start:  kindProfiles.start,
	finish: finishKind,
}

var kindProfiles = profileSet[Kind]{folder: "voices", fallback: defaultKind, file: object[Kind]{
	what: "the profile of a kind of voice",
	fields: append([]field[Kind]{
		must("voice", leaf{text{"a name", 80}}, func(k *Kind) *string { return &k.Name },
			"name of the profile of a kind of voice, the first key of its file", "warm-saw"),
	}, kindFields...),
	finish: finishKind,
}}

// defaultKind is the built-in kind of banks that name none.
const defaultKind = "saw-lowpass"

// commonInputs are known without being listed under has.
var commonInputs = []string{"pitch", "gate", "velocity", "pressure"}

// finishKind checks the lanes of a voice, and adds them to what it has.
func finishKind(r *reader, k *Kind, n node, at string) {
	checkInputs(r, *k, n, at)
	checkMeasured(r, k, n, at)
	finishJacks(r, k, n, at)
	if !slices.Contains(k.Inputs, "pitch") || !slices.Contains(k.Inputs, "gate") {
		r.fault(n, at, complain("inputs are %s, want pitch and gate among them", strings.Join(k.Inputs, ", ")))
	}
	for _, input := range k.Inputs {
		if !slices.Contains(k.Has, input) {
			k.Has = append(slices.Clip(k.Has), input)
		}
	}
}

// checkInputs complains of lanes that a voice has no input for.
func checkInputs(r *reader, k Kind, n node, at string) {
	_, list := lookup(n, "inputs")
	known := slices.Concat(k.Has, commonInputs)
	for i, input := range k.Inputs {
		if slices.Contains(known, input) {
			continue
		}
		place, where := n, at
		if list != nil {
			place, where = list.Content[i], index(join(at, "inputs"), i)
		}
		r.fault(place, where, complain("a voice has no input %s, it has %s", input, strings.Join(k.Has, ", ")).
			didYouMean(input, known).orAdvise("add it under has"))
	}
}

// checkMeasured complains of values that are called measured beside a built-in
// profile, and not written.
func checkMeasured(r *reader, k *Kind, n node, at string) {
	_, list := lookup(n, "measured")
	if list == nil || isPath(k.Profile) {
		return
	}
	for i, item := range list.Content {
		if !slices.Contains(measurableNames, item.Value) {
			continue // said before
		}
		if _, value := lookup(n, item.Value); value == nil {
			r.fault(item, index(join(at, "measured"), i), complain("%s is called measured, but has no value here", item.Value).orAdvise("write "+item.Value+" beside it"))
		}
	}
}
