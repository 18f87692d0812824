package take

import (
	"fmt"
	"slices"
	"time"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// Kind is what a note of a take is for.
type Kind uint8

// The kinds of notes, in the order in which a voice plays them.
const (
	RollCall Kind = iota // on the parking key
	Reading              // long enough for its pitch
	Gate                 // of 20 ms or less
	Bent                 // held under a full bend
	Fade                 // on the parking key, with silence after it
	Again                // the second roll call
)

var kindNames = [...]string{"roll call", "reading", "gate", "bend", "fade", "again"}

// String returns the name of a kind, as JSON has it.
func (k Kind) String() string { return kindNames[k] }

// Note is one note of a take.
type Note struct {
	Voice    int // index into Rig.Voices
	Kind     Kind
	Key      midi.Key
	Bend     float64 // semitones
	At, Long time.Duration
}

// End is when its gate closes.
func (n *Note) End() time.Duration { return n.At + n.Long }

// Part is what a take plays of one voice.
type Part struct {
	Voice   int // index into Rig.Voices
	Parking midi.Key
	Notes   []Note // in the order of time
	// From and To are where its slot begins and ends, with what fades in it.
	From, To time.Duration
}

// Take is what is played to measure a rack.
type Take struct {
	Plan    *plan.Plan
	Through bool   // keys go through the corrections of the rig
	Parts   []Part // by voice
	Length  time.Duration
	// Left are voices in service that are not in it, by name: they have a CV jack in
	// common with one that is.
	Left []string
}

// Options say what a take plays.
type Options struct {
	Only    []int      // voices, by index; nil for all in service
	Keys    []midi.Key // reading keys; nil for one an octave
	Short   bool       // three reading keys, no short gates, a fade of 1.2 s
	Through bool       // through the corrections of the rig
}

// What a take plays, and how long.
const (
	lead               = time.Second
	called             = 200 * time.Millisecond
	parked             = 400 * time.Millisecond
	low                = 900 * time.Millisecond // of reading keys below lowBelow
	high               = 500 * time.Millisecond
	lowBelow           = midi.Key(48)
	bend               = 2.0 // semitones
	afterGate          = 250 * time.Millisecond
	leastFade          = 2 * time.Second
	mostFade           = 4 * time.Second
	shortFade          = 1200 * time.Millisecond
	shortLow           = 700 * time.Millisecond
	shortHigh          = 350 * time.Millisecond
	longestGate        = 20 * time.Millisecond
	lowestPark         = midi.Key(48)
	highPark           = midi.Key(83)
	octave             = midi.Key(12)
	breath, mostBreath = 130, 290 // ms between notes
)

var gates = []time.Duration{5 * time.Millisecond, longestGate}

// New lays a take out. The error is a *[deal.Error] where the rig or the options do
// not allow it.
func New(p *plan.Plan, o Options) (*Take, error) {
	t := &Take{Plan: p, Through: o.Through}
	if err := t.choose(o); err != nil {
		return nil, err
	}
	l := layout{Take: t, Options: o, at: lead}
	keys, err := l.keys()
	if err != nil {
		return nil, err
	}
	l.park(keys)
	for i := range t.Parts {
		l.call(i, RollCall)
	}
	l.at += lead
	for i := range t.Parts {
		l.slot(i, keys[i])
	}
	for i := range t.Parts {
		l.call(len(t.Parts)-1-i, Again)
	}
	t.Length = l.at + lead
	return t, nil
}

// choose finds the voices that a take plays.
func (t *Take) choose(o Options) error {
	homes, err := deal.Homes(t.Plan)
	if err != nil {
		return err
	}
	jacks := map[[2]int]bool{}
	for i, h := range homes {
		pitch := t.Plan.Map.Voices[i].Lane("pitch")
		if h.Interface < 0 || pitch == nil || !pitch.Fits() || o.Only != nil && !slices.Contains(o.Only, i) {
			continue
		}
		if jack := [2]int{pitch.Interface, pitch.Jack}; !jacks[jack] {
			jacks[jack] = true
			t.Parts = append(t.Parts, Part{Voice: i})
			continue
		}
		t.Left = append(t.Left, t.Plan.Rig.Voices[i].Name)
	}
	if len(t.Parts) == 0 {
		return &deal.Error{Message: "no voice of the take is in service, so there is nothing to play", Hint: "put a voice into service, or name others under --only"}
	}
	return nil
}

// Whole tells whether a take plays every voice that can be in one.
func (t *Take) Whole() bool {
	all := Take{Plan: t.Plan}
	return all.choose(Options{}) == nil && len(all.Parts) == len(t.Parts)
}

// layout places the notes of a take.
type layout struct {
	*Take
	Options
	at time.Duration
	n  int // pauses so far
}

// keys are the reading keys of each part, the highest first, then upwards.
func (l *layout) keys() ([][]midi.Key, error) {
	all := make([][]midi.Key, len(l.Parts))
	for i := range l.Parts {
		voice := &l.Plan.Rig.Voices[l.Parts[i].Voice]
		reach := l.Plan.Map.Voices[l.Parts[i].Voice].Keys
		if len(reach) == 0 {
			return nil, &deal.Error{Message: "no key is in the CV range of " + voice.Name, Hint: "choirloft check says why"}
		}
		low, high := reach[0].Key, reach[len(reach)-1].Key
		keys := within(l.Options.Keys, low, high)
		if l.Options.Keys == nil {
			keys = octaves(low, high, l.Short)
		}
		if len(keys) == 0 {
			return nil, &deal.Error{Message: fmt.Sprintf("none of the keys is in range of %s, which has %d to %d", voice.Name, low, high), Hint: "name others under --keys"}
		}
		all[i] = append([]midi.Key{keys[len(keys)-1]}, keys[:len(keys)-1]...)
	}
	return all, nil
}

// within are those of the keys that are in a range, upwards, each once.
func within(keys []midi.Key, low, high midi.Key) []midi.Key {
	keys = slices.DeleteFunc(slices.Clone(keys), func(k midi.Key) bool { return k < low || k > high })
	slices.Sort(keys)
	return slices.Compact(keys)
}

// octaves is one key an octave, every C; where that leaves fewer than three, every key
// that a third of the range apart makes three of. A short take has three of them.
func octaves(low, high midi.Key, short bool) (keys []midi.Key) {
	for k := (low + octave - 1) / octave * octave; k <= high; k += octave {
		keys = append(keys, k)
	}
	if len(keys) < 3 {
		return within([]midi.Key{low, (low + high) / 2, high}, low, high)
	}
	if short {
		return []midi.Key{keys[0], keys[len(keys)/2], keys[len(keys)-1]}
	}
	return keys
}

// park gives each part its parking key: of a class of pitches that no reading key has,
// and of its own as far as there are any.
func (l *layout) park(reading [][]midi.Key) {
	read, taken := map[midi.Key]bool{}, map[midi.Key]bool{}
	for _, keys := range reading {
		for _, k := range keys {
			read[k%octave] = true
		}
	}
	const stride = 17 // of the keys there are: neighbours park far apart
	span := highPark - lowestPark + 1
	for i := range l.Parts {
		reach := l.Plan.Map.Voices[l.Parts[i].Voice].Keys
		first, last := reach[0].Key, reach[len(reach)-1].Key
		best, found := first, false
		for step := range span {
			k := lowestPark + (midi.Key(i%int(span)*stride%int(span))+step)%span
			if k < first || k > last || read[k%octave] || found && (taken[k] || !taken[best]) {
				continue
			}
			best, found = k, true
		}
		l.Parts[i].Parking, taken[best] = best, true
	}
}

// pause goes on by a pause that is not the last one's: multiples of the golden section
// modulo 1 fall far from each other (Knuth, TAOCP 3, 6.4).
func (l *layout) pause() {
	l.n++
	part := float64(l.n) * 0.618034
	part -= float64(int(part))
	l.at += time.Duration(breath+part*(mostBreath-breath)) * time.Millisecond
}

// play adds a note. What is bent is the reading key under a full bend.
func (l *layout) play(part int, kind Kind, key midi.Key, bend float64, long time.Duration) {
	p := &l.Parts[part]
	p.Notes = append(p.Notes, Note{Voice: p.Voice, Kind: kind, Key: key, Bend: bend, At: l.at, Long: long})
	l.at += long
}

func (l *layout) call(part int, kind Kind) {
	l.play(part, kind, l.Parts[part].Parking, 0, called)
	l.pause()
}

// slot plays all of one voice but its roll calls.
func (l *layout) slot(part int, keys []midi.Key) {
	p := &l.Parts[part]
	p.From = l.at
	for _, k := range keys {
		l.play(part, Reading, k, 0, l.long(k))
		l.pause()
	}
	middle := keys[(len(keys)+1)/2%len(keys)]
	if !l.Short {
		for _, g := range gates {
			l.play(part, Gate, middle, 0, g)
			l.at += afterGate
		}
	}
	if l.bends() && !l.Short {
		for _, by := range []float64{bend, -bend} {
			l.play(part, Bent, middle, by, high)
			l.pause()
		}
	}
	l.play(part, Fade, p.Parking, 0, parked)
	l.at += l.fade(p.Voice)
	l.pause()
	p.To = l.at
}

func (l *layout) long(k midi.Key) time.Duration {
	switch {
	case l.Short && k < lowBelow:
		return shortLow
	case l.Short:
		return shortHigh
	case k < lowBelow:
		return low
	}
	return high
}

// bends tells whether the plan bends, by detune or by corrections.
func (l *layout) bends() bool {
	return len(l.Plan.Rig.Corrections) > 0 || slices.ContainsFunc(l.Plan.Rig.Parts, func(p profiles.Part) bool { return p.Unison.Voices > 1 })
}

// fade is how long the last note of a slot is left to fade: half the release that the
// rig says, which is 30 dB of it.
func (l *layout) fade(voice int) time.Duration {
	if l.Short {
		return shortFade
	}
	return max(leastFade, min(mostFade, l.Plan.Rules.Config.Voices[voice].Envelope.Release/2))
}
