package contract

// Settings is how many settings of the rack were played, of how many.
type Settings struct {
	Played int     `json:"played"`
	Of     float64 `json:"of"`
	Whole  bool    `json:"whole"` // all
	Short  bool    `json:"short"` // the budget ended it: before nothing gained any more, or before all of few
	// FurtherPercent is what one further change of the best would gain, of what is left;
	// null where not all were played.
	FurtherPercent *float64 `json:"further_percent"`
}

// Fix is something that was tried.
type Fix struct {
	Kinds   []string    `json:"kinds"`
	Changes []FixChange `json:"changes"` // one of each kind
	Text    string      `json:"text"`
	Command string      `json:"command"` // replay, or write for recordings
	Flags   []string    `json:"flags"`   // what it does the same with
	// Overrides are the settings among the flags, as values.
	Overrides []Override `json:"overrides"`
	Part      *string    `json:"part"` // null for the whole rig
	Asks      string     `json:"asks"` // what it costs: setting, export, sound, playing, recording, buying
	Verdict   string     `json:"verdict"`
	After     Cost       `json:"after"`
	Leaves    Wrong      `json:"leaves"`
	Saves     Saving     `json:"saves"`

	Number  int      `json:"number"` // on the list, from 1
	Args    []string `json:"args"`   // the words of the command, whose figures these are
	Line    string   `json:"line"`   // the same, quoted for a shell
	Lines   int      `json:"lines"`  // keys of the rig that it changes
	Changed *Changed `json:"changed,omitempty"`
	// Costs are what is worse than on the rig as it is; such a fix never comes first.
	Costs []FixCost `json:"costs"`
	// Harms are the parts that lose more than on the rig as it is.
	Harms []FixHarm `json:"harms"`
	// KeepBanks are the set-ups that name banks for the parts of their sequencers: these
	// stay as they are, wherever the fix lets parts play.
	KeepBanks []string `json:"set_ups_keep_banks"`
	// Near: less effort, or fewer changes, leave hardly more to hear.
	Near bool `json:"near"`
	// Steps are what is left after each of the changes but the last, in their order.
	Steps []Changed `json:"steps"`
	On    *int      `json:"on"` // the number of the fix that it goes on with
	// Shared are the banks on which parts play then, and did not before.
	Shared []SharedBank `json:"shared"`
	// Purchase is what must be bought; null where that is nothing.
	Purchase *Purchase `json:"purchase"`
}

// Purchase is whole banks, and what they need.
type Purchase struct {
	Like       string        `json:"like"`  // the bank that they are like
	Names      []string      `json:"names"` // of the new banks
	Banks      int           `json:"banks"`
	Voices     int           `json:"voices"` // of all these banks
	Interfaces Further       `json:"interfaces"`
	Supplies   Further       `json:"supplies"`
	Rows       int           `json:"rows"`      // of the rack that there are not yet
	Multiples  []MultipleLot `json:"multiples"` // on wires, or as modules
	Cables     int           `json:"cables"`
	Price      *float64      `json:"price"` // in the unit of the prices given
	// Needs is what there is and what the banks take: what runs out first comes first.
	Needs   []Need   `json:"needs"`
	Unknown []string `json:"unknown"` // resources of which the rig does not say enough
	// ByHand are inputs of the new banks that are not wired like those of the bank that they are
	// like, and set-ups that take a gate-OR for each: a copy of the rig does not have them.
	ByHand []string `json:"by_hand"`
}

// Further are so many things like one of the rig; like is null where there are none.
type Further struct {
	Like *string `json:"like"`
	More int     `json:"more"`
}

// Need is what is free of a resource, and what is needed of it.
type Need struct {
	Resource string  `json:"resource"`
	Free     float64 `json:"free"`
	Needed   float64 `json:"needed"`
	Unit     *string `json:"unit"` // mA or HP; null for what is counted
	// Why is what check would say, where the resource is check.
	Why *string `json:"why,omitempty"`
}

// Buying is what further banks would do.
type Buying struct {
	Tried int  `json:"tried"` // purchases that were played
	Short bool `json:"short"` // the budget was not enough for others
	// After is the number of the fix of the best settings; null where none is listed.
	After *int `json:"after"`
	// Fewest is the smallest purchase that helps after those settings; null where none does.
	Fewest   *Purchase `json:"fewest"`
	Needless bool      `json:"needless"` // they leave nothing that a purchase could help
	Refused  []Refused `json:"refused"`  // what the rack cannot hold
}

// Refused are banks that the rack cannot hold, and what is short for them.
type Refused struct {
	Like   string `json:"like"`
	Banks  int    `json:"banks"`
	Voices int    `json:"voices"`
	Short  []Need `json:"short"`
}

// Changed is what is left beside the song as given, edits counted: of several songs in all.
type Changed struct {
	Dropped int      `json:"dropped"`
	Cut     int      `json:"cut"`
	LostS   float64  `json:"lost_s"`
	LateS   float64  `json:"late_s"`
	Missing *Missing `json:"missing"`
}

// FixCost is a figure that a fix makes worse.
type FixCost struct {
	What string  `json:"what"` // heard, dropped, cut, lost, wrong, late, moved (by octaves, with all of a part)
	By   float64 `json:"by"`   // dB·s, notes or seconds
}

// FixHarm is what a part loses more with a fix, beside the song as given.
type FixHarm struct {
	Part  string  `json:"part"`
	Notes int     `json:"notes"` // cut short or dropped; below 0 where more time of fewer is lost
	LostS float64 `json:"lost_s"`
}

// SharedBank is a bank on which a part plays with a fix, and did not before.
type SharedBank struct {
	Part   string   `json:"part"`
	Bank   string   `json:"bank"`
	Effort string   `json:"effort"` // what it takes: setting, sound, wiring
	Lanes  []string `json:"lanes"`  // what the bank has one CV for
}

// FixChange is what a remedy changes in one way.
type FixChange struct {
	Kind string  `json:"kind"`
	Part *string `json:"part"` // null for all
	// Interface is that whose key at 0 V is set; empty else.
	Interface string      `json:"interface,omitempty"`
	Value     string      `json:"value,omitempty"`  // the name of a rule or of a key, or a time as it is typed
	Number    int         `json:"number,omitempty"` // of voices or recordings
	More      int         `json:"more,omitempty"`   // of these voices, those that there are not yet
	Banks     []PartBanks `json:"banks,omitempty"`
	// Recordings are the parts of each recording; empty where each has some of the notes of all.
	Recordings [][]string `json:"recordings,omitempty"`
	// Semitones are by how many a part is transposed further than it is.
	Semitones int `json:"semitones,omitempty"`
}

// Saving is what a remedy saves; negative where it costs.
type Saving struct {
	Damaged   int     `json:"damaged"`
	LostGateS float64 `json:"lost_gate_s"`
	TailCuts  int     `json:"tail_cuts"`
}
