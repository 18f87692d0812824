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
