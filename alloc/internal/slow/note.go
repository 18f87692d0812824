package slow

import (
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// Note is a note with the gate it has when voices are without limit.
type Note struct {
	Part       int
	Port       midi.Port
	Channel    midi.Channel
	Key        midi.Key // as it came in
	Sounding   int      // after transposition
	Velocity   uint8
	Tick       midi.Tick
	Start      time.Duration
	KeyUp      time.Duration // from here on a pedal, or nothing, holds the gate
	End        time.Duration // the gate is up in [Start, End)
	Superseded bool          // its key was struck again while the gate was up
	Swallowed  bool          // ended by an earlier off of the key that sounds, which is still down
	Stuck      bool          // its off is missing
	Zero       bool          // it had no length in the song
}

// gate is a note on its way, as the gates pass sees it.
type gate struct {
	Note
	under   wire          // the key that sounds: its own, but a mono note goes on under others
	state   alloc.State   // Held, Pedal, or Free once the gate is closed
	keyDown bool          // its off is still to come
	latched bool          // by sostenuto
	early   bool          // it is on the pedal by an earlier off of the key that sounds
	closing bool          // the close is due at closeAt, for the minimum gate
	closeAt time.Duration //
	falls   time.Duration // the pulse is over, where the part has such
}

// identity is what tells keys apart.
type identity struct {
	part    int
	port    midi.Port
	channel midi.Channel
	key     midi.Key
}

func (n gate) identity() identity { return identity{n.Part, n.Port, n.Channel, n.Key} }

// sounds is the identity of the key that sounds.
func (n gate) sounds() identity { return identity{n.Part, n.under.port, n.under.channel, n.under.key} }

// line is a channel of a port, and wire a key on it.
type line struct {
	port    midi.Port
	channel midi.Channel
}

type wire struct {
	line
	key midi.Key
}

// pressedKey is a key of a mono part that is down.
type pressedKey struct {
	wire
	latched bool // by sostenuto
}

// happeningKind says what happened to a gate.
type happeningKind uint8

const (
	opened   happeningKind = iota // note's gate opens; prev is the one it supersedes
	muted                         // mono: note's key is pressed and will not sound
	returned                      // mono: note goes on under an earlier key that is still down
	raised                        // note's key is up, whatever comes of its gate
	kept                          // note's key is up, a pedal keeps its gate up
	closed                        // note's gate closes
	bent                          // the bend of a line is now bends, by part
	pressed                       // note's pressure, or everyone's on a line, is now pressure
)

// happening is one thing the gates pass found, in the order of its acting.
type happening struct {
	at       time.Duration
	kind     happeningKind
	note     int
	prev     int  // or −1
	legato   bool // the gate stays high: no attack
	line     line
	sounding int       // the key that note is to sound
	bend     float64   // of note, in semitones
	bends    []float64 // of a line, by part
	pressure uint8
}
