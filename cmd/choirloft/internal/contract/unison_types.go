package contract

// Unison is what the voices of a part do together that plays several on a note.
type Unison struct {
	Part        string    `json:"part"`
	Of          int       `json:"of"`
	WhenShort   string    `json:"when_short"`
	Law         string    `json:"law"`
	SpreadCents float64   `json:"spread_cents"` // total width, lowest to highest
	DetuneBy    string    `json:"detune_by"`    // position or voice
	Scaling     string    `json:"scaling"`
	MeanCents   float64   `json:"mean_cents"` // shift of the centre by the law
	Recentred   bool      `json:"recentred"`  // the mean has been taken out
	DetuneCents []float64 `json:"detune_cents"`
	Pans        []float64 `json:"pans"`

	PanCorrelation float64       `json:"pan_correlation"`
	Stacks         [][]string    `json:"stacks"` // voices by position; none where they are not fixed
	Idle           []string      `json:"idle"`
	Keys           []KeyBeats    `json:"keys"` // a low, a middle and a high key
	SlowestPeriodS *float64      `json:"slowest_period_s"`
	Throb          *Throb        `json:"throb"`  // at the middle key; null unless common
	Course         *Course       `json:"course"` // null where all have one pitch
	Warnings       []BeatWarning `json:"warnings"`
}

// UnisonSetting is what a part is to play of a unison: so many voices on a note, so wide from the
// lowest to the highest, in a detune pattern as the rig writes it.
type UnisonSetting struct {
	Voices      int     `json:"voices"`
	SpreadCents float64 `json:"spread_cents"`
	Law         string  `json:"law"`
}

// Again is when all voices of the stack are in step again at the middle key, to within 1 dB,
// in seconds; 0 where they never were out of step, or that was not found.
func (u *Unison) Again() float64 {
	switch k := &u.Keys[1]; {
	case u.Course == nil:
		return 0
	case u.Throb != nil:
		return u.Throb.PeriodS
	case k.InStepS != nil:
		return *k.InStepS
	}
	return 0
}

// KeyBeats is what a stack does at one key.
type KeyBeats struct {
	Key         int       `json:"key"`
	KeyName     string    `json:"key_name"`
	PitchHz     float64   `json:"pitch_hz"`
	DetuneCents []float64 `json:"detune_cents"`
	Beats       []Beat    `json:"beats"` // of every pair
	Slowest     *Beat     `json:"slowest"`
	Fastest     *Beat     `json:"fastest"`
	Neighbours  []Beat    `json:"neighbours"` // pairs next to each other in pitch
	InStepS     *float64  `json:"in_step_s"`  // when all are in step again, to within 1 dB; null if not within
	WatchedS    float64   `json:"watched_s"`  // for how long that was looked for
}

// Beat is two positions, counted from 1, that beat.
type Beat struct {
	Low     int      `json:"low"`
	High    int      `json:"high"`
	BeatHz  float64  `json:"beat_hz"`
	PeriodS *float64 `json:"period_s"` // null where they do not beat
}

// Course is what the fundamentals of a stack do together at the middle key, from all in
// step on.
type Course struct {
	StepS   float64   `json:"step_s"`
	LevelDB []float64 `json:"level_db"` // below all in step, −40 and less as −40
}

// Throb is the common beat of evenly spaced voices.
type Throb struct {
	GapHz      float64 `json:"gap_hz"`
	PeriodS    float64 `json:"period_s"`
	FirstNullS float64 `json:"first_null_s"`
}

// BeatWarning is about the closest neighbours of a stack.
type BeatWarning struct {
	Code       string   `json:"code"` // may-swap or may-lock
	Stack      *int     `json:"stack"`
	Low        int      `json:"low"`
	High       int      `json:"high"`
	GapCents   float64  `json:"gap_cents"`
	LimitCents float64  `json:"limit_cents"`
	Pairs      int      `json:"pairs"`
	Chance     *float64 `json:"chance"` // of a swap
	Assumed    bool     `json:"assumed"`
}
