package profiles

import (
	"fmt"
	"strings"

	"choirloft/alloc"
)

// Interface is a box that turns MIDI, or audio channels, into CV and gates.
type Interface struct {
	Name    string
	Profile string // name of a built-in profile or path of a profile file; may be empty
	Pos     Pos    // of its name

	CV    int // CV jacks, 0–1024
	Gates int // gate jacks, 0–1024
	// Outputs counts jacks each of which gives a CV or a gate, as wanted:
	// 0–1024. CV and Gates are 0 where it is not.
	Outputs          int
	Connector        int      // jacks per connector, 1–128, default 8
	Window           Window   // default 0–5 V
	FullScale        Volts    // of a sample in a file of CVs, 0.1–20 V; 0: see FullVolts
	ZeroKey          int      // the key at 0 V, 0–127, default 36
	Scale            Scale    // default 1 V/oct
	Bits             int      // of the converter, 6–32, default 16
	OutputResistance Ohms     // 0–1 Mohm, default 100; 0: inside the loop
	Gate             Gate     // default 5 V
	Active           Active   // when a key is down; Closed with S-trig alone, default High
	Trigger          Duration // 0.1 ms–1 s: its gates are no longer than this; 0: as long as the note
	Link             Link     // default usb
	Tuning           Tuning   // who tunes its voices, default TuningByBend
	Trimmed          bool     // its CVs have been trimmed; default true
	// GainError, OffsetError and Nonlinearity, in steps of the converter, are limits
	// either way: 0–10 %, 0–1 V, 0–4096. They are nil where the rig does not say.
	GainError    *Share
	OffsetError  *Volts
	Nonlinearity *float64
	Update       Duration // longest time until a new CV is there, 0–1 s, default 0
	Settling     Duration // time constant of a CV, 0–1 s, default 0: not said
	Ports        int      // MIDI ports, 1–128; default 2, or 4 above 32 CVs

	Row     int // of the rack, from 1; 0 if not said
	HP      int // width, 0–1000
	Current Currents
}

// FullVolts are the volts of a sample at full scale: FullScale, or the larger end
// of the window where that is not given.
func (i *Interface) FullVolts() Volts {
	if i.FullScale > 0 {
		return i.FullScale
	}
	return max(i.Window.High, -i.Window.Low)
}

// Window is the range of a CV output: −20…+20 V, Low < High.
type Window struct{ Low, High Volts }

// Scale is the law between pitch and volts. Either PerOctave is positive, or
// the law is hertz per volt and a CV of At volts plays Reference hertz.
type Scale struct {
	PerOctave Volts // 0.1–10 V/oct; 0 for hertz per volt
	Reference Hertz // 1–20 000 Hz
	At        Volts // 0.01–20 V
}

// HertzPerVolt tells whether the volts double with each octave.
func (s Scale) HertzPerVolt() bool { return s.PerOctave == 0 }

// Gate is how an output says that a key is down.
type Gate struct {
	STrig bool  // a short to ground
	Volts Volts // otherwise the volts of a gate that is high: 1–20
}

// Link is how an interface is fed.
type Link uint8

// The links.
const (
	USB     Link = iota // full speed
	DIN                 // 5-pin MIDI, 31 250 Bd
	Audio               // channels of a DC-coupled audio interface
	USBHigh             // high speed
)

// Tuning says who adds the detune and the correction of a voice to its pitch.
type Tuning uint8

// Who tunes the voices of an interface.
const (
	// TuningByBend: the interface knows of no tuning, so that pitch bend in what
	// is dealt to it has to do that.
	TuningByBend Tuning = iota
	// TuningOwn: the interface has been told the correction of every voice, and
	// the detune that is the voice's whatever it plays.
	TuningOwn
)

// Sequencer is a further source of pitch and gate pairs, for other set-ups.
type Sequencer struct {
	Name    string
	Profile string
	Pos     Pos

	Parts            int      // pitch and gate pairs, 1–64
	Window           Window   // default 0–5 V
	ZeroKey          int      // the key at 0 V, 0–127, default 36
	Scale            Scale    // default 1 V/oct
	OutputResistance Ohms     // 0–1 Mohm, default 100
	Gate             Gate     // default 5 V
	Active           Active   // when a key is down; Closed with S-trig alone, default High
	Trigger          Duration // 0.1 ms–1 s: its gates are no longer than this; 0: as long as the note
}

// Kind is a kind of voice.
type Kind struct {
	Name    string
	Profile string // name or path; empty for a built-in kind itself
	Pos     Pos    // of its name; zero for a built-in kind

	Envelope        alloc.Envelope // default 5 ms, 300 ms, 1, 1.5 s
	PitchResistance Ohms           // of the pitch input, 1 kohm–10 Mohm, default 100 k
	GateThreshold   Volts          // 0.1–20 V, default 2.5
	GateResistance  Ohms           // of the gate input, 1 kohm–10 Mohm, default 100 k
	GateInput       GateInput      // default V-trig
	GroupPitch      GroupPitch     // default none
	Jacks           []InputJack    // of its inputs, those that are not plain
	Has             []string       // the inputs a voice has
	Inputs          []string       // those that get a lane for each voice
	Sound           Sound          // default saw, 2 kHz, 0
	// Drift is the standard deviation of the change of tuning between tuning and
	// playing: 0–100, by default 2, or 10 in a rig that is played cold.
	Drift       Cents
	Tracking    Cents // limit of the error an octave from TrimKey: 0–100, default 3
	TrimKey     int   // at which the oscillator is in tune, 0–127, default 60
	Compensated bool  // its pitch does not go with temperature; default true
	BalanceKey  int   // at which it would not in any case, 0–127, default 60
	// Measured are the values that somebody measured; the rig gives others too.
	Measured []Measurable
}

// Measurable is a value of a kind on which answers rest.
type Measurable uint8

// What a kind can call measured.
const (
	MeasuredRelease Measurable = iota
	MeasuredDrift
)

// Sound is what a kind of voice sounds like: a wave through a low-pass of four
// poles without resonance.
type Sound struct {
	Wave   Shape
	Cutoff Hertz // at key 60, where the filter takes 12 dB: 100–20000
	Track  Share // by how much of an octave the cutoff follows a key by an octave: 0–1
}

// GateInput says what opens a gate input.
type GateInput uint8

// The kinds of gate input.
const (
	VTrig GateInput = iota // volts above a threshold
	STrig                  // a short to ground
)

// GroupPitch says what a bank's common pitch jack does.
type GroupPitch uint8

// The kinds of group pitch jack.
const (
	GroupNone     GroupPitch = iota
	GroupSums                // adds to each voice's own pitch
	GroupNormal              // normalled: a plug in a voice's own jack breaks it
	GroupSwitched            // a switch chooses group or own jack
)

// Bank is a group of voices of one kind that end in one submixer.
type Bank struct {
	Name  string // never ends in a digit
	Pos   Pos    // of its name
	Kind  int    // index into Rig.Kinds
	First int    // index into Rig.Voices of its first voice
	Size  int    // number of voices, 1–1024

	// UseSpare: the first spare plays in place of the first voice that is
	// out; see Rig.Replaced. The states of the voices stay as written.
	UseSpare bool
	Shared   Shared // what its voices have from one jack
	// Gates says how the gates of voices open that have their pitch from one jack, as
	// they do by Shared or by wiring.
	Gates   SharedGates
	Colour  Colour   // of its cables
	Lanes   []string // inputs with one CV for the whole bank
	Row     int      // of the rack, from 1; 0 if not said
	HP      int      // width, 0–1000
	Current Currents
}

// Shared says what the voices of a bank have from one jack.
type Shared uint8

// What they may have so. On one pitch jack they play one note at a time; on one gate jack
// their notes have one envelope.
const (
	SharedNone Shared = iota
	SharedPitch
	SharedGate
)

// SharedGates says how the gates of voices open that have one pitch.
type SharedGates uint8

// The ways: all with every note, or that of one voice with each note, one after the other.
const (
	Together SharedGates = iota
	InTurn
)

// Colour is what the cables of a bank are known by.
type Colour uint8

// The colours of the code for resistors, from 1 to 9 and then 0 (IEC 60062).
const (
	Brown Colour = iota
	Red
	Orange
	Yellow
	Green
	Blue
	Violet
	Grey
	White
	Black
)

// colourAt is the colour of a bank that is given none: they go round.
func colourAt(bank int) Colour { return Colour(bank % len(colourNames)) }

// Voice is one voice of a bank.
type Voice struct {
	Name     string // bank and position: K1 … P4
	Bank     int    // index into Rig.Banks
	Position int    // in the bank, from 1
	// State is Out before Spare before Limited, where several are written.
	State alloc.VoiceState
	// Keys are the sounding keys that the voice tracks: 0–127 unless limited,
	// and kept though the voice is out.
	Keys alloc.KeyRange
	Pos  Pos // where its state is written, else that of its bank
	// Answer is what was measured of the voice itself; nil for nothing.
	Answer *Answer
}

// InService tells whether the voice may be picked, as it is written: see
// Rig.Replaced for spares.
func (v Voice) InService() bool { return v.State.InService() }

// Currents is what a module draws, or a supply gives, on each rail.
type Currents []Current

// Current is the current on one rail.
type Current struct {
	Rail Rail
	Amps Amperes
}

// Text is the currents as a rig file has them, in mA to 0.001 mA.
func (c Currents) Text() string { return c.text("") }

// Ratings is the same with the unit beside each, as supplies have them.
func (c Currents) Ratings() string { return c.text(" mA") }

func (c Currents) text(measure string) string {
	texts := make([]string, len(c))
	for i, x := range c {
		texts[i] = fmt.Sprintf("%+d: %s%s", x.Rail, decimalText(float64(x.Amps)*1000, 3), measure)
	}
	return "{" + strings.Join(texts, ", ") + "}"
}

// Rail is a supply rail, by its volts: +12, −12, +5, +15 or −15.
type Rail int

// On returns the current on a rail, 0 if none is named.
func (c Currents) On(rail Rail) Amperes {
	for _, x := range c {
		if x.Rail == rail {
			return x.Amps
		}
	}
	return 0
}

// Gear is another module in the rack. What it does with voltages, if anything,
// has wires into it and out of it.
type Gear struct {
	Name string
	Does Does
	Outs int // outputs of a multiple, 2–64; of a passive one 0 if not said
	Ins  int // wires that lead to it
	// Gain is that of an attenuator, over 0 and at most 1, before anything hangs on it;
	// Pot its resistance, where it is one without an amplifier, else 0.
	Gain  float64
	Pot   Ohms
	Volts Volts    // that an offset adds
	Pulse Duration // how long a gate of a trigger is, 0.1 ms–1 s, default 5 ms
	// On and To are what wires from it lead to: modules, as indexes into Rig.Gear, and
	// inputs.
	On      []int
	To      []Target
	Inputs  int // of a mixer, for submixers of banks: 0–1024; 0 if not said
	Pos     Pos
	Row     int // from 1; 0 if not said
	HP      int
	Current Currents
}

// Does says what a module does with the voltages that wires lead into it.
type Does uint8

// What a module may do.
const (
	DoesNothing   Does = iota
	DoesPassive        // one output to several inputs, joined
	DoesBuffered       // one output to several inputs, each by an amplifier
	DoesAdd            // the sum of several outputs
	DoesAttenuate      // a share of what leads into it: Gear.Gain
	DoesOffset         // Gear.Volts more
	DoesInvertCV       // 0 V less what leads into it: gain −1
	DoesOr             // a gate that is high while one of several is
	DoesToShort        // a gate of volts closes a contact to ground: S-trig
	DoesFromShort      // a contact to ground raises a gate of volts
	DoesInvert         // a gate is high while another is low
	DoesTrigger        // a gate is high for Gear.Pulse from when another goes high, and no longer
)

// Joins tells whether it takes several outputs.
func (d Does) Joins() bool { return d == DoesAdd || d == DoesOr }

// Scales tells whether what comes out of it is another CV than what leads into it.
func (d Does) Scales() bool { return d >= DoesAttenuate && d <= DoesInvertCV }

// forCVs tells whether it is for CVs alone.
func (d Does) forCVs() bool { return d >= DoesAdd && d <= DoesInvertCV }

// forGates tells whether it is for gates alone.
func (d Does) forGates() bool { return d >= DoesOr }

// Supply is a power supply and what it feeds.
type Supply struct {
	Name   string
	Pos    Pos
	Rating Currents
	Feeds  []Fed
}

// Fed names one thing that a supply feeds.
type Fed struct {
	Name string
	Pos  Pos
	What FedKind
	At   int // index into Rig.Banks, Interfaces or Gear
}

// FedKind says in which list of a rig a [Fed] thing stands.
type FedKind uint8

// What a supply can feed.
const (
	FedBank FedKind = iota
	FedInterface
	FedGear
)

// Rack is the case.
type Rack struct {
	HP int // width of a row, 1–1000, default 104
}
