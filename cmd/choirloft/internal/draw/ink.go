package draw

// Ink is one of the few colours of a picture. The greys alone must carry the
// meaning: Accent is printed like a middle grey. Against white, Grey, Dark and Deep have
// contrasts of 3, 6 and 12; text on the last two is white, on all else black. What is painted with the colours of
// cables has an outline, and a word beside it.
type Ink uint8

// The inks; the zero Ink paints nothing.
const (
	None   Ink = iota
	Paper      // white
	Black      // text and main lines
	Deep       // the darkest fields
	Dark       // second lines of text, fields
	Grey       // rules, fields
	Light      // lines of a grid
	Faint      // bands behind rows
	Accent     // what needs the eye: losses, what is out
	Blush      // fields of the accent

	// Colours of cables, with Grey, Paper and Black. No text stands on them.
	Brown
	Red
	Orange
	Yellow
	Green
	Blue
	Violet

	numInks  = iota
	numMixed = Blush + 1 // those that a PNG has mixtures of
)

type rgb struct{ r, g, b uint8 }

var colours = [numInks]rgb{
	Paper:  {255, 255, 255},
	Black:  {24, 24, 24},
	Deep:   {54, 54, 54},
	Dark:   {99, 99, 99},
	Grey:   {148, 148, 148},
	Light:  {206, 206, 206},
	Faint:  {240, 240, 238},
	Accent: {176, 52, 20},
	Blush:  {246, 222, 210},
	Brown:  {122, 74, 33},
	Red:    {208, 40, 40},
	Orange: {240, 138, 29},
	Yellow: {245, 217, 10},
	Green:  {46, 139, 61},
	Blue:   {42, 98, 201},
	Violet: {125, 60, 181},
}

// RGB is red, green and blue of an ink, 0–255 each.
func (i Ink) RGB() [3]uint8 { return [3]uint8{colours[i].r, colours[i].g, colours[i].b} }

var hex = func() (out [numInks]string) {
	const digits = "0123456789abcdef"
	for i, c := range colours {
		b := []byte{'#'}
		for _, v := range []uint8{c.r, c.g, c.b} {
			b = append(b, digits[v>>4], digits[v&15])
		}
		out[i] = string(b)
	}
	return out
}()
