package draw

import (
	"sync"
	"sync/atomic"

	"codeberg.org/go-pdf/fpdf"
)

const family = "DejaVuSansCondensed"

// Usual are the letters of which a PDF's fonts can be read ahead: ASCII, Latin-1, and signs of prices, of physics and
// of notes. A file with others takes longer.
const Usual = " !\"#$%&'()*+,-./0123456789:;<=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvwxyz{|}~" +
	"\u00a0¡¢£¤¥¦§¨©ª«¬®¯°±²³´µ¶·¸¹º»¼½¾¿ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖ×ØÙÚÛÜÝÞßàáâãäåæçèéêëìíîïðñòóôõö÷øùúûüýþÿ" +
	"–—‘’‚“”„•…€Ω′″⁰⁴⁵⁶⁷⁸⁹⁻⅓←↑→↓√−≈≠≤≥♭♮♯"

// usualFonts are the two fonts with their usual letters alone.
var usualFonts = sync.OnceValue(func() [2][]byte { return cutFonts(Usual) })

// cutFonts are the two fonts with some letters alone: fpdf reads what it is given letter by letter, once when it
// gets it and once when it cuts it, and of a whole font that takes longer than the rest of a sheet.
func cutFonts(letters string) (cut [2][]byte) {
	var both sync.WaitGroup
	for i := range cut {
		both.Go(func() { cut[i] = fpdf.UTF8CutFont(faceOf(i == 1).file, letters) })
	}
	both.Wait()
	return cut
}

// blank is a PDF with fonts and without a page.
func blank(fonts [2][]byte) *fpdf.Fpdf {
	doc := fpdf.New("P", "mm", "A4", "")
	for i, style := range [...]string{"", "B"} {
		doc.AddUTF8FontFromBytes(family, style, fonts[i])
	}
	return doc
}

// ahead makes the blank of the next PDF, if somebody asked for it.
var ahead atomic.Pointer[func() *fpdf.Fpdf]

// ReadAhead begins to read the fonts of the next [PDF], beside whatever else there is to do: fpdf takes as long for
// them as all else of a sheet does.
func ReadAhead() {
	read := sync.OnceValue(func() *fpdf.Fpdf { return blank(usualFonts()) })
	if ahead.CompareAndSwap(nil, &read) {
		go read()
	}
}

// blankFor is a blank that has the letters of pages.
func blankFor(pages []*Picture) *fpdf.Fpdf {
	if rare := rareOf(pages); rare != "" {
		return blank(cutFonts(Usual + rare))
	}
	if read := ahead.Swap(nil); read != nil {
		return (*read)()
	}
	return blank(usualFonts())
}

// rareOf are the letters of pages that are not usual, each once.
func rareOf(pages []*Picture) string {
	var rare []rune
	known := map[rune]bool{}
	for _, r := range Usual {
		known[r] = true
	}
	for _, p := range pages {
		for i := range p.marks {
			if text := p.marks[i].text; !plain(text) {
				for _, r := range text {
					if !known[r] {
						known[r] = true
						rare = append(rare, r)
					}
				}
			}
		}
	}
	return string(rare)
}
