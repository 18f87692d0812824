// Package wave writes what stands before the samples of a sound file: WAVE, with
// WAVE_FORMAT_EXTENSIBLE, as RF64 where it is longer than RIFF can say.
//
// Most users need two calls: [File.Head] before the samples and [File.Pad] after
// them. Formats are those of RFC 2361 and MS-RDPEAI
// 2.2.2.3.1, RF64 that of EBU Tech 3306 and ITU-R BS.2088. It reads nothing.
package wave

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"math"
)

const (
	wavePCM        = 0x0001
	waveFloat      = 0x0003
	waveExtensible = 0xFFFE
	formatSize     = 40
	noSize         = math.MaxUint32 // stands in RF64 where a size is in ds64
)

// waveTail is the rest of the GUID that names a plain format.
var waveTail = []byte{0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71}

// Stereo is the mask of a left and a right speaker.
const Stereo = 3

// File is what is known of a file before its samples are.
type File struct {
	Rate, Channels int
	Float          bool   // samples are floats of 32 bits, else whole numbers of 24
	Speakers       uint32 // mask of the speakers that the channels are for; 0 for none
	Frames         int64
	Name, Comment  string
	Tracks         []Track // names of the channels; none leaves them out
}

// Track names a channel, and what it is.
type Track struct{ Name, Function string }

// Width is how many bytes a sample has.
func (f *File) Width() int {
	if f.Float {
		return 4
	}
	return 3
}

// data is the size of the samples.
func (f *File) data() int64 { return f.Frames * int64(f.Width()*f.Channels) }

// Bytes is the size of the file.
func (f *File) Bytes() int64 { return int64(len(f.Head())) + f.data() + f.data()&1 }

// Large tells whether the file is RF64, since RIFF ends at 4 GiB.
func (f *File) Large() bool {
	riff, _ := f.layout()
	return riff > noSize-1
}

// Pad is what follows the samples.
func (f *File) Pad() []byte { return make([]byte, f.data()&1) }

// chunk is one chunk before the samples.
type chunk struct {
	id   string
	body []byte
}

// layout is the size that RIFF has to say, without ds64, and the chunks before
// the samples.
func (f *File) layout() (riff int64, chunks []chunk) {
	fact := binary.LittleEndian.AppendUint32(nil, uint32(min(f.Frames, noSize)))
	chunks = []chunk{{"fmt ", f.format()}, {"fact", fact}, {"LIST", f.info()}}
	if len(f.Tracks) > 0 {
		chunks = append(chunks, chunk{"iXML", f.names()})
	}
	riff = 4 + 8 + f.data() + f.data()&1
	for _, x := range chunks {
		riff += 8 + int64(len(x.body)+len(x.body)&1)
	}
	return riff, chunks
}

// Head is everything before the samples.
func (f *File) Head() []byte {
	riff, chunks := f.layout()
	id, size, data := "RIFF", riff, f.data()
	if riff > noSize-1 {
		id, size, data = "RF64", noSize, noSize
		ds64 := binary.LittleEndian.AppendUint64(nil, uint64(riff+36))
		ds64 = binary.LittleEndian.AppendUint64(ds64, uint64(f.data()))
		ds64 = binary.LittleEndian.AppendUint64(ds64, uint64(f.Frames))
		ds64 = binary.LittleEndian.AppendUint32(ds64, 0) // no table
		chunks = append([]chunk{{"ds64", ds64}}, chunks...)
	}
	var b bytes.Buffer
	word := func(id string, size int64) {
		b.WriteString(id)
		b.Write(binary.LittleEndian.AppendUint32(nil, uint32(size)))
	}
	word(id, size)
	b.WriteString("WAVE")
	for _, x := range chunks {
		word(x.id, int64(len(x.body)))
		b.Write(x.body)
		if len(x.body)&1 == 1 {
			b.WriteByte(0)
		}
	}
	word("data", data)
	return b.Bytes()
}

// format is the body of the chunk "fmt ".
func (f *File) format() []byte {
	n, width := f.Channels, f.Width()
	tag := uint16(wavePCM)
	if f.Float {
		tag = waveFloat
	}
	b := binary.LittleEndian.AppendUint16(nil, waveExtensible)
	b = binary.LittleEndian.AppendUint16(b, uint16(n))
	b = binary.LittleEndian.AppendUint32(b, uint32(f.Rate))
	b = binary.LittleEndian.AppendUint32(b, uint32(min(int64(f.Rate)*int64(n*width), noSize)))
	b = binary.LittleEndian.AppendUint16(b, uint16(n*width))
	b = binary.LittleEndian.AppendUint16(b, uint16(8*width))
	b = binary.LittleEndian.AppendUint16(b, formatSize-18)
	b = binary.LittleEndian.AppendUint16(b, uint16(8*width)) // of which all count
	b = binary.LittleEndian.AppendUint32(b, f.Speakers)
	return append(binary.LittleEndian.AppendUint16(b, tag), waveTail...)
}

// info is the body of a LIST of kind INFO: name and comment (RIFF, from memory).
func (f *File) info() []byte {
	b := []byte("INFO")
	for _, x := range []chunk{{"INAM", []byte(f.Name)}, {"ICMT", []byte(f.Comment)}} {
		body := append(x.body, 0)
		b = append(b, x.id...)
		b = binary.LittleEndian.AppendUint32(b, uint32(len(body)))
		b = append(b, body...)
		if len(body)&1 == 1 {
			b = append(b, 0)
		}
	}
	return b
}

// names is the body of the chunk "iXML", which names channels (iXML 2.10, TRACK
// LIST, from memory).
func (f *File) names() []byte {
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?><BWFXML><IXML_VERSION>2.10</IXML_VERSION><NOTE>`)
	xml.EscapeText(&b, []byte(f.Comment))
	fmt.Fprintf(&b, "</NOTE><TRACK_LIST><TRACK_COUNT>%d</TRACK_COUNT>", len(f.Tracks))
	for i, t := range f.Tracks {
		fmt.Fprintf(&b, "<TRACK><CHANNEL_INDEX>%d</CHANNEL_INDEX><INTERLEAVE_INDEX>%d</INTERLEAVE_INDEX><NAME>", i+1, i+1)
		xml.EscapeText(&b, []byte(t.Name))
		fmt.Fprintf(&b, "</NAME><FUNCTION>%s</FUNCTION></TRACK>", t.Function)
	}
	b.WriteString("</TRACK_LIST></BWFXML>")
	return b.Bytes()
}
