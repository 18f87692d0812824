package deal

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// close puts the moves of a channel in order, adds what stands before the first,
// and refuses volts beyond full scale.
func (c *CV) close(ch *CVChannel) error {
	slices.SortStableFunc(ch.moves, func(a, b cvMove) int { return cmp.Compare(a.at, b.at) })
	if ch.moves[0].at > 0 {
		f := &c.Plan.Rig.Interfaces[ch.Interface]
		rest := max(0, f.Window.Low)
		if ch.Input == "gate" {
			rest, _ = gateVolts(f)
		}
		ch.moves = slices.Insert(ch.moves, 0, cvMove{volts: rest})
	}
	ch.Low, ch.High = ch.moves[0].volts, ch.moves[0].volts
	for i := range ch.moves {
		ch.Low, ch.High = min(ch.Low, ch.moves[i].volts), max(ch.High, ch.moves[i].volts)
	}
	c.Frames = max(c.Frames, ch.moves[len(ch.moves)-1].at+1)
	if most := max(ch.High, -ch.Low); most > ch.Full*(1+1e-9) {
		return &Error{fmt.Sprintf("%s reaches %s V, and a sample at full scale is %g V", ch.Name, unit.Fixed(most, 3), float64(ch.Full)),
			"give the interface its full_scale, or a gate within it"}
	}
	return nil
}

// blockFrames is how many frames are worked out at once.
const blockFrames = 1024

// cvPlayer writes the samples of all channels, block by block.
type cvPlayer struct {
	*CV
	width    int // bytes of a sample
	channels []cvState
	block    []byte // frames of all channels
}

// cvState is where a channel is.
type cvState struct {
	*CVChannel
	next   int // move
	volts  profiles.Volts
	glide  *cvGlide
	began  int64
	filled bool // the block holds nothing but volts, as the last one did
}

func (c *CV) player() *cvPlayer {
	p := &cvPlayer{CV: c, width: c.file().Width(), channels: make([]cvState, len(c.Channels))}
	for i := range p.channels {
		p.channels[i].CVChannel = &c.Channels[i]
	}
	p.block = make([]byte, blockFrames*p.width*len(p.channels))
	return p
}

// write writes all frames. What it needs in memory does not grow with the song.
func (p *cvPlayer) write(w io.Writer) error {
	frame := p.width * len(p.channels)
	for at := int64(0); at < p.Frames; at += blockFrames {
		frames := min(blockFrames, p.Frames-at)
		for i := range p.channels {
			p.fill(i, at, frames)
		}
		if _, err := w.Write(p.block[:int(frames)*frame]); err != nil {
			return err
		}
	}
	return nil
}

// fill works one channel of a block out. Most of the time it stays where it was,
// and the block has that already.
func (p *cvPlayer) fill(i int, at, frames int64) {
	s := &p.channels[i]
	moving := s.glide != nil || s.next < len(s.moves) && s.moves[s.next].at < at+frames
	if !moving && s.filled {
		return
	}
	for n := int64(0); n < frames; {
		for s.next < len(s.moves) && s.moves[s.next].at <= at+n {
			m := &s.moves[s.next]
			s.volts, s.glide, s.began = m.volts, m.glide, m.at
			s.next++
		}
		until := frames
		if s.next < len(s.moves) {
			until = min(until, s.moves[s.next].at-at)
		}
		n = p.stretch(i, s, at, n, until)
	}
	s.filled = !moving && frames == blockFrames
}

// stretch writes samples between two moves and returns where it has come to.
func (p *cvPlayer) stretch(i int, s *cvState, at, from, until int64) int64 {
	for ; s.glide != nil && from < until; from++ {
		since := float64(at + from - s.began)
		if since >= s.glide.lasts {
			s.glide = nil
			break
		}
		p.put(i, from, from+1, p.code(s.CVChannel, s.glide.volts(s.glide.at(since))))
	}
	p.put(i, from, until, p.code(s.CVChannel, s.volts))
	return until
}

// code is a sample as its bytes, low byte first. Whole numbers are rounded to
// the nearest; at full scale there is one less than 2²³.
func (p *cvPlayer) code(ch *CVChannel, volts profiles.Volts) uint32 {
	share := float64(volts / ch.Full)
	if p.Float {
		return math.Float32bits(float32(share))
	}
	return uint32(int32(min(1<<23-1, max(-1<<23, math.Round(share*(1<<23))))))
}

// put writes one sample into frames of the block.
func (p *cvPlayer) put(channel int, from, until int64, code uint32) {
	frame := p.width * len(p.channels)
	at := int(from)*frame + channel*p.width
	if p.Float {
		for n := from; n < until; n++ {
			binary.LittleEndian.PutUint32(p.block[at:at+4], code)
			at += frame
		}
		return
	}
	b0, b1, b2 := byte(code), byte(code>>8), byte(code>>16)
	for n := from; n < until; n++ {
		s := p.block[at : at+3]
		s[0], s[1], s[2] = b0, b1, b2
		at += frame
	}
}
