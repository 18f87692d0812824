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
	// NoJack are the voices in service whose pitch or gate has no jack.
	NoJack []string `json:"voices_without_jack"`
	// OldReadings are the voices in service that were measured more than 90 days
	// before the newest readings of the rig, or without a date beside such.
	OldReadings []string `json:"old_readings"`
	RestsOn     Basis    `json:"rests_on"`
	MiddleC     int      `json:"middle_c"` // the octave of key 60
	// Now is the rig as it is, with the overrides of this run.
	Now Cost `json:"now"`
	// NowHeard is what is heard of it, as a replay has it; null where the budget was too
	// small, or nobody listened.
	NowHeard *HeardFigures `json:"now_heard"`
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

// Cost is what a run costs.
type Cost struct {
	Damaged      int      `json:"damaged"`
	Dropped      int      `json:"dropped"`      // of the damaged
	OverlapOnly  int      `json:"overlap_only"` // of the damaged: legato, not shortage
	LostGateS    float64  `json:"lost_gate_s"`
	TailCuts     int      `json:"tail_cuts"` // audible, by another key
	LoudestCutDB *float64 `json:"loudest_cut_db"`
	// AudibleLoss is how much the damaged notes would be heard to be missing, each
	// alone, in dB·s above 1 dB; see hearing.Weights. Null where it was not weighed.
	AudibleLoss *float64 `json:"audible_loss"`
	// Heard is how much of the song as it is given is heard to be missing: of the rig
	// as it is, and after a fix. It is left out where the budget was not enough.
	Heard *HeardAfter `json:"heard,omitempty"`
	// Missing is for how long something of the song as it is given is heard to be
	// missing, beside the rig as it is given: of the rig as it is, and after a fix.
	Missing *Missing `json:"missing,omitempty"`
}

// Missing is for how long something is heard to be missing.
type Missing struct {
	HeardS float64 `json:"heard_s"` // at least faintly: the plain seconds included
	PlainS float64 `json:"plain_s"`
	DBS    float64 `json:"db_s"` // above 1 dB, in dB·s: fixes are ranked by it
}

// HeardAfter is what is heard of the song as it is given when it was played otherwise.
type HeardAfter struct {
	Plain      int     `json:"plain"` // losses that are heard plainly
	Faint      int     `json:"faint"` // that are heard, these included
	SharePlain float64 `json:"share_plain"`
}

// Cut is the number of damaged notes that sounded, but too short.
func (c *Cost) Cut() int { return c.Damaged - c.Dropped }

// Beyond is the number of damaged notes that are more than a legato overlap.
func (c *Cost) Beyond() int { return c.Damaged - c.OverlapOnly }

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

// Wrong is what plays wrong beside what is cut and dropped.
type Wrong struct {
	WrongPitches int `json:"wrong_pitches"` // notes
	Unplayed     int `json:"unplayed"`      // notes of no part
	NoJack       int `json:"without_jack"`  // voices in service whose pitch or gate has none
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
