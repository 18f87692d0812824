package tuning

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"
)

// Recording is one channel of a sound file.
type Recording struct {
	Rate     int       // frames a second
	Samples  []float64 // full scale is ±1
	Channels int       // that the file has; Samples is the loudest of them
	Cut      bool      // the file is longer than what is read
}

// Limits of a sound file.
const (
	minRate, maxRate = 4_000, 768_000
	maxChannels      = 64
	maxSeconds       = 30 // that are read of a recording
	maxChunks        = 1_000
)

// wavFormat is what the chunk "fmt " says.
type wavFormat struct {
	channels, rate, block, bits int
	float                       bool
}

// The formats of samples (RFC 2361; the extensible one names one of the
// others).
const (
	formatPCM        = 0x0001
	formatFloat      = 0x0003
	formatExtensible = 0xFFFE
)

// subFormat is the tail of a GUID that names a plain format in an extensible
// one (MS-RDPEAI 2.2.2.3.1: 0000xxxx-0000-0010-8000-00AA00389B71).
var subFormat = []byte{0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71}

// Decode reads a WAV file: PCM of 16, 24 or 32 bits or floats of 32, plain or
// extensible. Of several channels it keeps the loudest, and of a long file the
// first 30 seconds. It reads no more than that, in pieces, so that what a file
// says of its size costs nothing. Errors say at which byte.
func Decode(from io.Reader) (*Recording, error) {
	d := &wavReader{from: from}
	size, err := d.toSamples()
	if err != nil {
		return nil, err
	}
	return d.samples(size)
}

type wavReader struct {
	from   io.Reader
	at     int64
	format *wavFormat
}

func (d *wavReader) read(b []byte) error {
	n, err := io.ReadFull(d.from, b)
	d.at += int64(n)
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return fmt.Errorf("byte %d: the file ends", d.at)
	}
	return err
}

func (d *wavReader) skip(n int64) error {
	got, err := io.CopyN(io.Discard, d.from, n)
	d.at += got
	if err == io.EOF {
		return fmt.Errorf("byte %d: the file ends", d.at)
	}
	return err
}

// toSamples reads up to the first sample, and returns of how many bytes the file says that
// they are.
func (d *wavReader) toSamples() (size uint32, err error) {
	if err := d.head(); err != nil {
		return 0, err
	}
	for range maxChunks {
		id, size, err := d.chunk()
		if err != nil {
			return 0, err
		}
		switch {
		case id == "fmt ":
			err = d.readFormat(size)
		case id == "data" && d.format == nil:
			return 0, fmt.Errorf("byte %d: sound before its format", d.at)
		case id == "data":
			return size, nil
		default:
			err = d.skip(int64(size) + int64(size&1))
		}
		if err != nil {
			return 0, err
		}
	}
	return 0, fmt.Errorf("byte %d: more than %d chunks and no sound", d.at, maxChunks)
}

func (d *wavReader) head() error {
	var b [12]byte
	if err := d.read(b[:]); err != nil {
		return err
	}
	id := string(b[:4])
	if (id != "RIFF" && id != "RF64") || string(b[8:]) != "WAVE" {
		return fmt.Errorf("byte 0: not a WAV file: begins with % X, expected RIFF, its size and WAVE", b[:4])
	}
	return nil
}

func (d *wavReader) chunk() (id string, size uint32, err error) {
	var b [8]byte
	if err := d.read(b[:]); err != nil {
		return "", 0, fmt.Errorf("%w before any sound", err)
	}
	return string(b[:4]), binary.LittleEndian.Uint32(b[4:]), nil
}

func (d *wavReader) readFormat(size uint32) error {
	at := d.at
	if size < 16 {
		return fmt.Errorf("byte %d: a format of %d bytes, want at least 16", at, size)
	}
	b := make([]byte, min(size, 40))
	if err := d.read(b); err != nil {
		return err
	}
	if err := d.skip(int64(size) + int64(size&1) - int64(len(b))); err != nil {
		return err
	}
	word := func(at int) int { return int(binary.LittleEndian.Uint16(b[at:])) }
	tag := word(0)
	f := &wavFormat{channels: word(2), rate: int(binary.LittleEndian.Uint32(b[4:])), block: word(12), bits: word(14)}
	if tag == formatExtensible {
		if len(b) < 40 || !bytes.Equal(b[26:40], subFormat) {
			return fmt.Errorf("byte %d: an extensible format that names none that is read", at)
		}
		tag = word(24)
	}
	f.float = tag == formatFloat
	return d.accept(f, tag, at)
}

// accept refuses formats that are not read.
func (d *wavReader) accept(f *wavFormat, tag int, at int64) error {
	known := tag == formatPCM && slices.Contains([]int{16, 24, 32}, f.bits) || f.float && f.bits == 32
	switch {
	case !known:
		return fmt.Errorf("byte %d: samples of format %04Xh and %d bits, want PCM of 16, 24 or 32 bits or floats of 32", at, tag, f.bits)
	case f.channels < 1 || f.channels > maxChannels:
		return fmt.Errorf("byte %d: %d channels, want 1 to %d", at, f.channels, maxChannels)
	case f.rate < minRate || f.rate > maxRate:
		return fmt.Errorf("byte %d: %d frames a second, want %d to %d", at, f.rate, minRate, maxRate)
	case f.block != f.channels*f.bits/8:
		return fmt.Errorf("byte %d: frames of %d bytes for %d channels of %d bits", at, f.block, f.channels, f.bits)
	}
	d.format = f
	return nil
}

// samples reads the sound, the loudest channel of it. A size that the file does
// not hold, as recorders leave behind that were switched off, is no fault.
func (d *wavReader) samples(size uint32) (*Recording, error) {
	f := d.format
	most := int64(maxSeconds*f.rate) * int64(f.block)
	sound := io.LimitReader(d.from, min(int64(size), most))
	channels := make([][]float64, f.channels)
	piece := make([]byte, 4096/f.block*f.block+f.block)
	for {
		n, err := io.ReadFull(sound, piece)
		for frame := range slices.Chunk(piece[:n/f.block*f.block], f.block) {
			for c := range channels {
				channels[c] = append(channels[c], f.sample(frame[c*f.bits/8:]))
			}
		}
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			break
		}
		if err != nil {
			return nil, err
		}
	}
	r := &Recording{Rate: f.rate, Samples: loudest(channels), Channels: f.channels, Cut: int64(size) > most && size != math.MaxUint32}
	if len(r.Samples) == 0 {
		return nil, fmt.Errorf("byte %d: no sound", d.at)
	}
	return r, nil
}

// sample is one sample, full scale being ±1. What is no number counts as 0.
func (f *wavFormat) sample(b []byte) float64 {
	switch {
	case f.float:
		v := float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
		if math.IsNaN(v) || math.Abs(v) > 1e6 {
			return 0
		}
		return v
	case f.bits == 16:
		return float64(int16(binary.LittleEndian.Uint16(b))) / (1 << 15)
	case f.bits == 24:
		return float64(int32(b[0])<<8|int32(b[1])<<16|int32(b[2])<<24) / (1 << 31)
	}
	return float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31)
}

// loudest is the channel with most energy, the first of equals.
func loudest(channels [][]float64) (best []float64) {
	most := -1.0
	for _, c := range channels {
		var sum float64
		for _, s := range c {
			sum += s * s
		}
		if sum > most {
			best, most = c, sum
		}
	}
	return best
}
