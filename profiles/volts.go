package profiles

import (
	"strings"

	"choirloft/profiles/pattern"
)

// Texts with volts in them: windows, scales and gates.

var (
	windowVolts = between[Volts](voltages, "-20 V", "20 V")
	gateVolts   = between[Volts](voltages, "1 V", "20 V")
	octaveVolts = between[Volts](octaves, "0.1 V/oct", "10 V/oct")
	anchorHertz = between[Hertz](frequencies, "1 Hz", "20 kHz")
	anchorVolts = between[Volts](voltages, "0.01 V", "20 V")
)

// windowWord is a range of volts; its values are Window.
var windowWord = leaf{words{"a range of volts, such as 0 V to 5 V", windowWritten, parseWindow}}

func parseWindow(r *reader, text string) (any, *complaint) {
	low, high, ok := strings.Cut(text, " to ")
	if !ok {
		return nil, complain("found %s, want a range of volts from -20 V to 20 V, such as 0 V to 5 V", quote(text)).
			advise("write it like 0 V to 5 V")
	}
	a, c := windowVolts.parse(r, written{text: low})
	if c != nil {
		return nil, c
	}
	b, c := windowVolts.parse(r, written{text: high})
	if c != nil {
		return nil, c
	}
	w := Window{a.(Volts), b.(Volts)}
	if w.Low >= w.High {
		return nil, complain("found %s, want the lower volts first, and two that differ", quote(text))
	}
	return w, nil
}

var anchorForm = pattern.Of(`^(.+) at (.+?)(?: ?\(Hz/V\))?$`)

// scaleWord is the law of pitch; its values are Scale.
var scaleWord = leaf{words{"a scale, such as 1 V/oct or 261.63 Hz at 1 V", scaleWritten, parseScale}}

func parseScale(r *reader, text string) (any, *complaint) {
	m := anchorForm().FindStringSubmatch(text)
	if m == nil {
		v, c := octaveVolts.parse(r, written{text: text})
		if c != nil {
			c.message += ", or hertz at volts, such as 261.63 Hz at 1 V"
			return nil, c
		}
		return Scale{PerOctave: v.(Volts)}, nil
	}
	hertz, c := anchorHertz.parse(r, written{text: m[1]})
	if c != nil {
		return nil, c
	}
	at, c := anchorVolts.parse(r, written{text: m[2]})
	if c != nil {
		return nil, c
	}
	return Scale{Reference: hertz.(Hertz), At: at.(Volts)}, nil
}

// gateWord is how a gate is given; its values are Gate.
var gateWord = leaf{words{"the volts of a gate, such as 5 V, or S-trig", gateWritten, func(r *reader, text string) (any, *complaint) {
	if text == "S-trig" {
		return Gate{STrig: true}, nil
	}
	v, c := gateVolts.parse(r, written{text: text})
	if c != nil {
		c.message += ", or S-trig"
		if c.hint == "" || strings.HasPrefix(c.hint, "write it like") {
			c.hint = ""
			c.didYouMean(text, []string{"S-trig"})
		}
		return nil, c
	}
	return Gate{Volts: v.(Volts)}, nil
}}}
