package say

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Estimate says how many voices a way of playing needs.
func Estimate(e *contract.Estimate) *doc.Doc {
	d := newDoc(e.Playing.Text+" on "+e.Rig, e.Fingerprint)
	w := estimate{e}
	d.Add(doc.Answer{Text: w.summary(), Tone: w.tone()}, doc.Sentences(w.advice()...))
	d.Under("What each number of voices loses", doc.Paragraph{Text: "Per cent of the notes that are cut short or dropped, and of the tails that are cut."}, w.curveTable())
	d.Under("Findings", findings(e.Findings))
	return d
}

// estimate puts an estimate into words.
type estimate struct{ *contract.Estimate }

func (e estimate) tone() doc.Tone {
	if n := e.Enough[0].Chords; n != nil && *n <= e.Voices {
		return doc.Good
	}
	return doc.Fair
}

// needed is how many voices there must be.
func (e estimate) needed(n *int) string {
	if n == nil {
		return "more than " + strconv.Itoa(e.last())
	}
	return strconv.Itoa(*n)
}

// last is where the curve ends, in voices.
func (e estimate) last() int { return e.Curve[len(e.Curve)-1].Voices }

// point is that of a number of voices; nil where it was not played.
func (e estimate) point(voices int) *contract.EstimatePoint {
	i, ok := slices.BinarySearchFunc(e.Curve, voices, func(p contract.EstimatePoint, n int) int { return cmp.Compare(p.Voices, n) })
	if !ok {
		return nil
	}
	return &e.Curve[i]
}

func levelWords(v float64) string { return strconv.FormatFloat(v*100, 'f', -1, 64) + " %" }

// summary is the answer in a sentence.
func (e estimate) summary() string {
	first := &e.Enough[0]
	voices := "voices"
	if first.Chords != nil && *first.Chords == 1 {
		voices = "voice"
	}
	return fmt.Sprintf("%s %s needed; %s has %d in service. Playing: %s.", upper(e.needed(first.Chords)), voices, e.Rig, e.Voices, e.Playing.Text)
}

func (e estimate) advice() []string {
	var lines []string
	for _, line := range []string{e.serviceLine(), e.enoughLine(), e.tailsLine(), e.ownLine(), e.loadLine(), e.chordsLine(), e.evenLine(), e.exactLine(), e.asideLine(), coveredLine(e.Covered)} {
		if line != "" {
			lines = append(lines, line)
		}
	}
	return append(lines, restsOn(&e.RestsOn)+" Only the tails depend on it.", e.playerLine())
}

// enoughLine says what the voices that are needed lose.
func (e estimate) enoughLine() string {
	first, last := &e.Enough[0], &e.Enough[len(e.Enough)-1]
	return fmt.Sprintf("%s lose at most %s of the notes in the long run; %s lose at most %s.",
		e.needed(first.Chords), levelWords(first.AtMost), e.needed(last.Chords), levelWords(last.AtMost))
}

// ownLine says so where the rig's rules never do what the theory promises.
func (e estimate) ownLine() string {
	if e.Enough[0].Own != nil {
		return ""
	}
	why := ""
	if e.LeftAside.ReservesLimits {
		why = ": parts have reserves and limits"
	}
	return fmt.Sprintf("By the rules of the parts not even %d voices are enough for %s, as played%s.", e.last(), levelWords(e.Enough[0].AtMost), why)
}

func (e estimate) tailsLine() string {
	first, last := &e.Enough[0], &e.Enough[len(e.Enough)-1]
	return fmt.Sprintf("With release tails: %s are enough for %s, %s for %s, if the rule hears tails.",
		e.needed(first.Tails), levelWords(first.AtMost), e.needed(last.Tails), levelWords(last.AtMost))
}

// serviceLine says what the voices in service do.
func (e estimate) serviceLine() string {
	at := e.point(e.Voices)
	most := ""
	if !e.Exact && at.Chords > 0 {
		most = "at most "
	}
	text := fmt.Sprintf("On the %s in service, stealing the oldest cuts or drops %s%s. The rules of the parts cut or drop %s as played",
		unit.Count(e.Voices, "voice"), most, ofNotes(share(at.Chords)), ofNotes(shareWithin(&at.Own)))
	if at.Own.TailCuts > 0 {
		text += fmt.Sprintf(". They cut %s of the tails, the loudest at %s", share(at.Own.TailShare), unit.Level(at.Own.LoudestCutDB))
	}
	return text + "."
}

// ofNotes says which share of the notes.
func ofNotes(share string) string {
	if share == unit.None {
		return "no note"
	}
	return share + " of the notes"
}

// loadLine says what is offered, and how the run kept to it.
func (e estimate) loadLine() string {
	l := &e.Load
	pedal := ""
	if l.PedalErlang != l.HeldErlang {
		pedal = fmt.Sprintf(", %s with the pedal", unit.Tenths(l.PedalErlang))
	}
	voices := ""
	if l.AudibleVoices != l.AudibleErlang {
		voices = fmt.Sprintf(" In unison that is %s, %s and %s voices.", unit.Tenths(l.HeldVoices), unit.Tenths(l.PedalVoices), unit.Tenths(l.AudibleVoices))
	}
	return fmt.Sprintf("On average %s notes sound with their keys down%s, %s with every audible tail.%s In the run it was %s, where %s is expected.",
		unit.Tenths(l.HeldErlang), pedal, unit.Tenths(l.AudibleErlang), voices, unit.Tenths(l.Sounding), unit.Tenths(l.Little))
}

// chordsLine warns of the formulas for single notes.
func (e estimate) chordsLine() string {
	chords := slices.ContainsFunc(e.Playing.Layers, func(l contract.EstimateLayer) bool { return l.Most > 1 })
	if !chords {
		return ""
	}
	first := &e.Enough[0]
	return fmt.Sprintf("If notes came one by one, losing %s would take %s voices by refusing, %s by stealing. Do not buy by that: the column chords counts notes as they come.",
		levelWords(first.AtMost), e.needed(first.Refusing), e.needed(first.Poisson))
}

func (e estimate) evenLine() string {
	even := 0
	for i := range e.Playing.Layers {
		if l := &e.Playing.Layers[i]; l.Even {
			even++
			if l.PedalS > 0 {
				even++
			}
		}
	}
	switch {
	case even == 0:
		return ""
	case even == 1:
		return "Even playing is smoother than the columns for notes one by one assume."
	}
	return "Even playing is smoother than the columns for notes one by one assume. Layers in time keep step with each other and with the pedal. The column chords leaves to chance how they fall together; the run is one such way."
}

func (e estimate) exactLine() string {
	if e.Exact {
		return "The column chords is exact for stealing the oldest. No rule that cuts only when it must loses more notes."
	}
	return "Here the column chords is the most a rule loses if it cuts only when it must."
}

// asideLine says what the theory leaves aside of this rig.
func (e estimate) asideLine() string {
	var aside []string
	if e.LeftAside.ReservesLimits {
		aside = append(aside, "reserves and limits")
	}
	for _, short := range e.LeftAside.Unisons {
		aside = append(aside, "unisons that "+map[string]string{"thin": "play thinned", "wait": "wait", "elastic": "share voices"}[short])
	}
	if n := e.Playing.Player.Restruck; n > 0 {
		aside = append(aside, unit.Count(n, "note")+" on a key that still sounded, as there was no other")
	}
	if len(aside) == 0 {
		return ""
	}
	return "In the run, but not in the theory: " + unit.List(aside) + "."
}

// playerLine says who played.
func (e estimate) playerLine() string {
	p := &e.Playing.Player
	var parts []string
	for i := range e.Playing.Layers {
		if name := e.Playing.Layers[i].Part; !slices.Contains(parts, name) {
			parts = append(parts, name)
		}
	}
	return fmt.Sprintf("Played: %s of %s at random in %s (seed %d). ± is one standard error.",
		unit.Count(p.Counted, "note"), unit.List(parts), unit.Length(p.LengthS), p.Seed)
}
