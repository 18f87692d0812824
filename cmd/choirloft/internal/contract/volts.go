package contract

import (
	"bytes"
	"fmt"
	"math"
	"strconv"

	"choirloft/profiles"
	"choirloft/routing"
)

// VoltsAt is what a pitch jack puts out at some keys.
type VoltsAt []routing.KeyVolts

// MarshalJSON writes an object from key numbers to volts, by key.
func (v VoltsAt) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, x := range v {
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, "\"%d\":%s", x.Key, strconv.FormatFloat(float64(x.Volts), 'g', -1, 64))
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// boxReport is what the map says above the voices of an interface.
type boxReport struct{ title string }

func (b mapper) boxes() []boxReport {
	all := make([]boxReport, len(b.rig.Interfaces))
	for i := range all {
		all[i].title = boxTitle(&b.rig.Interfaces[i], int(b.rig.MiddleC))
	}
	return all
}

// boxTitle says what is on an interface and how it turns keys into volts.
func boxTitle(f *profiles.Interface, middleC int) string {
	text := "on " + f.Name
	if f.Profile != "" && f.Profile != f.Name {
		text += " (" + f.Profile + ")"
	}
	text += fmt.Sprintf(", %s to %s", Volts(float64(f.Window.Low)), Volts(float64(f.Window.High)))
	if f.Scale.HertzPerVolt() {
		return text + fmt.Sprintf(", %s at %s, Hz/V", Hertz(float64(f.Scale.Reference)), Volts(float64(f.Scale.At)))
	}
	return text + fmt.Sprintf(", 0 V at %s (%d), %s/oct", KeyName(f.ZeroKey, middleC), f.ZeroKey, Volts(float64(f.Scale.PerOctave)))
}

// Volts prints volts to 1 mV, without the zeros at the end.
func Volts(v float64) string {
	v = math.Round(v*1000) / 1000
	if v == 0 {
		v = 0 // not the negative zero
	}
	return strconv.FormatFloat(v, 'f', -1, 64) + " V"
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
	return strconv.FormatFloat(f, 'f', digits, 64) + " Hz"
}
