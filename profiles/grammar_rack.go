package profiles

import "choirloft/alloc"

// The grammar of what stands in the rack.

var (
	outputOhms = leaf{between[Ohms](resistances, "0 ohm", "1 Mohm").in("ohm")}
	rackRow    = whole(1, 100)
	moduleHP   = inHP(0, 1000)

	fullScaleVolts = leaf{between[Volts](voltages, "0.1 V", "20 V")}
	triggerTime    = leaf{between[Duration](times, "0.1 ms", "1 s")}
)

// interfaceFields are what an interface and its profile have in common.
var interfaceFields = []field[Interface]{
	may("cv", whole(0, 1024), "", func(i *Interface) *int { return &i.CV },
		"CV jacks", "16"),
	may("gates", whole(0, 1024), "", func(i *Interface) *int { return &i.Gates },
		"gate jacks", "16"),
	may("outputs", whole(0, 1024), "", func(i *Interface) *int { return &i.Outputs },
		"jacks that each give a CV or a gate, instead of cv and gates", "profile: audio-dc8\noutputs: 6"),
	may("connector", whole(1, 128), "8", func(i *Interface) *int { return &i.Connector },
		"jacks per connector", "4"),
	may("window", windowWord, "0 V to 5 V", func(i *Interface) *Window { return &i.Window },
		"CV range, from the lowest to the highest volts", "0 V to 10 V"),
	may("full_scale", fullScaleVolts, "", func(i *Interface) *Volts { return &i.FullScale },
		"volts of a sample at full scale, in files of CVs; the larger end of the CV range by default", "10 V"),
	may("zero_key", keyNumber, "36", func(i *Interface) *int { return &i.ZeroKey },
		"key at 0 V", "C1"),
	may("scale", scaleWord, "1 V/oct", func(i *Interface) *Scale { return &i.Scale },
		"how pitch becomes volts: volts per octave, or hertz per volt", "1 V/oct"),
	may("bits", whole(6, 32), "16", func(i *Interface) *int { return &i.Bits },
		"resolution of a CV over its range", "24"),
	may("output_resistance", outputOhms, "100 ohm", func(i *Interface) *Ohms { return &i.OutputResistance },
		"resistance of a CV jack; 0 ohm where the resistor is inside the loop", "470 ohm"),
	may("gate", gateWord, "5 V", func(i *Interface) *Gate { return &i.Gate },
		"volts of a gate that is high, or S-trig, a short to ground", "10 V"),
	may("active", oneOf[Active](activeNames...), "", func(i *Interface) *Active { return &i.Active },
		"what a gate is while a key is down: high, low, or closed, a short to ground; by default high, closed with S-trig", "low"),
	may("trigger", triggerTime, "", func(i *Interface) *Duration { return &i.Trigger },
		"length of its gates, where they are triggers that do not last as long as the note", "10 ms"),
	may("link", oneOf[Link](linkNames...), "usb", func(i *Interface) *Link { return &i.Link },
		"how MIDI or audio reaches it: USB of full or high speed, 5-pin MIDI or audio", "din"),
	may("tuning", oneOf[Tuning](tuningNames...), "bend", func(i *Interface) *Tuning { return &i.Tuning },
		"who adds detune and corrections to a voice's pitch: bends in what is dealt, or the interface itself", "own"),
	may("trimmed", yesOrNo, "true", func(i *Interface) *bool { return &i.Trimmed },
		"whether its CVs have been trimmed: 0.1 % and 2 mV are then assumed, and else 0.5 % and 10 mV", "false"),
	{key: "gain_error", shape: leaf{between[Share](shares, "0 %", "10 %")}, doc: "limit of the error of its gain, either way; by default what trimmed says", example: "0.05 %",
		set: func(_ *reader, i *Interface, v any) { i.GainError = new(v.(Share)) }},
	{key: "offset_error", shape: leaf{between[Volts](voltages, "0 mV", "1 V").in("mV")}, doc: "limit of the error of its zero, either way; by default what trimmed says", example: "1 mV",
		set: func(_ *reader, i *Interface, v any) { i.OffsetError = new(v.(Volts)) }},
	{key: "nonlinearity", shape: leaf{number{0, 4096}}, doc: "limit of how far its CVs leave a straight line, in steps of the converter; by default 1, and 4 from 16 bits on", example: "2",
		set: func(_ *reader, i *Interface, v any) { i.Nonlinearity = new(v.(float64)) }},
	may("update", leaf{between[Duration](times, "0 ms", "1 s")}, "0 ms", func(i *Interface) *Duration { return &i.Update },
		"longest time until it gives a new CV, as where jacks share a converter", "1 ms"),
	may("settling", leaf{between[Duration](times, "0 ms", "1 s")}, "0 ms", func(i *Interface) *Duration { return &i.Settling },
		"time constant with which a CV goes to its new volts", "0.2 ms"),
	may("ports", whole(1, 128), "", func(i *Interface) *int { return &i.Ports },
		"MIDI ports: 2 by default, 4 with more than 32 CVs", "4"),
	may("row", rackRow, "", func(i *Interface) *int { return &i.Row },
		"row of the rack, from the top", "1"),
	may("hp", moduleHP, "", func(i *Interface) *int { return &i.HP },
		"width in the rack", "20"),
	may("ma", drawShape, "", func(i *Interface) *Currents { return &i.Current },
		"current it draws, in mA by rail", "{+12: 320, -12: 60}"),
}

// interfaceShape is an interface of a rig; its values are Interface.
var interfaceShape = object[Interface]{
	what: "an interface",
	fields: append([]field[Interface]{
		may("profile", profileIn("interfaces"), "", func(i *Interface) *string { return &i.Profile },
			"a built-in profile, or the path of a profile file; other fields override it", "cv16-gate16"),
	}, interfaceFields...),
	start:  interfaceProfiles.start,
	finish: finishInterface,
}

var interfaceProfiles = profileSet[Interface]{folder: "interfaces", file: object[Interface]{
	what: "the profile of an interface",
	fields: append([]field[Interface]{
		must("interface", leaf{text{"a name", 80}}, func(i *Interface) *string { return &i.Name },
			"name of the profile of an interface, the first key of its file", "cv8-gate8"),
	}, interfaceFields...),
}}

func finishInterface(r *reader, i *Interface, n node, at string) {
	switch {
	case i.Outputs > 0 && i.CV+i.Gates > 0:
		r.fault(n, at, complain("outputs is %d beside cv %d and gates %d, want either outputs, or cv and gates",
			i.Outputs, i.CV, i.Gates))
	case i.Outputs+i.CV+i.Gates == 0:
		r.fault(n, at, complain("the interface has no jacks").advise("name a profile, or write cv and gates"))
	}
	finishActive(r, &i.Gate, &i.Active, n, at)
	if i.Ports == 0 {
		i.Ports = 2
		if i.CV > 32 {
			i.Ports = 4
		}
	}
}

var sequencerFields = []field[Sequencer]{
	may("parts", whole(1, 64), "4", func(s *Sequencer) *int { return &s.Parts },
		"pitch and gate pairs", "2"),
	may("window", windowWord, "0 V to 5 V", func(s *Sequencer) *Window { return &s.Window },
		"CV range, from the lowest to the highest volts", "-5 V to 5 V"),
	may("zero_key", keyNumber, "36", func(s *Sequencer) *int { return &s.ZeroKey },
		"key at 0 V", "C1"),
	may("scale", scaleWord, "1 V/oct", func(s *Sequencer) *Scale { return &s.Scale },
		"how pitch becomes volts: volts per octave, or hertz per volt", "1 V/oct"),
	may("output_resistance", outputOhms, "100 ohm", func(s *Sequencer) *Ohms { return &s.OutputResistance },
		"resistance of a CV jack", "470 ohm"),
	may("gate", gateWord, "5 V", func(s *Sequencer) *Gate { return &s.Gate },
		"volts of a gate that is high, or S-trig, a short to ground", "8 V"),
	may("active", oneOf[Active](activeNames...), "", func(s *Sequencer) *Active { return &s.Active },
		"what a gate is while a key is down: high, low, or closed, a short to ground; by default high, closed with S-trig", "low"),
	may("trigger", triggerTime, "", func(s *Sequencer) *Duration { return &s.Trigger },
		"length of its gates, where they are triggers that do not last as long as the note", "10 ms"),
}

// sequencerShape is a sequencer of a rig; its values are Sequencer.
var sequencerShape = object[Sequencer]{
	what: "a sequencer",
	fields: append([]field[Sequencer]{
		may("profile", profileIn("sequencers"), "", func(s *Sequencer) *string { return &s.Profile },
			"a built-in profile, or the path of a profile file; other fields override it", "boxes/stage.yaml"),
	}, sequencerFields...),
	start:  sequencerProfiles.start,
	finish: func(r *reader, s *Sequencer, n node, at string) { finishActive(r, &s.Gate, &s.Active, n, at) },
}

var sequencerProfiles = profileSet[Sequencer]{folder: "sequencers", file: object[Sequencer]{
	what: "the profile of a sequencer",
	fields: append([]field[Sequencer]{
		must("sequencer", leaf{text{"a name", 80}}, func(s *Sequencer) *string { return &s.Name },
			"name of the profile of a sequencer, the first key of its file", "two-parts"),
	}, sequencerFields...),
}}

// bankDraft is a bank as it is written.
type bankDraft struct {
	Bank
	kind       spot[string]
	out, spare []spot[int]
	limited    []entry[int, alloc.KeyRange]
	lanes      []spot[string]
	colour     spot[Colour] // without a place where none is written
}

// bankShape is a bank; its values are bankDraft.
var bankShape = object[bankDraft]{what: "a bank", fields: []field[bankDraft]{
	must("voices", whole(1, 1024), func(b *bankDraft) *int { return &b.Size },
		"how many voices it has", "8"),
	may("kind", nameRef("a kind of voice"), defaultKind, func(b *bankDraft) *spot[string] { return &b.kind },
		"kind of its voices: one under voices, or a built-in one", "pulse-lowpass"),
	may("lanes", listOf[spot[string]]{
		of: nameRef("an input"), what: "inputs", max: 64, same: sameValue[string],
	}, "", func(b *bankDraft) *[]spot[string] { return &b.lanes },
		"inputs with one CV for the whole bank", "[cutoff]"),
	may("out", positions, "", func(b *bankDraft) *[]spot[int] { return &b.out },
		"positions of voices taken out of service", "[3]"),
	may("limited", dictOf[int, alloc.KeyRange]{integer{min: 1, max: 1024}, keySpan, "key ranges by position", 1024}, "",
		func(b *bankDraft) *[]entry[int, alloc.KeyRange] { return &b.limited },
		"keys that single voices track, by position", "{2: 40-76}"),
	may("spare", positions, "", func(b *bankDraft) *[]spot[int] { return &b.spare },
		"positions of voices that stand by", "[4]"),
	may("use_spare", yesOrNo, "false", func(b *bankDraft) *bool { return &b.UseSpare },
		"whether the first spare plays in place of the first voice that is out", "voices: 4\nout: [2]\nspare: [4]\nuse_spare: true"),
	may("shared", oneOf[Shared](sharedNames...), "none", func(b *bankDraft) *Shared { return &b.Shared },
		"what its voices have from one jack: their pitch, for one note at a time, or their gate, high until the last key is up", "pitch"),
	may("gates", oneOf[SharedGates](sharedGates...), "together", func(b *bankDraft) *SharedGates { return &b.Gates },
		"how the gates of voices on one pitch jack open: all with each note, or in turn", "in turn"),
	may("colour", locate[Colour]{oneOf[Colour](colourNames...)}, "", func(b *bankDraft) *spot[Colour] { return &b.colour },
		"colour of its cables; by default that of its place in the rig, brown for the first", "violet"),
	may("row", rackRow, "", func(b *bankDraft) *int { return &b.Row },
		"row of the rack, from the top", "2"),
	may("hp", moduleHP, "", func(b *bankDraft) *int { return &b.HP },
		"width in the rack", "88"),
	may("ma", drawShape, "", func(b *bankDraft) *Currents { return &b.Current },
		"current it draws, in mA by rail", "{+12: 380, -12: 345}"),
}, finish: func(r *reader, b *bankDraft, n node, at string) {
	if b.UseSpare && len(b.spare) == 0 {
		key, _ := lookup(n, "use_spare")
		r.fault(key, join(at, "use_spare"), complain("the bank has no spare to use").advise("write spare: [%d], or whichever stands by", b.Size))
	}
}}

// positions are places in a bank; its values are []spot[int].
var positions = listOf[spot[int]]{
	of: locate[int]{whole(1, 1024)}, what: "positions", max: 1024, same: sameValue[int],
}

func sameValue[T comparable](a, b spot[T]) bool { return a.value == b.value }

// gearShape is another module; its values are Gear.
var gearShape = object[Gear]{what: "a module", fields: []field[Gear]{
	{key: "does", shape: doesWord, doc: "what it does with voltages that wires lead into it", example: "buffered 4",
		set: func(_ *reader, g *Gear, v any) { g.Does, g.Outs = v.(doesWhat).does, v.(doesWhat).outs }},
	may("gain", leaf{number{0.001, 1}}, "1", func(g *Gear) *float64 { return &g.Gain },
		"of an attenuator: the share of the volts that it lets through, with nothing on its output", "gain: 0.5\ndoes: attenuator"),
	may("pot", leaf{between[Ohms](resistances, "1 kohm", "1 Mohm")}, "", func(g *Gear) *Ohms { return &g.Pot },
		"of an attenuator that is a pot without an amplifier: its resistance from end to end; what hangs on it takes more away", "pot: 100 kohm\ngain: 0.5\ndoes: attenuator"),
	may("volts", leaf{windowVolts}, "", func(g *Gear) *Volts { return &g.Volts },
		"of an offset: volts that it adds", "volts: 1 V\ndoes: offset"),
	may("pulse", triggerTime, "5 ms", func(g *Gear) *Duration { return &g.Pulse },
		"of a trigger: how long its gate is high, however long the key is down", "pulse: 10 ms\ndoes: trigger"),
	may("inputs", whole(0, 1024), "", func(g *Gear) *int { return &g.Inputs },
		"of a mixer: how many banks it takes, one by each submixer", "8"),
	may("row", rackRow, "", func(g *Gear) *int { return &g.Row },
		"row of the rack, from the top", "6"),
	may("hp", moduleHP, "", func(g *Gear) *int { return &g.HP },
		"width in the rack", "30"),
	may("ma", drawShape, "", func(g *Gear) *Currents { return &g.Current },
		"current it draws, in mA by rail", "{+12: 210, -12: 190}"),
}, finish: finishGear}

// supplyDraft is a supply as it is written.
type supplyDraft struct {
	rating Currents
	feeds  []spot[string]
}

// supplyShape is a supply; its values are supplyDraft.
var supplyShape = object[supplyDraft]{
	what: "a supply",
	fields: append(rails(between[Amperes](currents, "1 mA", "100 A"), "3 A", func(s *supplyDraft) *Currents { return &s.rating }),
		must("feeds", listOf[spot[string]]{
			of: nameRef("a bank, an interface or a module"), what: "names", max: 1024, same: sameValue[string],
		}, func(s *supplyDraft) *[]spot[string] { return &s.feeds },
			"banks, interfaces and modules that it feeds", "+12: 3 A\nfeeds: [K, main]"),
	),
	finish: func(r *reader, s *supplyDraft, n node, at string) {
		if len(s.rating) == 0 {
			r.fault(n, at, complain("the supply has no rail").advise("write +12: 3 A"))
		}
	},
}

// drawShape is what a module draws, in mA by rail; its values are Currents.
var drawShape = object[Currents]{
	what: "currents by rail",
	fields: rails(between[Amperes](currents, "0 mA", "100 A").orBare("mA"), "380",
		func(c *Currents) *Currents { return c }),
}

// rails are the fields of currents by rail.
func rails[T any](current quantity[Amperes], example string, to func(*T) *Currents) []field[T] {
	all := []struct {
		key  string
		rail Rail
	}{{"+12", 12}, {"-12", -12}, {"+5", 5}, {"+15", 15}, {"-15", -15}}
	var fields []field[T]
	for _, x := range all {
		fields = append(fields, field[T]{
			key: x.key, doc: "current on the rail of " + x.key + " V", example: example, shape: leaf{current},
			set: func(_ *reader, target *T, v any) {
				c := to(target)
				*c = append(*c, Current{x.rail, v.(Amperes)})
			},
		})
	}
	return fields
}
