package draw

import (
	"bytes"
	"compress/zlib"
	"fmt"
)

// pdfFile writes the objects of a PDF, and where each of them is (ISO 32000-1, 7.5).
type pdfFile struct {
	out    []byte
	at     []int // of objects, by number from 1
	zip    *zlib.Writer
	packed bytes.Buffer
}

func newPDFFile() *pdfFile {
	// Four bytes beyond ASCII say that the file is no text (7.5.2).
	f := &pdfFile{out: append(make([]byte, 0, 1<<17), "%PDF-1.4\n%\xe2\xe3\xcf\xd3\n"...)}
	f.zip, _ = zlib.NewWriterLevel(&f.packed, zlib.BestSpeed) // a level that there is
	return f
}

// reserve is the number of an object that is yet to be written.
func (f *pdfFile) reserve() int {
	f.at = append(f.at, 0)
	return len(f.at)
}

func (f *pdfFile) object(number int, text string) {
	f.at[number-1] = len(f.out)
	f.out = fmt.Appendf(f.out, "%d 0 obj\n%s\nendobj\n", number, text)
}

// stream writes an object that is data, packed (7.3.8), and what else its dictionary says.
func (f *pdfFile) stream(number int, says string, data []byte) {
	f.packed.Reset()
	f.zip.Reset(&f.packed)
	f.zip.Write(data) // into memory
	f.zip.Close()
	f.at[number-1] = len(f.out)
	f.out = fmt.Appendf(f.out, "%d 0 obj\n<</Filter /FlateDecode /Length %d%s>>\nstream\n", number, f.packed.Len(), says)
	f.out = append(append(f.out, f.packed.Bytes()...), "\nendstream\nendobj\n"...)
}

// finish is the file, with the table of its objects: lines of twenty bytes (7.5.4).
func (f *pdfFile) finish(catalog, info int) []byte {
	table := len(f.out)
	f.out = fmt.Appendf(f.out, "xref\n0 %d\n0000000000 65535 f \n", len(f.at)+1)
	for _, at := range f.at {
		f.out = fmt.Appendf(f.out, "%010d 00000 n \n", at)
	}
	return fmt.Appendf(f.out, "trailer\n<</Size %d /Root %d 0 R /Info %d 0 R>>\nstartxref\n%d\n%%%%EOF\n", len(f.at)+1, catalog, info, table)
}

// outlined is a section in an outline, and the objects that it names.
type outlined struct {
	section
	number, parent, prev, next, first, last int
	parts                                   int // below it
}

// text are the links of one.
func (x *outlined) text() (text string) {
	for i, to := range []int{x.parent, x.prev, x.next, x.first, x.last} {
		if to > 0 {
			text += fmt.Sprintf(" /%s %d 0 R", [...]string{"Parent", "Prev", "Next", "First", "Last"}[i], to)
		}
	}
	return text
}

// outline writes the sections of pages, by the numbers of these, parts closed below theirs (12.3.3). It
// returns its own number; 0 where there are none.
func (f *pdfFile) outline(pages []*Picture, numbers []int) int {
	root := &outlined{}
	var all []*outlined
	var goes []string     // to where, of each
	var last [2]*outlined // by level, below the same parent
	for i, p := range pages {
		for _, s := range p.sections {
			if root.number == 0 {
				root.number = f.reserve()
			}
			x, above, level := &outlined{section: s, number: f.reserve()}, root, 0
			if s.level > 0 && last[0] != nil {
				above, level = last[0], 1
			} else {
				last[1] = nil
			}
			if before := last[level]; before != nil {
				before.next, x.prev = x.number, before.number
			} else {
				above.first = x.number
			}
			x.parent, above.last, last[level] = above.number, x.number, x
			above.parts++
			all, goes = append(all, x), append(goes, fmt.Sprintf("[%d 0 R /XYZ 0 %s null]", numbers[i], points(p.Height-s.y)))
		}
	}
	for i, x := range all {
		count := ""
		if x.parts > 0 {
			count = fmt.Sprintf(" /Count %d", -x.parts)
		}
		f.object(x.number, fmt.Sprintf("<</Title %s /Dest %s%s%s>>", textString(Clean(x.name)), goes[i], x.text(), count))
	}
	if root.number > 0 {
		f.object(root.number, fmt.Sprintf("<</Type /Outlines /Count %d%s>>", root.parts, root.text()))
	}
	return root.number
}
