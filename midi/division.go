package midi

import (
	"fmt"
)

// FrameRate is the rate of an SMPTE division as the file names it: 24, 25, 29
// or 30. 29 means 30000/1001 frames a second, counted thirty to the second as
// time code counts them.
type FrameRate uint8

// Division says what a song's ticks divide: a quarter note, whose length the
// tempo gives, or a frame of SMPTE time code, whose length is fixed.
//
// The zero Division stands for 500 ticks a quarter note, so that ticks are
// milliseconds at the default tempo of 500 000 µs.
type Division struct {
	Ticks int       // per quarter note, 1–32 767, or per frame, 1–255, where Rate is set
	Rate  FrameRate // 0 for a metric division
}

// ParseDivision reads the third word of a header chunk (RP-001, "Header
// Chunks"): with bit 15 clear the ticks of a quarter note, else a negative
// frame rate in the upper byte and the ticks of a frame in the lower one.
func ParseDivision(word uint16) (Division, error) {
	if word&0x8000 == 0 {
		if word == 0 {
			return Division{}, fmt.Errorf("division of 0 ticks a quarter note, expected 1–32767")
		}
		return Division{Ticks: int(word)}, nil
	}
	rate, ticks := -int(int8(word>>8)), int(word&0xFF)
	switch {
	case rate != 24 && rate != 25 && rate != 29 && rate != 30:
		return Division{}, fmt.Errorf("division of %d frames a second, expected 24, 25, 29 or 30", rate)
	case ticks == 0:
		return Division{}, fmt.Errorf("division of 0 ticks a frame, expected 1–255")
	}
	return Division{Ticks: ticks, Rate: FrameRate(rate)}, nil
}

// Word returns the division as a header chunk holds it.
func (d Division) Word() uint16 {
	d = d.orDefault()
	if d.Rate == 0 {
		return uint16(d.Ticks)
	}
	return uint16(uint8(-int8(d.Rate)))<<8 | uint16(uint8(d.Ticks))
}

// SMPTE tells whether ticks divide frames, so that tempo means nothing.
func (d Division) SMPTE() bool { return d.Rate != 0 }

func (d Division) orDefault() Division {
	if d.Ticks == 0 {
		return Division{Ticks: 500}
	}
	return d
}

// tickLength returns the length of a tick as the fraction num/den of a
// nanosecond, where a quarter note lasts micros microseconds.
func (d Division) tickLength(micros int) (num, den uint64) {
	switch {
	case d.Rate == 0:
		return uint64(micros) * 1000, uint64(d.Ticks)
	case d.Rate == 29:
		return 1001 * 1_000_000_000, 30_000 * uint64(d.Ticks)
	}
	return 1_000_000_000, uint64(d.Rate) * uint64(d.Ticks)
}
