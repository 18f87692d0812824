package say

import (
	"fmt"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Written says what was dealt, what it lost and what the files want of whoever
// plays them.
func Written(v *contract.Written, room Room) *doc.Doc {
	w := written{v}
	d := newDoc(SongLabel(&w.Passes[0].Song)+" dealt to "+w.Rig, w.Fingerprint)
	d.Add(doc.Answer{Text: w.summary(), Tone: w.tone()})
	d.Under("Files", doc.Sentences(w.fileLines()...), doc.Sentences(w.recordingLine(), w.divisionLine(), w.bendLine(), earlyLine(w.Early)))
	for i := range w.Passes {
		r := w.pass(i)
		blocks := []doc.Block{doc.Sentences(w.passLine(i), r.summary(), r.needHead(), r.basis(), r.rangeLine(), r.verdict())}
		blocks = append(blocks, r.losses(room)...)
		d.Under("What it loses", append(blocks, r.remarks(room, lostInPass(&w.Passes[i])...))...)
	}
	return d
}

// written puts a deal into words.
type written struct{ *contract.Written }

// pass puts one of the passes into words.
func (w written) pass(i int) result {
	return result{&w.Passes[i].Result, w.MiddleC, wholeJSON}
}

// tone is the worst of the passes'.
func (w written) tone() doc.Tone {
	worst := doc.Good
	for i := range w.Passes {
		switch w.pass(i).tone() {
		case doc.Bad:
			return doc.Bad
		case doc.Fair:
			worst = doc.Fair
		}
	}
	return worst
}

// summary says what was written.
func (w written) summary() string {
	notes := 0
	for _, f := range w.Files {
		notes += f.Notes
	}
	where := w.Files[0].File
	if n := len(w.Files); n > 1 {
		where = unit.Count(n, "file")
	}
	if n := len(w.Passes); n > 1 {
		where += " of " + unit.Count(n, "recording")
	}
	return fmt.Sprintf("%s: %s on %s and %s.", where, unit.Count(notes, "note"),
		unit.Count(w.Voices, "voice"), unit.Count(w.Ports, "port"))
}

// recordingLine says what the passes are good for; empty where the song is not
// split.
func (w written) recordingLine() string {
	if w.FewestPasses == nil {
		return ""
	}
	damaged := 0
	for i := range w.Passes {
		damaged += w.Passes[i].Damaged
	}
	n, fewest := len(w.Passes), *w.FewestPasses
	switch {
	case damaged == 0 && n == fewest:
		return unit.Count(n, "recording") + " to be mixed: every note is whole, and no fewer can do that."
	case damaged == 0:
		return fmt.Sprintf("%s to be mixed: every note is whole. Fewer than %d cannot do that.", unit.Count(n, "recording"), fewest)
	}
	return fmt.Sprintf("%s to be mixed: %s cut short or dropped in them. Fewer than %d cannot leave every note whole.",
		unit.Count(n, "recording"), unit.Count(damaged, "note"), fewest)
}

// passLine names a pass, where there are several.
func (w written) passLine(i int) string {
	if len(w.Passes) == 1 {
		return ""
	}
	return fmt.Sprintf("Pass %d of %d.", i+1, len(w.Passes))
}

// lostInPass says what the gaps and the shortest gates cost a pass; empty if nothing.
func lostInPass(p *contract.Pass) []string {
	var lines []string
	if p.Silent > 0 {
		lines = append(lines, unit.Count(p.Silent, "note")+" without a gate: cut or retriggered before a gap is over")
	}
	if p.Short > 0 {
		lines = append(lines, unit.Count(p.Short, "gate")+" below the shortest, which may not start an envelope")
	}
	return lines
}

// fileLines say what is in each file, where there are several.
func (w written) fileLines() []string {
	if len(w.Files) == 1 {
		return nil
	}
	var lines []string
	for _, f := range w.Files {
		lines = append(lines, fmt.Sprintf("%s: %s on %s", f.File, unit.Count(f.Notes, "note"), unit.Count(f.Voices, "voice")))
	}
	return lines
}

// divisionLine says how finely the files tell time.
func (w written) divisionLine() string {
	of := "a quarter note"
	if w.Division.Frames != nil {
		of = fmt.Sprintf("a frame, %d frames a second", *w.Division.Frames)
	}
	text := fmt.Sprintf("%d ticks %s", w.Division.Ticks, of)
	switch {
	case w.Division.Coarse:
		text += ": as fine as a file can be, and still a tick is longer than a gap"
	case w.Division.Factor > 1:
		text += fmt.Sprintf(": each tick of the song is cut into %d, so that gaps can be told", w.Division.Factor)
	default:
		text += ", as in the song"
	}
	return text + "."
}

// earlyLine says which voices are started before their notes; empty for none.
func earlyLine(early []contract.EarlyVoice) string {
	if len(early) == 0 {
		return ""
	}
	latest := early[0]
	for _, v := range early {
		if v.LatencyS > latest.LatencyS {
			latest = v
		}
	}
	most := unit.Tenths(1000 * latest.LatencyS)
	if len(early) == 1 {
		return fmt.Sprintf("%s answers %s ms late, so it is started that much early, never before the song's start.", latest.Voice, most)
	}
	return fmt.Sprintf("%s are started early by what they answer late, up to %s ms (%s), never before the song's start.", unit.Count(len(early), "voice"), most, latest.Voice)
}

// bendLine says how voices have to be set.
func (w written) bendLine() string {
	return fmt.Sprintf("Bend range ±%s, set by RPN 0 at the start of each track; a step is %s.",
		unit.Count(w.BendRange.Semitones, "semitone"), stepCents(w.BendRange.StepCents))
}

// stepCents prints a step of a bend, which may be far below 0.1 cent.
func stepCents(cents float64) string {
	if cents < 0.1 {
		return fmt.Sprintf("%.2f cents", cents)
	}
	return unit.Tenths(cents) + " cents"
}
