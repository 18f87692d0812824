package tuning

import (
	"errors"
	"fmt"
	"io"
	"math"
)

// Sound is a sound file that is read in pieces, however long it is: its channels as
// one, their mean.
type Sound struct {
	Rate     int   // frames a second
	Channels int   // that the file has
	Frames   int64 // of what is there, whatever the file says of itself
	Short    bool  // it says that there is more

	only   int // channel from 1 that is read alone; 0 for the mean of all
	from   io.ReaderAt
	format wavFormat
	start  int64 // byte of the first frame
	piece  []byte
}

// OpenSound reads what stands before the samples of a WAV file of so many bytes. It
// takes what [Decode] takes. Errors say at which byte.
func OpenSound(from io.ReaderAt, size int64) (*Sound, error) {
	d := &wavReader{from: io.NewSectionReader(from, 0, size)}
	length, err := d.toSamples()
	if err != nil {
		return nil, err
	}
	f, bytes := d.format, size-d.at
	if length != math.MaxUint32 && length != 0 { // of recorders that were switched off
		bytes = min(bytes, int64(length))
	} else {
		length = 0
	}
	s := &Sound{Rate: f.rate, Channels: f.channels, Frames: bytes / int64(f.block), Short: bytes < int64(length), from: from, format: *f, start: d.at}
	if s.Frames == 0 {
		return nil, fmt.Errorf("byte %d: no sound", d.at)
	}
	return s, nil
}

// Only is the sound of one channel, from 1.
func (s *Sound) Only(channel int) *Sound {
	alone := *s
	alone.only, alone.piece = channel, nil
	return &alone
}

// Mix fills samples with the mean of the channels from a frame on, full scale being
// ±1; before the first frame and after the last there is silence.
func (s *Sound) Mix(to []float64, from int64) error {
	clear(to)
	skip := max(0, -from)
	frames := min(int64(len(to)), s.Frames-from) - skip
	if frames <= 0 {
		return nil
	}
	block := s.format.block
	if need := int(frames) * block; cap(s.piece) < need {
		s.piece = make([]byte, need)
	}
	piece := s.piece[:int(frames)*block]
	if _, err := s.from.ReadAt(piece, s.start+(from+skip)*int64(block)); err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	width := s.format.bits / 8
	for i := range int(frames) {
		if s.only > 0 {
			to[int(skip)+i] = s.format.sample(piece[i*block+(s.only-1)*width:])
			continue
		}
		sum := 0.0
		for c := range s.Channels {
			sum += s.format.sample(piece[i*block+c*width:])
		}
		to[int(skip)+i] = sum / float64(s.Channels)
	}
	return nil
}
