package contract

// Outage is what it means that a voice fails: a page.
type Outage struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	Summary     string `json:"summary"`
	MiddleC     int    `json:"middle_c"` // the octave of key 60

	Out     string  `json:"out"`      // the voice
	StandIn *string `json:"stand_in"` // the spare that plays now; null without
	For     *string `json:"for"`      // the voice that it stands in for
	Asks    bool    `json:"asks"`     // the rig has yet to say use_spare

	Cables []OutageCable `json:"cables"` // that lead to the voice
	// Map holds the voices whose line on the map changes, as they are then, and
	// Before the same voices as they were.
	Map    []MapVoice   `json:"map"`
	Before []MapVoice   `json:"map_before"`
	Parts  []OutagePart `json:"parts"` // that have fewer voices
	New    []Finding    `json:"new_findings"`
	Songs  []OutageSong `json:"songs"`
	Failed []Failure    `json:"failed"`
}

// OutageCable is a cable that leads to the voice.
type OutageCable struct {
	Cable     string   `json:"cable"` // its name
	From      string   `json:"from"`
	Input     string   `json:"input"`
	MovesTo   *string  `json:"moves_to"`   // an input of the spare; null where it stays or is pulled
	Others    []string `json:"others"`     // on the same jack
	BendCents float64  `json:"bend_cents"` // of those, if this one is pulled: per octave, or all alike in hertz per volt
}

// OutagePart is a part with fewer voices in service.
type OutagePart struct {
	Part   string `json:"part"`
	Before int    `json:"voices_before"`
	After  int    `json:"voices_after"`
}

// OutageSong is what changes in a song.
type OutageSong struct {
	Song    Song  `json:"song"`
	Before  Cost  `json:"before"`
	After   Cost  `json:"after"`
	Without *Cost `json:"without_spare"` // null where no spare stands in
	// What plays wrong each time.
	BeforeLeaves  Wrong  `json:"before_leaves"`
	AfterLeaves   Wrong  `json:"after_leaves"`
	WithoutLeaves *Wrong `json:"without_spare_leaves"`
	More          []Loss `json:"more_losses"` // of notes that were not lost before, and such as are heard more, in the order of time
}
