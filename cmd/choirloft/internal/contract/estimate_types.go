package contract

// Estimate is how many voices a way of playing wants: what traffic theory says
// beside what the engine makes of notes played at random. Shares are 0–1.
type Estimate struct {
	Version     int      `json:"version"`
	Rig         string   `json:"rig"`
	Fingerprint string   `json:"fingerprint"`
	Summary     string   `json:"summary"`
	Advice      []string `json:"advice"`
	Voices      int      `json:"voices"` // in service
	// BankSize is that of the largest bank, in voices.
	BankSize int    `json:"bank_size"`
	Rules    string `json:"rules"` // those of the rig's parts, in words
	// OwnRules are those of the rig's parts; null where these differ.
	OwnRules *RulesName `json:"own_rules"`
	Playing  Playing    `json:"playing"`
	Load     Loads      `json:"load"`
	// Exact: stealing the oldest damages the share that theory says; else that
	// much at most.
	Exact  bool             `json:"exact"`
	Enough []EstimateEnough `json:"enough"`
	Curve  []EstimatePoint  `json:"curve"` // the numbers of voices that were played
	// Covered are the searches that the budget ended before all was tried, as of a
	// song; empty where it was enough.
	Covered []Coverage `json:"covered"`
	// LeftAside is what theory takes no account of, and the played notes do.
	LeftAside LeftAside `json:"left_aside"`
	RestsOn   Values    `json:"rests_on"`
	Findings  []Finding `json:"findings"`
}

// LeftAside is what theory leaves aside of a rig.
type LeftAside struct {
	ReservesLimits bool     `json:"reserves_or_limits"` // a part keeps or spares voices
	Unisons        []string `json:"unisons"`            // what unisons do when voices are short: thin, wait, elastic
}

// Playing is what is played, and by whom.
type Playing struct {
	Text   string          `json:"text"`
	Layers []EstimateLayer `json:"layers"`
	Player Player          `json:"player"`
}

// EstimateLayer is one stream of notes or chords, and what it offers.
type EstimateLayer struct {
	Text          string  `json:"text"`
	Part          string  `json:"part"`
	Fewest        int     `json:"fewest_notes"` // of a chord
	Most          int     `json:"most_notes"`
	ChordsPerS    float64 `json:"chords_per_s"`
	NotesPerS     float64 `json:"notes_per_s"`
	Even          bool    `json:"even"`
	KeyS          float64 `json:"key_s"`
	PedalS        float64 `json:"pedal_s"` // from lift to lift; 0 without
	GateS         float64 `json:"gate_s"`  // mean, with the pedal
	TailS         float64 `json:"tail_s"`  // audible
	Unison        int     `json:"unison"`  // voices of a note
	HeldErlang    float64 `json:"held_erlang"`
	PedalErlang   float64 `json:"pedal_erlang"`
	AudibleErlang float64 `json:"audible_erlang"`
}

// Player is the random player and what it played.
type Player struct {
	Generator string  `json:"generator"`
	Seed      uint64  `json:"seed"`
	LengthS   float64 `json:"length_s"` // of what counts
	MarginS   float64 `json:"margin_s"` // before and after it
	Notes     int     `json:"notes"`    // in all
	Counted   int     `json:"counted"`
	Batches   int     `json:"batches"`
	Restruck  int     `json:"restruck"` // struck a key that still sounded
}

// Loads is what is offered on average: notes in erlang, and their voices.
type Loads struct {
	HeldErlang    float64 `json:"held_erlang"`
	PedalErlang   float64 `json:"pedal_erlang"`
	AudibleErlang float64 `json:"audible_erlang"`
	HeldVoices    float64 `json:"held_voices"`
	PedalVoices   float64 `json:"pedal_voices"`
	AudibleVoices float64 `json:"audible_voices"`
	// Little is notes a second times mean gate of the run, Sounding the mean number
	// of notes that sounded in it, keys and pedal.
	Little   float64 `json:"little_notes"`
	Sounding float64 `json:"sounding_notes"`
}

// EstimateEnough is how many voices damage at most a share of the notes; null
// where the curve ends before.
type EstimateEnough struct {
	AtMost   float64 `json:"at_most"`
	Refusing *int    `json:"erlang_b"`
	Poisson  *int    `json:"poisson"`
	Chords   *int    `json:"chords"`
	Tails    *int    `json:"tails"`
	Own      *int    `json:"own_played"`
}

// EstimatePoint is a number of voices.
type EstimatePoint struct {
	Voices  int     `json:"voices"`
	ErlangB float64 `json:"erlang_b"` // refused, of notes that come one by one
	Poisson float64 `json:"poisson"`  // damaged by stealing the oldest, the same
	Chords  float64 `json:"chords"`   // damaged by stealing the oldest, as they come
	Tails   float64 `json:"tails"`    // cut something that is heard
	// Above is the share of the time in which more are wanted.
	AboveHeld    float64 `json:"above_held"`
	AbovePedal   float64 `json:"above_pedal"`
	AboveAudible float64 `json:"above_audible"`
	// MustDamage is the share of all notes of the run that every rule damages.
	MustDamage float64    `json:"must_damage_played"`
	Refusing   PlayedCost `json:"refusing_played"`
	Oldest     PlayedCost `json:"oldest_played"`
	Own        PlayedCost `json:"own_played"`
}

// PlayedCost is what became of the notes that count.
type PlayedCost struct {
	Cost
	Share         float64 `json:"damaged_share"`
	StandardError float64 `json:"damaged_standard_error"`
	TailShare     float64 `json:"tail_cut_share"`
}
