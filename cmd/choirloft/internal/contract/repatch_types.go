package contract

// Repatch is the way from one set-up of a rack to another.
type Repatch struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	Summary     string `json:"summary"`

	From     string         `json:"from"`
	To       string         `json:"to"`
	Moves    int            `json:"moves"` // pulls, plugs and switches
	Pulls    []RepatchCable `json:"pulls"` // by the panel that they come out of, sources first
	Switches []Switch       `json:"switches"`
	Plugs    []RepatchCable `json:"plugs"`  // by the panel that they lead to
	Stay     int            `json:"stay"`   // cables that are not touched
	Rests    []Rest         `json:"rests"`  // what has to be held in To
	Breaks   []string       `json:"breaks"` // voices whose normal from the common pitch jack a plug breaks
	Closes   []string       `json:"closes"` // voices whose normal is whole again
	Silent   []string       `json:"silent"` // voices that play in From, and not in To
	Needs    Needs          `json:"needs"`
	Outs     []int          `json:"multiple_outs"` // that each multiple needs, the most first
	Fetched  []int          `json:"fetched_outs"`  // the same of those that are not in place in From
	GateOrs  []string       `json:"gate_or_banks"` // banks whose gates go through a gate-OR in all set-ups
	Ways     []Way          `json:"ways"`          // of wiring the sequencer, the fewest moves first
	Findings []Finding      `json:"findings"`
	MiddleC  int            `json:"middle_c"` // the octave of key 60
}

// RepatchCable leads from an output to an input.
type RepatchCable struct {
	FromPanel string `json:"from_panel"`
	From      string `json:"from"`
	ToPanel   string `json:"to_panel"`
	To        string `json:"to"`
	Cable     string `json:"cable"` // its name, on its flag
}

// Switch is the switch of a bank, and where it has to be turned.
type Switch struct {
	Bank string `json:"bank"`
	To   string `json:"to"` // common, own
}

// Rest is an output that stays plugged and has to be held.
type Rest struct {
	Panel  string   `json:"panel"`
	Jack   string   `json:"jack"`
	Inputs []string `json:"inputs"` // that it leads to
	Gate   bool     `json:"gate"`   // it has to stay low
	Volts  *float64 `json:"volts"`  // null for a gate
	Key    *int     `json:"key"`    // that gives them, without bend; null for a gate, and in hertz per volt
}

// Needs is what has to be at hand.
type Needs struct {
	Multiples int `json:"multiples"`
	GateOrs   int `json:"gate_ors"`
}

// Way is one way of wiring the sequencer, tried.
type Way struct {
	Pitches   string  `json:"pitches"` // group, multiples
	Gates     string  `json:"gates"`   // multiples, or
	Through   string  `json:"through"`
	Written   bool    `json:"written"` // the rig has it so
	Moves     int     `json:"moves"`
	Pulls     int     `json:"pulls"`
	Plugs     int     `json:"plugs"`
	Switches  int     `json:"switches"`
	Needs     Needs   `json:"needs"`
	Rests     int     `json:"rests"`
	BendCents float64 `json:"bend_cents"` // of the sequencer's pitches, by load: per octave, or all alike in hertz per volt
}
