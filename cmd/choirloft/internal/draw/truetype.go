package draw

import (
	"encoding/binary"
	"maps"
	"math/bits"
	"slices"
)

// trueType is a TrueType file, as OpenType 1.9 has it: tables by name, which it shares with the file.
type trueType struct {
	tables map[string][]byte
}

// newTrueType reads the directory of a file that is sound: 12 bytes, then 16 a table.
func newTrueType(file []byte) trueType {
	t := trueType{map[string][]byte{}}
	for i := range int(binary.BigEndian.Uint16(file[4:])) {
		entry := file[12+16*i:]
		at, size := binary.BigEndian.Uint32(entry[8:]), binary.BigEndian.Uint32(entry[12:])
		t.tables[string(entry[:4])] = file[at:][:size:size]
	}
	return t
}

// glyph is the outline of one, by its table of places: halves, or wholes of four bytes.
func (t trueType) glyph(g uint16) []byte {
	loca, n := t.tables["loca"], int(g)
	if binary.BigEndian.Uint16(t.tables["head"][50:]) == 0 {
		return t.tables["glyf"][2*int(binary.BigEndian.Uint16(loca[2*n:])) : 2*int(binary.BigEndian.Uint16(loca[2*n+2:]))]
	}
	return t.tables["glyf"][binary.BigEndian.Uint32(loca[4*n:]):binary.BigEndian.Uint32(loca[4*n+4:])]
}

// parts are the glyphs that a glyph is made of: where it has less than no contours (glyf, composite glyphs).
func parts(glyph []byte) (all []uint16) {
	const words, scaled, more, scaledTwice, turned = 1, 8, 0x20, 0x40, 0x80
	if len(glyph) < 2 || int16(binary.BigEndian.Uint16(glyph)) >= 0 {
		return nil
	}
	for at := 10; ; {
		flags := binary.BigEndian.Uint16(glyph[at:])
		all = append(all, binary.BigEndian.Uint16(glyph[at+2:]))
		at += 6
		if flags&words != 0 {
			at += 2
		}
		switch {
		case flags&scaled != 0:
			at += 2
		case flags&scaledTwice != 0:
			at += 4
		case flags&turned != 0:
			at += 8
		}
		if flags&more == 0 {
			return all
		}
	}
}

// cut is the font with nothing but some glyphs, and those that they are made of, by the numbers that they
// had: what a PDF needs of it (ISO 32000-1, 9.9).
func (t trueType) cut(glyphs []uint16) []byte {
	for i := 0; i < len(glyphs); i++ {
		for _, part := range parts(t.glyph(glyphs[i])) {
			if !slices.Contains(glyphs, part) {
				glyphs = append(glyphs, part)
			}
		}
	}
	slices.Sort(glyphs)
	n := int(glyphs[len(glyphs)-1]) + 1
	metrics := int(binary.BigEndian.Uint16(t.tables["hhea"][34:]))
	glyf, loca, hmtx := []byte{}, make([]byte, 0, 4*n+4), make([]byte, 4*n)
	for g := range n {
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		if _, used := slices.BinarySearch(glyphs, uint16(g)); !used {
			continue
		}
		glyf = append(glyf, t.glyph(uint16(g))...)
		glyf = append(glyf, make([]byte, -len(glyf)&3)...)
		// Glyphs beyond the last width have that, and a bearing alone (hmtx).
		from := t.tables["hmtx"]
		copy(hmtx[4*g:], from[4*min(g, metrics-1):][:4])
		if g >= metrics {
			copy(hmtx[4*g+2:], from[4*metrics+2*(g-metrics):][:2])
		}
	}
	loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
	head, hhea, maxp := slices.Clone(t.tables["head"]), slices.Clone(t.tables["hhea"]), slices.Clone(t.tables["maxp"])
	binary.BigEndian.PutUint32(head[8:], 0)
	binary.BigEndian.PutUint16(head[50:], 1)
	binary.BigEndian.PutUint16(hhea[34:], uint16(n))
	binary.BigEndian.PutUint16(maxp[4:], uint16(n))
	return assemble(map[string][]byte{"cvt ": t.tables["cvt "], "fpgm": t.tables["fpgm"], "glyf": glyf, "head": head, "hhea": hhea, "hmtx": hmtx,
		"loca": loca, "maxp": maxp, "prep": t.tables["prep"]})
}

// assemble is a file of tables, with their sums and that of the whole.
func assemble(tables map[string][]byte) []byte {
	const magic = 0xb1b0afba
	names := slices.Sorted(maps.Keys(tables))
	log := bits.Len(uint(len(names))) - 1
	file := binary.BigEndian.AppendUint32(nil, 0x10000)
	for _, v := range []int{len(names), 16 << log, log, 16*len(names) - 16<<log} {
		file = binary.BigEndian.AppendUint16(file, uint16(v))
	}
	at, head := len(file)+16*len(names), 0
	for _, name := range names {
		if name == "head" {
			head = at
		}
		file = append(file, name...)
		for _, v := range []int{int(sumOf(tables[name])), at, len(tables[name])} {
			file = binary.BigEndian.AppendUint32(file, uint32(v))
		}
		at += (len(tables[name]) + 3) &^ 3
	}
	for _, name := range names {
		file = append(file, tables[name]...)
		file = append(file, make([]byte, -len(file)&3)...)
	}
	binary.BigEndian.PutUint32(file[head+8:], magic-sumOf(file))
	return file
}

// sumOf adds a table up by four bytes, as if zeros stood behind it.
func sumOf(table []byte) (sum uint32) {
	for i := 0; i < len(table); i += 4 {
		var four [4]byte
		copy(four[:], table[i:])
		sum += binary.BigEndian.Uint32(four[:])
	}
	return sum
}
