package deal

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"io"
	"math"
)

// Caution belongs wherever a file of CVs is named.
const Caution = "Control voltages, not sound: DC that must never reach monitors, speakers or headphones. " +
	"Send each channel to a DC-coupled output alone, marked as such, with monitors off."

// The formats of samples and of the file (RFC 2361; MS-RDPEAI 2.2.2.3.1; RF64:
// EBU Tech 3306, ITU-R BS.2088).
const (
	wavePCM        = 0x0001
	waveFloat      = 0x0003
	waveExtensible = 0xFFFE
	formatSize     = 40
	noSize         = math.MaxUint32 // stands in RF64 where a size is in ds64
)

// waveTail is the rest of the GUID that names a plain format.
var waveTail = []byte{0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71}

// chunk is one chunk before the samples.
type chunk struct {
	id   string
	body []byte
}

// Bytes is the size of the file.
func (c *CV) Bytes() int64 { return int64(len(c.head())) + c.data() + c.data()&1 }

// data is the size of the samples.
func (c *CV) data() int64 { return c.Frames * int64(c.width()*len(c.Channels)) }

// Large tells whether the file is RF64, since RIFF ends at 4 GiB.
func (c *CV) Large() bool {
	riff, _ := c.layout()
	return riff > noSize-1
}

// Write writes the file: the names of its channels first, then the samples, in
// pieces. WAVE_FORMAT_EXTENSIBLE with a channel mask of 0 says that no channel is
// a speaker.
func (c *CV) Write(to io.Writer) error {
	w := bufio.NewWriterSize(to, 1<<16)
	if _, err := w.Write(c.head()); err != nil {
		return err
	}
	if err := c.player().write(w); err != nil {
		return err
	}
	if c.data()&1 == 1 {
		if err := w.WriteByte(0); err != nil {
			return err
		}
	}
	return w.Flush()
}

// layout is the size that RIFF has to say, without ds64, and the chunks before
// the samples.
func (c *CV) layout() (riff int64, chunks []chunk) {
	fact := binary.LittleEndian.AppendUint32(nil, uint32(min(c.Frames, noSize)))
	chunks = []chunk{{"fmt ", c.format()}, {"fact", fact}, {"LIST", c.info()}, {"iXML", c.names()}}
	riff = 4 + 8 + c.data() + c.data()&1
	for _, x := range chunks {
		riff += 8 + int64(len(x.body)+len(x.body)&1)
	}
	return riff, chunks
}

// head is everything before the samples.
func (c *CV) head() []byte {
	riff, chunks := c.layout()
	id, size, data := "RIFF", riff, c.data()
	if riff > noSize-1 {
		id, size, data = "RF64", noSize, noSize
		ds64 := binary.LittleEndian.AppendUint64(nil, uint64(riff+36))
		ds64 = binary.LittleEndian.AppendUint64(ds64, uint64(c.data()))
		ds64 = binary.LittleEndian.AppendUint64(ds64, uint64(c.Frames))
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
func (c *CV) format() []byte {
	n, width := len(c.Channels), c.width()
	tag := uint16(wavePCM)
	if c.Float {
		tag = waveFloat
	}
	b := binary.LittleEndian.AppendUint16(nil, waveExtensible)
	b = binary.LittleEndian.AppendUint16(b, uint16(n))
	b = binary.LittleEndian.AppendUint32(b, uint32(c.Rate))
	b = binary.LittleEndian.AppendUint32(b, uint32(min(int64(c.Rate)*int64(n*width), noSize)))
	b = binary.LittleEndian.AppendUint16(b, uint16(n*width))
	b = binary.LittleEndian.AppendUint16(b, uint16(8*width))
	b = binary.LittleEndian.AppendUint16(b, formatSize-18)
	b = binary.LittleEndian.AppendUint16(b, uint16(8*width)) // of which all count
	b = binary.LittleEndian.AppendUint32(b, 0)               // no speakers
	return append(binary.LittleEndian.AppendUint16(b, tag), waveTail...)
}

// info is the body of a LIST of kind INFO: name and comment (RIFF, from memory).
func (c *CV) info() []byte {
	b := []byte("INFO")
	for _, x := range []chunk{{"INAM", []byte(c.Plan.Rig.Name + " [" + c.Plan.Code() + "]: CV")}, {"ICMT", []byte(Caution)}} {
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
func (c *CV) names() []byte {
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?><BWFXML><IXML_VERSION>2.10</IXML_VERSION><NOTE>`)
	xml.EscapeText(&b, []byte(Caution))
	fmt.Fprintf(&b, "</NOTE><TRACK_LIST><TRACK_COUNT>%d</TRACK_COUNT>", len(c.Channels))
	for i := range c.Channels {
		fmt.Fprintf(&b, "<TRACK><CHANNEL_INDEX>%d</CHANNEL_INDEX><INTERLEAVE_INDEX>%d</INTERLEAVE_INDEX><NAME>", i+1, i+1)
		xml.EscapeText(&b, []byte(c.Channels[i].Name))
		b.WriteString("</NAME><FUNCTION>CV</FUNCTION></TRACK>")
	}
	b.WriteString("</TRACK_LIST></BWFXML>")
	return b.Bytes()
}
