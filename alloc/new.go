package alloc

import (
	"math/rand/v2"
)

// MaxVoices is the largest number of voices an engine can have.
const MaxVoices = 4096

// partState is a part and what the engine remembers of it.
type partState struct {
	pools   []*pool
	pointer int32 // the voice last taken, of a stack the one at its last position; none
	shelf   int32 // where its open gates stand in a pool
	// looksBeyond: its picking rule may name a voice though none is free.
	looksBeyond bool
	special     bool // a reserve, a limit, unison, a zone or a window that drops notes
	detunes     bool
	Part
	voices  []int32 // all of them in service, ascending
	rivals  []int32 // parts with a reserve on voices that this one may use
	random  *rand.Rand
	window  Window    // from the lowest to the highest pitch of its voices
	blocks  [][]int32 // unison blocks: their voices in service
	waiting []int32   // slots of notes that wait for voices, the oldest first
}

// New returns an engine for a rack and its parts, all voices free. It refuses
// a configuration that names what is not there.
func New(cfg Config) (*Engine, error) {
	if err := cfg.check(); err != nil {
		return nil, err
	}
	e := &Engine{outer: outer{note: NoNote}}
	e.fleet.init(cfg.Voices, cfg.FreeDB)
	e.gates.init(cfg.Parts, cfg.MinGate, e, &e.now)
	e.addParts(cfg.Parts)
	e.addPools()
	e.freeAll()
	return e, nil
}
