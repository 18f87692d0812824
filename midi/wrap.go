package midi

import (
	"bytes"
	"encoding/binary"
	"fmt"
)

// unwrap returns where in the data the MIDI file begins and ends, and the name
// of what it is wrapped in: "RMID" for a RIFF file of that kind (RP-029), whose
// chunk "data" holds a whole MIDI file, else nothing.
func unwrap(data []byte, w *Warnings) (start, end int, wrapper string, err error) {
	if len(data) < 12 || string(data[:4]) != "RIFF" || string(data[8:12]) != "RMID" {
		return 0, len(data), "", nil
	}
	for at := 12; at+8 <= len(data); {
		size := chunkSize(binary.LittleEndian.Uint32(data[at+4:]))
		start = at + 8
		fits := size <= len(data)-start
		switch {
		case string(data[at:at+4]) == "data" && fits:
			return start, start + size, "RMID", nil
		case string(data[at:at+4]) == "data":
			w.cut(at+4, "chunk \"data\" of %d bytes, but %d are left in the file: read those", size, len(data)-start)
			return start, len(data), "RMID", nil
		case !fits:
			at = len(data)
		default:
			at = start + size + size&1
		}
	}
	return 0, 0, "", formatErrorf(12, "RIFF file of type RMID without a chunk \"data\": no MIDI file in it")
}

// looks says what a file that is no MIDI file seems to be.
func looks(data []byte) string {
	for _, kind := range fileKinds {
		if bytes.HasPrefix(data, []byte(kind.prefix)) {
			return kind.name
		}
	}
	if at := bytes.Index(data, []byte("MThd")); at > 0 {
		return fmt.Sprintf("a MIDI file behind %d other bytes", at)
	}
	if isText(data[:min(len(data), 512)]) {
		return "text"
	}
	return ""
}

// fileKinds lists what people take for MIDI files, by their first bytes.
var fileKinds = []struct{ prefix, name string }{
	{"MTrk", "a track chunk without its header chunk"},
	{"\x1f\x8b", "a gzip file"},
	{"PK\x03\x04", "a zip file"},
	{"7z\xbc\xaf\x27\x1c", "a 7z archive"},
	{"RIFF", "a RIFF file of another type, such as WAVE"},
	{"FORM", "an IFF file, such as AIFF"},
	{"OggS", "an Ogg file"},
	{"fLaC", "a FLAC file"},
	{"ID3", "an MP3 file"},
	{"\xff\xfb", "an MP3 file"},
	{"%PDF", "a PDF file"},
	{"\x89PNG", "a PNG picture"},
}

func isText(data []byte) bool {
	for _, b := range data {
		if b < 0x20 && b != '\t' && b != '\n' && b != '\r' || b == 0x7F {
			return false
		}
	}
	return true
}
