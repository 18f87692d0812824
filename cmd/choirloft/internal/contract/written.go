package contract

import (
	"fmt"

	"choirloft/midi"
	"choirloft/profiles/unit"
	"choirloft/routing/deal"
)

// Written is a song that was dealt to voices, and the files of it.
type Written struct {
	Version     int           `json:"version"`
	Rig         string        `json:"rig"`
	Fingerprint string        `json:"fingerprint"`
	Summary     string        `json:"summary"`
	Files       []WrittenFile `json:"files"`
	Division    Division      `json:"division"`
	BendRange   BendRange     `json:"bend_range"`
	Macros      []string      `json:"macros"` // that the song moves
	Passes      []Pass        `json:"passes"`
	// FewestPasses is the number of passes below which no rule leaves every note
	// whole; null where the song is not split.
	FewestPasses *int      `json:"fewest_passes"`
	Findings     []Finding `json:"findings"`
}

// WrittenFile is one file.
type WrittenFile struct {
	File   string  `json:"file"`
	Pass   int     `json:"pass"` // from 1
	Bank   *string `json:"bank"` // null where it is not one file a bank
	Port   *int    `json:"port"` // from 1; null where it is not one file a port
	Voices int     `json:"voices"`
	Tracks int     `json:"tracks"`
	Notes  int     `json:"notes"`
	Bytes  int     `json:"bytes"`
}

// Division is how finely the files tell time.
type Division struct {
	Ticks  int  `json:"ticks"`  // of a quarter note, or of a frame
	Frames *int `json:"frames"` // a second, of SMPTE time code; null otherwise
	Factor int  `json:"factor"` // parts that each tick of the song was cut into
	Coarse bool `json:"coarse"` // a tick is longer than a gap all the same
}

// BendRange is what RPN 0 sets for every voice.
type BendRange struct {
	Semitones int     `json:"semitones"`
	StepCents float64 `json:"step_cents"`
}

// Pass is what is played at once, and what becomes of its notes.
type Pass struct {
	Pass   int `json:"pass"`   // from 1
	Silent int `json:"silent"` // notes with a voice, but no time for a gate
	Short  int `json:"short"`  // gates below the minimum
	Result
}

// NewWritten returns the report of a deal. Names and sizes are those of its
// files, in their order.
func NewWritten(d *deal.Deal, song string, files []deal.File, names []string, sizes []int) *Written {
	w := &Written{Version: Version, Rig: d.Plan.Rig.Name, Fingerprint: d.Plan.Rig.Fingerprint(),
		Division: newDivision(d), Macros: []string{}, Findings: newFindings(d.Plan.Findings),
		BendRange: BendRange{d.BendRange, 100 * float64(d.BendRange) / 8192}}
	for i, f := range files {
		out := WrittenFile{File: names[i], Pass: f.Pass, Voices: f.Voices, Tracks: len(f.Score.Tracks) + 1, Notes: f.Notes, Bytes: sizes[i]}
		if f.Bank >= 0 {
			out.Bank = &d.Plan.Rig.Banks[f.Bank].Name
		}
		if f.Port > 0 {
			out.Port = &f.Port
		}
		w.Files = append(w.Files, out)
	}
	for _, c := range d.Passes[0].Controls {
		if c.Macro {
			w.Macros = append(w.Macros, c.Name)
		}
	}
	if d.FewestPasses > 0 {
		w.FewestPasses = &d.FewestPasses
	}
	for i := range d.Passes {
		p := &d.Passes[i]
		w.Passes = append(w.Passes, Pass{i + 1, p.Silent, p.Short, *NewResult(d.Plan, song, d.Song, p.Replay)})
	}
	w.Summary = w.sentence(d)
	return w
}

func newDivision(d *deal.Deal) Division {
	x := d.Tempo.Division()
	out := Division{Ticks: x.Ticks, Factor: d.Factor, Coarse: d.Coarse}
	if x.SMPTE() {
		rate := int(x.Rate)
		out.Frames = &rate
	}
	return out
}

// sentence says what was written.
func (w *Written) sentence(d *deal.Deal) string {
	ports := map[midi.Port]bool{}
	for _, p := range d.Passes {
		for _, l := range p.Lanes {
			ports[l.Home.Port] = true
		}
	}
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
		unit.Count(len(d.Passes[0].Lanes), "voice"), unit.Count(len(ports), "port"))
}

// RecordingLine says what the passes are good for; empty where the song is not
// split.
func (w *Written) RecordingLine() string {
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
	return fmt.Sprintf("%s to be mixed: %s damaged in them. Fewer than %d cannot leave every note whole.",
		unit.Count(n, "recording"), unit.Count(damaged, "note"), fewest)
}

// PassLine names a pass, where there are several.
func (w *Written) PassLine(i int) string {
	if len(w.Passes) == 1 {
		return ""
	}
	return fmt.Sprintf("Pass %d of %d.", i+1, len(w.Passes))
}

// Lost says what the gaps and the shortest gates cost a pass; empty if nothing.
func (p *Pass) Lost() []string {
	var lines []string
	if p.Silent > 0 {
		lines = append(lines, unit.Count(p.Silent, "note")+" without a gate: cut or struck again before a gap is over")
	}
	if p.Short > 0 {
		lines = append(lines, unit.Count(p.Short, "gate")+" below the shortest, which may not start an envelope")
	}
	return lines
}

// FileLines say what is in each file, where there are several.
func (w *Written) FileLines() []string {
	if len(w.Files) == 1 {
		return nil
	}
	var lines []string
	for _, f := range w.Files {
		lines = append(lines, fmt.Sprintf("  %s: %s on %s", f.File, unit.Count(f.Notes, "note"), unit.Count(f.Voices, "voice")))
	}
	return lines
}

// DivisionLine says how finely the files tell time.
func (w *Written) DivisionLine() string {
	unit := "a quarter note"
	if w.Division.Frames != nil {
		unit = fmt.Sprintf("a frame, %d frames a second", *w.Division.Frames)
	}
	text := fmt.Sprintf("%d ticks %s", w.Division.Ticks, unit)
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

// BendLine says how voices have to be set.
func (w *Written) BendLine() string {
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
