package alloc

// About says in a sentence which voice the rule picks, among those that can be
// had without stealing.
func (r PickRule) About() string { return pickAbout[r] }

// About says in a sentence whom the rule takes a voice from.
func (r StealRule) About() string { return stealAbout[r] }

// About says in a sentence what a key does that is struck again.
func (s SameKey) About() string { return sameKeyAbout[s] }

var pickAbout = [...]string{
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

var stealAbout = [...]string{
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

var sameKeyAbout = [...]string{
	RetriggerCounted:  "the same voice attacks again and is let go at the last off",
	RetriggerFirstOff: "the same voice attacks again and is let go at the first off",
	StackFIFO:         "a voice more; each off ends the oldest",
	StackLIFO:         "a voice more; each off ends the newest",
}
