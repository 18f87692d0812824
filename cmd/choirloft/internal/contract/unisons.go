package contract

import (
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/detune"
	"choirloft/routing/plan"
)

// NewUnison is what a part of a plan does on a note, by its place in the rig; nil where that is one
// voice. The map of the plan must have been surveyed.
func NewUnison(p *plan.Plan, part int) *Unison {
	at := slices.IndexFunc(p.Map.Unisons, func(u routing.Unison) bool { return u.Part == part })
	if at < 0 {
		return nil
	}
	u := mapper{p.Rig, p.Map, map[string]float64{}}.unison(&p.Map.Unisons[at])
	return &u
}

// NewUnisonSetting is what a rig says of it.
func NewUnisonSetting(p *profiles.Part) UnisonSetting {
	return UnisonSetting{p.Unison.Voices, float64(p.Unison.Spread), p.Unison.Pattern()}
}

func (b mapper) unisons() []Unison {
	out := make([]Unison, len(b.m.Unisons))
	for i := range out {
		out[i] = b.unison(&b.m.Unisons[i])
	}
	return out
}

func (b mapper) unison(u *routing.Unison) Unison {
	p := &b.rig.Parts[u.Part]
	out := Unison{
		Part: p.Name, Of: u.Of, WhenShort: p.Unison.Short.String(), Law: p.Unison.Law.String(),
		SpreadCents: float64(p.Unison.Spread), DetuneBy: p.Unison.Detune.String(), Scaling: p.Unison.Scaling.String(),
		MeanCents: float64(u.Mean), Recentred: p.Unison.Recentre, DetuneCents: floats(u.Cents), Pans: floats(u.Stereo.Pans),
		PanCorrelation: u.Stereo.Correlation, Stacks: [][]string{}, Idle: b.names(u.Idle),
		Warnings: []BeatWarning{},
	}
	for _, stack := range u.Stacks {
		out.Stacks = append(out.Stacks, b.names(stack))
	}
	for _, k := range u.Keys {
		beats := keyBeats(k, int(b.rig.MiddleC))
		out.Keys = append(out.Keys, beats)
		if s := beats.Slowest; s != nil && s.PeriodS != nil && (out.SlowestPeriodS == nil || *s.PeriodS > *out.SlowestPeriodS) {
			out.SlowestPeriodS = s.PeriodS
		}
	}
	if t := u.Keys[1].Beats.Throb; t.Common {
		out.Throb = &Throb{float64(t.Gap), float64(t.Period), float64(t.FirstNull)}
	}
	if out.SlowestPeriodS != nil {
		out.Course = courseOf(u)
	}
	for _, w := range u.Warnings {
		out.Warnings = append(out.Warnings, beatWarning(w))
	}
	return out
}

// courseOf follows a stack for 10 s at its middle key; nil where its pitches are out of reach.
func courseOf(u *routing.Unison) *Course {
	const steps, lasts, floor = 400, 10.0, -40
	course, err := u.Course(1)
	if err != nil {
		return nil
	}
	out := &Course{StepS: lasts / steps}
	for i := range steps + 1 {
		level := max(floor, course.LevelDB(detune.Seconds(lasts*float64(i)/steps)))
		out.LevelDB = append(out.LevelDB, math.Round(10*level)/10)
	}
	return out
}

func (b mapper) names(voices []int) []string {
	names := make([]string, len(voices))
	for i, v := range voices {
		names[i] = b.rig.Voices[v].Name
	}
	return names
}

func floats[T ~float64](values []T) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = float64(v)
	}
	return out
}

func keyBeats(k routing.KeyBeats, middleC int) KeyBeats {
	out := KeyBeats{Key: int(k.Key), KeyName: k.Key.Name(middleC), PitchHz: float64(k.Beats.Key),
		DetuneCents: floats(k.Cents), Beats: beats(k.Beats.Pairs), Neighbours: beats(k.Beats.Neighbours), WatchedS: float64(k.InStep)}
	if k.Again {
		out.InStepS, out.WatchedS = new(float64(k.InStep)), float64(detune.InStepWithin)
	}
	if k.Beats.Slowest.Beat > 0 {
		slowest, fastest := beat(k.Beats.Slowest), beat(k.Beats.Fastest)
		out.Slowest, out.Fastest = &slowest, &fastest
	}
	return out
}

func beats(pairs []detune.Pair) []Beat {
	out := make([]Beat, len(pairs))
	for i, p := range pairs {
		out[i] = beat(p)
	}
	return out
}

func beat(p detune.Pair) Beat {
	b := Beat{Low: p.Low + 1, High: p.High + 1, BeatHz: float64(p.Beat)}
	if period := float64(p.Period()); period > 0 {
		b.PeriodS = &period
	}
	return b
}

func beatWarning(w routing.StackWarning) BeatWarning {
	out := BeatWarning{Code: w.Code.String(), Low: w.Low + 1, High: w.High + 1, GapCents: float64(w.Gap),
		LimitCents: float64(w.Limit), Pairs: w.Pairs, Assumed: w.Assumed}
	if w.Stack > 0 {
		out.Stack = &w.Stack
	}
	if w.Code == detune.MaySwap {
		out.Chance = &w.Chance
	}
	return out
}
