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
		kind("pick", "Which voice a note gets where one is to be had without stealing.", pickNames[:], pickAbout[:]),
		kind("steal", "Whom a note takes a voice from where none is to be had: a tail first, the quietest; then notes on the pedal, then held ones.",
			stealNames[:], stealAbout[:]),
		kind("same_key", "What a key does that is struck again while it sounds.", sameKeyNames[:], sameKeyAbout[:]),
		kind("when_short", "What a unison does where there are not voices for all of it.", whenShortNames[:], whenShortAbout[:]),
		kind("tails", "Whether whoever picks knows what sounds on after the gate.", tailsNames[:], tailsAbout[:]),
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
	PickLongestIdle:      "the voice whose gate went low first, never used ones before all",
	PickLowest:           "the lowest-numbered voice",
	PickRoundRobin:       "the first free voice behind the last one taken, round and round",
	PickStrictRoundRobin: "the next voice whatever it does; one that sounds is stolen",
	PickSameKey:          "the voice that last played this key, its tail included; else by a second rule",
	PickBankSpread:       "the lowest voice of the bank with the fewest voices busy",
	PickBankFill:         "the lowest voice of the bank with the most voices busy",
	PickNearest:          "the voice with the smallest jump from its last key, never used ones last",
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
	StealNone:         "no note, only tails; else the new note is dropped",
	StealHardNone:     "nobody, not even tails; else the new note is dropped",
	StealFewestCuts:   "the note that would end last, the new one included: fewest notes damaged (needs the future)",
	StealLeastLost:    "the note that would end first, the new one included: least time lost (needs the future)",
	StealLeastAudible: "the note that a plan for the whole song gives up, the new one included: least missed of it (needs the future)",
}

var sameKeyAbout = [len(sameKeyNames)]string{
	RetriggerCounted:  "the same voice attacks again and is let go at the last off",
	RetriggerFirstOff: "the same voice attacks again and is let go at the first off",
	StackFIFO:         "a voice more; each off ends the oldest",
	StackLIFO:         "a voice more; each off ends the newest",
}

var whenShortAbout = [len(whenShortNames)]string{
	Blocks:  "fixed groups of voices, taken whole; a remainder stays idle",
	Thin:    "as many voices as there are; if none, those of one note",
	Wait:    "a late start, once all its voices are there; dropped if its key goes up first",
	Elastic: "all notes share all voices; the oldest get what is left over",
}

var (
	tailsNames = [...]string{"known", "unknown"}
	tailsAbout = [len(tailsNames)]string{
		"a voice is free once its tail has faded; until then it is only stolen",
		"a voice is free as soon as its gate is low, however loud its tail",
	}
)

// Readings says, one sentence or two each, how the rules are meant where their
// words leave a choice.
func Readings() []string {
	return []string{
		"strict-round-robin with none: the next voice is asked, and if it sounds the note is dropped, " +
			"though others be free. Its tail is taken.",
		"fewest-cuts, least-lost and least-audible first give up a note that ends at this very instant, " +
			"because its key is struck again: nothing is lost with it. Of several, that on the lowest voice.",
		"quietest never weighs a free voice against a tail. Tails known, free voices are picked first, and of tails alone " +
			"the quietest goes; tails unknown, pick chooses among both alike, and quietest is asked only where every gate is high.",
		"same-key takes, of several voices that last played the key, the one attacked last, whichever was let go last.",
		"A tail is cut by its own key if the new note has the same key number in the same part, on whatever channel.",
		"A note whose key is struck again at the very instant is superseded, even if it found no voice: it had no length, so nothing is lost.",
		"protect-outer without class_order takes the oldest of the tails, whatever their keys, and of the inner notes, held or on the pedal. " +
			"Where there is none the top goes, then the bass; the new note never.",
		"A note without length lasts for the minimum gate. With min_gate: 0 ms it has none, but it is dropped all the same if it finds no voice.",
	}
}
