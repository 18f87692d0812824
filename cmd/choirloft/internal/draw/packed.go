package draw

import (
	"bytes"
	"cmp"
	"compress/zlib"
	"fmt"
	"slices"
	"strconv"
)

// packed is a PDF as fpdf writes it, with the streams packed that are not. fpdf would make a
// packer of 800 kB for each page, most of the memory that a sheet takes; here one does for
// all. Where things are is told anew (ISO 32000-1, 7.3.8: streams, 7.5.4: the table).
func packed(file []byte) []byte {
	end := bytes.LastIndex(file, []byte("\nxref\n")) + 1
	objects := objectsOf(file[end:])
	var p packer
	p.zip, _ = zlib.NewWriterLevel(&p.stream, zlib.BestSpeed) // a level that there is
	p.Grow(len(file) / 2)
	p.Write(file[:objects[0].at])
	for i, o := range objects {
		to := end
		if i+1 < len(objects) {
			to = objects[i+1].at
		}
		objects[i].now = p.Len()
		p.object(file[o.at:to])
	}
	table := p.Len()
	slices.SortFunc(objects, func(a, b object) int { return cmp.Compare(a.number, b.number) })
	fmt.Fprintf(&p, "xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for _, o := range objects {
		fmt.Fprintf(&p, "%010d 00000 n \n", o.now)
	}
	p.Write(file[bytes.LastIndex(file, []byte("trailer\n")):bytes.LastIndex(file, []byte("startxref\n"))])
	fmt.Fprintf(&p, "startxref\n%d\n%%%%EOF\n", table)
	return p.Bytes()
}

// object is one of a PDF: its number, and where it was and is now.
type object struct{ number, at, now int }

// objectsOf reads the table of a PDF, in the order of the file: "xref", how many entries, that
// of no object, and then one a line.
func objectsOf(table []byte) (all []object) {
	for n, line := range bytes.Split(table, []byte("\n")) {
		if n > 2 && bytes.HasSuffix(line, []byte(" 00000 n ")) {
			at, _ := strconv.Atoi(string(line[:10]))
			all = append(all, object{number: n - 2, at: at})
		}
	}
	slices.SortFunc(all, func(a, b object) int { return cmp.Compare(a.at, b.at) })
	return all
}

// packer writes a file with packed streams.
type packer struct {
	bytes.Buffer
	zip    *zlib.Writer
	stream bytes.Buffer
}

// object writes an object: a stream that says nothing but its length is packed.
func (p *packer) object(text []byte) {
	const says, then = "<</Length ", ">>\nstream\n"
	name, rest, _ := bytes.Cut(text, []byte("\n"))
	length, data, _ := bytes.Cut(rest, []byte(then))
	n, err := strconv.Atoi(string(bytes.TrimPrefix(length, []byte(says))))
	if err != nil || n > len(data) {
		p.Write(text)
		return
	}
	p.stream.Reset()
	p.zip.Reset(&p.stream)
	p.zip.Write(data[:n])
	p.zip.Close()
	fmt.Fprintf(p, "%s\n<</Filter /FlateDecode /Length %d%s", name, p.stream.Len(), then)
	p.Write(p.stream.Bytes())
	p.Write(data[n:])
}
