package contract

// Version is the version of the JSON contract.
const Version = 1

// Replay is one song played through a rig.
type Replay struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	Result
	Findings []Finding `json:"findings"`
	MiddleC  int       `json:"middle_c"` // the octave of key 60
}

// Songs is several songs played through a rig, in the order in which they
// were given.
type Songs struct {
	Version     int       `json:"version"`
	Rig         string    `json:"rig"`
	Fingerprint string    `json:"fingerprint"`
	Summary     string    `json:"summary"`
	Songs       []*Result `json:"songs"`
	Failed      []Failure `json:"failed"`
	Findings    []Finding `json:"findings"`
	MiddleC     int       `json:"middle_c"` // the octave of key 60
	// Order are the indexes of the songs, those that lose most first.
	Order []int `json:"worst_first"`
}

// Failure is a song that could not be played.
type Failure struct {
	File    string `json:"file"`
	Message string `json:"message"`
}

// Result is what became of one song.
type Result struct {
	Song    Song   `json:"song"`
	Summary string `json:"summary"` // the answer in a sentence
	Verdict string `json:"verdict"` // how near to the best there is
	Totals
	// Dealt: the song was dealt before, and every voice is a part.
	Dealt  bool   `json:"dealt,omitempty"`
	Parts  []Part `json:"parts"`
	Losses []Loss `json:"losses"` // in the order of time
	// Notes are all notes, in the order of the song, where they were asked for.
	Notes []Note `json:"notes,omitzero"`
	// Bars is how many bars the song has, and LostByBar what is lost in them.
	Bars      int       `json:"bars"`
	LostByBar []LostBar `json:"lost_by_bar"` // ascending; without those in which nothing is
	// UnmappedFrom are the channels of the notes that no part takes.
	UnmappedFrom []string `json:"unmapped_from"`
	// UnmappedKeys are the same with their keys.
	UnmappedKeys []UnmappedKeys `json:"unmapped_keys"`
	// WrongPitch are the parts with notes that sound at another pitch than they
	// ask for.
	WrongPitch []WrongPitch `json:"wrong_pitch"`
	// MonoChords are the mono parts that play chords, of which one note sounds.
	MonoChords []MonoChords `json:"mono_chords"`
	// NoJack are the voices in service whose pitch or gate has no jack.
	NoJack []string `json:"voices_without_jack"`
	// RunsOut is nil where no banks are too small while others have voices that are free.
	RunsOut *RunsOut `json:"runs_out,omitempty"`
	// OldReadings are the voices in service that were measured more than 90 days
	// before the newest readings of the rig.
	OldReadings []string    `json:"old_readings"`
	RestsOn     PlayedBasis `json:"rests_on"`
	// Heard is nil where nobody listened, where the song asks for no note, or the
	// budget was not enough, which stands in Hearing.
	Heard   *Heard   `json:"heard,omitempty"`
	Hearing *Hearing `json:"hearing,omitempty"`
	Marks   []Mark   `json:"flagged"` // in the order of time
	Banks   []Bank   `json:"banks"`
	Voices  []Voice  `json:"voices"`
}

// Song is a song and what its file was like.
type Song struct {
	File          string    `json:"file"` // as it was given; "-" is standard input
	Title         *string   `json:"title"`
	Notes         int       `json:"notes"` // once for each part that takes them
	Seconds       float64   `json:"seconds"`
	Format        int       `json:"format"`
	Warnings      []Warning `json:"warnings"` // the first hundred
	WarningsTotal int       `json:"warnings_total"`
	// CutOff: the file ends too early, and notes may be missing.
	CutOff bool `json:"cut_off"`
}

// Warning is one place of a song's file that was not as the standard has it.
type Warning struct {
	Offset  int    `json:"offset"`
	Message string `json:"message"`
}

// Totals are the figures of a part or of the whole rig.
type Totals struct {
	Demand  Demand  `json:"demand"`
	Bound   Bound   `json:"bound"`
	Damaged int     `json:"damaged"`
	Endings Endings `json:"endings"`
	Flags   Flags   `json:"flags"`
	// LostGateS is the part of the reference intervals that did not sound.
	LostGateS float64 `json:"lost_gate_s"`
	// LoudestCutDB is the loudest audible cut of a tail by another key.
	LoudestCutDB *float64 `json:"loudest_cut_db"`
	LatestS      float64  `json:"latest_s"` // by how much the latest note is late
	// Waited counts the late notes that waited for the voices of their unison,
	// and LongestWaitS is how long the last of them did.
	Waited       int     `json:"waited"`
	LongestWaitS float64 `json:"longest_wait_s"`
	WaitedS      float64 `json:"waited_s"` // what all of them waited together
	// LatestGapS is by how much the latest note is late that did not wait.
	LatestGapS float64 `json:"latest_gap_s"`
}

// Demand is the most that is wanted at once, beside the voices there are.
type Demand struct {
	Held    int `json:"held"`
	Pedal   int `json:"pedal"`
	Audible int `json:"audible"`
	Voices  int `json:"voices"` // in service
	// HeardDemand is of the whole song; nil where nobody listened.
	*HeardDemand
}

// Bound is what no rule can beat.
type Bound struct {
	UnavoidableS  float64 `json:"unavoidable_s"` // voice-seconds
	FewestDamaged int     `json:"fewest_damaged"`
	// Relaxed: the bound leaves aside which banks a part may use and which
	// keys a voice tracks, so that there may be no rule that reaches it.
	Relaxed bool `json:"relaxed"`
	// Apart: a part may not use every bank, so that with other banks rules may do
	// better.
	Apart bool `json:"apart"`
}

// Flags counts what stands beside the endings.
type Flags struct {
	Thinned    int `json:"thinned"`
	Late       int `json:"late"`
	Clamped    int `json:"clamped"`
	Swallowed  int `json:"swallowed"`
	Orphan     int `json:"orphan"`
	Stuck      int `json:"stuck"`
	ZeroLength int `json:"zero_length"`
	Unmapped   int `json:"unmapped"`
	Repitched  int `json:"repitched,omitempty"` // tails that went on at the pitch of the next note
	TooLong    int `json:"too_long,omitempty"`  // sounded after their key, by a gate that others held
}

// Part is what became of the notes of one part.
type Part struct {
	Name       string     `json:"name"`
	Banks      []string   `json:"banks"`
	Pick       string     `json:"pick"`
	Steal      string     `json:"steal"`
	Tails      string     `json:"tails"`
	SameKey    string     `json:"same_key"`
	ClassOrder bool       `json:"class_order"`
	Mode       string     `json:"mode"`
	Reattack   string     `json:"reattack"`
	Reserve    int        `json:"reserve"`
	Limit      *int       `json:"limit"` // null where there is none
	Priority   int        `json:"priority"`
	Unison     PartUnison `json:"unison"`
	Voices     int        `json:"voices"` // in service, in its banks
	Notes      int        `json:"notes"`
	Totals
	Range *Range        `json:"range"`           // nil without notes
	Heard *HeardFigures `json:"heard,omitempty"` // nil where nobody listened, and of a part with some keys of another, with which it is heard
}

// PartUnison is how many voices the notes of a part take.
type PartUnison struct {
	Voices    int    `json:"voices"`
	WhenShort string `json:"when_short"`
}

// Range is the keys of a part beside those its voices can be driven to.
type Range struct {
	LowKey        int  `json:"low_key"`
	HighKey       int  `json:"high_key"`
	WindowLowKey  *int `json:"window_low_key"` // nil where nothing is limited
	WindowHighKey *int `json:"window_high_key"`
	// OctavesToFit is the smallest shift that fits all pitches, bend and detune
	// included, and ZeroKeyShift the smallest move of the zero key; nil if none
	// does.
	OctavesToFit *int       `json:"octaves_to_fit"`
	ZeroKeyShift *int       `json:"zero_key_shift_semitones"`
	ZeroKey      *ZeroKey   `json:"zero_key,omitempty"` // nil where it misses nothing, or that would not mend it
	MissedCents  float64    `json:"missed_cents"`       // at worst, bend included
	Missed       int        `json:"missed"`             // notes
	Bars         []RangeBar `json:"bars"`               // where
}

// ZeroKey is a key at 0 V for an interface, with which all that is played on it is in
// range: tried.
type ZeroKey struct {
	Interface string `json:"interface"`
	Key       int    `json:"key"`
}

// RangeBar is what missed its pitch in one bar.
type RangeBar struct {
	Bar        int     `json:"bar"`
	Notes      int     `json:"notes"`
	WorstCents float64 `json:"worst_cents"`
}

// Loss is one damaged note, or one tail that was cut audibly; with a flag it is what
// else is heard of a note.
type Loss struct {
	AtS       float64  `json:"at_s"` // of the cut; of the start of a note that was dropped or began late
	Bar       string   `json:"bar"`  // bar:beat:tick
	BarNumber int      `json:"bar_number"`
	Beat      float64  `json:"beat"` // of the bar, from 1, with its fraction
	Part      string   `json:"part"`
	Key       int      `json:"key"` // as it sounds
	KeyName   string   `json:"key_name"`
	Voice     *int     `json:"voice"` // from 1; null for a dropped note
	VoiceName *string  `json:"voice_name"`
	Ending    string   `json:"ending"`
	LostS     float64  `json:"lost_s"`
	LevelDB   *float64 `json:"level_db"` // at the cut; null where nothing was cut
	ByKey     *int     `json:"by_key"`   // of the note that took the voice
	ByKeyName *string  `json:"by_key_name"`
	ByPart    *string  `json:"by_part"`
	Cause     string   `json:"cause"`
	Outer     bool     `json:"outer"`
	*HeardOne          // nil where nobody listened
}

// LostBar is what is lost in one bar.
type LostBar struct {
	Bar    int     `json:"bar"`
	Losses int     `json:"losses"` // without those that have a flag
	LostS  float64 `json:"lost_s"`
	// HeardDB is the most that is heard of a loss in it that voices could cure, by
	// itself; null where none is heard.
	HeardDB *float64 `json:"heard_db"`
}

// Mark is a note with a flag that names a place in the song.
type Mark struct {
	Flag    string   `json:"flag"`
	AtS     float64  `json:"at_s"`
	Bar     string   `json:"bar"`
	Part    string   `json:"part"`
	Key     int      `json:"key"`
	KeyName string   `json:"key_name"`
	Value   *float64 `json:"value"`
	Unit    *string  `json:"unit"`
	// Voices is what a thinned note had at the least, of those that it should
	// have had.
	Voices *int `json:"voices"`
	Of     *int `json:"of"`
}

// Voice is what one voice did.
type Voice struct {
	Voice         int     `json:"voice"` // from 1
	Name          string  `json:"name"`
	State         string  `json:"state"` // in, out, limited, spare, joined: plays what another voice does
	Takes         int     `json:"takes"`
	HeldS         float64 `json:"held_s"`
	SoundingS     float64 `json:"sounding_s"`
	HeldShare     float64 `json:"held_share"` // of the song
	SoundingShare float64 `json:"sounding_share"`
	MostSemitones int     `json:"most_semitones"`
}

// Bank is what the voices of one bank did together.
type Bank struct {
	Name          string  `json:"name"`
	Voices        int     `json:"voices"`
	InService     int     `json:"in_service"`
	Takes         int     `json:"takes"`
	HeldS         float64 `json:"held_s"`
	SoundingS     float64 `json:"sounding_s"`
	HeldShare     float64 `json:"held_share"` // of the song and the voices in service
	SoundingShare float64 `json:"sounding_share"`
	MostSemitones int     `json:"most_semitones"`
}

// Finding is one thing to say about a plan.
type Finding struct {
	Code     string   `json:"code"`
	Severity string   `json:"severity"`
	Where    string   `json:"where"`
	At       *string  `json:"at"` // file:line:column, where a file says it
	Text     string   `json:"text"`
	Value    *float64 `json:"value"`
	Unit     *string  `json:"unit"`
	Assumed  bool     `json:"assumed"`
	Hint     *string  `json:"hint"`
	Facts    []Fact   `json:"facts"` // what text and hint are made of
}

// Fact is one of the names and numbers that a finding is about.
type Fact struct {
	Name    string   `json:"name"`  // what it is: clip
	Word    string   `json:"word"`  // what a player calls it
	Of      *string  `json:"of"`    // the part or supply that it belongs to, where there are several
	Names   []string `json:"names"` // names or words; of a key its name
	Value   *float64 `json:"value"` // where it is a number
	Unit    *string  `json:"unit"`  // of value; null for a plain count
	Assumed bool     `json:"assumed"`
}

// Check is what is wrong with a rig's plan.
type Check struct {
	Version     int       `json:"version"`
	Rig         string    `json:"rig"`
	Fingerprint string    `json:"fingerprint"`
	Summary     string    `json:"summary"`
	Findings    []Finding `json:"findings"`
	Supplies    []Supply  `json:"supplies"`
	Rows        []Row     `json:"rows"` // of the rack, the top one first
	// Levels is the way of the sound with all voices in service.
	Levels *Levels     `json:"levels"`
	Songs  []CheckSong `json:"songs"`  // what each song adds
	Failed []Failure   `json:"failed"` // songs that could not be read
	Voices Standings   `json:"voices"`
	Banks  int         `json:"banks"`
	Parts  int         `json:"parts"`
	// LevelsGiven: the rig says something of levels.
	LevelsGiven bool `json:"levels_given"`
	// Assumed are the main values that nobody gave, the most telling first.
	Assumed []string  `json:"assumed"`
	Bought  *Purchase `json:"bought"` // null where nothing is
}
