package contract

// Tune is what readings say of a rig's voices, and what to do about it.
type Tune struct {
	Version     int         `json:"version"`
	Rig         string      `json:"rig"`
	Fingerprint string      `json:"fingerprint"`
	Summary     string      `json:"summary"`
	WithinCents float64     `json:"within_cents"` // what counts as in tune
	Readings    int         `json:"readings"`
	Recordings  []Recording `json:"recordings"`
	// Voices are those that were read.
	Voices []TunedVoice `json:"voices"`
	Banks  []TunedBank  `json:"banks"`
	// Common is how voices moved alike between days; null without two of each.
	Common *CommonDrift `json:"common_drift"`
	// DriftCents is what the drift of a voice that was read counts by at worst, with the
	// corrections: 99.9 % of changes are smaller; null where no voice has a pitch jack.
	DriftCents *float64 `json:"drift_worst_cents"`
	Turns      []Turn   `json:"turns"` // of trimmers, in order
	// Jumps are of voices that moved further between two days than drift explains.
	Jumps []TunedJump `json:"jumps"`
	// Turned are the voices whose trimmers were turned, so that their days began anew;
	// TurnedSaid tells whether that was said, if only of none.
	Turned     []string `json:"turned"`
	TurnedSaid bool     `json:"turned_said"`
	// Instead are the turns whose place corrections take, by --instead-of-trimming.
	Instead []Turn      `json:"instead"`
	Unisons []Detuning  `json:"unisons"`
	Map     []VoltsMove `json:"map"`
	// Figures are the findings that the corrections change.
	Figures       []FigureChange `json:"figures"`
	AssumedBefore int            `json:"assumed_before"` // findings that rest on what nobody measured
	AssumedAfter  int            `json:"assumed_after"`
	Findings      []Finding      `json:"findings"`
	// Corrections is what the rig file should say, a line a voice.
	Corrections []string `json:"corrections"`
	Written     *string  `json:"written"` // the file they were written into; null for none
	RigFile     string   `json:"rig_file"`
	MiddleC     int      `json:"middle_c"` // the octave of key 60
}

// Recording is a sound file and the pitch that it gave.
type Recording struct {
	File        string   `json:"file"`
	Voice       *string  `json:"voice"`
	Key         *int     `json:"key"`
	Volts       *float64 `json:"volts"`
	Hertz       *float64 `json:"pitch_hz"` // by the spectrum; null where it was refused
	Period      *float64 `json:"autocorrelation_hz"`
	Confidence  *float64 `json:"confidence"` // 0–1
	WanderCents *float64 `json:"wander_cents"`
	Harmonics   *int     `json:"harmonics"`
	JudgedS     *float64 `json:"judged_s"`
	Clipped     bool     `json:"clipped"`
	Refused     *string  `json:"refused"` // why
}

// TunedVoice is one voice that was read.
type TunedVoice struct {
	Voice    int          `json:"voice"`
	Name     string       `json:"name"`
	Bank     string       `json:"bank"`
	Measured *string      `json:"measured"` // day of the readings that the fit rests on
	Readings []ReadVolts  `json:"readings"`
	Fit      *VoiceFit    `json:"fit"`         // null without enough readings
	AtKey    *float64     `json:"at_key"`      // the middle of the readings
	Sharp    *float64     `json:"sharp_cents"` // there
	Z        *float64     `json:"z"`           // modified z-score in its bank; null where undetermined
	StretchZ *float64     `json:"stretch_z"`
	Odd      bool         `json:"odd"`
	Before   *InTune      `json:"before"`
	After    *InTune      `json:"after"`          // null without a correction
	Drift    *VoiceDrift  `json:"drift"`          // null without two days
	ByHand   bool         `json:"by_hand"`        // a trimmer must be turned first: its correction is not for the rig
	Kept     bool         `json:"kept"`           // by hand, and the rig's own correction of it stays
	Tracks   bool         `json:"tracks"`         // it moves by 10 % of what was asked, or more
	Unsaid   bool         `json:"through_unsaid"` // nothing says whether its readings went through its correction
	Correct  *Corrected   `json:"correction"`
	Budget   *BudgetShift `json:"budget"`
}

// ReadVolts is one reading beside what it should have been.
type ReadVolts struct {
	At            string   `json:"at"` // file:line:column
	Date          *string  `json:"date"`
	Key           *int     `json:"key"`
	Volts         float64  `json:"volts"`
	Hertz         float64  `json:"pitch_hz"`
	WantHertz     float64  `json:"want_hz"`
	SharpCents    float64  `json:"sharp_cents"`
	ResidualCents *float64 `json:"residual_cents"` // null where the fit does not rest on it
	OctavesOff    int      `json:"octaves_off"`    // of the other readings: set apart before the fit
}

// VoiceFit is the line through the readings of a voice.
type VoiceFit struct {
	// Intercept and Slope are those of cents against A4 over volts, or with hertz
	// per volt of hertz over volts.
	Unit            string   `json:"unit"` // cents or hz
	Intercept       float64  `json:"intercept"`
	Slope           float64  `json:"slope_per_volt"`
	R2              float64  `json:"r2"`
	ResidualCents   float64  `json:"residual_cents"` // standard deviation
	WorstCents      float64  `json:"worst_cents"`
	LimitCents      *float64 `json:"limit_cents"` // 95 % of further readings lie nearer, once it is corrected; null without a correction
	Piecewise       bool     `json:"piecewise"`
	OffsetCents     float64  `json:"offset_cents"`
	StretchPerOct   *float64 `json:"stretch_cents_per_octave"` // null in hertz per volt
	DifferentVolts  int      `json:"different_volts"`
	ReadingsFitted  int      `json:"readings_fitted"`
	LowestFitVolts  float64  `json:"lowest_volts"`
	HighestFitVolts float64  `json:"highest_volts"`
}

// InTune is where a voice is in tune.
type InTune struct {
	LowKey     *int    `json:"low_key"` // null where it is so at no key
	HighKey    *int    `json:"high_key"`
	WorstCents float64 `json:"worst_cents"` // between the lowest and the highest reading
	Judged     int     `json:"judged_keys"`
}

// CommonDrift is how voices moved alike between days.
type CommonDrift struct {
	Voices int     `json:"voices"`
	Days   int     `json:"days"`
	Cents  float64 `json:"sd_cents"` // a standard deviation
}

// TunedJump is a voice that moved further between two days than drift explains.
type TunedJump struct {
	Voice          string   `json:"voice"`
	From           string   `json:"from"`
	To             string   `json:"to"`
	Cents          float64  `json:"cents"`           // that it rose by
	OthersCents    *float64 `json:"others_cents"`    // that the voice in the middle rose by; null where fewer than three were read
	ApartCents     float64  `json:"apart_cents"`     // from that, without a sign
	ExplainedCents float64  `json:"explained_cents"` // that drift explains, against the others
}

// VoiceDrift is how a voice moved between days.
type VoiceDrift struct {
	Days       int     `json:"days"`
	From       string  `json:"from"`
	To         string  `json:"to"`
	SDCents    float64 `json:"sd_cents"`
	MovedCents float64 `json:"moved_cents"`
}

// Corrected is what the rig should say of a voice.
type Corrected struct {
	OffsetVolts   float64        `json:"offset_volts"`
	Scale         float64        `json:"scale"`
	ResidualCents *float64       `json:"residual_cents"`
	DriftCents    *float64       `json:"drift_cents"`
	Points        []CorrectPoint `json:"points"`
}

// CorrectPoint is what to add at some volts.
type CorrectPoint struct {
	AtVolts  float64 `json:"at_volts"`
	AddVolts float64 `json:"add_volts"`
}

// BudgetShift is how far a voice may stray, with and without the correction.
type BudgetShift struct {
	WorstBefore   float64 `json:"worst_cents_before"`
	WorstAfter    float64 `json:"worst_cents_after"`
	LikelyBefore  float64 `json:"likely_cents_before"`
	LikelyAfter   float64 `json:"likely_cents_after"`
	UnknownBefore bool    `json:"unknown_before"` // the figures before are of what is known alone
	AssumedBefore bool    `json:"assumed_before"`
	AssumedAfter  bool    `json:"assumed_after"`
	// DriftUnknown: nobody measured the drift, so that it is assumed.
	DriftUnknown bool `json:"drift_unknown_after"`
}

// TunedBank is the voices of a bank beside each other.
type TunedBank struct {
	Bank         string   `json:"bank"`
	Voices       int      `json:"voices"`
	MedianCents  float64  `json:"median_cents"`
	MADCents     float64  `json:"mad_cents"`
	Undetermined bool     `json:"undetermined"`
	Odd          []string `json:"odd"` // the oddest first
	// Apart says of those what the findings say of them.
	Apart []Apart `json:"apart"`
}

// Apart is how far a voice stands from its bank.
type Apart struct {
	Voice     string  `json:"voice"`
	Stretched bool    `json:"stretched"` // by its cents an octave, else by its cents
	Cents     float64 `json:"cents"`     // from the median of the bank
	Z         float64 `json:"z"`         // modified z-score
	Heard     bool    `json:"heard"`     // far enough to be heard
}

// Turn is one turn of one trimmer.
type Turn struct {
	Order         int      `json:"order"`
	Voice         string   `json:"voice"`
	Trimmer       string   `json:"trimmer"`   // scale, offset, high
	Direction     string   `json:"direction"` // up, down
	Cents         float64  `json:"by_cents"`
	StretchPerOct *float64 `json:"by_cents_per_octave"` // of a scale
	HoldVolts     float64  `json:"hold_volts"`
	HoldKey       float64  `json:"hold_key"`
	FromHertz     float64  `json:"from_hz"`
	ToHertz       float64  `json:"to_hz"`
	Odd           bool     `json:"odd"`
	Needed        bool     `json:"needed"` // otherwise the correction does as well
	// Reason is why it is needed: apart, stretched, no-correction, beyond-range, off; null
	// where it is not. The cents are from its bank, or off at the key once it is corrected.
	Reason      *string `json:"reason"`
	ReasonCents float64 `json:"reason_cents"`
	ReasonKey   *int    `json:"reason_key"` // of beyond-range and off
}

// Detuning is what the corrections do to a unison.
type Detuning struct {
	Part       string     `json:"part"`
	Stack      *int       `json:"stack"` // from 1; null where any voices may meet
	Voices     []string   `json:"voices"`
	Key        float64    `json:"key"`
	AskedCents []float64  `json:"asked_cents"` // null where any voices may meet
	Unmeasured int        `json:"unmeasured"`  // voices of it without readings
	Before     StackTuned `json:"before"`
	After      StackTuned `json:"after"`
}

// StackTuned is how the voices of a stack stand.
type StackTuned struct {
	ErrorCents  []*float64 `json:"error_cents"` // by voice; null where no reading says
	ApartCents  float64    `json:"apart_cents"` // the most by which two voices are off against each other
	SpreadCents *float64   `json:"spread_cents"`
	SlowestHz   *float64   `json:"slowest_beat_hz"`
}

// VoltsMove is what the map's volts become.
type VoltsMove struct {
	Voice  string  `json:"voice"`
	Key    int     `json:"key"`
	Before float64 `json:"volts_before"`
	After  float64 `json:"volts_after"`
}

// FigureChange is a finding that the corrections change; before or after is
// null where it comes or goes.
type FigureChange struct {
	Code   string   `json:"code"`
	Where  string   `json:"where"`
	Before *Finding `json:"before"`
	After  *Finding `json:"after"`
}
