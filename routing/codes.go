package routing

// Code names a kind of finding. Codes never change their meaning.
type Code string

// The codes; [Codes] explains them.
const (
	PartWithoutVoices Code = "part-without-voices"
	FixedVoiceOut     Code = "fixed-voice-out"
	FixedVoiceAway    Code = "fixed-voice-elsewhere"
	FixedKeyOutside   Code = "fixed-key-outside"
	BankUnused        Code = "bank-unused"
	NoInterface       Code = "no-interface"

	LaneDoesNotFit   Code = "lane-does-not-fit"
	NoChannel        Code = "no-channel"
	JackHeldTwice    Code = "jack-held-twice"
	JackOfOtherKind  Code = "jack-of-other-kind"
	PinWithoutLane   Code = "pin-without-lane"
	PinnedApart      Code = "pinned-apart"
	InputDrivenTwice Code = "input-driven-twice"
	MessageTwice     Code = "message-twice"
	MacroWouldMove   Code = "macro-would-move"

	PitchBent         Code = "pitch-bent"
	BuffersStray      Code = "buffers-stray"
	CorrectionClamped Code = "correction-clamped"
	MultipleFull      Code = "multiple-full"
	PitchShared       Code = "pitch-shared"
	GateShared        Code = "gate-shared"
	GateTooLow        Code = "gate-too-low"
	GateMargin        Code = "gate-margin"
	GatePolarity      Code = "gate-polarity"
	TriggerTooShort   Code = "trigger-too-short"
	ParkUnused        Code = "park-unused"
	CannotPark        Code = "cannot-park"
	NormalBroken      Code = "normal-broken"
	GroupSwitch       Code = "group-switch"

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
	TrackingBent       Code = "tracking-bent"
	TrackingLost       Code = "tracking-lost"
	CorrectionTooLarge Code = "correction-too-large"
	VoicesUnmeasured   Code = "voices-unmeasured"
	DriftUnmeasured    Code = "drift-unmeasured"
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
		{PartWithoutVoices, Error, "no voice in the banks of a part is in service, so all of its notes are dropped",
			"give the part a bank with a voice in service, or take a voice off out"},
		{FixedVoiceOut, Error, "a part gives a key to a voice that is out of service or a spare, so the key never sounds",
			"give the key to a voice in service, or repair that one"},
		{FixedVoiceAway, Error, "a part gives a key to a voice outside of its banks",
			"give the key to a voice of the part's banks, or the part that bank"},
		{FixedKeyOutside, Error, "a part gives a key to a voice that does not track it",
			"give the key to a voice that tracks it"},
		{BankUnused, Warning, "no part plays on a bank",
			"name the bank under a part, or leave it unplugged"},
		{NoInterface, Note, "the rig has no interface, so every pitch counts as reachable",
			"name the interface under interfaces: its window and jacks are then checked"},

		{LaneDoesNotFit, Error, "lanes have no jack; the steps down that are named were tried, and each makes everything fit",
			"take one of the steps down, or add an interface"},
		{NoChannel, Error, "a lane has a jack, but its interface has no port, channel or controller left to move it",
			"raise the interface's ports, or name a port that it has"},
		{JackHeldTwice, Error, "pins or wires put two lanes on one jack, or one lane on two",
			"pin or wire one of the two elsewhere; one output may feed several inputs, under wiring"},
		{JackOfOtherKind, Error, "a pin or a wire puts a CV on a gate jack, or a gate on a CV",
			"pin pitches to CV jacks and gates to gate jacks"},
		{PinWithoutLane, Warning, "a pin holds an input that has no lane",
			"add the input to the voice's inputs or the bank's lanes, or take the pin away"},
		{PinnedApart, Warning, "pins or wires put the pitch and the gate of a voice on different interfaces",
			"pin both to one interface, since a voice has one channel"},
		{InputDrivenTwice, Error, "two lanes drive one input, which needs an adder; a warning only where one of them goes to the voice and the other to its bank's common jack",
			"take one lane away, or put an adder between: outputs are never joined"},
		{MessageTwice, Warning, "a macro's controller moves another lane too",
			"move the macro by another controller, or on another channel"},
		{MacroWouldMove, Note, "another macro would fit, but only by moving lanes that are plugged in",
			"before adding a macro, pin what must stay where it is"},

		{PitchBent, Warning, "more, or fewer, inputs hang on an output than when it was calibrated, so that pitch is off by more than 3 cents at the end of the window",
			"calibrate with all plugged in, and say so (calibrated_with), or go through a buffered multiple; with the resistor inside the loop output_resistance is 0 ohm"},
		{BuffersStray, Note, "buffered multiples may move a pitch by more than 3 cents at the end of the window, if each is off by 0.1 % and 1 mV",
			"take multiples made for pitch, with as few in a row as there can be, and calibrate each voice through its own"},
		{CorrectionClamped, Warning, "the volts that a correction asks for lie outside of the interface's window by more than 3 cents",
			"trim the voice nearer to its scale, or keep to keys inside"},
		{PitchShared, Warning, "voices that a part plays one by one hang on one pitch jack, so that all have the pitch of the latest note",
			"give each a jack of its own, or play them as one stack of a unison"},
		{GateShared, Warning, "voices that a part plays one by one hang on one gate jack, so that all sound with each note",
			"give each a jack of its own, or play them as one stack of a unison"},
		{MultipleFull, Error, "more inputs hang on a buffered multiple than it has outputs",
			"put a further multiple behind one of its outputs"},
		{GateTooLow, Error, "a gate does not reach the threshold of an input, so the voice stays silent",
			"raise the gate, feed fewer inputs from one jack, or put a buffered multiple between"},
		{GateMargin, Warning, "a gate passes the threshold of an input by less than 20 %, so it may fail when it is warm",
			"raise the gate, feed fewer inputs from one jack, or put a buffered multiple between"},
		{GatePolarity, Error, "an interface gives gates as a short to ground (S-trig) where a voice wants volts, or the other way round",
			"put a converter between (to S-trig: open collector), or change the interface's gate if it can"},
		{TriggerTooShort, Warning, "an interface gives triggers, which are too short to hold the envelope of a voice",
			"set it to gates that last as long as the note"},
		{ParkUnused, Note, "a common pitch jack adds to the voices' own pitch: whichever does not play must rest at 0 V",
			"send 0 V there before the other one plays, not what was last played"},
		{CannotPark, Warning, "a common pitch jack adds to the voices' own pitch, and its interface cannot give the 0 V at which it must rest",
			"pull its plug while the voices play by themselves, or take a window with 0 V in it"},
		{NormalBroken, Warning, "a plug in a voice's own pitch jack breaks the normal from the common one, which then does not reach it",
			"pull the plugs of the own jacks, or leave the common one empty"},
		{GroupSwitch, Note, "a switch decides whether the common pitch jack or the voices' own are heard",
			"write the place of the switch beside the map"},

		{SupplyOverloaded, Error, "more is drawn from a rail than its supply is rated for",
			"take the split that is named, or a larger supply; this is bookkeeping, not approval"},
		{SupplyTight, Warning, "more than 75 % of its rating is drawn from a rail of a supply",
			"take the split that is named, or a larger supply; this is bookkeeping, not approval"},
		{RailMissing, Error, "current is drawn from a rail that the supply does not have",
			"feed what wants it from another supply, or write the rating of the rail"},
		{DrawUnknown, Note, "a supply feeds something that does not say what it draws, which counts as nothing",
			"write ma from the maker's sheet, or measure it"},
		{NotFed, Warning, "something draws current and hangs on no supply",
			"name it under the feeds of a supply"},
		{RowTooWide, Error, "the modules of a row are wider than the rack",
			"put one of them into another row, or correct its hp"},
		{LinkLate, Warning, "a 5-pin link is so busy in a song that a note is late by more than 10 ms",
			"feed the interface by USB if it can, spread the voices over more ports, or write less that moves at once: bends before all"},

		{OutOfReach, Warning, "notes of a part lie outside of the window of its voices, bend and detune included",
			"transpose the part by the octaves that are named, or give it voices with another zero key"},
		{ZeroKeyOff, Warning, "a song leaves the window of an interface, and fits it with another zero key",
			"take the zero_key that is named, and tune the voices to it"},
		{WindowTooNarrow, Warning, "a song plays more keys than the window of an interface reaches",
			"give the part that is named voices with a zero key of its own, or take a wider window"},
		{MayClip, Warning, "voices that sound together reach the clip of a mixer: at four sigma, or at their peaks where they are in step",
			"take the gain that is named: one never clips, the other only past four sigma"},

		{UnisonImpossible, Error, "a part's unison cannot be played: its law gives no detunes, or it has fewer voices than one stack",
			"take fewer voices on a note, more banks, or the law that is named"},
		{UnisonRemainder, Warning, "a part's voices do not divide into stacks, and the rest is idle",
			"take a unison that divides the part's voices, or when_short: thin"},
		{UnisonThinned, Warning, "a stack has voices that are out, and plays thinned",
			"let a spare stand in (use_spare), or repair the voice"},
		{MaySwap, Warning, "neighbours in a stack lie closer than twice their scatter, so that they may trade places",
			"take more spread or fewer voices; measure drift, for 2 cents are assumed"},
		{MayLock, Warning, "neighbours in a stack lie so close in one bank that their oscillators may lock",
			"take more spread, or stacks across banks"},
		{CommonThrob, Note, "the voices of a stack are evenly spaced, and throb as one",
			"law: uneven has no common throb; if the throb is wanted, nothing"},
		{DetuneTooFine, Warning, "neighbours in a stack lie less than two steps of the converter apart",
			"take more spread, or an interface with a narrower window or more bits"},
		{PanCentred, Note, "two voices on a note stay in the centre, since apart one would be flat left and one sharp right",
			"take three voices for width, or pan: 0 %"},

		{TunedApart, Warning, "a voice stands apart from its bank: its modified z-score is above 3.5",
			"turn the trimmers that are named, then measure it again"},
		{TunedUndetermined, Note, "whether a voice stands apart cannot be told: a bank has fewer than three readable voices, or most are exactly alike",
			"measure more voices of the bank"},
		{ReadingsTooFew, Warning, "a voice was read at fewer than three different volts on any one day, which makes no fit",
			"read it at three keys at least, two octaves or more from lowest to highest"},
		{ReadingDoubtful, Warning, "a reading is more than half an octave off the others of its voice",
			"look whether the key, the octave or the hertz were written down wrongly"},
		{TrackingBent, Note, "the pitch of a voice does not follow one line within 3 cents, so its correction has points",
			"if it falls away at the top, turn up the trimmer for the highest keys, where there is one"},
		{TrackingLost, Warning, "the pitch of a voice does not rise with the volts",
			"look at the patch: is this cable in that voice? Then at the voice"},
		{CorrectionTooLarge, Warning, "a correction would be larger than a rig takes: 1 V, or a scale of 0.5 to 2",
			"set the voice's octave switch and trimmers first, then measure it again"},
		{VoicesUnmeasured, Note, "voices have no readings, so that what is said of them stays assumed",
			"measure them too"},
		{DriftUnmeasured, Note, "voices were measured on one day, which tells what a correction leaves, and nothing of drift",
			"measure them again on another day, and give both dates"},
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
	case PartWithoutVoices, FixedVoiceOut, FixedVoiceAway, FixedKeyOutside, BankUnused, NoInterface,
		LaneDoesNotFit, UnisonImpossible, UnisonRemainder, UnisonThinned, GateTooLow, GatePolarity:
		return true
	}
	return false
}

// New returns a finding with the usual severity of its code.
func New(code Code, where, text string) Finding {
	for _, c := range Codes() {
		if c.Code == code {
			return Finding{Code: code, Severity: c.Severity, Where: where, Text: text}
		}
	}
	panic("bug: no finding " + string(code))
}
