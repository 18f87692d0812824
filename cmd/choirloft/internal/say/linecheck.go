package say

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// LineCheck is the page to follow along. The cautions stand first.
func LineCheck(v *contract.LineCheck) *doc.Doc {
	c := lineCheck{v}
	d := newDoc("Line check of "+c.Rig, c.Fingerprint)
	d.Add(doc.Answer{Text: c.summary(), Tone: doc.Good})
	d.Under("Cautions", doc.Sentences(c.cautions()...))
	d.Under("What is played", doc.Sentences(c.how()...))
	d.Under("Voices", c.voices())
	d.Under("Stacks", c.stacks())
	return d
}

// lineCheck puts a line check into words.
type lineCheck struct{ *contract.LineCheck }

// summary is the answer in a sentence.
func (c lineCheck) summary() string {
	return fmt.Sprintf("Line check of %s: %s in %s, %s.", c.Rig, unit.Count(len(c.Lines), "voice"), unit.Length(c.Seconds), c.File)
}

// cautions are what must be read before the file is played.
func (c lineCheck) cautions() []string {
	most := 1
	for i := range c.Stacks {
		most = max(most, len(c.Stacks[i].Voices))
	}
	hearing := "Hearing: master down before you start, monitors on last and off first. Bring the level up during the first voice's strokes, " +
		"which begin quiet where a CV carries velocity, and are full where none does."
	if most > 1 {
		louder := 10 * math.Log10(float64(most))
		hearing += fmt.Sprintf(" The stacks at the end are %s to %s dB louder than one voice.", unit.Tenths(louder), unit.Tenths(2*louder))
	}
	return []string{hearing, "Mute before plugging, even when a voice is silent. A control voltage must never reach monitors or speakers."}
}

// how says what is played and how to read the table.
func (c lineCheck) how() []string {
	lines := []string{"120 quarters a minute, two seconds a bar. Each voice: a bar of four strokes of one key, each louder than the " +
		"last, then its octaves from the lowest, a quarter each."}
	if len(c.Stacks) > 0 {
		lines = append(lines, "Then the stacks: voices join in by position, a quarter apart, and end together.")
	}
	if len(c.Silent) > 0 {
		lines = append(lines, "Out of service, so not played: "+unit.List(append([]string{}, c.Silent...))+".")
	}
	return lines
}

// voices is one row per voice.
func (c lineCheck) voices() doc.Table {
	t := doc.Table{Columns: []doc.Column{number("bar"), number("time").Ranked(2), words("voice"), words("CV jack"), words("gate jack"),
		number("port").Ranked(1), number("channel").Ranked(1), words("heard"), words("then"), words("OK")}}
	for i := range c.Lines {
		l := &c.Lines[i]
		port, channel := address(l.Pitch)
		voice := l.Name
		if l.State == "spare" {
			voice += " spare"
		}
		t.Row("", strconv.Itoa(l.Bar), unit.Clock(l.AtS), voice, jackName(l.Pitch), jackName(l.Gate), port, channel,
			fmt.Sprintf("4× %s (%d)", contract.KeyName(l.Key, c.MiddleC), l.Key), c.keys(l.Keys), "[ ]")
	}
	return t
}

// stacks is a row a stack.
func (c lineCheck) stacks() doc.Table {
	t := doc.Table{Columns: []doc.Column{number("bar"), number("time").Ranked(2), words("part"), number("stack").Ranked(1), words("key"),
		words("voices by position"), words("OK")}}
	for i := range c.Stacks {
		s := &c.Stacks[i]
		stack, voices := unit.None, make([]string, len(s.Voices))
		if s.Stack != nil {
			stack = strconv.Itoa(*s.Stack)
		}
		for j := range voices {
			voices[j] = s.Voices[j] + " " + unit.Signed(s.Cents[j])
		}
		t.Row("", strconv.Itoa(s.Bar), unit.Clock(s.AtS), s.Part, stack, fmt.Sprintf("%s (%d)", contract.KeyName(s.Key, c.MiddleC), s.Key), strings.Join(voices, ", "), "[ ]")
	}
	return t
}

// keys names keys.
func (c lineCheck) keys(keys []int) string {
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = contract.KeyName(k, c.MiddleC)
	}
	return strings.Join(names, " ")
}
