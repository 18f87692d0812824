package contract

// Size is how many voices one song wants, and what each number of them does.
type Size struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	SizeResult
	Findings []Finding `json:"findings"`
}

// SizeResult is how many voices a song wants. The curve is of identical voices
// that all parts share; now and the fixes are of the rig as it is.
type SizeResult struct {
	Song    Song     `json:"song"`
	Summary string   `json:"summary"` // the answer in a sentence
	Advice  []string `json:"advice"`  // what to make of it, a sentence each
	Voices  int      `json:"voices"`  // in service
	// BankSize is that of the largest bank, in voices.
	BankSize int    `json:"bank_size"`
	Rules    string `json:"rules"` // those of the rig's parts, in words
	// OwnRules are those of the rig's parts; null where these differ.
	OwnRules *RulesName `json:"own_rules"`
	Demand   Demand     `json:"demand"`
	Enough   Enough     `json:"enough"`
	// Unmapped counts the note-ons that no part takes, which are left out.
	Unmapped int `json:"unmapped"`
	// UnmappedFrom are their channels.
	UnmappedFrom []string `json:"unmapped_from"`
	// UnmappedKeys are the same with their keys.
	UnmappedKeys []UnmappedKeys `json:"unmapped_keys"`
	// WrongPitch are the parts with notes out of range, as the rig is.
	WrongPitch []WrongPitch `json:"wrong_pitch"`
	// MonoChords are the mono parts that play chords, of which one note sounds.
	MonoChords []MonoChords `json:"mono_chords"`
	// NoJack are the voices in service whose pitch or gate has no jack.
	NoJack []string `json:"voices_without_jack"`
	// OldReadings are the voices in service that were measured more than 90 days
	// before the newest readings of the rig, or without a date beside such.
	OldReadings []string `json:"old_readings"`
	RestsOn     Basis    `json:"rests_on"`
	// NowLeft is what is left as the rig is, beside the song as given, edits counted; null where no fix was searched.
	NowLeft *Changed `json:"now_left"`
	MiddleC int      `json:"middle_c"` // the octave of key 60
	// Now is the rig as it is, with the overrides of this run.
	Now Cost `json:"now"`
	// NowHeard is what is heard of it, as a replay has it; null where the budget was too
	// small, or nobody listened.
	NowHeard *HeardFigures `json:"now_heard"`
	// RunsOut is nil where no banks of the rig as it is are too small while others have voices that are free.
	RunsOut *RunsOut `json:"runs_out,omitempty"`
	// MayUse says for each part which of the voices in service it may use.
	MayUse []PartVoices `json:"parts"`
	// FewestDamaged is what no rule can do better on so many identical voices; 0
	// beyond the curve.
	FewestDamaged int `json:"fewest_damaged"`
	// FromRules says for each ruleset from how many voices on it does no harm.
	FromRules []RulesFrom `json:"enough_by_rule"`
	EnoughOwn OwnFrom     `json:"enough_by_own"`
	// TooFew is the largest number of voices on which every rule must damage a
	// note; 0 where there is none.
	TooFew int         `json:"too_few"`
	Curve  []SizePoint `json:"curve"`
	// ShownRules are the indexes of the rulesets to look at first beside the rig's
	// own rules.
	ShownRules []int `json:"shown_rules"`
	// Short are the places at which the voices in service are too few for the
	// keys and pedals, or where they are enough for those, for the tails.
	Short      []Shortage `json:"short"`
	ShortTails bool       `json:"short_of_tails_only"`
	ShortBars  []ShortBar `json:"short_bars"` // in which they are
	Fixes      []Fix      `json:"fixes"`
	Worse      []Fix      `json:"makes_worse"`
	Tried      int        `json:"fixes_tried"`
	Settings   *Settings  `json:"settings,omitempty"` // how far the search for fixes came
	Buying     *Buying    `json:"buying,omitempty"`   // what further banks would do; none where nothing needs a fix
	PairsTried int        `json:"pairs_tried"`
	PairsAll   int        `json:"pairs_in_all"`
	// Covered are the searches that the budget ended before all was tried; empty
	// where it was enough.
	Covered []Coverage `json:"covered"`
	// Hearing is what points and demand rest on that are by ear; nil where nobody
	// listened.
	Hearing *Hearing `json:"hearing,omitempty"`

	Sensitivity []Variation `json:"sensitivity,omitempty"`
	Drill       []Absence   `json:"drill,omitempty"`
	ByPart      []PartSize  `json:"by_part,omitempty"`
	Apart       *Enough     `json:"by_part_apart,omitempty"` // what the parts want that each has its own voices
	Racks       []RackSize  `json:"racks,omitempty"`
}

// Coverage says how much of a search was done, the most promising first.
type Coverage struct {
	What  string `json:"what"` // voices and parts (numbers of voices), fixes, recordings, pairs, variations, drill, racks, heard (fixes by ear), heard losses (of fixes), heard racks
	Tried int    `json:"tried"`
	Of    int    `json:"of"`
}

// Enough is the smallest numbers of voices that lose nothing of a kind: keys,
// keys and pedals, those and the tails that can be heard.
type Enough struct {
	Held    int `json:"held"`
	Pedal   int `json:"pedal"`
	Audible int `json:"audible"`
}

// WrongPitch is a part whose notes do not all get the pitch they ask for.
type WrongPitch struct {
	Part  string `json:"part"`
	Notes int    `json:"notes"` // with a wrong pitch
	Of    int    `json:"of"`    // notes of the part
	Range Range  `json:"range"`
}

// MonoChords is a mono part with notes that gave way within the shortest gate, to others of their chord.
type MonoChords struct {
	Part  string `json:"part"`
	Notes int    `json:"notes"` // that gave way
	Of    int    `json:"of"`    // notes of the part
}

// Basis is what the numbers of voices rest on, and how far it moves them.
type Basis struct {
	Values
	StepPercent float64 `json:"step_percent"` // by which the release is longer and shorter
	Longer      Enough  `json:"longer"`
	Shorter     Enough  `json:"shorter"`
}

// Values are values of a rig, and whether they were written or assumed.
type Values struct {
	// ReleaseS is the longest release in service, in seconds until a tail has
	// fallen by 60 dB.
	ReleaseS float64 `json:"release_s"`
	// ReleaseAssumed: nobody wrote a release for some voice in service.
	ReleaseAssumed bool `json:"release_assumed"`
	// ReleaseSource is the weakest source of a release in service.
	ReleaseSource Source `json:"release_source"`
	// ReleaseBefore is that without what is bought; null where nothing is, or it is the same.
	ReleaseBefore *Source `json:"release_source_before"`
	// RangeAssumed: some voice in service has no jack, or one of an interface whose
	// window nobody wrote.
	RangeAssumed bool `json:"range_assumed"`
	// RangeSpareKeys is by how many keys the CV range is wider than the notes of the
	// song at its tighter end, the least of all parts; below 0 notes lie that far
	// outside. Nil without notes or limits.
	RangeSpareKeys *int `json:"range_spare_keys"`
	// RangeTooHigh is by how many keys the CV range begins above the lowest note of a
	// part, and RangeTooLow by how many it ends below the highest; 0 where it does not.
	RangeTooHigh int `json:"range_too_high_keys,omitempty"`
	RangeTooLow  int `json:"range_too_low_keys,omitempty"`
	// OneVoice lists the voices that share a pitch jack and so count as one, by jack.
	OneVoice []OneVoice `json:"one_voice,omitempty"`
}

// OneVoice is some voices that have their pitch from one jack.
type OneVoice struct {
	Voices []string `json:"voices"`
	Jack   string   `json:"jack"`
	InTurn bool     `json:"in_turn"` // their gates open one by one, else together
}

// RulesName names a ruleset.
type RulesName struct {
	Pick  string `json:"pick"`
	Steal string `json:"steal"`
	Tails string `json:"tails"` // known, unknown
}

// RulesCost is what a run by one ruleset costs.
type RulesCost struct {
	RulesName
	Cost
}

// RulesFrom says from how many voices on, as far as the curve goes, a ruleset
// damages nothing, and cuts no tail audibly; null if not even the last does.
type RulesFrom struct {
	RulesName
	Undamaged *int `json:"undamaged_from"`
	Untouched *int `json:"untouched_from"`
}

// OwnFrom is the same of the rules of the rig's parts, and from how many voices
// on they damage nothing and cut no tail louder than a faint level.
type OwnFrom struct {
	Undamaged *int     `json:"undamaged_from"`
	Quiet     *int     `json:"quiet_from"`
	FaintDB   float64  `json:"faint_db"`
	LoudestDB *float64 `json:"quiet_loudest_cut_db"` // cut from there on; null where none is
	Untouched *int     `json:"untouched_from"`
}

// SizePoint is a number of voices on the curve.
type SizePoint struct {
	Voices        int      `json:"voices"`
	UnavoidableS  float64  `json:"unavoidable_s"`
	FewestDamaged int      `json:"fewest_damaged"`
	LeastAudible  *float64 `json:"least_audible"` // dB·s, see Cost: what no rule can help, losses taken singly; null where the budget was too small
	AboveHeld     float64  `json:"above_held"`    // share of the song in which more are wanted
	AbovePedal    float64  `json:"above_pedal"`
	AboveAudible  float64  `json:"above_audible"`
	Own           Cost     `json:"own"` // by the rules of the rig's parts
	// Heard is by these rules; null where the budget was too small, or nobody listened.
	Heard *HeardFigures `json:"heard"`
	Rules []RulesCost   `json:"rules"`
}

// Shortage is a span of time in which too many voices are wanted.
type Shortage struct {
	AtS    float64 `json:"at_s"`
	Bar    string  `json:"bar"`
	LastsS float64 `json:"lasts_s"`
	Wanted int     `json:"wanted"`
}

// ShortBar is a bar in which too many voices are wanted.
type ShortBar struct {
	Bar    int `json:"bar"`
	Wanted int `json:"wanted"` // at most
}

// PartVoices is a part, and the voices that it may use.
type PartVoices struct {
	PartBanks
	Voices int `json:"voices"` // in service
}

// PartBanks is a part, and the banks that it plays on. A part whose keys are split over
// banks stands there several times: with the keys from each on.
type PartBanks struct {
	Part        string   `json:"part"`
	Banks       []string `json:"banks"`
	FromKey     int      `json:"from_key,omitempty"` // 0 for the lowest
	FromKeyName string   `json:"from_key_name,omitempty"`
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
	// Leaves is what plays wrong then.
	Leaves Wrong  `json:"leaves"`
	Costs  Saving `json:"saves"` // against all in service: negative
	Best   bool   `json:"best_to_spare"`
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
	Name        string     `json:"name"`
	Banks       int        `json:"banks"`
	PerBank     int        `json:"voices_per_bank"`
	Voices      int        `json:"voices"`
	CVs         int        `json:"cvs"`
	Gates       int        `json:"gates"`
	MissingJack int        `json:"jacks_missing"` // on the rig's interfaces
	HP          int        `json:"hp"`
	Current     []RailDraw `json:"current"`
	Price       *float64   `json:"price"`  // in the unit of the prices given
	Shared      Cost       `json:"shared"` // every part on every bank
	// Heard is what is heard then, without the losses by themselves; null where the
	// budget was too small to listen.
	Heard     *HeardFigures `json:"heard"`
	Split     []RackGroup   `json:"split"` // the best that was found
	SplitCost Cost          `json:"split_cost"`
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
