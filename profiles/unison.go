package profiles

import "strconv"

// Unison is several voices on one note.
type Unison struct {
	Voices   int      // 1–64, default 1; at most 12 under LawUneven
	Spread   Cents    // total width, lowest to highest: 0–2400, default 12
	Law      Law      // of the detune, default uneven
	Power    float64  // exponent of LawPower, 0.1–10, default 2
	Detune   DetuneBy // what a detune belongs to, default the position
	Scaling  Scaling  // of the detune over the keys, default constant cents
	Recentre bool     // take the mean of the detunes out, so that they sum to 0
	Pan      Share    // of the stereo width, 0–1, default 0.6
	Short    WhenShort
	Regrow   bool // of Elastic: notes that go on take the voices of one that ends
}

// Pattern is the law as a rig file writes it, with its exponent where that is not the usual one.
func (u *Unison) Pattern() string {
	if u.Law == LawPower && u.Power != 2 {
		return u.Law.String() + " " + strconv.FormatFloat(u.Power, 'f', -1, 64)
	}
	return u.Law.String()
}

// Law says how a unison's voices are spread over its width.
type Law uint8

// The laws.
const (
	LawUneven Law = iota // no two differences alike; ends at 12 voices
	LawEven
	LawPower
	LawGolden
	LawRandom
)

// maxUneven is how many voices the uneven law goes to: that of routing/detune,
// whose rulers end there.
const maxUneven = 12

// DetuneBy says what a detune belongs to.
type DetuneBy uint8

// What a detune belongs to.
const (
	ByPosition DetuneBy = iota // the place in the stack, whichever voice plays it
	ByVoice                    // the voice, whatever it plays
)

// Scaling says how a detune changes over the keys.
type Scaling uint8

// How a detune changes over the keys.
const (
	ScalingCents   Scaling = iota // the same cents everywhere: beats double with each octave
	ScalingHertz                  // the same beats everywhere: cents halve with each octave
	ScalingBetween                // half way: both change by √2 with each octave
)

// WhenShort says what a unison does when voices are short.
type WhenShort uint8

// What to do when voices are short.
const (
	Blocks  WhenShort = iota // fixed groups
	Thin                     // what there is
	Wait                     // start late
	Elastic                  // share all voices
)
