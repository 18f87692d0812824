package contract

import (
	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
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
	Voices       int       `json:"voices"` // that are dealt to
	// Early are voices that answer late, and so are started before their notes.
	Early   []EarlyVoice `json:"early"`
	Ports   int          `json:"ports"`
	MiddleC int          `json:"middle_c"` // the octave of key 60
}

// EarlyVoice is a voice that is started before its notes, never before the song's start.
type EarlyVoice struct {
	Voice    string  `json:"voice"`
	LatencyS float64 `json:"latency_s"`
}

// earlyVoices are those that play and were measured to answer late.
func earlyVoices(p *plan.Plan) []EarlyVoice {
	all := []EarlyVoice{}
	for i := range p.Rig.Voices {
		if late := p.Rig.Latency(i); late > 0 && p.Rules.Config.Voices[i].State != alloc.Out {
			all = append(all, EarlyVoice{p.Rig.Voices[i].Name, seconds(late)})
		}
	}
	return all
}

// WrittenFile is one file.
type WrittenFile struct {
	File   string  `json:"file"`
	Pass   int     `json:"pass"` // from 1
	Bank   *string `json:"bank"` // null where it is not one file per bank
	Port   *int    `json:"port"` // from 1; null where it is not one file per port
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
	w := &Written{Version: Version, Rig: d.Plan.Rig.Name, Fingerprint: d.Plan.Code(),
		Division: newDivision(d), Macros: []string{}, Findings: newFindings(d.Plan.Findings), MiddleC: int(d.Plan.Rig.MiddleC),
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
	w.Early = earlyVoices(d.Plan)
	w.Voices = len(d.Passes[0].Lanes)
	w.Ports = ports(d)
	return w
}

// Listen adds what is heard of a song that is dealt as a whole. Of one in several
// passes nobody says it: they are heard together.
func (w *Written) Listen(d *deal.Deal) error {
	if len(d.Passes) != 1 {
		return nil
	}
	return w.Passes[0].Listen(d.Plan, d.Song, d.Passes[0].Replay)
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

// ports counts the MIDI ports that a deal uses.
func ports(d *deal.Deal) int {
	ports := map[midi.Port]bool{}
	for _, p := range d.Passes {
		for _, l := range p.Lanes {
			ports[l.Home.Port] = true
		}
	}
	return len(ports)
}
