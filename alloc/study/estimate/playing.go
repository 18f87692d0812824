package estimate

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Playing is a way of playing: layers that sound together.
type Playing struct{ Layers []Layer }

// Layer is one stream of notes or chords.
type Layer struct {
	Part        string  // by name; empty for the first poly part
	Least, Most int     // notes of a chord, each number as often; 1 and 1 for notes
	Rate        float64 // notes or chords a second
	Length      time.Duration
	Even        bool          // evenly spaced in time
	Pedal       time.Duration // from lift to lift of the sustain pedal; 0 without
	perMinute   bool          // as it was written
	at          int           // where it stands in the description
}

// ChordMean is the mean number of notes at once.
func (l *Layer) ChordMean() float64 { return float64(l.Least+l.Most) / 2 }

// NotesPerSecond is the mean number of notes that begin in a second.
func (l *Layer) NotesPerSecond() float64 { return l.Rate * l.ChordMean() }

// String writes the layer as [Parse] reads it.
func (l *Layer) String() string {
	var b strings.Builder
	if l.Part != "" {
		b.WriteString(l.Part + "=")
	}
	switch {
	case l.Most == 1:
		b.WriteString("notes")
	case l.Least == l.Most:
		fmt.Fprintf(&b, "chords of %d", l.Most)
	default:
		fmt.Fprintf(&b, "chords of %d-%d", l.Least, l.Most)
	}
	if l.perMinute {
		fmt.Fprintf(&b, ", %s a minute", number(l.Rate*60))
	} else {
		fmt.Fprintf(&b, ", %s a second", number(l.Rate))
	}
	b.WriteString(", " + number(l.Length.Seconds()) + " s")
	if l.Even {
		b.WriteString(", even")
	}
	if l.Pedal > 0 {
		b.WriteString(", pedal " + number(l.Pedal.Seconds()) + " s")
	}
	return b.String()
}

// String writes the playing as [Parse] reads it.
func (p *Playing) String() string {
	words := make([]string, len(p.Layers))
	for i := range p.Layers {
		words[i] = p.Layers[i].String()
	}
	return strings.Join(words, " + ")
}

// number writes a number to 12 digits, which takes away what arithmetic adds.
func number(v float64) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
