package listen

import (
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"choirloft/routing/wave"
)

// Version is what of a song is made audible.
type Version uint8

// The versions.
const (
	Played  Version = iota
	Asked           // as the song asks for, with every note and tail whole
	Missing         // Asked less Played
)

var versionNames = [...]string{Played: "played", Asked: "asked", Missing: "missing"}

// String is the name of a version.
func (v Version) String() string { return versionNames[v] }

// PeakDB is the level of the loudest sample of the whole song, in dB of full scale:
// of Asked or Played, whichever is louder.
const PeakDB = -12

// fullScale is the largest whole number of 24 bits.
const fullScale = 1<<23 - 1

// peakCode is PeakDB of it: 10^(−12/20) is 0.25118864315.
const peakCode = 0.251188643150958 * (1 << 23)

// Caution belongs wherever such a file is named.
const Caution = "begin quietly: turn your monitors down before you play it"

// Peaks are the largest samples of a song, on either side.
type Peaks struct{ Asked, Played int64 }

// Gain is what brings a song to PeakDB, the same for all versions and excerpts; 0 for
// silence.
func (p Peaks) Gain() float64 {
	most := max(p.Asked, p.Played)
	if most == 0 {
		return 0
	}
	return peakCode / float64(most)
}

// DB is the level of a peak with a gain, in dB of full scale; −Inf for silence.
func DB(peak int64, gain float64) float64 {
	return 20 * math.Log10(float64(peak)*gain/(1<<23))
}

// Peaks goes through a whole song. It tells done how many frames it has gone through
// since it was told last, and fails where ctx ends.
func (s *Sketch) Peaks(ctx context.Context, done func(frames int64)) (p Peaks, err error) {
	m := s.mixer(0, everyPart)
	for m.at < s.Frames {
		if err := ctx.Err(); err != nil {
			return p, err
		}
		first := m.at
		m.skip()
		m.mix()
		m.peaks(&p)
		done(m.at - first)
	}
	return p, nil
}

func (m *mixer) peaks(p *Peaks) {
	if !m.both.used && !m.asked.used && !m.played.used {
		return
	}
	for i := range block {
		l, r := m.both.left[i], m.both.right[i]
		p.Asked = max(p.Asked, size(l+m.asked.left[i]), size(r+m.asked.right[i]))
		p.Played = max(p.Played, size(l+m.played.left[i]), size(r+m.played.right[i]))
	}
}

func size(x int64) int64 { return max(x, -x) }

// Section is a stretch of a song, or silence.
type Section struct {
	Version  Version
	From, To int64 // frames of the song
	Silence  bool
}

// Take is what is to be written: sections one after the other.
type Take struct {
	Sections []Section
	Part     int // place among the parts; −1 for all
	Gain     float64
	Name     string // of the file, for whoever looks into it
}

// Frames is how long it is.
func (t *Take) Frames() (n int64) {
	for _, s := range t.Sections {
		n += s.To - s.From
	}
	return n
}

// File is what is known of the file.
func (t *Take) File() *wave.File {
	return &wave.File{Rate: Rate, Channels: 2, Speakers: wave.Stereo, Frames: t.Frames(), Name: t.Name,
		Comment: "A sketch of envelopes, detune and losses, not the sound of anybody's voices. Caution: " + Caution + "."}
}

// Write writes a take as a sound file: stereo, 24 bits. It tells done how many frames
// it has written since it was told last.
func (s *Sketch) Write(to io.Writer, t *Take, done func(frames int64)) error {
	f := t.File()
	if _, err := to.Write(f.Head()); err != nil {
		return err
	}
	for _, x := range t.Sections {
		if x.From < 0 || x.To < x.From {
			return fmt.Errorf("bug: a section from frame %d to %d", x.From, x.To)
		}
		var err error
		if x.Silence {
			err = silence(to, x.To-x.From, done)
		} else {
			err = s.section(to, t, x, done)
		}
		if err != nil {
			return err
		}
	}
	_, err := to.Write(f.Pad())
	return err
}

// frameBytes is the size of a frame.
const frameBytes = 6

func silence(to io.Writer, frames int64, done func(int64)) error {
	empty := make([]byte, block*frameBytes)
	for ; frames > 0; frames -= block {
		n := min(frames, block)
		if _, err := to.Write(empty[:n*frameBytes]); err != nil {
			return err
		}
		done(n)
	}
	return nil
}

// edge is how many frames an excerpt fades in and out for, where it is not the
// beginning or the end of the song: 10 ms.
const edge = 480

func (s *Sketch) section(to io.Writer, t *Take, x Section, done func(int64)) error {
	m := s.mixer(x.From, t.Part)
	data := make([]byte, 0, block*frameBytes)
	for m.at < x.To {
		first := m.at
		m.mix()
		from, until := max(first, x.From), min(m.at, x.To)
		data = data[:0]
		for at := from; at < until; at++ {
			l, r := m.frame(int(at-first), x.Version, t.Gain*s.fadeAt(x, at))
			data = append(binary.LittleEndian.AppendUint16(data, uint16(l)), byte(l>>16))
			data = append(binary.LittleEndian.AppendUint16(data, uint16(r)), byte(r>>16))
		}
		if _, err := to.Write(data); err != nil {
			return err
		}
		done(until - from)
	}
	return nil
}

// fadeAt is what of a frame an excerpt leaves.
func (s *Sketch) fadeAt(x Section, at int64) float64 {
	fades := 1.0
	if x.From > 0 && at-x.From < edge {
		fades = float64(at-x.From) / edge
	}
	if x.To < s.Frames && x.To-at <= edge {
		fades = min(fades, float64(x.To-at-1)/edge)
	}
	return fades
}

// frame is one of a block. What is missing is the difference of what is written of
// the other two.
func (m *mixer) frame(i int, v Version, gain float64) (left, right int32) {
	switch v {
	case Asked:
		return code(m.both.left[i]+m.asked.left[i], gain), code(m.both.right[i]+m.asked.right[i], gain)
	case Played:
		return code(m.both.left[i]+m.played.left[i], gain), code(m.both.right[i]+m.played.right[i], gain)
	}
	al, ar := m.frame(i, Asked, gain)
	pl, pr := m.frame(i, Played, gain)
	return al - pl, ar - pr
}

func code(x int64, gain float64) int32 {
	return int32(min(fullScale, max(-fullScale-1, math.Floor(float64(float64(x)*gain)+0.5))))
}
