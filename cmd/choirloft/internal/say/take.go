package say

import (
	"fmt"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Take is the page of a take. The cautions stand before what is played.
func Take(v *contract.Take) *doc.Doc {
	t := takePage{v}
	d := newDoc("Take of "+t.Rig, t.Fingerprint)
	d.Add(doc.Answer{Text: t.summary(), Tone: doc.Good})
	d.Under("Cautions", doc.Sentences(t.cautions()...))
	d.Under("What to do", doc.Sentences(t.steps()...))
	d.Under("What is played", t.voices(), doc.Sentences(t.rest()...))
	return d
}

// takePage puts a take into words.
type takePage struct{ *contract.Take }

// summary is the answer in a sentence.
func (t takePage) summary() string {
	return fmt.Sprintf("Take of %s: %s in %s, %s.", t.Rig, unit.Count(len(t.Voices), "voice"), unit.Length(t.Seconds), unit.List(t.Files))
}

func (t takePage) cautions() []string {
	lines := []string{"Master down before you start, and monitors off until you have heard the roll call on headphones.",
		"Mute before plugging, even when a voice is silent. A control voltage must never reach monitors or speakers."}
	if t.CVCaution != nil {
		lines = append(lines, *t.CVCaution)
	}
	return lines
}

func (t takePage) steps() []string {
	run := []string{"choirloft", "tune", t.RigFile, "--take", t.Files[len(t.Files)-1], "--wav", "recording.wav"}
	last := "Name a song after the rig, and tune says how many voices it needs. With --date and --write it writes what it measured into the rig."
	if t.Through == "corrections" {
		run, last = append(run, "--verify"), "It says how far each key is off through its correction, and writes nothing."
	}
	return []string{"Let the rack warm up. Switch effects and glide off, and let no other part play.",
		"Start the recorder first, mono or stereo, and stop it after the last note. Keep the peaks below full scale.",
		"Watch the lamps in the roll call: each voice in turn lights one. Sound alone cannot show a voice with both cables crossed.",
		"Then run: " + Typed(run), last}
}

// voices is one row per voice.
func (t takePage) voices() doc.Table {
	table := doc.Table{Columns: []doc.Column{words("voice"), number("roll call").Ranked(1), number("slot"), number("parking key"), words("read keys"), number("fade").Ranked(2)}}
	for i := range t.Voices {
		v := &t.Voices[i]
		names := make([]string, len(v.Keys))
		for j, k := range v.Keys {
			names[j] = contract.KeyName(k, t.MiddleC)
		}
		table.Row("", v.Name, unit.Clock(v.CalledS), unit.Clock(v.FromS), fmt.Sprintf("%s (%d)", contract.KeyName(v.Parking, t.MiddleC), v.Parking),
			strings.Join(names, " "), unit.Fixed(v.FadeS, 1)+" s")
	}
	return table
}

func (t takePage) rest() []string {
	lines := []string{"At the end the roll call comes again, in reverse."}
	if t.Through == "corrections" {
		lines = append(lines, "Keys go through the corrections of the rig: this take verifies them.")
	} else {
		lines = append(lines, "Keys go through no corrections and no detune.")
	}
	for i := range t.Voices {
		if t.Voices[i].BentCents > 0 {
			lines = append(lines, "Each voice plays two notes under a full bend too, since corrections or detune bend it. That makes the take longer.")
			break
		}
	}
	if len(t.Left) > 0 {
		lines = append(lines, "Not in it, since they have their CV jack in common with another: "+unit.Several(t.Left)+".")
	}
	return lines
}
