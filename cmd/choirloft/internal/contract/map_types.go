package contract

// Map is the channel map of a rig: which jack and message drives which voice.
type Map struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	Summary     string `json:"summary"`

	Voices      []MapVoice  `json:"voices"`
	Lanes       []MapLane   `json:"lanes"` // shared by a bank, or only wired
	Macros      []MapLane   `json:"macros"`
	Paths       []Path      `json:"paths"` // from jacks to inputs
	Cables      []Cable     `json:"cables"`
	CablesToBuy []CableLot  `json:"cables_to_buy"`
	Spare       Spare       `json:"spare"`
	Unisons     []Unison    `json:"unisons"`
	Missing     []string    `json:"missing"` // lanes that have no jack
	Steps       []Step      `json:"steps"`   // ways down that make everything fit
	Growth      *Growth     `json:"growth"`  // what ends first in a larger rack
	Findings    []Finding   `json:"findings"`
	boxes       []boxReport // by interface
	panels      []Panel
	changes     func() []*Repatch
	middleC     int
}

// MapVoice is one voice on the map. Part, unison, detune and pan are those of
// the first part that plays on it; Seats has them for every part.
type MapVoice struct {
	Voice       int       `json:"voice"` // from 1
	Name        string    `json:"name"`
	Bank        string    `json:"bank"`
	Position    int       `json:"position"`
	State       string    `json:"state"` // in, out, limited, spare
	LowKey      int       `json:"low_key"`
	HighKey     int       `json:"high_key"`
	StandsInFor *string   `json:"stands_in_for"` // of a spare that plays for another voice
	Pitch       *Jack     `json:"pitch"`         // null without a jack, as is gate
	Gate        *Jack     `json:"gate"`
	Lanes       []MapLane `json:"lanes"` // further inputs
	Part        *string   `json:"part"`
	Unison      *Stack    `json:"unison"`
	DetuneCents *float64  `json:"detune_cents"` // null where it changes from note to note
	Pan         *float64  `json:"pan"`          // −1 left … 1 right; null as above
	Seats       []Seat    `json:"seats"`
	ZeroKey     *int      `json:"zero_key"` // null in hertz per volt
	VoltsAt     VoltsAt   `json:"volts_at"` // before corrections, at both ends and each C
	Budget      *Budget   `json:"budget"`   // null where no pitch reaches it
	box         int       // index of the interface of its pitch; −1 without
	agree       bool      // all seats are alike
}

// Jack is an output of an interface and the message that moves it. Numbers
// count from 1.
type Jack struct {
	Jack      int     `json:"jack"`
	Kind      string  `json:"kind"` // cv, gate; output, which gives either
	Connector int     `json:"connector"`
	Place     int     `json:"place"` // on the connector
	Interface string  `json:"interface"`
	Port      *int    `json:"port"` // null on an audio interface, and where nothing is left
	Channel   *int    `json:"channel"`
	Message   *string `json:"message"`
	Pinned    bool    `json:"pinned"`
}

// MapLane is a lane that has a jack.
type MapLane struct {
	Name  string   `json:"name"`
	Input *string  `json:"input"` // null for a macro
	Bank  *string  `json:"bank"`
	To    []string `json:"to"` // the inputs that it moves
	Jack
}

// Stack is a place in a unison.
type Stack struct {
	Stack    *int `json:"stack"`    // from 1; null where stacks are not fixed
	Position *int `json:"position"` // from 1; null where it changes from note to note
	Of       int  `json:"of"`       // voices on a note
}

// Seat is a voice's place in one part.
type Seat struct {
	Part        string   `json:"part"`
	Unison      Stack    `json:"unison"`
	DetuneCents *float64 `json:"detune_cents"`
	Pan         *float64 `json:"pan"`
	idle        bool     // left over by the fixed stacks of the part
}

// Spare counts free jacks and names them.
type Spare struct {
	CV     int          `json:"cv"`
	Gates  int          `json:"gates"`
	Either int          `json:"either"` // outputs that give a CV or a gate
	Jacks  []SpareJacks `json:"jacks"`
}

// SpareJacks are the free jacks of one kind on an interface.
type SpareJacks struct {
	Interface string `json:"interface"`
	Kind      string `json:"kind"`
	Jacks     []int  `json:"jacks"`
}

// Step is a way down that was tried and makes everything fit.
type Step struct {
	Text   string `json:"text"`
	CV     int    `json:"cv"` // free jacks then
	Gates  int    `json:"gates"`
	Either int    `json:"either"`
}
