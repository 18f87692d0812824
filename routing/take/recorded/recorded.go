package recorded

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/take"
	"choirloft/routing/tuning"
)

// State is what became of a voice in a take.
type State uint8

// The states. Crossed: what sounds in its slot is the parking key of another voice.
// Doubled: another voice sounds besides.
const (
	OK State = iota
	Silent
	Crossed
	Unplugged
	Stuck
	Doubled
	Octave
)

var stateNames = [...]string{"ok", "silent", "crossed", "unplugged", "stuck", "doubled", "octave"}

// String returns the name of a state, as JSON has it.
func (s State) String() string { return stateNames[s] }

// Reading is the pitch of a key.
type Reading struct {
	Key   midi.Key
	Bend  float64 // semitones, of a note under a full bend
	Hertz float64 // by the player's clock
	Cents float64 // above the key as it was sent
	Sigma float64 // standard deviation in cents
}

// Voice is what a recording says of a voice. What is NaN could not be told.
type Voice struct {
	Voice      int // index into Rig.Voices
	State      State
	With       int     // the other voice; −1 for none
	Octaves    int     // off, where the state is Octave
	Confidence float64 // 0–1: by how much more of the sound this state explains than the next one
	Release    float64 // T60, seconds
	Attack     float64 // from silence to full, seconds, as the rig counts it
	Level      float64 // dB below full scale, of the key nearest to middle C
	Latency    float64 // seconds behind the quickest voice
	Gate       float64 // the shortest gate that opened it, seconds
	Moved      float64 // cents that it rose from the first roll call to the second
	Sigma      Sigma
	Readings   []Reading
	Heard      []float64 // of each note of its part, the key at which it was heard
}

// Sigma are standard deviations of figures of a voice.
type Sigma struct{ Release, Attack, Level, Latency float64 }

// Result is what a recording says of a take.
type Result struct {
	Take   *take.Take
	Voices []Voice // by part of the take
	Start  float64 // seconds into the recording
	PPM    float64 // by which the recorder's clock runs faster than the player's
	Second float64 // how well the second best place fits, as a share of the best
	Peak   float64 // of the recording; 1 is full scale
	Rate   int     // frames a second
	Path   profiles.SoundPath
	// Called: the second roll call is heard, so that the two clocks are compared.
	Called bool
}

// Clipped tells whether the recording meets full scale: of its levels and attacks nothing
// is known then.
func (r *Result) Clipped() bool { return r.Peak > clipped }

// clipped is the peak above which a recording counts as clipped: −0.1 dB.
const clipped = 0.9886

// silence is the peak below which nothing sounds: −70 dB.
const silence = 0.000316

// Refusal says why a recording is of no use.
type Refusal struct{ Message, Hint string }

// Error returns the message, without the hint.
func (e *Refusal) Error() string { return e.Message }

func refuse(message, hint string) error { return &Refusal{message, hint} }

// reader reads one recording.
type reader struct {
	ctx     context.Context // of the one call that it reads for
	take    *take.Take
	sounds  []*tuning.Sound
	only    int   // that is read, or everySound
	rate    int   // frames a second
	frames  int64 // of the longest
	short   bool  // one says that it has more
	other   []float64
	clock   clock
	fit     float64
	second  float64
	peak    float64
	wide    []float64 // how much it rises, hop by hop, each the largest of three
	spectra *spectra
	drones  []drone
	loud    float64 // mean square of a voice, the median of all
}

// Read says what a recording tells of a take. The error is a *[Refusal] where it tells
// nothing, or that of ctx where it ends first.
func Read(ctx context.Context, t *take.Take, from Recording) (*Result, error) {
	if err := from.together(); err != nil {
		return nil, err
	}
	r := newReader(ctx, t, from)
	parked := func(part int) float64 { return float64(t.Parts[part].Parking) }
	if err := r.place(); err != nil {
		return nil, r.otherwise(from, err)
	}
	if err := r.setClock(parked); err != nil {
		return nil, err
	}
	slots, err := r.slots()
	if err != nil {
		return nil, err
	}
	out := &Result{Take: t, Voices: r.judge(slots), Second: r.second, Peak: r.peak, Rate: r.rate, Path: from.Path}
	if err := r.follows(out, slots); err != nil {
		return nil, err
	}
	if err := r.setClock(out.called); err != nil { // by those alone whose keys are known
		return nil, err
	}
	out.Start, out.PPM = r.clock.offset, (r.clock.rate-1)*1e6
	for i := range out.Voices {
		r.only = from.of(i)
		err := r.measure(&out.Voices[i], &slots[i])
		r.only = everySound
		if err := errors.Join(err, r.hearNotes(&out.Voices[i], &slots[i])); err != nil {
			return nil, err
		}
	}
	fromQuickest(out.Voices)
	return out, nil
}

// follows refuses the recording of another take of the same rig: much of that is alike,
// but not both roll calls at once, since its slots are longer or shorter. Of the voices
// that sound where they should, half must be heard in both, or in all of their slot; of
// those that are crossed in the last one, for before it nothing says where their pitch rests.
func (r *reader) follows(out *Result, slots []slot) error {
	known, placed, ok := 0, 0, false
	for i := range out.Voices {
		key := out.called(i)
		if math.IsNaN(key) {
			continue
		}
		notes := r.take.Parts[i].Notes
		calls := []*take.Note{&notes[len(notes)-1]}
		if out.Voices[i].State != Crossed {
			calls = append(calls, &notes[0])
		}
		both := true
		for j, n := range calls {
			at, _, err := r.rise(n, key)
			if err != nil {
				return err
			}
			spec, err := r.spectrum(n.At.Seconds()+settle/2, n.End().Seconds())
			if err != nil {
				return err
			}
			is := !math.IsNaN(at) && spec.comb(r.hertz(key)).share >= leastShare/2
			both, out.Called = both && is, out.Called || is && j == 0
		}
		known, ok = known+1, ok || out.Voices[i].State == OK
		if both || r.whole(&out.Voices[i], &slots[i]) {
			placed++
		}
	}
	const hint = "name the take that was played with --take, or record this one"
	switch {
	case r.second > doubtful && !ok:
		return refuse("no voice plays what the take asks for: the recording is of another take", hint)
	case 2*placed < known:
		return refuse("the two roll calls are not where this take has them: the recording is of another take", hint)
	}
	return nil
}

// whole tells whether every note of a slot sounds as the state of its voice expects.
func (r *reader) whole(v *Voice, s *slot) bool {
	return !slices.ContainsFunc(s.segments, func(g segment) bool {
		key, ok := r.expected(v, g.note)
		return !ok || g.spec.comb(r.hertz(key)).share < leastShare
	})
}

// otherwise looks what follows a take that a recording as a whole does not: one of its
// channels alone, or the recording another take of the same rig.
func (r *reader) otherwise(from Recording, refused error) error {
	var told *Refusal
	if !errors.As(refused, &told) || told.Message != notFollowing {
		return refused
	}
	sound := from.Sounds[0]
	for channel := 1; len(from.Sounds) == 1 && 1 < sound.Channels && sound.Channels <= 8 && channel <= sound.Channels; channel++ {
		if newReader(r.ctx, r.take, Recording{Sounds: []*tuning.Sound{sound.Only(channel)}}).place() == nil {
			return refuse(fmt.Sprintf("the take is on channel %d alone, and another channel holds something else", channel), "export that channel by itself, and name its file with --wav")
		}
	}
	if made := r.otherTake(); made != "" {
		return refuse("the recording follows another take of this rig, that of write --take"+made, "name the file of that take with --take, or record the one that it names now")
	}
	return refused
}

// otherTake says with which flags write makes a take that the recording follows; empty for
// none that is easily made.
func (r *reader) otherTake() string {
	var voices []int
	for i := range r.take.Parts {
		voices = append(voices, r.take.Parts[i].Voice)
	}
	for _, only := range [][]int{nil, voices} {
		for _, short := range []bool{false, true} {
			made, err := take.New(r.take.Plan, take.Options{Only: only, Short: short, Through: r.take.Through})
			if err != nil || slices.Equal(onsets(made), onsets(r.take)) {
				continue
			}
			other := *r
			if other.take = made; other.place() == nil {
				return map[bool]string{true: " --short", false: " without --short"}[short] + map[bool]string{true: " of all voices", false: ""}[only == nil && len(made.Parts) > len(voices)]
			}
		}
	}
	return ""
}

// called is the key that a voice sounds at in the roll calls; NaN where that is not known.
func (r *Result) called(part int) float64 {
	v := &r.Voices[part]
	switch v.State {
	case OK, Octave:
		return float64(r.Take.Parts[part].Parking) + float64(12*v.Octaves)
	case Crossed:
		for _, p := range r.Take.Parts {
			if p.Voice == v.With {
				return float64(p.Parking)
			}
		}
	}
	return math.NaN()
}

// Tuned are the readings that a study of tuning takes: of voices that sound in their
// place, beside no voice that is stuck, and under no bend.
func (r *Result) Tuned(file string) (all []tuning.Reading) {
	for i := range r.Voices {
		v := &r.Voices[i]
		for _, m := range v.Readings {
			if v.State == OK && m.Bend == 0 && m.Sigma < besideStuck {
				all = append(all, tuning.Reading{Pos: profiles.Pos{File: file, Line: 1, Column: 1}, Voice: v.Voice, Keyed: true, Key: m.Key, Hertz: profiles.Hertz(m.Hertz)})
			}
		}
	}
	return all
}

// fromQuickest counts latencies from the quickest voice.
func fromQuickest(voices []Voice) {
	quickest := math.Inf(1)
	for i := range voices {
		if l := voices[i].Latency; !math.IsNaN(l) {
			quickest = math.Min(quickest, l)
		}
	}
	for i := range voices {
		voices[i].Latency -= quickest
	}
}

// hertz is the pitch of a key, which may lie between keys, in the recorder's time.
func (r *reader) hertz(key float64) float64 {
	return float64(r.take.Plan.Rig.A4) * math.Exp2((key-69)/12) / r.clock.rate
}

// piece is the sound between two times of the recording, and when it begins.
func (r *reader) piece(from, to float64) (x []float64, start float64, err error) {
	rate := float64(r.rate)
	first := int64(math.Floor(from * rate))
	x = make([]float64, max(1, int64(to*rate)-first))
	return x, float64(first) / rate, r.mix(x, first)
}

// level is the amplitude of a tone at a time, over a window, in sound that begins at a
// time.
func (r *reader) level(x []float64, start, at, window, hertz float64) float64 {
	rate := float64(r.rate)
	n := max(4, int(window*rate))
	i := int((at-start)*rate) - n/2
	if i < 0 || i+n > len(x) {
		return math.NaN()
	}
	c := r.spectra.phasor(x[i:i+n], hertz, 0)
	return 2 * math.Hypot(real(c), imag(c))
}
