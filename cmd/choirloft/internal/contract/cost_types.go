package contract

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

// Wrong is what plays wrong beside what is cut and dropped.
type Wrong struct {
	WrongPitches int `json:"wrong_pitches"` // notes
	Unplayed     int `json:"unplayed"`      // notes of no part
	NoJack       int `json:"without_jack"`  // voices in service whose pitch or gate has none
}
