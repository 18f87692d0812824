package routing

import (
	"slices"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/detune"
)

// Unison is what the voices of a part do together that plays several on a note.
type Unison struct {
	Part int // index into Rig.Parts
	Of   int // voices on a note

	// Cents holds the detune of each position, lowest first: at every key with
	// constant cents, otherwise at the middle one of Keys.
	Cents []detune.Cents
	// Mean is the shift of the centre by the law. Where the rig says recentre, it
	// has been taken out of Cents.
	Mean   detune.Cents
	Stereo detune.Stereo

	// Stacks are the fixed groups of blocks: indexes into Rig.Voices by
	// position. Other unisons have none, since any voices may meet.
	Stacks [][]int
	Idle   []int // voices left over by blocks, indexes into Rig.Voices
	// OneJack: voices of a stack have their pitch from one jack, so that none is detuned.
	OneJack bool
	// Keys are the lowest, the middle and the highest key that the part can
	// sound within the windows of its interfaces, and the beats there.
	Keys     [3]KeyBeats
	Warnings []StackWarning
}

// KeyBeats is what a stack does at a key.
type KeyBeats struct {
	Key   midi.Key
	Cents []detune.Cents // at this key, by position
	Beats detune.Beats
	// InStep is when all are in step again, and Again tells whether they are; else it is for
	// how long they were watched. See detune.Course; set by Map.Survey.
	InStep detune.Seconds
	Again  bool
}

// StackWarning is a warning about the voices of one stack.
type StackWarning struct {
	Stack int // from 1; 0 where stacks are not fixed
	detune.Warning
	Assumed bool // it rests on a scatter or a limit that nobody measured
}

// unison works the unison of a part out. The error says why its law gives no
// detunes.
func (m *Map) unison(part int) (w Unison, err error) {
	p := &m.Rig.Parts[part]
	w = Unison{Part: part, Of: p.Unison.Voices}
	w.Cents, err = Detunes(p)
	if err != nil {
		return w, err
	}
	w.Mean = detune.Mean(w.Cents)
	if p.Unison.Recentre {
		w.Cents = detune.Recentred(w.Cents)
	}
	if p.Unison.Short == profiles.Blocks {
		w.Stacks, w.Idle = blocks(m.Players(part), w.Of)
	}
	if w.OneJack = m.oneJack(w.Stacks); w.OneJack {
		clear(w.Cents)
		w.Mean = 0
	}
	if w.Stereo, err = detune.Pans(w.Cents, detune.Share(p.Unison.Pan)); err != nil {
		return w, err
	}
	return w, m.beats(&w)
}

// oneJack tells whether two voices of a stack have their pitch from one jack: neither can be
// detuned against the other, and so none is.
func (m *Map) oneJack(stacks [][]int) bool {
	for _, stack := range stacks {
		there := map[*Net]bool{}
		for _, voice := range stack {
			net := m.NetOf(m.Voices[voice].Lane(pitchInput))
			if net != nil && there[net] {
				return true
			}
			there[net] = true
		}
	}
	return false
}

// Detunes returns the detune of each position of a part's unison, lowest first,
// before it is re-centred. The error says why its law gives none, and the way
// out.
func Detunes(p *profiles.Part) ([]detune.Cents, error) {
	law, err := detune.ParseLaw(p.Unison.Law.String())
	if err != nil {
		return nil, err
	}
	spec := detune.Spec{Law: law, Voices: p.Unison.Voices, Width: detune.Cents(p.Unison.Spread),
		Power: p.Unison.Power, Seed: p.Seed}
	return spec.Spread()
}

// Players lists the voices of a part in ascending order, without spares. A
// spare that stands in for a voice takes its place in the list, so that no
// other voice changes its stack.
func (m *Map) Players(part int) (voices []int) {
	for _, bank := range m.Rig.Parts[part].Banks {
		b := &m.Rig.Banks[bank]
		spare, out, used := m.Rig.Replaced(bank)
		for i := b.First; i < b.First+b.Size; i++ {
			switch {
			case used && i == out:
				voices = append(voices, spare)
			case m.Rig.Voices[i].State != alloc.Spare:
				voices = append(voices, i)
			}
		}
	}
	return voices
}

// blocks cuts voices into groups of n; the remainder is idle. Positions are in
// ascending voice number, as a note that plays them counts.
func blocks(voices []int, n int) (stacks [][]int, idle []int) {
	whole := len(voices) - len(voices)%n
	for stack := range slices.Chunk(voices[:whole], n) {
		slices.Sort(stack)
		stacks = append(stacks, stack)
	}
	return stacks, voices[whole:]
}

// exponents are those of the scalings of a rig.
var exponents = [...]float64{
	profiles.ScalingCents: detune.ConstantCents, profiles.ScalingHertz: detune.ConstantHertz,
	profiles.ScalingBetween: (detune.ConstantCents + detune.ConstantHertz) / 2,
}

// beats fills in what the stack does at three keys.
func (m *Map) beats(w *Unison) error {
	keys := m.threeKeys(w.Part)
	pitch := func(k midi.Key) detune.Hertz { return detune.Frequency(detune.Hertz(m.Rig.A4), float64(k)) }
	scaling := detune.Scaling{Exponent: exponents[m.Rig.Parts[w.Part].Unison.Scaling], Reference: pitch(keys[1])}
	for i, key := range keys {
		cents := scaling.Stack(w.Cents, pitch(key))
		b, err := detune.BeatsOf(cents, pitch(key))
		if err != nil {
			return err
		}
		w.Keys[i] = KeyBeats{Key: key, Cents: cents, Beats: b}
	}
	return nil
}

// threeKeys is the lowest, the middle and the highest key that a part can
// sound: those that it takes, transposed, and that one of its voices'
// interfaces reaches. Where that leaves none, the interfaces are not asked.
func (m *Map) threeKeys(part int) [3]midi.Key {
	p := &m.Rig.Parts[part]
	within := func(key int) int { return min(127, max(0, key)) }
	low, high := within(int(p.Keys.Low)+p.Transpose), within(int(p.Keys.High)+p.Transpose)
	if reach, ok := m.reach(part); ok && low <= int(reach.High) && int(reach.Low) <= high {
		low, high = max(low, int(reach.Low)), min(high, int(reach.High))
	}
	return [3]midi.Key{midi.Key(low), midi.Key((low + high) / 2), midi.Key(high)}
}

// reach is what the interfaces of a part's voices reach together, from the
// lowest to the highest key.
func (m *Map) reach(part int) (all alloc.KeyRange, ok bool) {
	for _, voice := range m.Players(part) {
		at := m.Voices[voice].Interface
		if at < 0 {
			continue
		}
		keys, within := KeysWithin(&m.Rig.Interfaces[at], m.Rig.A4)
		switch {
		case !within:
		case !ok:
			all, ok = keys, true
		default:
			all = alloc.KeyRange{Low: min(all.Low, keys.Low), High: max(all.High, keys.High)}
		}
	}
	return all, ok
}

// Seat is the place of a voice in a part.
type Seat struct {
	Part     int // index into Rig.Parts
	Stack    int // from 1; 0 where the part has no fixed stacks, or the voice is idle
	Position int // in the stack, from 1; 0 where it changes from note to note
	Of       int // voices on a note; 1 without unison

	// Fixed: Detune and Pan belong to the voice in this part, whatever it plays.
	Fixed  bool
	Detune detune.Cents
	Pan    detune.Pan
}

// seat gives every voice its place in the parts that play on it.
func (m *Map) seat() {
	for part := range m.Rig.Parts {
		u := &m.Rig.Parts[part].Unison
		i := slices.IndexFunc(m.Unisons, func(w Unison) bool { return w.Part == part })
		for n, voice := range m.Players(part) {
			s := Seat{Part: part, Of: max(1, u.Voices), Fixed: u.Voices < 2}
			if i >= 0 {
				s = m.Unisons[i].seat(n, voice, u.Detune == profiles.ByVoice)
			}
			m.Voices[voice].Seats = append(m.Voices[voice].Seats, s)
		}
	}
}

// seat is the place of the n-th voice of the part, from 0. By voice, voices
// have the detunes of positions in turn, as if counted off in stacks.
func (w *Unison) seat(n, voice int, byVoice bool) Seat {
	s := Seat{Part: w.Part, Of: w.Of}
	position := n % w.Of
	if n/w.Of < len(w.Stacks) {
		s.Stack = n/w.Of + 1
		if !byVoice {
			position = slices.Index(w.Stacks[s.Stack-1], voice)
		}
	}
	if s.Stack > 0 || byVoice {
		s.Position, s.Fixed = position+1, true
		s.Detune, s.Pan = w.Cents[position], w.Stereo.Pans[position]
	}
	return s
}
