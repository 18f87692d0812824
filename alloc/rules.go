package alloc

// RuleKind is what can be chosen among rules.
type RuleKind struct {
	Key   string // as a rig file names it
	About string // what the rules decide, and what holds for all of them
	Rules []RuleInfo
}

// RuleInfo says in a sentence what a rule does.
type RuleInfo struct{ Name, About string }

// Rules lists the rules of a part by kind. The first of each kind is what a part
// has unless its rig file says otherwise.
func Rules() []RuleKind {
	return []RuleKind{
		kind("pick", "Which voice a note gets where it need not steal one.", pickNames[:], pickAbout[:]),
		kind("steal", "Which note loses its voice where none is free. Tails go first, the quietest before all; then sustained notes, then held ones.",
			stealNames[:], stealAbout[:]),
		kind("same_key", "What a key does that is played again while it sounds.", sameKeyNames[:], sameKeyAbout[:]),
		kind("when_short", "What a unison does where it has too few voices.", whenShortNames[:], whenShortAbout[:]),
		kind("tails", "Whether the rule can tell a silent voice from a fading one.", tailsNames[:], tailsAbout[:]),
	}
}

func kind(key, about string, names, abouts []string) RuleKind {
	k := RuleKind{Key: key, About: about}
	for i, name := range names {
		k.Rules = append(k.Rules, RuleInfo{name, abouts[i]})
	}
	return k
}

var pickAbout = [len(pickNames)]string{
	PickLongestIdle:      "the voice whose gate went low first; one never used goes before all",
	PickLowest:           "the lowest-numbered voice",
	PickRoundRobin:       "the first free voice after the last one used, round and round",
	PickStrictRoundRobin: "the next voice, whatever it does; if it sounds, it is stolen",
	PickSameKey:          "the voice that last played this key, even if its tail sounds; else by a second rule",
	PickBankSpread:       "emptiest bank first: the lowest voice of the bank with the fewest voices busy",
	PickBankFill:         "fullest bank first: the lowest voice of the bank with the most voices busy",
	PickNearest:          "the voice with the smallest jump from its last key; one never used goes last",
	PickRandom:           "any of them, by a seeded generator (PCG)",
	PickFixed:            "the voice that a map names for the key, and no other",
}

var stealAbout = [len(stealNames)]string{
	StealProtectOuter: "the oldest note, but the lowest and the highest key last",
	StealOldest:       "the note attacked first",
	StealNewest:       "the note attacked last",
	StealLowest:       "the lowest key",
	StealHighest:      "the highest key",
	StealQuietest:     "the note with the least level times velocity",
	StealSoftest:      "the note with the least velocity",
	StealNone:         "steal only tails; else the new note is dropped",
	StealHardNone:     "never steal, not even a tail; the new note is dropped",
	StealFewestCuts:   "the note that would end last, the new one included: fewest notes cut or dropped (looks ahead)",
	StealLeastLost:    "the note that would end first, the new one included: least time lost (looks ahead)",
	StealLeastAudible: "the note that you would miss least over the whole song, the new one included (looks ahead)",
}

var sameKeyAbout = [len(sameKeyNames)]string{
	RetriggerCounted:  "the same voice attacks again and ends at the last note-off",
	RetriggerFirstOff: "the same voice attacks again and ends at the first note-off",
	StackFIFO:         "one more voice; each note-off ends the oldest",
	StackLIFO:         "one more voice; each note-off ends the newest",
}

var whenShortAbout = [len(whenShortNames)]string{
	Blocks:  "fixed groups of voices play whole; a remainder stays idle",
	Thin:    "the note plays on as many voices as are free; if none is, on those of one note",
	Wait:    "the note begins late, once all its voices are free; it is dropped if its key goes up first",
	Elastic: "all notes share all voices; the oldest get what is left over",
}

var (
	tailsNames = [...]string{"known", "unknown"}
	tailsAbout = [len(tailsNames)]string{
		"hears tails: a voice is free once its tail has faded; until then it can only be stolen",
		"deaf to tails: a voice is free as soon as its gate is low, however loud its tail",
	}
)

// Readings says, one sentence or two each, how the rules are meant where their
// words leave a choice.
func Readings() []string {
	return []string{
		"strict-round-robin with none asks the next voice. If that sounds, the note is dropped, though others are free. A tail there is stolen.",
		"fewest-cuts, least-lost and least-audible first give up a note that ends at this very instant, because its key is played again. " +
			"Nothing is lost with it. Of several, the one on the lowest voice goes.",
		"quietest never weighs a free voice against a tail. A rule that hears tails picks free voices first, and of tails alone the quietest goes. " +
			"A rule that is deaf to them lets pick choose among both. Then quietest is asked only where every gate is high.",
		"same-key picks, of several voices that last played the key, the one attacked last, whichever ended last.",
		"A tail is cut by its own note if the new note has the same key in the same part, on whatever channel.",
		"A note whose key is played again at the very instant is retriggered, even if it found no voice. It had no length, so nothing is lost.",
		"protect-outer without class_order steals the oldest of the tails, whatever their keys, and of the inner notes, held or sustained. " +
			"Where there is none the top goes, then the bass; the new note never.",
		"A note without length lasts for the minimum gate. With min_gate: 0 ms it has none, but it is dropped all the same if it finds no voice.",
	}
}
