package profiles

import (
	"slices"
	"strconv"

	"gopkg.in/yaml.v3"
)

// Texts that name modules which voltages go through.

const outputExamples = jackExamples + ", or a module such as split"

// sourceRef names an output: a jack, or a module, which has then no number. Its
// values are spot[jackName].
var sourceRef = locate[jackName]{leaf{words{outputExamples, outputWritten, func(r *reader, text string) (any, *complaint) {
	if nameForm().MatchString(text) {
		return jackName{box: text}, nil
	}
	v, c := parseJack(r, text)
	if c != nil {
		c.message += ", or a module such as split"
	}
	return v, c
}}}}

const endExamples = targetExamples + ", or a module such as split"

// endRef names where a wire leads: an input, or a module, which has then no
// input. Its values are spot[targetName].
var endRef = locate[targetName]{leaf{words{endExamples, endWritten, func(_ *reader, text string) (any, *complaint) {
	if nameForm().MatchString(text) {
		return targetName{of: text}, nil
	}
	t, c := parseTarget(text)
	if c != nil {
		c.message += ", or a module such as split"
	}
	return t, c
}}}}

// wireEnds is where a wire leads; its values are []spot[targetName].
var wireEnds = oneOrMore(endRef, listOf[spot[targetName]]{
	of: endRef, what: "inputs", max: 1024,
	same: func(a, b spot[targetName]) bool { return a.value == b.value },
})

// doesWhat is what a module does, as it is written.
type doesWhat struct {
	does Does
	outs int
}

const doesExamples = "passive, adder, attenuator, offset, cv-inverter, gate-or, to-s-trig, from-s-trig, inverter, trigger, or a multiple with its outputs, such as passive 3 or buffered 4"

// doesWord is what a module does; its values are doesWhat.
var doesWord = leaf{words{doesExamples, doesWritten, func(_ *reader, text string) (any, *complaint) {
	if does := slices.Index(doesNames, text); does > int(DoesNothing) && Does(does) != DoesBuffered {
		return doesWhat{does: Does(does)}, nil
	}
	c := complain("found %s, want %s", quote(text), doesExamples)
	m := countedForm().FindStringSubmatch(text)
	if m == nil {
		return nil, c.didYouMean(text, doesNames[DoesPassive:])
	}
	outs, _ := strconv.Atoi(m[2])
	if outs < 2 || outs > 64 {
		return nil, c.advise("a multiple has 2 to 64 outputs")
	}
	return doesWhat{Does(slices.Index(doesNames, m[1])), outs}, nil
}}}

// finishGear refuses keys of a module that does something else, and an offset without volts.
func finishGear(r *reader, g *Gear, n *yaml.Node, at string) {
	for _, k := range []struct {
		key string
		of  Does
	}{{"gain", DoesAttenuate}, {"pot", DoesAttenuate}, {"volts", DoesOffset}, {"pulse", DoesTrigger}} {
		if key, _ := lookup(n, k.key); key != nil && g.Does != k.of {
			r.fault(key, join(at, k.key), complain("%s is for does: %s, and this is does: %s", k.key, k.of, g.Does).
				advise("leave %s out, or write does: %s", k.key, k.of))
		}
	}
	if _, volts := lookup(n, "volts"); volts == nil && g.Does == DoesOffset {
		r.fault(n, at, complain("an offset without volts").advise("write what it adds, such as volts: 1 V"))
	}
}
