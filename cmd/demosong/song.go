package main

// The grid of the song. At 72 quarter notes a minute a tick of 1/500 quarter
// lasts 1/600 s, so every length below is a whole number of ticks: also the 60
// ms of legato, 80 % of a sixteenth and 90 % of half a bar.
const (
	tempo          = 72  // quarter notes a minute
	division       = 500 // ticks a quarter note
	ticksPerSecond = division * tempo / 60

	sixteenth = division / 4
	bar       = 16 * sixteenth // four quarters
	bars      = 16
	legato    = ticksPerSecond * 60 / 1000 // 60 ms
)

// The parts, each on the MIDI channel of its number (stored, from 0).
const (
	pad = iota
	bass
	arp
	lead
	parts
)

var partNames = [parts]string{pad: "pad", bass: "bass", arp: "arp", lead: "lead"}

// The bars, from 0, in which the later parts begin.
const (
	arpFrom  = 4
	leadFrom = 8
)

// note is one note of the song.
type note struct {
	part     uint8
	key      uint8 // 60 is middle C
	velocity uint8
	start    int // ticks from the start of the song
	length   int // ticks
}

// chord is the harmony of one bar.
type chord struct {
	keys  [5]uint8 // from the lowest
	added uint8    // only the pad plays it
}

var chords = [...]chord{
	{[5]uint8{48, 55, 60, 64, 71}, 76},
	{[5]uint8{45, 52, 60, 64, 67}, 72},
	{[5]uint8{41, 53, 57, 60, 64}, 69},
	{[5]uint8{43, 50, 59, 62, 69}, 74},
}

// arpPattern picks chord keys, counted from 1. It starts anew in each bar.
var arpPattern = [...]int{2, 3, 4, 5, 4, 3}

// leadMotif is played in each bar of the lead: where, how long (both in
// sixteenths) and how far above the third chord key.
var leadMotif = [...]struct{ at, long, above int }{{0, 3, 24}, {4, 2, 26}, {8, 6, 19}}

// slowKiln returns the notes of the song, bar by bar.
func slowKiln() []note {
	var notes []note
	for b := range bars {
		c, start := chords[b%len(chords)], b*bar
		notes = append(notes, padBar(c, start)...)
		notes = append(notes, bassBar(c, start)...)
		if b >= arpFrom {
			notes = append(notes, arpBar(c, start)...)
		}
		if b >= leadFrom {
			notes = append(notes, leadBar(c, start)...)
		}
	}
	return notes
}

// padBar is the chord without its first key and with the added one, held a
// little into the next bar.
func padBar(c chord, start int) []note {
	var notes []note
	for _, key := range append(c.keys[1:], c.added) {
		notes = append(notes, note{pad, key, 72, start, bar + legato})
	}
	return notes
}

// bassBar is the first key an octave down, twice, each for 90 % of half a bar.
func bassBar(c chord, start int) []note {
	key := c.keys[0] - 12
	return []note{
		{bass, key, 100, start, bar / 2 * 9 / 10},
		{bass, key, 88, start + bar/2, bar / 2 * 9 / 10},
	}
}

// arpBar is the pattern in sixteenths, an octave up and every fourth two, each
// for 80 % of its time.
func arpBar(c chord, start int) []note {
	var notes []note
	for s := range 16 {
		key, velocity := c.keys[arpPattern[s%len(arpPattern)]-1]+12, uint8(76)
		if s%4 == 3 {
			key, velocity = key+12, 92
		}
		notes = append(notes, note{arp, key, velocity, start + s*sixteenth, sixteenth * 8 / 10})
	}
	return notes
}

// leadBar is the motif over the third chord key.
func leadBar(c chord, start int) []note {
	var notes []note
	for _, m := range leadMotif {
		key := c.keys[2] + uint8(m.above)
		notes = append(notes, note{lead, key, 104, start + m.at*sixteenth, m.long * sixteenth})
	}
	return notes
}
