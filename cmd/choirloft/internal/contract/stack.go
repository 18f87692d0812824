package contract

import (
	"choirloft/routing/detune"
	"choirloft/routing/listen"
	"choirloft/routing/plan"
)

// Stacks are unisons as sound.
type Stacks struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	Summary     string `json:"summary"`
	SoundFile
	PeakDB  float64      `json:"peak_db"` // of the loudest sound, in dB of full scale
	Sounds  []StackSound `json:"sounds"`  // in the order of the file
	Assumed []string     `json:"assumed"` // paths of the rig that no file says
	Drift   []string     `json:"assumed_drift"`
	MiddleC int          `json:"middle_c"`
}

// StackSound is a stack, or one voice of it, at a key.
type StackSound struct {
	FileS   float64  `json:"file_s"` // where it begins in the file
	Part    string   `json:"part"`   // the first of Parts
	Parts   []string `json:"parts"`  // that have this stack
	Key     int      `json:"key"`
	KeyName string   `json:"key_name"`
	Voices  []int    `json:"voices"` // from 1, by position
	// Law is the detune pattern, and Spread what lies between its lowest and its
	// highest voice. Own: as the rig has them.
	Law    string         `json:"law"`
	Spread float64        `json:"spread_cents"`
	Own    bool           `json:"own"`
	Cents  []detune.Cents `json:"detune_cents"` // by position
	// SlowestHz and FastestHz are the beats of these cents, without the tuning errors of
	// the voices; null where none beats.
	SlowestHz *float64 `json:"slowest_hz"`
	FastestHz *float64 `json:"fastest_hz"`
}

// NewStacks returns the report of unisons made audible.
func NewStacks(p *plan.Plan, list []listen.Sounding, file SoundFile) *Stacks {
	_, assumed := p.Ear()
	out := &Stacks{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), SoundFile: file, PeakDB: listen.PeakDB,
		Assumed: append([]string{}, assumed...), Drift: assumedDrift(p), MiddleC: int(p.Rig.MiddleC)}
	for i := range list {
		x := &list[i]
		s := StackSound{FileS: float64(x.From) / listen.Rate, Key: int(x.Key), KeyName: KeyName(int(x.Key), int(p.Rig.MiddleC)),
			Law: x.Law.String(), Spread: float64(x.Spread), Own: x.Own, Cents: x.Cents}
		for _, part := range x.Parts {
			s.Parts = append(s.Parts, p.Rig.Parts[part].Name)
		}
		s.Part = s.Parts[0]
		for _, v := range x.Voices {
			s.Voices = append(s.Voices, v+1)
		}
		if slow, fast := float64(x.Beats.Slowest.Beat), float64(x.Beats.Fastest.Beat); fast > 0 {
			s.SlowestHz, s.FastestHz = &slow, &fast
		}
		out.Sounds = append(out.Sounds, s)
	}
	return out
}
