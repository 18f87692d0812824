package profiles

import (
	"strconv"
	"strings"

	"choirloft/profiles/pattern"
)

// Texts that name jacks, inputs and what lies between them. What they name is
// looked up later, when everything has been read: see resolve.go.

// voiceRef names a voice; its values are spot[string].
var voiceRef = locate[string]{leaf{voiceWord}}

// voiceWord is the name of a voice; its values are string.
var voiceWord = words{"a voice such as K1", form{pattern: voiceName}, func(_ *reader, text string) (any, *complaint) {
	if bank, position := splitVoice(text); position == "" || !nameForm().MatchString(bank) {
		return nil, complain("found %s, want a voice: its bank and its position, such as K1", quote(text))
	}
	return text, nil
}}

// nameRef names something; its values are spot[string].
func nameRef(what string) locate[string] { return locate[string]{leaf{name{what: what}}} }

// jackName is an output of an interface, as it is written.
type jackName struct {
	box    string
	gate   bool
	number int
}

const jackExamples = "a jack such as main.cv 21 or main.gate 3"

var jackForm = pattern.Of(`^([^.\s]+)\.(cv|gate) ?([0-9]{1,6})$`)

// jackAlone is a jack without its interface.
var jackAlone = pattern.Of(`^(cv|gate) ?([0-9]{1,4})$`)

// jackRef names a jack; its values are spot[jackName].
var jackRef = locate[jackName]{leaf{words{jackExamples, jackWritten, parseJack}}}

func parseJack(_ *reader, text string) (any, *complaint) {
	m := jackForm().FindStringSubmatch(text)
	if m == nil {
		c := complain("found %s, want %s", quote(text), jackExamples)
		if alone := jackAlone().FindStringSubmatch(text); alone != nil {
			c.advise("the interface stands first: main.%s %s", alone[1], alone[2])
		}
		return nil, c
	}
	number, _ := strconv.Atoi(m[3])
	if m[3][0] == '0' {
		return nil, complain("found %s, want %s", quote(text), jackExamples).advise("jacks count from 1")
	}
	return jackName{m[1], m[2] == "gate", number}, nil
}

// targetName is an input as it is written: that of a bank or of one voice.
type targetName struct{ of, input string }

const targetExamples = "an input of a bank or a voice, such as K.cutoff or K1.pitch"

// targetRef names an input; its values are spot[targetName].
var targetRef = locate[targetName]{leaf{words{targetExamples, form{pattern: inputName}, func(_ *reader, text string) (any, *complaint) {
	return parseTarget(text)
}}}}

func parseTarget(text string) (targetName, *complaint) {
	of, input, ok := strings.Cut(text, ".")
	if !ok || !nameForm().MatchString(of) || !nameForm().MatchString(input) {
		return targetName{}, complain("found %s, want %s", quote(text), targetExamples)
	}
	return targetName{of, input}, nil
}

// targetList is where something goes; its values are []spot[targetName].
var targetList = oneOrMore(targetRef, listOf[spot[targetName]]{
	of: targetRef, what: "inputs", max: 1024,
	same: func(a, b spot[targetName]) bool { return a.value == b.value },
})

// pinWord is the key of a pin: an input, or the name of a macro, which has
// then no input. Its values are targetName.
var pinWord = words{targetExamples + ", or a macro", pinWritten, func(_ *reader, text string) (any, *complaint) {
	if nameForm().MatchString(text) {
		return targetName{of: text}, nil
	}
	t, c := parseTarget(text)
	if c != nil {
		c.message += ", or a macro"
	}
	return t, c
}}

// between jack and input
type throughWhat struct {
	through Through
	outs    int
}

const throughExamples = "direct, passive, or a multiple with its outputs, such as passive 3 or buffered 4"

// countedForm is a multiple and its outputs.
var countedForm = pattern.Of(`^(passive|buffered) ([1-9][0-9]{0,4})$`)

// throughWord is what a wire goes through; its values are throughWhat.
var throughWord = leaf{words{throughExamples, throughWritten, func(_ *reader, text string) (any, *complaint) {
	v, c := throughOf(text)
	if c != nil && c.hint == "" && nameForm().MatchString(text) {
		c.advise("a module under gear takes two wires: to: %s on one, from: %s on the other", text, text)
	}
	return v, c
}}}

// throughOf reads what a wire goes through.
func throughOf(text string) (any, *complaint) {
	switch text {
	case "direct":
		return throughWhat{through: Direct}, nil
	case "passive":
		return throughWhat{through: Passive}, nil
	}
	c := complain("found %s, want %s", quote(text), throughExamples)
	m := countedForm().FindStringSubmatch(text)
	if m == nil {
		return nil, c.didYouMean(text, []string{"direct", "passive", "buffered"})
	}
	outs, _ := strconv.Atoi(m[2])
	if outs < 2 || outs > 64 {
		return nil, c.advise("a multiple has 2 to 64 outputs")
	}
	if m[1] == "passive" {
		return throughWhat{Passive, outs}, nil
	}
	return throughWhat{Buffered, outs}, nil
}

const multipleExamples = "passive, or a multiple with its outputs, such as passive 3 or buffered 4"

// multipleWord is a kind of multiple; its values are throughWhat.
var multipleWord = leaf{words{multipleExamples, multipleWritten, func(_ *reader, text string) (any, *complaint) {
	v, c := throughOf(text)
	switch {
	case c != nil && c.hint == "did you mean direct?", c == nil && v.(throughWhat).through == Direct:
		return nil, complain("found %s, want %s", quote(text), multipleExamples)
	case c != nil:
		c.message = complain("found %s, want %s", quote(text), multipleExamples).message
	}
	return v, c
}}}
