package draw

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"slices"
	"strings"
)

// cutFont is a font in a PDF: the letters that are used of a face. Their codes count from 1.
type cutFont struct {
	*face
	bold    bool
	letters []rune
	codes   map[rune]uint16
}

// cutFonts are the two fonts with the letters of pictures.
func cutFonts(pages []*Picture) (fonts [2]*cutFont) {
	for i := range fonts {
		fonts[i] = &cutFont{face: faceOf(i > 0), bold: i > 0, codes: map[rune]uint16{}}
	}
	for _, p := range pages {
		for i := range p.marks {
			m, f := &p.marks[i], fonts[0]
			if m.kindOf.Bold {
				f = fonts[1]
			}
			for _, r := range m.text {
				if f.codes[r] == 0 {
					f.letters = append(f.letters, r)
					f.codes[r] = uint16(len(f.letters))
				}
			}
		}
	}
	return fonts
}

// write writes a font with two bytes a letter (ISO 32000-1, 9.7), and returns its number.
func (c *cutFont) write(f *pdfFile) int {
	font, descendant, descriptor, file, glyphs, unicode := f.reserve(), f.reserve(), f.reserve(), f.reserve(), f.reserve(), f.reserve()
	places, widths := make([]byte, 2, 2*len(c.letters)+2), ""
	used := []uint16{0}
	for _, r := range c.letters {
		g, width := c.glyph(r), 0
		width, _ = c.width(r)
		used = append(used, g)
		places = binary.BigEndian.AppendUint16(places, g)
		widths += fmt.Sprintf(" %d", width)
	}
	cut := newTrueType(c.file).cut(used)
	name := tagOf(cut) + "+" + c.name
	f.object(font, fmt.Sprintf("<</Type /Font /Subtype /Type0 /BaseFont /%s /Encoding /Identity-H /DescendantFonts [%d 0 R] /ToUnicode %d 0 R>>", name, descendant, unicode))
	f.object(descendant, fmt.Sprintf("<</Type /Font /Subtype /CIDFontType2 /BaseFont /%s /CIDSystemInfo <</Registry (Adobe) /Ordering (Identity) /Supplement 0>> "+
		"/FontDescriptor %d 0 R /CIDToGIDMap %d 0 R /W [1 [%s]]>>", name, descriptor, glyphs, widths))
	f.object(descriptor, fmt.Sprintf("<</Type /FontDescriptor /FontName /%s /FontFile2 %d 0 R %s>>", name, file, c.described()))
	f.stream(file, fmt.Sprintf(" /Length1 %d", len(cut)), cut)
	f.stream(glyphs, "", places)
	f.stream(unicode, "", c.unicode())
	return font
}

// tagOf is six letters by which a cut font differs from others of its name (9.6.4).
func tagOf(file []byte) string {
	sum, tag := crc32.ChecksumIEEE(file), make([]byte, 6)
	for i := range tag {
		tag[i] = 'A' + byte(sum%26)
		sum /= 26
	}
	return string(tag)
}

// described is what a viewer would need to know that has to do without the font (9.8). Stems, which
// no table has, are reckoned from the weights 400 and 700 as is common: 50 + (weight/65)².
func (c *cutFont) described() string {
	const symbolic, forcedBold = 1 << 2, 1 << 18
	t := newTrueType(c.file)
	head, hhea := t.tables["head"], t.tables["hhea"]
	of := func(table []byte, at int) int {
		return int(int16(binary.BigEndian.Uint16(table[at:]))) * 1000 / int(binary.BigEndian.Uint16(head[18:])) // units to the em
	}
	flags, stem := symbolic, 87
	if c.bold {
		flags, stem = symbolic|forcedBold, 165
	}
	const capitals = 729 // of DejaVu, as its own letters have it: 1493 of 2048
	return fmt.Sprintf("/Flags %d /FontBBox [%d %d %d %d] /ItalicAngle 0 /Ascent %d /Descent %d /CapHeight %d /StemV %d",
		flags, of(head, 36), of(head, 38), of(head, 40), of(head, 42), of(hhea, 4), of(hhea, 6), capitals, stem)
}

// unicode says which letter a code stands for, so that a text can be copied (9.10.3): up to 100 in a block.
func (c *cutFont) unicode() []byte {
	var s strings.Builder
	s.WriteString("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n" +
		"/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n1 begincodespacerange\n<0000> <ffff>\nendcodespacerange\n")
	code := 0
	for block := range slices.Chunk(c.letters, 100) {
		fmt.Fprintf(&s, "%d beginbfchar\n", len(block))
		for _, r := range block {
			code++
			fmt.Fprintf(&s, "<%04x> <%04x>\n", code, r)
		}
		s.WriteString("endbfchar\n")
	}
	s.WriteString("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n")
	return []byte(s.String())
}
