package contract

// SizeSongs is how many voices several songs want, in the order in which they
// were given.
type SizeSongs struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	Summary     string `json:"summary"`
	// Advice is what to make of it, a sentence each.
	Advice []string `json:"advice"`
	// Worst is what the most demanding song wants, by kind, and Median what half
	// of the songs with notes do with.
	Worst  SizeSpread `json:"worst"`
	Median Enough     `json:"median"`
	// ByEar is the same of the voices on which nothing is heard to be missing; null
	// where that is not known of a song with notes.
	ByEar *SizeByEar `json:"heard_none"`
	// ByEarKnown is the same of the songs of which it is known; null where that is
	// none.
	ByEarKnown *SizeByEarKnown `json:"heard_none_known"`
	Songs      []*SizeResult   `json:"songs"`
	// MostFirst are the indexes of the songs, those that want most voices for keys
	// and pedals first, then most for the tails.
	MostFirst []int `json:"most_first"`
	// WorstFirst are the same, those first that lose most on the rig as it is:
	// notes dropped or unplayed, then what is heard of losses in dB·s, notes cut
	// short, wrong pitches and tails.
	WorstFirst []int `json:"worst_first"`
	// Set is what would help all songs, where that was asked for.
	Set      *SetFixes `json:"set,omitempty"`
	Failed   []Failure `json:"failed"`
	Findings []Finding `json:"findings"`
}

// SetFixes are fixes for several songs.
type SetFixes struct {
	Now      SetLeft   `json:"now"`
	Fixes    []SetFix  `json:"fixes"`
	Settings *Settings `json:"settings"`
}

// SetLeft is what is left of several songs.
type SetLeft struct {
	Sum   Changed `json:"sum"`
	Worst Changed `json:"worst"` // of the song in which the most is heard
	File  string  `json:"file"`  // that song
}

// SetFix is a fix for several songs.
type SetFix struct {
	Number   int         `json:"number"`
	Purchase *Purchase   `json:"purchase"` // what must be bought; null where that is nothing
	Text     string      `json:"text"`
	Changes  []FixChange `json:"changes"`
	Flags    []string    `json:"flags"`
	Asks     string      `json:"asks"`
	Costs    []FixCost   `json:"costs"`
	After    SetLeft     `json:"after"`
	// Harms, KeepBanks and Shared are as of a [Fix], of all songs together.
	Harms     []FixHarm    `json:"harms"`
	KeepBanks []string     `json:"set_ups_keep_banks"`
	Shared    []SharedBank `json:"shared"`
}

// SizeSpread is the largest wants among songs, each with the first song that
// has it.
type SizeSpread struct {
	Held    SizeMost `json:"held"`
	Pedal   SizeMost `json:"pedal"`
	Audible SizeMost `json:"audible"`
}

// SizeByEar is how many voices songs want by ear.
type SizeByEar struct {
	Median int      `json:"median"`
	Most   SizeMost `json:"worst"`
}

// SizeByEarKnown is how many voices some of the songs want by ear.
type SizeByEarKnown struct {
	SizeByEar
	Known int `json:"known"` // of so many songs
	Of    int `json:"of"`    // with notes
}

// SizeMost is a number of voices and the song that wants them.
type SizeMost struct {
	Voices int    `json:"voices"`
	File   string `json:"file"`
}
