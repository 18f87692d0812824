package profiles

import (
	"cmp"
	"slices"
)

// The grammar of patching, measuring and set-ups.

// macroDraft is a macro as it is written.
type macroDraft struct {
	from moved
	to   []spot[targetName]
}

// macroShape is a macro; its values are macroDraft.
var macroShape = object[macroDraft]{what: "a macro", fields: []field[macroDraft]{
	must("from", controllerWord, func(m *macroDraft) *moved { return &m.from },
		"controller that moves it, such as CC 74 on 16", "CC 74 on 16"),
	must("to", targetList, func(m *macroDraft) *[]spot[targetName] { return &m.to },
		"inputs that it moves, such as [K.cutoff, L.cutoff]", "[K.cutoff, L.cutoff]"),
}}

// wireDraft is a wire as it is written.
type wireDraft struct {
	from       spot[jackName]
	through    throughWhat
	to         []spot[targetName]
	calibrated int
	normal     spot[Normal]
}

// wireShape is a wire; its values are wireDraft.
var wireShape = object[wireDraft]{what: "a wire", fields: []field[wireDraft]{
	must("from", sourceRef, func(w *wireDraft) *spot[jackName] { return &w.from },
		"the output, such as main.cv 21, or a module that does something", "main.cv 9"),
	may("through", throughWord, "direct", func(w *wireDraft) *throughWhat { return &w.through },
		"what stands between the output and its inputs", "passive"),
	must("to", wireEnds, func(w *wireDraft) *[]spot[targetName] { return &w.to },
		"the inputs, such as [K.cutoff, L.cutoff], and modules that do something", "[K.cutoff, L.cutoff]"),
	may("calibrated_with", whole(1, 1024), "1", func(w *wireDraft) *int { return &w.calibrated },
		"inputs on the output when it was calibrated", "2"),
	may("normal", locate[Normal]{oneOf[Normal](normalNames...)}, "none", func(w *wireDraft) *spot[Normal] { return &w.normal },
		"a wire behind the panels, which takes no cable. A plug in the input opens it; with full, one in the output does too", "half"),
}}

// correctionShape is a correction; its values are Correction.
var correctionShape = object[Correction]{what: "a correction", fields: []field[Correction]{
	may("offset", addedVolts, "0 V", func(c *Correction) *Volts { return &c.Offset },
		"volts added to what is sent", "-1.2 mV"),
	may("scale", leaf{number{0.5, 2}}, "1", func(c *Correction) *float64 { return &c.Scale },
		"factor on what is sent", "1.0021"),
	may("measured", dateWord, "", func(c *Correction) *string { return &c.Measured },
		"day of the measurement", "2026-11-02"),
	{key: "points", shape: dictOf[Volts, Volts]{windowVolts, addedVolts, "volts to add, by volts", 128},
		doc: "volts to add besides at some volts, where one line does not hold", example: "{1 V: 0 mV, 3 V: -0.5 mV}", set: setPoints},
	{key: "residual", shape: leaf{strayed}, doc: "standard deviation that is left once it is corrected", example: "0.4 cents",
		set: func(_ *reader, c *Correction, v any) { c.Residual = new(v.(Cents)) }},
	{key: "drift", shape: leaf{strayed}, doc: "standard deviation between days of readings", example: "0.9 cents",
		set: func(_ *reader, c *Correction, v any) { c.Drift = new(v.(Cents)) }},
	{key: "common_drift", shape: leaf{strayed}, doc: "the part of drift by which all voices moved alike", example: "common_drift: 0.5 cents\ndrift: 0.9 cents",
		set: func(_ *reader, c *Correction, v any) { c.CommonDrift = new(v.(Cents)) }},
	may("days", whole(2, 1000), "2", func(c *Correction) *int { return &c.Days },
		"days of readings that drift rests on", "3"),
	{key: "readings", shape: listOf[Volts]{of: readAt, what: "volts", max: 512},
		doc: "volts of the readings that residual rests on, one for each; five over the range of the voice are assumed without", example: "[0 V, 1 V, 2.5 V, 4 V]",
		set: func(_ *reader, c *Correction, v any) { c.Readings = v.([]Volts) }},
	may("inputs", whole(0, 1024), "0", func(c *Correction) *int { return &c.Inputs },
		"inputs on the jack when the voice was measured; as many as now where it is 0", "1"),
	{key: "multiples", shape: whole(0, 64), doc: "amplifiers on the way when the voice was measured; as many as now by default", example: "1",
		set: func(_ *reader, c *Correction, v any) { c.Multiples = new(v.(int)) }},
}, finish: func(r *reader, c *Correction, n node, at string) {
	if c.CommonDrift != nil && (c.Drift == nil || *c.CommonDrift > *c.Drift) {
		key, _ := lookup(n, "common_drift")
		r.fault(key, join(at, "common_drift"), complain("common_drift is %s, want at most drift, of which it is a part", centsText(c.CommonDrift)))
	}
}}

var (
	addedVolts = leaf{between[Volts](voltages, "-1 V", "1 V").in("mV")}
	readAt     = leaf{windowVolts}
	strayed    = between[Cents](intervals, "0 cents", "100 cents")
)

// setPoints keeps points by ascending volts, in whatever order they stand.
func setPoints(_ *reader, c *Correction, v any) {
	for _, e := range v.([]entry[Volts, Volts]) {
		c.Points = append(c.Points, CorrectionPoint{e.key, e.value})
	}
	slices.SortFunc(c.Points, func(a, b CorrectionPoint) int { return cmp.Compare(a.At, b.At) })
}

// setUpDraft is a set-up as it is written.
type setUpDraft struct {
	from    []spot[string]
	parts   []entry[int, []spot[string]]
	pitches spot[PitchWay]
	gates   spot[GateWay]
	through spot[throughWhat]
}

// pairNumber is a part of a sequencer, by its number; its values are int.
type pairNumber struct{ integer }

func (s pairNumber) parse(r *reader, w written) (any, *complaint) {
	v, c := s.integer.parse(r, w)
	if c != nil && nameForm().MatchString(w.text) {
		c.advise("the parts of a set-up are pairs of its sequencer, by number: 1: K")
	}
	return v, c
}

// setUpShape is a set-up; its values are setUpDraft.
var setUpShape = object[setUpDraft]{what: "a set-up", fields: []field[setUpDraft]{
	must("from", oneOrMore(nameRef("an interface or a sequencer"), listOf[spot[string]]{
		of: nameRef("an interface"), what: "interfaces", max: 64, same: sameValue[string],
	}), func(s *setUpDraft) *[]spot[string] { return &s.from },
		"interface or sequencer that plays, or a list of interfaces", "main"),
	may("parts", dictOf[int, []spot[string]]{
		pairNumber{integer{min: 1, max: 64}},
		oneOrMore(nameRef("a bank"), listOf[spot[string]]{
			of: nameRef("a bank"), what: "banks", max: 1024, same: sameValue[string],
		}),
		"banks by part of the sequencer", 64,
	}, "", func(s *setUpDraft) *[]entry[int, []spot[string]] { return &s.parts },
		"banks that each part of the sequencer plays", "from: seq\nparts: {1: K, 2: L}"),
	may("pitches", locate[PitchWay]{oneOf[PitchWay](pitchWayNames...)}, "",
		func(s *setUpDraft) *spot[PitchWay] { return &s.pitches },
		"how a part reaches the pitches of a bank: group, by the common pitch jack, or multiples; group by default where there is that jack", "from: seq\nparts: {1: K, 2: L}\npitches: multiples"),
	may("gates", locate[GateWay]{oneOf[GateWay](gateWayNames...)}, "multiples",
		func(s *setUpDraft) *spot[GateWay] { return &s.gates },
		"how a part reaches the gates of a bank: multiples, or a gate-OR that the voices' own gates go through too", "from: seq\nparts: {1: K, 2: L}\ngates: or"),
	may("through", locate[throughWhat]{multipleWord}, "passive", func(s *setUpDraft) *spot[throughWhat] { return &s.through },
		"what its multiples are", "from: seq\nparts: {1: K, 2: L}\nthrough: buffered 4"),
}}
