package profiles

import (
	"strconv"

	"choirloft/alloc"
)

// The words of a rig file for what it chooses among; the grammar reads by the
// same lists that String writes by.

var (
	zoneNames     = []string{NoZone: "none", LowerZone: "mpe lower", UpperZone: "mpe upper"}
	modeNames     = []string{Poly: "poly", MonoLast: "mono last", MonoLow: "mono low", MonoHigh: "mono high"}
	reattackNames = []string{
		ReattackNone: "none", ReattackPress: "press", ReattackReturn: "return", ReattackBoth: "press and return",
	}
	lawNames = []string{
		LawUneven: "uneven", LawEven: "even", LawPower: "power", LawGolden: "golden", LawRandom: "random",
	}
	detuneNames    = []string{ByPosition: "position", ByVoice: "voice"}
	scalingNames   = []string{ScalingCents: "cents", ScalingHertz: "hertz", ScalingBetween: "between"}
	shortNames     = alloc.WhenShortNames()
	linkNames      = []string{USB: "usb", DIN: "din", Audio: "audio", USBHigh: "usb-high"}
	tuningNames    = []string{TuningByBend: "bend", TuningOwn: "own"}
	gateInputNames = []string{VTrig: "V-trig", STrig: "S-trig"}
	activeNames    = []string{High: "high", Low: "low", Closed: "closed"}
	pluggedNames   = []string{breaks: "breaks", sums: "sums"}
	groupNames     = []string{GroupNone: "none", GroupSums: "sums", GroupNormal: "normalled", GroupSwitched: "switched"}
	shapeNames     = []string{Saw: "saw", Sine: "sine", Triangle: "triangle", Square: "square"}
	colourNames    = []string{"brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white", "black"}
	sharedNames    = []string{SharedNone: "none", SharedPitch: "pitch", SharedGate: "gate"}
	sharedGates    = []string{Together: "together", InTurn: "in turn"}
	normalNames    = []string{NoNormal: "none", FullNormal: "full", HalfNormal: "half"}
	throughNames   = []string{Direct: "direct", Passive: "passive", Buffered: "buffered"}
	pitchWayNames  = []string{PitchGroup: "group", PitchMultiples: "multiples"}
	gateWayNames   = []string{GateMultiples: "multiples", GateOr: "or"}
	doesNames      = []string{DoesNothing: "nothing", DoesPassive: "passive", DoesBuffered: "buffered", DoesAdd: "adder", DoesAttenuate: "attenuator", DoesOffset: "offset", DoesInvertCV: "cv-inverter", DoesOr: "gate-or", DoesToShort: "to-s-trig", DoesFromShort: "from-s-trig", DoesInvert: "inverter", DoesTrigger: "trigger"}
	fedNames       = []string{FedBank: "bank", FedInterface: "interface", FedGear: "module"}
	// also the keys of what they measure
	measurableNames = []string{MeasuredRelease: "release", MeasuredDrift: "drift"}
	pathNames       = []string{PathMix: "mix", PathBank: "bank", PathAlone: "alone"}
	stateNames      = []string{alloc.In: "in", alloc.Out: "out", alloc.Limited: "limited", alloc.Spare: "spare", alloc.Joined: "joined"}
)

// word returns the name at a place, or what and a number beyond the list.
func word[T ~uint8](names []string, what string, v T) string {
	if int(v) < len(names) {
		return names[v]
	}
	return what + " " + strconv.Itoa(int(v))
}

// String is mpe lower, mpe upper or none; see [Part.Listens] for the members.
func (z Zone) String() string { return word(zoneNames, "zone", z) }

// String is the mode as a rig file writes it.
func (m Mode) String() string { return word(modeNames, "mode", m) }

// String is the re-attack as a rig file writes it.
func (r Reattack) String() string { return word(reattackNames, "reattack", r) }

// String is the law as a rig file writes it, without its exponent.
func (l Law) String() string { return word(lawNames, "law", l) }

// String is what the detune belongs to, as a rig file writes it.
func (d DetuneBy) String() string { return word(detuneNames, "detune", d) }

// String is the scaling as a rig file writes it.
func (s Scaling) String() string { return word(scalingNames, "scaling", s) }

// String is what a short unison does, as a rig file writes it.
func (w WhenShort) String() string { return word(shortNames, "when_short", w) }

// String is the link as a rig file writes it.
func (l Link) String() string { return word(linkNames, "link", l) }

// String is what kind of normal a wire is, as a rig file writes it.
func (n Normal) String() string { return word(normalNames, "normal", n) }

// String is who tunes, as a rig file writes it.
func (t Tuning) String() string { return word(tuningNames, "tuning", t) }

// String is what opens a gate input as a rig file writes it.
func (g GateInput) String() string { return word(gateInputNames, "gate_input", g) }

// String is the active of a gate as a rig file writes it.
func (a Active) String() string { return word(activeNames, "active", a) }

// String is what a plug does, as a rig file writes it.
func (p plugged) String() string { return word(pluggedNames, "plug", p) }

// String is the key of what is measured.
func (m Measurable) String() string { return word(measurableNames, "measured", m) }

// String is the kind of group jack as a rig file writes it.
func (g GroupPitch) String() string { return word(groupNames, "group_pitch", g) }

// String is the path as a rig file writes it.
func (p SoundPath) String() string { return word(pathNames, "path", p) }

// String is the colour as a rig file writes it.
func (c Colour) String() string { return word(colourNames, "colour", c) }

// String is what the voices of a bank share, as a rig file writes it.
func (s Shared) String() string { return word(sharedNames, "shared", s) }

// String is how the gates of voices on one pitch jack open, as a rig file writes it.
func (g SharedGates) String() string { return word(sharedGates, "gates", g) }

// String is the waveform as a rig file writes it.
func (s Shape) String() string { return word(shapeNames, "shape", s) }

// String is what a wire goes through as a rig file writes it, without outputs.
func (t Through) String() string { return word(throughNames, "through", t) }

// String is what a module does as a rig file writes it, without outputs.
func (d Does) String() string { return word(doesNames, "does", d) }

// String is bank, interface or module.
func (f FedKind) String() string { return word(fedNames, "fed", f) }

// String is C3 or C4.
func (m MiddleC) String() string { return "C" + strconv.Itoa(int(m)) }

// StateName is the standing of a voice in the words of a rig file: in, out,
// limited, spare, or joined with another from whose jack it has its pitch.
func StateName(s alloc.VoiceState) string { return word(stateNames, "state", s) }

// String is the way as a rig file writes it.
func (w PitchWay) String() string { return word(pitchWayNames, "pitches", w) }

// String is the way as a rig file writes it.
func (w GateWay) String() string { return word(gateWayNames, "gates", w) }
