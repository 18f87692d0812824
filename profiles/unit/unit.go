// Package unit prints figures as a technician would write them down: levels,
// times, shares, counts, lists of names, runs of numbers. Whatever a person
// reads is rounded here and nowhere else. It knows no rig and no song.
package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// None stands in a table where there is nothing to say.
const None = "-"

// Level prints a level in dB to 0.1 dB; nil as a dash.
func Level(db *float64) string {
	if db == nil {
		return None
	}
	return Tenths(*db) + " dB"
}

// Tenths rounds to 0.1 and never prints -0.0.
func Tenths(v float64) string {
	v = math.Round(v*10) / 10
	if v == 0 {
		v = 0 // not the negative zero
	}
	return Fixed(v, 1)
}

// Fixed prints a number with so many digits after the point, zeros included; −1
// is as many as it takes. Unlike Tenths it takes the number as it is in binary,
// and a half to the even digit: 0.25 is 0.2.
func Fixed[F ~float64](v F, digits int) string {
	return strconv.FormatFloat(float64(v), 'f', digits, 64)
}

// Figure prints a number to three digits, and a larger one to the whole, without the
// zeros at the end.
func Figure(v float64) string {
	if v == 0 {
		return "0"
	}
	step := math.Pow10(max(0, 2-int(math.Floor(math.Log10(math.Abs(v))))))
	return Fixed(math.Round(v*step)/step, -1)
}

// Signed is like Tenths, with a plus before what is above zero.
func Signed(v float64) string {
	text := Tenths(v)
	if !strings.HasPrefix(text, "-") && text != "0.0" {
		text = "+" + text
	}
	return text
}

// Cents prints an interval to 0.1 cent.
func Cents(v float64) string { return Tenths(v) + " cents" }

// Volts prints volts to 1 mV, without the zeros at the end.
func Volts(v float64) string {
	v = math.Round(v*1000) / 1000
	if v == 0 {
		v = 0 // not the negative zero
	}
	return Fixed(v, -1) + " V"
}

// Hertz prints a frequency as finely as a tuner or a stopwatch tells it: to
// 0.1 Hz from 10 Hz on, to 0.01 Hz from 1 Hz on, below to 1 mHz.
func Hertz(f float64) string {
	digits := 3
	switch {
	case f >= 9.995:
		digits = 1
	case f >= 0.9995:
		digits = 2
	}
	return Fixed(f, digits) + " Hz"
}

// Pan prints a place in the stereo field, −1 left to 1 right, in per cent of a
// half: L 60, C, R 20.
func Pan(pan float64) string {
	percent := Fixed(100*max(pan, -pan), 0)
	switch {
	case percent == "0":
		return "C"
	case pan < 0:
		return "L " + percent
	}
	return "R " + percent
}

// Span prints how long something lasts, in seconds: in whole milliseconds below
// a second (0.1 ms below 10 ms), above it in seconds; 0 as a dash.
func Span(seconds float64) string {
	ms := seconds * 1000
	switch {
	case seconds == 0:
		return None
	case ms < 9.95:
		return Tenths(ms) + " ms"
	case ms < 999.5:
		return Fixed(ms, 0) + " ms"
	case seconds < 99.995:
		return Fixed(seconds, 2) + " s"
	}
	return Fixed(seconds, 0) + " s"
}

// Clock prints a time of a song, in seconds, as minutes, seconds and
// milliseconds.
func Clock(seconds float64) string {
	ms := int64(math.Round(seconds * 1000))
	return fmt.Sprintf("%d:%02d.%03d", ms/60000, ms/1000%60, ms%1000)
}

// Length prints the length of a song, in seconds, as minutes and whole seconds.
func Length(seconds float64) string {
	s := int64(math.Round(seconds))
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// Percent prints a share (0–1) in whole per cent; what is not quite nothing
// is told from nothing.
func Percent(share float64) string {
	if share > 0 && share < 0.005 {
		return "<1 %"
	}
	return Fixed(share*100, 0) + " %"
}

// Count prints a number with the word for what it counts, which takes an s in
// the plural.
func Count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// Cell prints a number in a table, 0 as a dash.
func Cell(n int) string {
	if n == 0 {
		return None
	}
	return strconv.Itoa(n)
}

// Beat prints a place in a song as people count: 9.1 is beat 1 of bar 9, 9.2½ half
// a beat after its second. Beats count from 1; a part of one that is further than a
// fiftieth from a simple fraction is in hundredths, as in 9.2+.37.
func Beat(bar int, beat float64) string {
	whole := math.Floor(beat + 0.005)
	text := fmt.Sprintf("%d.%.0f", bar, whole)
	part := beat - whole
	for _, f := range fractions {
		if math.Abs(part-f.of) < 0.02 {
			return text + f.sign
		}
	}
	return text + "+" + strings.TrimPrefix(fmt.Sprintf("%.2f", part), "0")
}

// fractions are those that have a sign.
var fractions = []struct {
	of   float64
	sign string
}{{0, ""}, {1. / 4, "¼"}, {1. / 3, "⅓"}, {1. / 2, "½"}, {2. / 3, "⅔"}, {3. / 4, "¾"}}
