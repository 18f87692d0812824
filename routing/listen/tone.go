package listen

import (
	"math"
	"sync"

	"choirloft/alloc/study/hearing"
)

// Waves are read from tables, one for each key, with the filter and the gain of the
// kind in it: harmonics up to 16 kHz, so that nothing folds back. Between two entries
// they are interpolated, and tables are so long that what this adds lies 80 dB below
// the wave. Entries are whole numbers.

const (
	unitBits = 24 // a wave with an effective value of 1, that of key 60, has 2²⁴
	fewest   = 10 // log2 of the length of a table, at least
	most     = 16
	lowest   = -48 // key
	keys     = 224
)

// entry is a value of the wave and the step to the next.
type entry struct{ value, step int32 }

// tones are the tables of a sound, made as they are asked for. Several goroutines may
// ask.
type tones struct {
	sound hearing.Sound
	mutex sync.Mutex
	keys  [keys][]entry
}

// of returns the table of a key, which stays as it is.
func (t *tones) of(key int) []entry {
	at := min(max(key-lowest, 0), keys-1)
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if t.keys[at] == nil {
		t.keys[at] = table(t.sound.Amplitudes(at + lowest))
	}
	return t.keys[at]
}

// table adds up harmonics.
func table(amplitudes []float64) []entry {
	bits := tableBits(amplitudes)
	n := 1 << bits
	wave := sines(bits)
	sum := make([]float64, n/2+1) // the rest is its mirror image
	for h, a := range amplitudes {
		if a == 0 {
			continue
		}
		step, at := h+1, 0
		for i := range sum {
			sum[i] += float64(a * wave[at])
			at = (at + step) & (n - 1)
		}
	}
	list := make([]entry, n)
	for i := range list {
		x := 0.0
		if i <= n/2 {
			x = sum[i]
		} else {
			x = -sum[n-i]
		}
		list[i].value = int32(math.Floor(float64(x*(1<<unitBits)) + 0.5))
	}
	for i := range list {
		list[i].step = list[(i+1)&(n-1)].value - list[i].value
	}
	return list
}

// tableBits is the logarithm of the length that harmonics need. Straight lines between
// n entries add to harmonic h others at n−h, n+h, 2n−h and so on, of (h/(n−h))² of
// its amplitude and less.
func tableBits(amplitudes []float64) int {
	all := 0.0
	for _, a := range amplitudes {
		all += float64(a * a)
	}
	for bits := fewest; bits < most; bits++ {
		n, added := float64(int(1)<<bits), 0.0
		for i, a := range amplitudes {
			h := float64(i + 1)
			if 2*h >= n {
				added = all
				break
			}
			share := h / (n - h)
			share = float64(share * share)
			added += float64(float64(4*a*a) * float64(share*share))
		}
		if added <= 1e-8*all {
			return bits
		}
	}
	return most
}

var sineTables [most + 1]struct {
	once sync.Once
	wave []float64
}

// sines is one turn of a sine.
func sines(bits int) []float64 {
	t := &sineTables[bits]
	t.once.Do(func() {
		t.wave = make([]float64, 1<<bits)
		for i := range t.wave {
			t.wave[i] = sine(float64(i) / float64(len(t.wave)))
		}
	})
	return t.wave
}

// shift is by how much a phase of 64 bits is shifted to be a place in a table.
func shift(table []entry) uint {
	bits := uint(0)
	for 1<<bits < len(table) {
		bits++
	}
	return 64 - bits
}

// read fills out with a table read from a phase on, and returns the phase after it.
// The phase is in 2⁻⁶⁴ turns, and so is the step from sample to sample.
func read(out []int32, table []entry, phase, step uint64) uint64 {
	s, mask := shift(table), uint64(len(table)-1)
	for i := range out {
		at := phase >> (s - 16)
		e := &table[at>>16&mask]
		out[i] = e.value + int32(int64(e.step)*int64(at&0xFFFF)>>16)
		phase += step
	}
	return phase
}

// readBetween is read between two tables; share, of 2¹⁶, is that of the second.
func readBetween(out []int32, low, high []entry, share int64, phase, step uint64) uint64 {
	s, mask := shift(low), uint64(len(low)-1)
	s2, mask2 := shift(high), uint64(len(high)-1)
	for i := range out {
		at, at2 := phase>>(s-16), phase>>(s2-16)
		e, f := &low[at>>16&mask], &high[at2>>16&mask2]
		x := int64(e.value) + int64(e.step)*int64(at&0xFFFF)>>16
		y := int64(f.value) + int64(f.step)*int64(at2&0xFFFF)>>16
		out[i] = int32(x + (y-x)*share>>16)
		phase += step
	}
	return phase
}
