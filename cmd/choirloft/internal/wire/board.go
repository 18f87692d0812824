package wire

import (
	"errors"
	"sync/atomic"
	"time"
)

// Board keeps, for each output of a session, which keys its bytes have left
// standing, so that somebody who knows nothing else can put them low: the guard,
// which reads the same memory when the program has been killed.
type Board struct{ words []uint64 }

// Standing is one output's part of a board: a word that begins with whether all
// is low for good and goes on with the channels that were ever spoken to, then two
// for the keys of each channel. Whoever writes to the output writes it, alone.
type Standing []uint64

const (
	outputs       = 128 // as many ports as a rig may have
	standingWords = 1 + 2*16
	boardBytes    = 8 * outputs * standingWords
	atRest        = 1 << 63
)

// NewBoard returns a board that nobody shares.
func NewBoard() *Board { return &Board{make([]uint64, outputs*standingWords)} }

// Of returns the part of an output, 0–127.
func (b *Board) Of(output int) Standing {
	return Standing(b.words[output*standingWords : (output+1)*standingWords])
}

// before notes what may stand once data has been written.
func (s Standing) before(data []byte) { s.note(data, false) }

// written notes what stands now that data was.
func (s Standing) written(data []byte) { s.note(data, true) }

// note follows channel messages, each with its status. The last may be cut.
func (s Standing) note(data []byte, offs bool) {
	for len(data) > 0 {
		kind, channel, size := data[0]>>4, int(data[0]&0x0F), 3
		if kind == 0xC || kind == 0xD {
			size = 2
		}
		if len(data) < size {
			return
		}
		s.set(0, s[0]|1<<channel)
		on := kind == 9 && data[2] > 0
		if kind == 8 || kind == 9 {
			word, bit := 1+2*channel+int(data[1]>>6&1), uint64(1)<<(data[1]&63)
			switch {
			case on:
				s.set(word, s[word]|bit)
			case offs:
				s.set(word, s[word]&^bit)
			}
		}
		data = data[size:]
	}
}

// set stores a word at once, for the guard may read it at any time.
func (s Standing) set(word int, value uint64) {
	if s[word] != value {
		atomic.StoreUint64(&s[word], value)
	}
}

// AllOff appends what puts an output low on every channel that was ever spoken to:
// the keys that stand off, pedals up (CC 64 and 66), all notes off (CC 123).
func (s Standing) AllOff(data []byte) []byte {
	for channel := range byte(16) {
		if s[0]>>channel&1 == 0 {
			continue
		}
		for key := range byte(128) {
			if s[1+2*channel+key>>6]>>(key&63)&1 != 0 {
				data = append(data, 0x80|channel, key, 64)
			}
		}
		for _, controller := range [...]byte{64, 66, 123} {
			data = append(data, 0xB0|channel, controller, 0)
		}
	}
	return data
}

// rest says that all is low, and that nothing more comes.
func (s Standing) rest() { s.set(0, s[0]|atRest) }

// resting tells whether it was said.
func (s Standing) resting() bool { return atomic.LoadUint64(&s[0])&atRest != 0 }

// GuardCall is the first argument by which the program is called to be a guard.
// It is for the program itself.
const GuardCall = "stand-guard"

// guardPatience is how long a guard tries to put an output low that takes nothing.
const guardPatience = 30 * time.Second

// ErrNoGuard is the error where the system cannot have a guard.
var ErrNoGuard = errors.New("this system cannot hand open outputs to another process")
