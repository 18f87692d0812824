package contract

import (
	"math"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/levels"
	"choirloft/routing/plan"
	"choirloft/routing/reach"
)

// CheckSong is what a song adds to a check.
type CheckSong struct {
	Song     Song        `json:"song"`
	Summary  string      `json:"summary"`
	Findings []Finding   `json:"findings"`
	Parts    []PartRange `json:"parts"`
	Levels   *Levels     `json:"levels"` // with as many voices as sound at once
	Links    *Links      `json:"links"`  // what is sent to the interfaces
}

// PartRange is what a part asks of its window.
type PartRange struct {
	Part  string `json:"part"`
	Range *Range `json:"range"` // null without notes
}

// Levels is the way of the sound from a voice to the output.
type Levels struct {
	Counted bool    `json:"counted"` // in the song; else the voices in service
	Shape   string  `json:"shape"`   // waveforms of all voices
	Voice   Stage   `json:"voice"`
	Banks   []Stage `json:"banks"`
	Main    Stage   `json:"main"`
	// OutputDBu is the rms at the output of voices that know nothing of each
	// other, and OutputPeakDBu what a sine with the coherent peak would have.
	OutputDBu     *float64 `json:"output_dbu"`
	OutputPeakDBu *float64 `json:"output_peak_dbu"`
	// Trims are turns at the mixer that bring voices to the median, as measured; those of
	// less than half a decibel are left out.
	Trims []LevelTrim `json:"trims"`
	// RestsOn are the values under levels: what is not given is assumed.
	RestsOn []LevelValue `json:"rests_on"`
}

// LevelTrim is a turn of the level of a voice.
type LevelTrim struct {
	Voice string  `json:"voice"`
	DB    float64 `json:"db"` // above 0: up
}

// LevelValue is a value of the rig that levels rest on, and where it comes from.
type LevelValue struct {
	Key    string   `json:"key"`
	Value  *float64 `json:"value"` // null for the shape
	Unit   string   `json:"unit"`  // Vpp, V or dB; empty for the shape
	Source Source   `json:"source"`
}

// Stage is one step of the way, at most so many voices at once. What has no
// sound has null for decibels.
type Stage struct {
	Stage          string   `json:"stage"`
	Voices         int      `json:"voices"`
	GainDB         float64  `json:"gain_db"`
	CoherentVolts  float64  `json:"coherent_volts"` // peak, if all peaks meet
	RMSVolts       float64  `json:"rms_volts"`
	Shape          string   `json:"shape"` // waveforms of its voices
	FourSigmaVolts float64  `json:"four_sigma_volts"`
	PeakVolts      float64  `json:"peak_volts"` // passed 0.01 % of the time; the coherent peak in step
	ClipVolts      float64  `json:"clip_volts"`
	HeadroomDB     *float64 `json:"headroom_db"` // of the coherent peak
	PeakDB         *float64 `json:"peak_headroom_db"`
	ClipShare      float64  `json:"clip_share"` // of the time
	NeverClipsDB   *float64 `json:"never_clips_gain_db"`
	FourSigmaGain  *float64 `json:"four_sigma_gain_db"`
	RareGainDB     *float64 `json:"rarely_clips_gain_db"` // at which peak_volts are at the clip
	InStep         bool     `json:"in_step"`              // only the coherent peak counts
}

// NewCheckSong returns what a song that was read from file adds.
func NewCheckSong(p *plan.Plan, file string, song *midi.Song, h *plan.Hearing, links *Links) CheckSong {
	out := CheckSong{Song: newSong(song, file, h.Replay.Rig.Tally.Notes, seconds(h.Replay.Reference.End)),
		Findings: newFindings(h.Findings), Levels: newLevels(p.Rig, h.Levels), Links: links}
	for i := range h.Parts {
		out.Parts = append(out.Parts, PartRange{p.Rules.Config.Parts[i].Name, newRange(p.Rig, &h.Parts[i])})
	}
	return out
}

// leastTrim is the least turn that is asked for, in dB: by half a decibel a level is heard
// to differ at best (from memory; Zwicker and Fastl, just noticeable differences).
const leastTrim = 0.5

func newLevels(rig *profiles.Rig, l *levels.Ladder) *Levels {
	out := &Levels{Counted: l.Counted, Shape: shapes(l.Main.Voices), Voice: newStage("voice", &l.Voice), Main: newStage("main", &l.Main), Banks: []Stage{}, Trims: []LevelTrim{},
		OutputDBu: finite(float64(levels.DBu(l.Main.Sigma()))), OutputPeakDBu: finite(float64(levels.DBu(l.Main.CoherentPeak() / math.Sqrt2)))}
	if out.Shape == "" { // nothing sounds
		out.Shape = out.Voice.Shape
	}
	for i := range l.Banks {
		out.Banks = append(out.Banks, newStage(rig.Banks[i].Name, &l.Banks[i]))
	}
	for i, by := range levels.Trims(rig) {
		if math.Abs(float64(by)) >= leastTrim {
			out.Trims = append(out.Trims, LevelTrim{rig.Voices[i].Name, float64(by)})
		}
	}
	rest := func(key, unit string, value *float64, source Source) {
		out.RestsOn = append(out.RestsOn, LevelValue{key, value, unit, source})
	}
	given := func(key, unit string, value float64) { rest(key, unit, &value, givenSource(rig, "levels."+key)) }
	v := &rig.Levels
	given("voice", "Vpp", float64(v.Voice))
	waves := FromRig
	if !l.Main.WaveGiven {
		waves = Assumed
	}
	rest("shape", "", nil, waves)
	given("clip", "V", float64(v.Clip))
	given("submix", "dB", float64(v.Submix))
	given("main", "dB", float64(v.Main))
	return out
}

func newStage(name string, s *levels.Stage) Stage {
	db := func(v profiles.Decibels) *float64 { return finite(float64(v)) }
	rare := s.Crest()
	return Stage{Stage: name, Voices: s.Voices.Voices(), GainDB: float64(s.Gain), CoherentVolts: float64(s.CoherentPeak()), RMSVolts: float64(s.Sigma()),
		Shape: shapes(s.Voices), FourSigmaVolts: float64(4 * s.Sigma()), ClipVolts: float64(s.Clip), HeadroomDB: db(s.Headroom(s.CoherentPeak())),
		PeakVolts: float64(rare), PeakDB: db(s.Headroom(rare)), ClipShare: s.ClipShare(), NeverClipsDB: db(s.NeverClips()),
		FourSigmaGain: db(s.Gain + s.Headroom(4*s.Sigma())), RareGainDB: db(s.Gain + s.Headroom(rare)), InStep: s.Coherent}
}

// shapes are the waveforms of a mix; of nothing empty.
func shapes(m levels.Mix) string {
	var names []string
	for shape, n := range m {
		if n > 0 {
			names = append(names, profiles.Shape(shape).String())
		}
	}
	return unit.List(names)
}

// newRange compares the keys of a part with those that every one of its voices
// can be driven to; nil for a part without notes.
func newRange(rig *profiles.Rig, r *reach.Range) *Range {
	if r.Notes == 0 {
		return nil
	}
	out := &Range{LowKey: r.LowKey, HighKey: r.HighKey, MissedCents: r.WorstCents, Missed: r.Missed, Bars: []RangeBar{}}
	for _, b := range r.Bars {
		out.Bars = append(out.Bars, RangeBar(b))
	}
	if r.Window.Bounded {
		low, high := r.WindowKeys()
		out.WindowLowKey, out.WindowHighKey = &low, &high
		out.OctavesToFit, out.ZeroKeyShift = r.Octaves, r.Shift
	}
	if r.ZeroKey != nil {
		out.ZeroKey = &ZeroKey{rig.Interfaces[r.ZeroKey.Interface].Name, r.ZeroKey.Key}
	}
	return out
}
