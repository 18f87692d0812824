package contract

import (
	"choirloft/routing/deal"
	"choirloft/routing/take"
)

// Take is a file that a whole rack is measured from, by one recording of it.
type Take struct {
	Version     int          `json:"version"`
	Rig         string       `json:"rig"`
	Fingerprint string       `json:"fingerprint"`
	Summary     string       `json:"summary"`
	Files       []string     `json:"files"`
	CVCaution   *string      `json:"cv_caution"` // null where the take is MIDI
	Seconds     float64      `json:"seconds"`
	Through     string       `json:"through"` // what keys go through: nothing, corrections
	Voices      []TakenVoice `json:"voices"`
	Left        []string     `json:"left"` // voices in service that are not in it: their CV jack is that of another
	RigFile     string       `json:"rig_file"`
	MiddleC     int          `json:"middle_c"` // the octave of key 60
}

// TakenVoice is what a take plays of one voice.
type TakenVoice struct {
	Name      string  `json:"name"`
	CalledS   float64 `json:"called_s"` // in the roll call
	FromS     float64 `json:"from_s"`   // its own notes
	ToS       float64 `json:"to_s"`
	Parking   int     `json:"parking_key"`
	Keys      []int   `json:"keys"`       // that are read, in this order
	FadeS     float64 `json:"fade_s"`     // of silence after its last note
	BentCents float64 `json:"bent_cents"` // of the notes under a full bend; 0 for none
}

// NewTake returns the page of a take that was written to files, as MIDI, or as
// control voltages.
func NewTake(t *take.Take, rigFile string, files []string, cv bool) *Take {
	out := &Take{Version: Version, Rig: t.Plan.Rig.Name, Fingerprint: t.Plan.Code(), Files: files, Seconds: seconds(t.Length),
		Through: take.Through(t.Through), Left: append([]string{}, t.Left...), Voices: []TakenVoice{}, RigFile: rigFile, MiddleC: int(t.Plan.Rig.MiddleC)}
	if cv {
		out.CVCaution = optional(deal.Caution)
	}
	for i := range t.Parts {
		p := &t.Parts[i]
		v := TakenVoice{Name: t.Plan.Rig.Voices[p.Voice].Name, CalledS: seconds(p.Notes[0].At), FromS: seconds(p.From), ToS: seconds(p.To),
			Parking: int(p.Parking), Keys: []int{}}
		for _, n := range p.Notes {
			switch n.Kind {
			case take.Reading:
				v.Keys = append(v.Keys, int(n.Key))
			case take.Bent:
				v.BentCents = max(v.BentCents, 100*n.Bend)
			case take.Fade:
				v.FadeS = seconds(p.To - n.End())
			}
		}
		out.Voices = append(out.Voices, v)
	}
	return out
}
