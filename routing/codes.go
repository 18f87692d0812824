package routing

// Code names a kind of finding. Codes never change their meaning.
type Code string

// The codes; [Codes] explains them.
const (
	NotYetUsed        Code = "not-yet-used"
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

	UnisonImpossible Code = "unison-impossible"
	UnisonRemainder  Code = "unison-remainder"
	UnisonThinned    Code = "unison-thinned"
	MaySwap          Code = "may-swap"
	MayLock          Code = "may-lock"
	CommonThrob      Code = "common-throb"
	DetuneTooFine    Code = "detune-too-fine"
	PanCentred       Code = "pan-centred"
)

// CodeInfo explains a code.
type CodeInfo struct {
	Code     Code
	Severity Severity // its usual one
	Meaning  string
}

// Codes is the table of all findings there are.
func Codes() []CodeInfo {
	return []CodeInfo{
		{NotYetUsed, Warning, "the rig says something that the program does not use yet; a note where it cannot change what is worked out today"},
		{PartWithoutVoices, Error, "no voice in the banks of a part is in service, so all of its notes are dropped"},
		{FixedVoiceOut, Error, "a part gives a key to a voice that is out of service or a spare, so the key never sounds"},
		{FixedVoiceAway, Error, "a part gives a key to a voice outside of its banks"},
		{FixedKeyOutside, Error, "a part gives a key to a voice that does not track it"},
		{BankUnused, Warning, "no part plays on a bank"},
		{NoInterface, Note, "the rig has no interface, so every pitch counts as reachable"},

		{LaneDoesNotFit, Error, "lanes have no jack; the steps down that are named were tried, and each makes everything fit"},
		{NoChannel, Error, "a lane has a jack, but its interface has no port, channel or controller left to move it"},
		{JackHeldTwice, Error, "pins or wires put two lanes on one jack, or one lane on two"},
		{JackOfOtherKind, Error, "a pin or a wire puts a CV on a gate jack, or a gate on a CV"},
		{PinWithoutLane, Warning, "a pin holds an input that has no lane"},
		{PinnedApart, Warning, "pins or wires put the pitch and the gate of a voice on different interfaces"},
		{InputDrivenTwice, Warning, "two lanes drive one input, which needs an adder"},
		{MessageTwice, Warning, "a macro's controller moves another lane too"},
		{MacroWouldMove, Note, "another macro would fit, but only by moving lanes that are plugged in"},

		{UnisonImpossible, Error, "a part's unison cannot be played: its law gives no detunes, or it has fewer voices than one stack"},
		{UnisonRemainder, Warning, "a part's voices do not divide into stacks, and the rest is idle"},
		{UnisonThinned, Warning, "a stack has voices that are out, and plays thinned"},
		{MaySwap, Warning, "neighbours in a stack lie closer than twice their scatter, so that they may trade places"},
		{MayLock, Warning, "neighbours in a stack lie so close in one bank that their oscillators may lock"},
		{CommonThrob, Note, "the voices of a stack are evenly spaced, and throb as one"},
		{DetuneTooFine, Warning, "neighbours in a stack lie less than two steps of the converter apart"},
		{PanCentred, Note, "two voices on a note stay in the centre, since apart one would be flat left and one sharp right"},
	}
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
