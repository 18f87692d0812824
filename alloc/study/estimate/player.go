package estimate

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// Generator names what the random player draws from.
const Generator = "PCG-DXSM of math/rand/v2"

// mostParts is how many parts have a channel of their own, over all ports.
const mostParts = 16 * 128

// address is where a part hears its layers.
func address(part int) (midi.Port, midi.Channel) {
	return midi.Port(part / 16), midi.Channel(part % 16)
}

// tempo makes a tick a microsecond: 10 000 ticks in a quarter note of 10 ms.
var tempo = midi.NewTempoMap(midi.Division{Ticks: 10_000}, []midi.TempoChange{{Micros: 10_000}})

func ticks(d time.Duration) midi.Tick { return midi.Tick(d.Round(time.Microsecond) / time.Microsecond) }

// chord is some notes that begin at once.
type chord struct {
	at    midi.Tick
	layer int
	notes int
}

// Play returns a song that plays for a time, and how many of its notes strike a
// key that still sounds because there is no other. A layer at random begins its
// chords one by one at exponential distances (a Poisson process), an even one
// somewhere in its first period. Notes take keys that do not sound in the part,
// each as likely, from C2 to C7 where the part has those; velocities from 48 to
// 112 in the same way. Layer i draws from the stream i+1 of the generator with this
// seed, keys and velocities from its stream 0: the same seed plays the same.
func (m *Model) Play(seed uint64, length time.Duration) (song *midi.Song, restruck int) {
	var chords []chord
	for i := range m.Lines {
		chords = append(chords, arrivals(m.Lines[i].Layer, i, rand.New(rand.NewPCG(seed, uint64(i+1))), length)...)
	}
	slices.SortStableFunc(chords, func(a, b chord) int { return cmp.Compare(a.at, b.at) })
	h := &hands{model: m, rng: rand.New(rand.NewPCG(seed, 0)), ends: make([]ends, len(m.rules.Config.Parts))}
	for _, c := range chords {
		h.strike(c)
	}
	h.tread()
	// At one tick keys go up first, then the pedal up and down, then keys down.
	slices.SortStableFunc(h.events, func(a, b midi.Event) int {
		return cmp.Or(cmp.Compare(a.Tick, b.Tick), cmp.Compare(turn(a.Kind()), turn(b.Kind())))
	})
	return &midi.Song{Events: h.events, Tempo: tempo, End: h.last, NoteOns: h.notes}, h.restruck
}

func turn(k midi.Kind) int {
	return slices.Index([]midi.Kind{midi.NoteOff, midi.ControlChange, midi.NoteOn}, k)
}

// arrivals lists the chords of a layer.
func arrivals(l *Layer, layer int, rng *rand.Rand, length time.Duration) []chord {
	var list []chord
	period := 1e6 / l.Rate // microseconds
	gap := func() float64 { return -math.Log(1-rng.Float64()) * period }
	at := gap()
	if l.Even {
		at = rng.Float64() * period
	}
	for n := 0; at < float64(length.Microseconds()); n++ {
		begin := midi.Tick(math.Round(at))
		list = append(list, chord{begin, layer, l.Least + rng.IntN(l.Most-l.Least+1)})
		if !l.Even {
			at += gap()
			continue
		}
		at = float64(list[0].at) + math.Round(float64(n+1)*period)
	}
	return list
}

// ends says of each key of a part when it last sounds.
type ends [128]midi.Tick

// keyRange is keys from one to another, both included; none where high is the
// lower one.
type keyRange struct{ low, high int }

// The keys that are struck where a part has them, C2 to C7, and the velocities.
const (
	lowKey, highKey           = 36, 96
	lowVelocity, highVelocity = 48, 112
)

// keyRanges lists for each part the keys that are struck first, and the others.
func keyRanges(parts []alloc.Part) [][]keyRange {
	list := make([][]keyRange, len(parts))
	for i := range parts {
		low, high := int(parts[i].Keys.Low), int(parts[i].Keys.High)
		list[i] = []keyRange{{max(low, lowKey), min(high, highKey)}, {low, high}}
	}
	return list
}

// hands strike keys and tread on pedals.
type hands struct {
	model    *Model
	rng      *rand.Rand
	ends     []ends // by part
	events   []midi.Event
	last     midi.Tick
	notes    int
	restruck int
	free     []int
}

func (h *hands) strike(c chord) {
	line := &h.model.Lines[c.layer]
	port, channel := address(line.Part)
	off := c.at + ticks(line.Layer.Length)
	end := h.model.gateEnd(line, c.at)
	for range c.notes {
		key := h.key(line.Part, c.at)
		h.ends[line.Part][key] = end
		at := func(tick midi.Tick, kind midi.Kind, velocity uint8) {
			h.events = append(h.events, midi.Event{Tick: tick, Port: port, Status: uint8(kind)<<4 | uint8(channel), Data1: uint8(key), Data2: velocity})
		}
		at(c.at, midi.NoteOn, h.velocity(line.Part))
		at(off, midi.NoteOff, 64)
		h.notes++
	}
	h.last = max(h.last, end, off)
}

// gateEnd is when a note that begins now stops sounding, but for its tail: at
// the first lift of the pedal at which its key is up.
func (m *Model) gateEnd(line *Line, at midi.Tick) midi.Tick {
	end := at + ticks(line.Key)
	if pedal := ticks(line.Layer.Pedal); pedal > 0 {
		end = (end + pedal - 1) / pedal * pedal
	}
	return end
}

// key chooses among the keys of a part that do not sound; if all do, among those
// that end first.
func (h *hands) key(part int, now midi.Tick) int {
	for _, r := range h.model.keys[part] {
		h.free = h.free[:0]
		for k := r.low; k <= r.high; k++ {
			if h.ends[part][k] <= now {
				h.free = append(h.free, k)
			}
		}
		if len(h.free) > 0 {
			return h.free[h.rng.IntN(len(h.free))]
		}
	}
	h.restruck++
	r := h.model.keys[part][1]
	best := r.low
	for k := r.low; k <= r.high; k++ {
		if h.ends[part][k] < h.ends[part][best] {
			best = k
		}
	}
	return best
}

func (h *hands) velocity(part int) uint8 {
	of := h.model.rules.Config.Parts[part].Velocities
	low, high := max(int(of[0]), lowVelocity), min(int(of[1]), highVelocity)
	if low > high {
		low, high = int(of[0]), int(of[1])
	}
	return uint8(low + h.rng.IntN(high-low+1))
}

// tread adds the pedals: down from the start, up and down again at each lift, up
// at the last.
func (h *hands) tread() {
	done := map[int]bool{}
	for i := range h.model.Lines {
		line := &h.model.Lines[i]
		period := ticks(line.Layer.Pedal)
		if period == 0 || done[line.Part] {
			continue
		}
		done[line.Part] = true
		port, channel := address(line.Part)
		move := func(at midi.Tick, value uint8) {
			h.events = append(h.events, midi.Event{Tick: at, Port: port, Status: uint8(midi.ControlChange)<<4 | uint8(channel), Data1: 64, Data2: value})
		}
		move(0, 127)
		lift := period
		for ; lift < h.last; lift += period {
			move(lift, 0)
			move(lift, 127)
		}
		move(lift, 0)
		h.last = lift
	}
}
