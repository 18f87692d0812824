package profiles

import (
	"choirloft/midi"
)

// The top of the grammar. Every table names a key, its shape, its default as
// it would be written, where its value goes, and what it means; doc.go says
// how to read them.

// rigDraft is a rig whose names have not been looked up.
type rigDraft struct {
	Rig
	interfaces  []entry[string, Interface]
	sequencers  []entry[string, Sequencer]
	kinds       []entry[string, Kind]
	banks       []entry[string, bankDraft]
	macros      []entry[string, macroDraft]
	parts       []entry[string, partDraft]
	wiring      []spot[wireDraft]
	pins        []entry[targetName, spot[jackName]]
	gear        []entry[string, Gear]
	supplies    []entry[string, supplyDraft]
	corrections []entry[string, Correction]
	measured    []entry[string, Answer]
	setUps      []entry[string, setUpDraft]
}

// rigShape is the whole file; its values are rigDraft. The order of the fields
// is that of reading: middle_c stands before all names of keys.
var rigShape = object[rigDraft]{what: "a rig", fields: []field[rigDraft]{
	must("rig", leaf{text{"a name", 80}}, func(d *rigDraft) *string { return &d.Name },
		"name of the rig", "My wall"),
	may("a4", leaf{between[Hertz](frequencies, "390 Hz", "490 Hz")}, "440 Hz", func(d *rigDraft) *Hertz { return &d.A4 },
		"pitch of key 69, by which pitches become hertz", "442 Hz"),
	choice("middle_c", []string{"C4", "C3"}, "C4", setMiddleC,
		"name of key 60, in the file and in all that is printed", "C3"),
	may("order", orderShape, "{}", func(d *rigDraft) *midi.Order { return &d.Order },
		"how events at one instant follow each other", "{chords: low}"),
	may("interfaces", boxes("an interface", "interfaces", interfaceShape), "",
		func(d *rigDraft) *[]entry[string, Interface] { return &d.interfaces },
		"boxes that give CVs and gates, by names of yours", "{main: {profile: cv16-gate16}}"),
	may("sequencers", boxes("a sequencer", "sequencers", sequencerShape), "",
		func(d *rigDraft) *[]entry[string, Sequencer] { return &d.sequencers },
		"further sources of pitch and gate pairs, for other set-ups", "{seq: {parts: 4}}"),
	may("voices", named[Kind]("a kind of voice", "kinds of voice", kindShape, 64), "",
		func(d *rigDraft) *[]entry[string, Kind] { return &d.kinds },
		"kinds of voice, by names of yours", "{saw: {release: 1.2 s}}"),
	must("banks", dictOf[string, bankDraft]{name{what: "a bank", noDigit: true, noCable: true}, bankShape, "banks", 1024},
		func(d *rigDraft) *[]entry[string, bankDraft] { return &d.banks },
		"groups of voices, such as K: {voices: 4}", "{K: {voices: 4}}"),
	may("macros", named[macroDraft]("a macro", "macros", macroShape, 256), "",
		func(d *rigDraft) *[]entry[string, macroDraft] { return &d.macros },
		"CVs moved by a controller, each on one input of many voices", "{bite: {from: CC 74 on 16, to: [K.cutoff]}}"),
	may("parts", named[partDraft]("a part", "parts", partShape, 256), "",
		func(d *rigDraft) *[]entry[string, partDraft] { return &d.parts },
		"musical lines; by default one part, all, over all banks", "{bass: {channel: 2}}"),
	may("timing", timingShape, "{}", func(d *rigDraft) *Timing { return &d.Timing },
		"times between gates and CVs", "{gap: 4 ms}"),
	may("audible", audibleShape, "{}", func(d *rigDraft) *Audible { return &d.Audible },
		"levels at which a tail no longer matters", "{limit: -50 dB}"),
	may("levels", levelsShape, "{}", func(d *rigDraft) *Levels { return &d.Levels },
		"levels of the voices and mixers", "{voice: 8 Vpp}"),
	may("hearing", hearingShape, "{}", func(d *rigDraft) *Hearing { return &d.Hearing },
		"how loud the rig is listened to", "{level: 76 dB}"),
	may("tuned", tunedShape, "{}", func(d *rigDraft) *Tuned { return &d.Tuned },
		"how the rig is between tuning and playing", "{warm: false, kelvin: 4}"),
	may("wiring", listOf[spot[wireDraft]]{of: locate[wireDraft]{wireShape}, what: "wires", max: 1024}, "",
		func(d *rigDraft) *[]spot[wireDraft] { return &d.wiring },
		"what is not one jack to one input", "[{from: main.cv 9, to: [K.cutoff, L.cutoff]}]"),
	may("pins", dictOf[targetName, spot[jackName]]{pinWord, jackRef, "jacks by input", 4096}, "",
		func(d *rigDraft) *[]entry[targetName, spot[jackName]] { return &d.pins },
		"inputs and macros held on jacks that you choose", "{K1.pitch: main.cv 1}"),
	may("gear", named[Gear]("a module", "modules", gearShape, 256), "",
		func(d *rigDraft) *[]entry[string, Gear] { return &d.gear },
		"other modules in the rack", "{mixer: {inputs: 8, hp: 30}}"),
	may("supplies", named[supplyDraft]("a supply", "supplies", supplyShape, 64), "",
		func(d *rigDraft) *[]entry[string, supplyDraft] { return &d.supplies },
		"power supplies and what they feed", "{one: {+12: 3 A, feeds: [K, main]}}"),
	may("rack", rackShape, "{}", func(d *rigDraft) *Rack { return &d.Rack },
		"the case", "{hp: 84}"),
	may("corrections", dictOf[string, Correction]{voiceWord, correctionShape, "corrections by voice", 4096}, "",
		func(d *rigDraft) *[]entry[string, Correction] { return &d.corrections },
		"measured tuning by voice, as tune writes it", "{K1: {offset: -1.2 mV}}"),
	may("measured", dictOf[string, Answer]{voiceWord, answerShape, "measured voices", 4096}, "",
		func(d *rigDraft) *[]entry[string, Answer] { return &d.measured },
		"how each voice answers, as tune writes it from the recording of a take", "{K1: {release: 1.92 s, latency: 3.1 ms}}"),
	may("set_ups", named[setUpDraft]("a set-up", "set-ups", setUpShape, 64), "",
		func(d *rigDraft) *[]entry[string, setUpDraft] { return &d.setUps },
		"complete ways of patching the same rack", "{studio: {from: main}}"),
}}

// rigKeys are the keys at the edge of a rig file. It breaks a circle: rigShape reads
// maps, and these ask for its keys.
var rigKeys func() []string

func init() { rigKeys = rigShape.keys }

// named is a map from names to values of one shape; its values are
// []entry[string, V].
func named[V any](one, many string, of shape, max int) dictOf[string, V] {
	return dictOf[string, V]{keys: name{what: one}, of: of, what: many, max: max}
}

// boxes makes a map of things whose name stands before the names of their jacks.
func boxes[V any](one, many string, of object[V]) dictOf[string, V] {
	return dictOf[string, V]{keys: name{what: one, noCable: true}, of: of, what: many, max: 64}
}

// choice makes a field that is one of some names, told by their place.
func choice[T any](key string, names []string, def string, set func(*reader, *T, int), doc, example string) field[T] {
	return field[T]{
		key: key, doc: doc, example: example, shape: oneOf[uint8](names...), def: def,
		set: func(r *reader, target *T, v any) { set(r, target, int(v.(uint8))) },
	}
}

func setMiddleC(r *reader, d *rigDraft, i int) {
	d.MiddleC = [...]MiddleC{C4, C3}[i]
	r.middleC = d.MiddleC
}

var orderShape = object[midi.Order]{what: "an order", fields: []field[midi.Order]{
	choice("same_instant", []string{"offs-first", "file"}, "offs-first",
		func(_ *reader, o *midi.Order, i int) { o.File = i == 1 },
		"whether note-ons come last at an instant, or all stays as in the file", "file"),
	choice("chords", []string{"file", "low", "outer"}, "file",
		func(_ *reader, o *midi.Order, i int) {
			o.Chord = [...]midi.ChordOrder{midi.ChordAsFiled, midi.ChordLowUp, midi.ChordOuter}[i]
		},
		"order of note-ons at one instant: as in the file, from low to high, or outer keys first", "outer"),
}}

var timingShape = object[Timing]{what: "times", fields: []field[Timing]{
	may("gap", leaf{between[Duration](times, "0 ms", "1 s")}, "3 ms", func(t *Timing) *Duration { return &t.Gap },
		"how long a gate is low before the next note on its voice", "4 ms"),
	may("min_gate", leaf{between[Duration](times, "0 ms", "1 s")}, "5 ms", func(t *Timing) *Duration { return &t.MinGate },
		"shortest gate", "8 ms"),
	may("lead", leaf{between[Duration](times, "0 ms", "1 s")}, "1 ms", func(t *Timing) *Duration { return &t.Lead },
		"how long a pitch is there before its gate", "2 ms"),
	may("overlap", leaf{between[Duration](times, "0 ms", "10 s")}, "80 ms", func(t *Timing) *Duration { return &t.Overlap },
		"longest loss that counts as overlap trimmed, and longest wait of a unison that is no late beginning", "50 ms"),
}}

var audibleShape = object[Audible]{what: "levels", fields: []field[Audible]{
	may("free", leaf{between[Decibels](gains, "-200 dB", "0 dB")}, "-60 dB", func(a *Audible) *Decibels { return &a.Free },
		"at or below this level a tail leaves its voice free", "-72 dB"),
	may("limit", leaf{between[Decibels](gains, "-200 dB", "0 dB")}, "-40 dB", func(a *Audible) *Decibels { return &a.Limit },
		"above this level a cut of a tail is audible", "-50 dB"),
}, finish: func(r *reader, a *Audible, n node, at string) {
	if a.Free > a.Limit {
		r.fault(n, at, complain("free is %s dB, above limit at %s dB", plain(float64(a.Free)), plain(float64(a.Limit))))
	}
}}

var levelsShape = object[Levels]{what: "levels", fields: []field[Levels]{
	may("voice", leaf{between[VoltsPeakToPeak](swings, "1 mVpp", "50 Vpp")}, "10 Vpp",
		func(l *Levels) *VoltsPeakToPeak { return &l.Voice },
		"level of one voice at full", "8 Vpp"),
	may("shape", oneOf[Shape](shapeNames...), "saw", func(l *Levels) *Shape { return &l.Shape },
		"waveform of every voice; left out, each kind has that of its sound", "triangle"),
	may("clip", leaf{between[Volts](voltages, "0.1 V", "50 V")}, "10.5 V", func(l *Levels) *Volts { return &l.Clip },
		"peak at which a mixer clips", "9 V"),
	may("submix", leaf{between[Decibels](gains, "-120 dB", "40 dB")}, "-6 dB", func(l *Levels) *Decibels { return &l.Submix },
		"gain of a bank's submixer", "-9 dB"),
	may("main", leaf{between[Decibels](gains, "-120 dB", "40 dB")}, "-12 dB", func(l *Levels) *Decibels { return &l.Main },
		"gain of the main mixer", "-15 dB"),
}}

var hearingShape = object[Hearing]{what: "levels of sound", fields: []field[Hearing]{
	may("level", leaf{between[Decibels](gains, "40 dB", "100 dB")}, "70 dB", func(h *Hearing) *Decibels { return &h.Level },
		"sound pressure level of one voice at full on middle C", "76 dB"),
}}

var tunedShape = object[Tuned]{what: "how it is tuned", fields: []field[Tuned]{
	may("warm", yesOrNo, "true", func(t *Tuned) *bool { return &t.Warm },
		"whether it has been on for 30 minutes when it is tuned, and when it is played", "false"),
	may("kelvin", leaf{number{0, 60}}, "0", func(t *Tuned) *float64 { return &t.Kelvin },
		"how far the temperature may go between tuning and playing, either way, in kelvin", "4"),
}}

var rackShape = object[Rack]{what: "a rack", fields: []field[Rack]{
	may("hp", inHP(1, 1000), "104", func(k *Rack) *int { return &k.HP },
		"width of a row of the rack", "84"),
}}
