package routing

import "slices"

// Code names a kind of finding. Codes never change their meaning.
type Code string

// The codes; [Codes] explains them.
const (
	PartWithoutVoices Code = "part-without-voices"
	PartKeptOut       Code = "part-kept-out"
	FixedVoiceOut     Code = "fixed-voice-out"
	FixedVoiceAway    Code = "fixed-voice-elsewhere"
	FixedKeyOutside   Code = "fixed-key-outside"
	BankUnused        Code = "bank-unused"
	NoInterface       Code = "no-interface"
	BankReadsAsKey    Code = "bank-reads-as-key"
	NameReadsAsOther  Code = "name-reads-as-other"
	LettersLacking    Code = "letters-lacking"
	PartUnreached     Code = "part-unreached"
	KeysUnplayed      Code = "keys-unplayed"
	KeysOverlap       Code = "keys-overlap"
	SetUpEmpty        Code = "set-up-empty"

	LaneDoesNotFit   Code = "lane-does-not-fit"
	NoChannel        Code = "no-channel"
	JackHeldTwice    Code = "jack-held-twice"
	JackOfOtherKind  Code = "jack-of-other-kind"
	PinWithoutLane   Code = "pin-without-lane"
	PinnedApart      Code = "pinned-apart"
	InputDrivenTwice Code = "input-driven-twice"
	MessageTwice     Code = "message-twice"
	MacroWouldMove   Code = "macro-would-move"

	PitchBent           Code = "pitch-bent"
	BuffersStray        Code = "buffers-stray"
	CorrectionClamped   Code = "correction-clamped"
	MultipleFull        Code = "multiple-full"
	PitchShared         Code = "pitch-shared"
	JackOfVoiceOut      Code = "jack-of-voice-out"
	GateShared          Code = "gate-shared"
	GatesInTurn         Code = "gates-in-turn"
	GateTooLow          Code = "gate-too-low"
	GateMargin          Code = "gate-margin"
	GatePolarity        Code = "gate-polarity"
	TriggerTooShort     Code = "trigger-too-short"
	TriggerOpensNothing Code = "trigger-opens-nothing"
	TriggerNotReckoned  Code = "trigger-not-reckoned"
	ParkUnused          Code = "park-unused"
	CannotPark          Code = "cannot-park"
	NormalBroken        Code = "normal-broken"
	GroupSwitch         Code = "group-switch"
	NormalAdds          Code = "normal-adds"
	NormalOpen          Code = "normal-open"
	PitchScaled         Code = "pitch-through-module"
	CVSettlesLate       Code = "cv-settles-late"

	SupplyOverloaded Code = "supply-overloaded"
	SupplyTight      Code = "supply-tight"
	RailMissing      Code = "rail-missing"
	DrawUnknown      Code = "draw-unknown"
	NotFed           Code = "not-fed"
	RowTooWide       Code = "row-too-wide"
	LinkLate         Code = "link-late"

	OutOfReach      Code = "out-of-reach"
	ZeroKeyOff      Code = "zero-key-off"
	WindowTooNarrow Code = "window-too-narrow"
	MayClip         Code = "may-clip"

	UnisonImpossible Code = "unison-impossible"
	UnisonRemainder  Code = "unison-remainder"
	UnisonThinned    Code = "unison-thinned"
	MaySwap          Code = "may-swap"
	MayLock          Code = "may-lock"
	CommonThrob      Code = "common-throb"
	DetuneTooFine    Code = "detune-too-fine"
	PanCentred       Code = "pan-centred"

	TunedApart         Code = "tuned-apart"
	TunedUndetermined  Code = "tuned-undetermined"
	ReadingsTooFew     Code = "readings-too-few"
	ReadingDoubtful    Code = "reading-doubtful"
	ReadingsThrough    Code = "readings-through"
	TrackingBent       Code = "tracking-bent"
	TrackingLost       Code = "tracking-lost"
	CorrectionTooLarge Code = "correction-too-large"
	VoicesUnmeasured   Code = "voices-unmeasured"
	DriftUnmeasured    Code = "drift-unmeasured"
	MovedApart         Code = "moved-apart"
	PitchUnwritten     Code = "pitch-unwritten"

	VoiceLate    Code = "voice-late"
	GateTooShort Code = "gate-too-short"
)

// CodeInfo explains a code.
type CodeInfo struct {
	Code     Code
	Severity Severity // its usual one
	Meaning  string
	WayOut   string // what can be done about it
}

// Codes is the table of all findings there are.
func Codes() []CodeInfo {
	return []CodeInfo{
		{PartWithoutVoices, Error, "no voice in a part's banks is in service, so all its notes are dropped",
			"give the part a bank with a voice in service, or take a voice off the out list"},
		{PartKeptOut, Warning, "other parts keep every voice that a part may use, so its notes are dropped while these parts rest",
			"lower a reserve, give the part a bank more, or keep a voice for it too"},
		{FixedVoiceOut, Error, "a part gives a key to a voice that is out of service or a spare, so the key never sounds",
			"give the key to a voice in service, or repair that one"},
		{FixedVoiceAway, Error, "a part gives a key to a voice outside its banks",
			"give the key to a voice in the part's banks, or give the part that bank"},
		{FixedKeyOutside, Error, "a part gives a key to a voice that does not track it",
			"give the key to a voice that tracks it"},
		{BankUnused, Warning, "no part plays on a bank",
			"name the bank under a part, or leave it unplugged"},
		{BankReadsAsKey, Note, "a bank is called A to H, so its voices read as keys: C2 is a voice then, and a key",
			"rename the bank, say K, L, M, N or P, here and on its labels"},
		{NameReadsAsOther, Note, "a macro, part, interface or sequencer has the name of a key or a voice",
			"call it by what it does or where it stands"},
		{LettersLacking, Warning, "names have letters that the font of sheets and pictures lacks, so no PDF and no PNG is written",
			"use other letters, or write .html, .svg, .md or .txt, which take them from your system"},
		{PartUnreached, Warning, "no voice in a part's banks tracks any of its keys, so no note of it can sound",
			"give the part keys that its voices track, or other banks; its transpose counts"},
		{KeysUnplayed, Note, "parts that listen to one channel leave a gap between their keys, and the keys in it stay silent",
			"let the keys of the parts meet; if you want the gap, do nothing"},
		{KeysOverlap, Note, "parts that listen to one channel share some of their keys, which then play on each of them",
			"let the keys of the parts meet; if you want the layer, do nothing: parts with the same keys are not noted"},
		{SetUpEmpty, Note, "a set-up plays no voice",
			"say under parts which bank each part of the sequencer plays, or choose an interface that has voices"},
		{NoInterface, Note, "the rig has no interface, so every pitch counts as in range",
			"name the interface under interfaces: its CV range and jacks are then checked"},

		{LaneDoesNotFit, Error, "controls or voices have no jack; each reduction that is named was tried, and makes everything fit",
			"choose one of the reductions, or add an interface"},
		{NoChannel, Error, "a control has a jack, but its interface has no port, channel or controller left to move it",
			"raise the interface's ports, or name a port that it has"},
		{JackHeldTwice, Error, "pins or wires put two controls on one jack, or one control on two",
			"pin or wire one of the two elsewhere; one output may feed several inputs, under wiring"},
		{JackOfOtherKind, Error, "a pin or a wire puts a CV on a gate jack, or a gate on a CV jack",
			"pin pitches to CV jacks and gates to gate jacks"},
		{PinWithoutLane, Warning, "a pin names an input that nothing drives",
			"add it to inputs: or lanes: of the rig, or remove the pin"},
		{PinnedApart, Warning, "pins or wires put the pitch and the gate of a voice on different interfaces",
			"pin both to one interface: a voice has one channel"},
		{InputDrivenTwice, Error, "two CVs drive one input, which needs an adder; a voice's own CV beside its bank's common pitch jack is only a warning",
			"remove one CV, or put an adder between: outputs are never joined"},
		{MessageTwice, Warning, "a macro's controller also moves something else",
			"move the macro by another controller, or on another channel"},
		{MacroWouldMove, Note, "another macro would fit, but only if plugged cables move",
			"before you add a macro, pin what must stay where it is"},

		{PitchBent, Warning, "an output feeds more or fewer inputs than when it was calibrated: pitch is over 3 cents off at the end of the CV range",
			"calibrate with all plugged in and say so (calibrated_with), or use a buffered multiple. With the resistor inside the loop, output_resistance is 0 ohm"},
		{BuffersStray, Note, "buffered multiples may move a pitch by over 3 cents at the end of the range, if each is off by 0.1 % and 1 mV",
			"use multiples made for pitch, as few in a row as you can, and calibrate each voice through its own"},
		{CorrectionClamped, Warning, "a correction needs volts more than 3 cents beyond the interface's CV range",
			"trim the voice closer to its scale, or keep to keys inside the range"},
		{PitchShared, Error, "voices that share a pitch jack play one note at a time, and a part or two ask for more",
			"give each its own jack, make the part mono, or play them as one stack of a unison"},
		{GatesInTurn, Error, "voices on one pitch jack are to open in turn, but one note moves their pitch and a gate",
			"let their gates open together, or drive them by CVs"},
		{GateShared, Error, "voices that play different notes share a gate jack, so all sound with each note; with shared: gate by MIDI only the first is heard",
			"give each its own jack, play them as one stack of a unison, or drive a bank with shared: gate by CVs (link: audio)"},
		{JackOfVoiceOut, Error, "a voice has its pitch or its gate from the jack of a voice that is out of service, so nothing plays it",
			"put that voice into service, or wire both from jacks of its own"},
		{MultipleFull, Error, "a multiple feeds more inputs than it has outputs",
			"add another multiple behind one of its outputs"},
		{GateTooLow, Error, "a gate does not reach an input's threshold, so the voice stays silent",
			"raise the gate, feed fewer inputs from the jack, or use a buffered multiple"},
		{GateMargin, Warning, "a gate passes an input's threshold by less than 20 %, so it may fail when it is warm",
			"raise the gate, feed fewer inputs from the jack, or use a buffered multiple"},
		{GatePolarity, Error, "gates as a short to ground (S-trig) where a voice wants volts, or the reverse: it sounds while no key is down, always or never",
			"put a converter between (to S-trig: open collector), or change the interface's gate if it can"},
		{TriggerTooShort, Warning, "an interface or a module gives triggers, which are too short to hold a voice's envelope: the note ends with them",
			"use gates that last as long as the note, or voices without sustain"},
		{TriggerOpensNothing, Warning, "a trigger is shorter than the shortest gate that opens a voice, so the voice may stay silent",
			"make the trigger longer, or measure which gate opens the voice"},
		{TriggerNotReckoned, Warning, "a part plays on voices with triggers and without: its notes count as long as their keys are down",
			"give the voices with triggers a part of their own"},
		{ParkUnused, Note, "a common pitch jack adds to each voice's own pitch: whichever is idle must rest at 0 V",
			"send 0 V to the idle one before the other plays, not its last note"},
		{CannotPark, Warning, "a common pitch jack adds to each voice's own pitch, and its interface cannot send 0 V to rest it",
			"pull its plug while the voices play by themselves, or choose a range that includes 0 V"},
		{NormalBroken, Warning, "a plug in a voice's own pitch jack breaks the normal, so the common pitch jack does not reach it",
			"pull the plugs of the voices' own jacks, or leave the common pitch jack empty"},
		{NormalAdds, Warning, "a pitch input has a normal in volts that adds to what is plugged in, so every key sounds higher or lower than asked",
			"turn it down, or tune the voices with it in, then take it out of the rig; or write plug: breaks"},
		{PitchScaled, Warning, "a pitch goes through an attenuator, an offset or an inverter, so that keys sound at another pitch than asked",
			"plug the pitch in straight, or tune the voices through it if a correction reaches that far"},
		{CVSettlesLate, Warning, "in files of CVs a gate opens before its pitch is within 3 cents: update and settling take longer than the lead",
			"set the lead that is named, under timing"},
		{NormalOpen, Note, "a plug opens a wire behind the panels, so that its signal does not get through",
			"if it should, pull the plug; else take the wire out of the rig"},
		{GroupSwitch, Note, "a switch chooses between the common pitch jack and the voices' own",
			"write the switch position beside the map"},

		{SupplyOverloaded, Error, "modules draw more from a rail than its supply is rated for",
			"use the split given, or a larger supply; this is bookkeeping, not approval"},
		{SupplyTight, Warning, "modules draw over 75 % of a rail's rating",
			"use the split given, or a larger supply; this is bookkeeping, not approval"},
		{RailMissing, Error, "modules draw current from a rail that the supply does not have",
			"feed them from another supply, or write the rail's rating"},
		{DrawUnknown, Note, "a supply feeds something with no current given, so it counts as zero",
			"write ma from the maker's sheet, or measure it"},
		{NotFed, Warning, "something draws current and no supply feeds it",
			"name it under the feeds of a supply"},
		{RowTooWide, Error, "the modules of a row are wider than the rack",
			"move one to another row, or correct its hp"},
		{LinkLate, Warning, "a MIDI connection is so busy in a song that a note is over 10 ms late",
			"feed the interface by USB if it can, spread the voices over more ports or interfaces, or send fewer bends and controllers at once"},

		{OutOfReach, Warning, "notes of a part are out of the CV range of its voices, bend and detune included",
			"transpose the part by the octaves that are named, or give it voices with another key at 0 V"},
		{ZeroKeyOff, Warning, "a song leaves the CV range of an interface, and fits it with another key at 0 V",
			"set the zero_key that is named, and tune the voices to it"},
		{WindowTooNarrow, Warning, "a song plays more keys than the CV range of an interface covers",
			"give the part that is named voices with their own zero_key, or choose a wider range"},
		{MayClip, Warning, "voices that sound together pass a mixer's clip for over 0.01 % of the time, or at their peaks where they are in step",
			"set the gain that is named: one never clips, the other 0.01 % of the time"},

		{UnisonImpossible, Error, "a part's unison cannot play: its pattern gives no detunes, or it has fewer voices than one stack",
			"choose fewer voices a note, more banks, or the pattern that is named"},
		{UnisonRemainder, Warning, "a part's voices do not divide into stacks, so the rest stay idle",
			"choose a unison that divides the part's voices, or when_short: thin"},
		{UnisonThinned, Warning, "a stack has voices that are out, and plays thinned",
			"let a spare stand in (use_spare), or repair the voice"},
		{MaySwap, Warning, "neighbours in a stack lie closer than twice their tuning error, so they may trade places",
			"choose more spread or fewer voices; measure drift, for 2 cents are assumed"},
		{MayLock, Warning, "neighbours in a stack lie so close in one bank that their oscillators may lock",
			"choose more spread, or stacks across banks"},
		{CommonThrob, Note, "the voices of a stack beat together: within 30 s of a note all are in step again, to within 1 dB",
			"law: uneven or golden may put it off; if you want it, do nothing"},
		{DetuneTooFine, Warning, "neighbours in a stack lie less than two steps of the converter apart",
			"choose more spread, or an interface with a narrower CV range or more bits"},
		{PanCentred, Note, "two voices on a note stay in the centre: apart, one would be flat left and one sharp right",
			"choose three voices for width, or pan: 0 %"},

		{TunedApart, Warning, "a voice stands apart from its bank, by more than 3.5 times the usual spread (its modified z-score)",
			"turn the trimmers listed, then measure it again"},
		{TunedUndetermined, Note, "nothing tells whether a voice stands apart: a bank has fewer than three readable voices, or most are exactly alike",
			"measure more voices of the bank"},
		{ReadingsTooFew, Warning, "a voice was read at fewer than three different volts on any one day, too few for a fit",
			"read it at three keys at least, two octaves or more from lowest to highest"},
		{ReadingDoubtful, Warning, "a reading is more than half an octave off the others of its voice",
			"check the key, the octave and the hertz that you wrote down"},
		{ReadingsThrough, Warning, "voices have corrections in the rig, and nothing says whether their readings went through them; nothing is written for them",
			"write through: corrections or through: nothing at the head of the readings (after a # in CSV), or give --through"},
		{TrackingBent, Note, "a voice's pitch does not follow one line within 3 cents: its correction has points; read at fewer than five voltages, it has wide limits",
			"if it falls away at the top, turn up the trimmer for the highest keys, where there is one"},
		{TrackingLost, Warning, "a voice's pitch moves by less than 10 % of what its volts ask for",
			"check the patch: is this cable in that voice? Then check the voice"},
		{CorrectionTooLarge, Warning, "a correction would be larger than a rig allows: 1 V, or a scale of 0.5 to 2",
			"set the voice's octave switch and trimmers first, then measure it again"},
		{VoicesUnmeasured, Note, "voices have no readings, so what is said of them stays assumed",
			"measure them too"},
		{DriftUnmeasured, Note, "voices were measured on one day only, which tells nothing of drift",
			"measure them again on another day, and give both dates"},
		{PitchUnwritten, Warning, "a take measured voices and wrote no pitch of them, usually because their trimmers need turning; none was written since",
			"turn the trimmers that tune names, then record the take again, or give --instead-of-trimming"},
		{MovedApart, Warning, "a voice's pitch moved further between two days than drift explains, as if a trimmer was turned",
			"if one was turned, name the voice with --turned; if not, look for what heats or loads it"},
		{VoiceLate, Note, "voices were measured to answer 5 ms or more behind the quickest one",
			"write starts them early; live cannot, so keep them for slow parts there"},
		{GateTooShort, Warning, "gates may be shorter than the shortest that opens a voice, so short notes stay silent on it",
			"raise min_gate under timing, or leave it out: what was measured then counts"},
	}
}

// Explain returns what a code means; ok is false if there is none of that name.
func Explain(code string) (info CodeInfo, ok bool) {
	for _, c := range Codes() {
		if string(c.Code) == code {
			return c, true
		}
	}
	return CodeInfo{}, false
}

// BearsOnNotes tells whether what the code says may change which notes a
// replay loses. The other codes are about jacks, messages and tuning.
func (c Code) BearsOnNotes() bool {
	switch c {
	case PartWithoutVoices, PartKeptOut, PartUnreached, FixedVoiceOut, FixedVoiceAway, FixedKeyOutside, BankUnused, NoInterface,
		LaneDoesNotFit, UnisonImpossible, UnisonRemainder, UnisonThinned, GateTooLow, GatePolarity:
		return true
	}
	return false
}

// New returns a finding with the usual severity of its code, in the words that
// the table of wordings has for its facts.
func New(code Code, where string, facts ...Fact) Finding {
	for _, c := range Codes() {
		if c.Code == code {
			return Finding{Code: code, Severity: c.Severity, Where: where}.With(facts...)
		}
	}
	panic("bug: no finding " + string(code))
}

// With returns the finding with further facts, worded anew.
func (f Finding) With(facts ...Fact) Finding {
	f.Facts = slices.Concat(f.Facts, facts)
	for i := range facts {
		f.Assumed = f.Assumed || facts[i].Assumed
		if facts[i].main {
			value := facts[i].count()
			f.Value, f.Unit = &value, facts[i].Unit
		}
	}
	w := wordings[f.Code]
	var ok bool
	if f.Text, ok = words(w.text, f.Facts); !ok {
		panic("bug: " + string(f.Code) + " lacks facts: " + w.text)
	}
	f.Hint, _ = words(w.hint, f.Facts)
	return f
}
