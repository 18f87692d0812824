package contract

// Size is how many voices one song wants, and what each number of them does.
type Size struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	SizeResult
	Findings []Finding `json:"findings"`
}

// SizeSongs is how many voices several songs want, in the order in which they
// were given.
type SizeSongs struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	Summary     string `json:"summary"`
	// Worst is what the most demanding song wants, by kind, and Median what half
	// of the songs with notes do with.
	Worst    SizeSpread    `json:"worst"`
	Median   Enough        `json:"median"`
	Songs    []*SizeResult `json:"songs"`
	Failed   []Failure     `json:"failed"`
	Findings []Finding     `json:"findings"`
}

// SizeSpread is the largest wants among songs, each with the first song that
// has it.
type SizeSpread struct {
	Held    SizeMost `json:"held"`
	Pedal   SizeMost `json:"pedal"`
	Audible SizeMost `json:"audible"`
}

// SizeMost is a number of voices and the song that wants them.
type SizeMost struct {
	Voices int    `json:"voices"`
	File   string `json:"file"`
}

// SizeResult is how many voices a song wants. The curve is of identical voices
// that all parts share; now and the fixes are of the rig as it is.
type SizeResult struct {
	Song    Song     `json:"song"`
	Summary string   `json:"summary"` // the answer in a sentence
	Advice  []string `json:"advice"`  // what to make of it, a sentence each
	Voices  int      `json:"voices"`  // in service
	Rules   string   `json:"rules"`   // those of the rig's parts, in words
	Demand  Demand   `json:"demand"`
	Enough  Enough   `json:"enough"`
	// Unmapped counts the note-ons that no part takes, which are left out.
	Unmapped int `json:"unmapped"`
	// Now is the rig as it is, with the overrides of this run.
	Now Cost `json:"now"`
	// FromRules says for each ruleset from how many voices on it does no harm.
	FromRules []RulesFrom `json:"enough_by_rule"`
	Curve     []SizePoint `json:"curve"`
	// Short are the places at which the voices in service are too few for the
	// keys and pedals, or where they are enough for those, for the tails.
	Short      []Shortage `json:"short"`
	ShortTails bool       `json:"short_of_tails_only"`
	Fixes      []Fix      `json:"fixes"`
	Worse      []Fix      `json:"makes_worse"`
	Tried      int        `json:"fixes_tried"`
	PairsTried int        `json:"pairs_tried"`
	PairsAll   int        `json:"pairs_in_all"`

	Sensitivity []Variation `json:"sensitivity,omitempty"`
	Drill       []Absence   `json:"drill,omitempty"`
	ByPart      []PartSize  `json:"by_part,omitempty"`
	Racks       []RackSize  `json:"racks,omitempty"`

	shown    []int // of the rulesets, those that a page has room for
	bankSize int
}

// Enough is the smallest numbers of voices that lose nothing of a kind: keys,
// keys and pedals, those and the tails that can be heard.
type Enough struct {
	Held    int `json:"held"`
	Pedal   int `json:"pedal"`
	Audible int `json:"audible"`
}

// Cost is what a run costs.
type Cost struct {
	Damaged      int      `json:"damaged"`
	OverlapOnly  int      `json:"overlap_only"` // of the damaged: legato, not shortage
	LostGateS    float64  `json:"lost_gate_s"`
	TailCuts     int      `json:"tail_cuts"` // audible, by another key
	LoudestCutDB *float64 `json:"loudest_cut_db"`
	// AudibleLoss weighs the damaged notes by velocity, level, outer voice and
	// priority, in notes of full velocity and level inside the chord; null where
	// it was not weighed.
	AudibleLoss *float64 `json:"audible_loss"`
}

// RulesCost is what a run by one ruleset costs.
type RulesCost struct {
	Pick  string `json:"pick"`
	Steal string `json:"steal"`
	Tails string `json:"tails"`
	Cost
}

// RulesFrom says from how many voices on, as far as the curve goes, a ruleset
// damages nothing, and cuts no tail audibly; null if not even the last does.
type RulesFrom struct {
	Pick      string `json:"pick"`
	Steal     string `json:"steal"`
	Tails     string `json:"tails"`
	Undamaged *int   `json:"undamaged_from"`
	Untouched *int   `json:"untouched_from"`
}

// SizePoint is a number of voices on the curve.
type SizePoint struct {
	Voices        int         `json:"voices"`
	UnavoidableS  float64     `json:"unavoidable_s"`
	FewestDamaged int         `json:"fewest_damaged"`
	LeastAudible  float64     `json:"least_audible"` // full notes, see Cost
	AboveHeld     float64     `json:"above_held"`    // share of the song in which more are wanted
	AbovePedal    float64     `json:"above_pedal"`
	AboveAudible  float64     `json:"above_audible"`
	Own           Cost        `json:"own"` // by the rules of the rig's parts
	Rules         []RulesCost `json:"rules"`
}

// Shortage is a span of time in which too many voices are wanted.
type Shortage struct {
	AtS    float64 `json:"at_s"`
	Bar    string  `json:"bar"`
	LastsS float64 `json:"lasts_s"`
	Wanted int     `json:"wanted"`
}

// Fix is a remedy that was tried.
type Fix struct {
	Kinds   []string `json:"kinds"`
	Text    string   `json:"text"`
	Command string   `json:"command"` // replay, or write for recordings
	Flags   []string `json:"flags"`   // what it does the same with
	Part    *string  `json:"part"`    // null for the whole rig
	Asks    string   `json:"asks"`    // what it costs: setting, export, sound, playing, recording, buying
	Verdict string   `json:"verdict"`
	After   Cost     `json:"after"`
	Saves   Saving   `json:"saves"`
}

// Saving is what a remedy saves; negative where it costs.
type Saving struct {
	Damaged   int     `json:"damaged"`
	LostGateS float64 `json:"lost_gate_s"`
	TailCuts  int     `json:"tail_cuts"`
}

// Variation is one thing changed by a step.
type Variation struct {
	What  string   `json:"what"`
	Value string   `json:"value"`
	Now   bool     `json:"now"`
	Flags []string `json:"flags"`
	After Cost     `json:"after"`
}

// Absence is a voice taken out.
type Absence struct {
	Voice int    `json:"voice"`
	Name  string `json:"name"`
	After Cost   `json:"after"`
	Costs Saving `json:"saves"` // against all in service: negative
	Best  bool   `json:"best_to_spare"`
}

// PartSize is how many voices a part wants by itself.
type PartSize struct {
	Name   string      `json:"name"`
	Notes  int         `json:"notes"`
	Enough Enough      `json:"enough"`
	Curve  []SizePoint `json:"curve"`
}

// RackSize is a rack that could be, and the best way to deal its banks out.
type RackSize struct {
	Name        string      `json:"name"`
	Banks       int         `json:"banks"`
	PerBank     int         `json:"voices_per_bank"`
	Voices      int         `json:"voices"`
	CVs         int         `json:"cvs"`
	Gates       int         `json:"gates"`
	MissingJack int         `json:"jacks_missing"` // on the rig's interfaces
	HP          int         `json:"hp"`
	Current     []RailDraw  `json:"current"`
	Price       *float64    `json:"price"`  // in the unit of the prices given
	Shared      Cost        `json:"shared"` // every part on every bank
	Split       []RackGroup `json:"split"`  // the best that was found
	SplitCost   Cost        `json:"split_cost"`
}

// RailDraw is the current that a rack's banks draw on a rail.
type RailDraw struct {
	Rail int     `json:"rail"`
	MA   float64 `json:"current_ma"`
}

// RackGroup is parts that share banks.
type RackGroup struct {
	Parts []string `json:"parts"`
	Banks int      `json:"banks"`
}
