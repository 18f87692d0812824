package recorded

import (
	"cmp"
	"math"
	"slices"
	"time"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/tuning"
)

// Answer is what a rig takes of a voice.
type Answer struct {
	Voice int // index into Rig.Voices
	profiles.Answer
}

// Days is what becomes of the pitches that a rig keeps of a voice, day by day.
type Days uint8

// What may become of them. A trimmer that is turned parts the days before it from those
// after it: they do not measure the drift together.
const (
	Beside Days = iota // the day of the take is kept beside the others
	Anew               // it is kept alone: a trimmer was turned before it
	Ended              // none is kept: a trimmer is to be turned after it
)

// Answers are what the rig takes of voices in their place, on top of what it says of them
// already: what this take does not tell stays, and so do levels and attacks where it is
// clipped. Levels and latencies compare voices, so
// that they are of a take of all voices alone. What becomes of the pitches of each day, days
// says of each voice; without a date those of this take are not kept.
func (r *Result) Answers(date string, days func(voice int) Days) (all []Answer) {
	for i := range r.Voices {
		v := &r.Voices[i]
		if v.State != OK {
			continue
		}
		a := Answer{Voice: v.Voice}
		if old := r.Take.Plan.Rig.Voices[v.Voice].Answer; old != nil {
			a.Answer = *old
		}
		a.Date, a.Path, a.Notes = date, r.Path, len(r.Take.Parts[i].Notes)
		put(&a.Release, &a.Sigma.Release, v.Release, v.Sigma.Release, digits)
		if !r.Clipped() {
			put(&a.Attack, &a.Sigma.Attack, v.Attack, v.Sigma.Attack, hundredths)
		}
		if r.Take.Whole() {
			put(&a.Latency, &a.Sigma.Latency, v.Latency, v.Sigma.Latency, hundredths)
		}
		if r.Take.Whole() && !r.Clipped() {
			put(&a.Level, &a.Sigma.Level, v.Level-r.medianLevel(v.Voice), v.Sigma.Level, decibelHundredths)
		}
		put(&a.MinGate, nil, v.Gate, math.NaN(), hundredths)
		if days(v.Voice) != Beside {
			a.Tuning = nil
		}
		if days(v.Voice) != Ended && date != "" {
			a.Tuning = withDay(a.Tuning, date, v.Readings)
		}
		all = append(all, a)
	}
	slices.SortFunc(all, func(a, b Answer) int { return cmp.Compare(a.Voice, b.Voice) })
	return all
}

// Drops tells whether some of these days are no longer kept.
func (a *Answer) Drops(days []profiles.TunedDay) bool {
	return slices.ContainsFunc(days, func(had profiles.TunedDay) bool {
		return !slices.ContainsFunc(a.Tuning, func(d profiles.TunedDay) bool { return d.Date == had.Date })
	})
}

// put sets a value that was measured, and its standard deviation.
func put[T any](value, sigma **T, measured, deviation float64, as func(float64) T) {
	if math.IsNaN(measured) {
		return
	}
	*value = new(as(measured))
	if sigma == nil {
		return
	}
	if *sigma = nil; !math.IsNaN(deviation) {
		*sigma = new(as(deviation))
	}
}

// hundredths rounds seconds to a hundredth of a millisecond.
func hundredths(seconds float64) time.Duration {
	return time.Duration(math.Round(seconds*1e5)) * 10 * time.Microsecond
}

func decibelHundredths(dB float64) profiles.Decibels {
	return profiles.Decibels(math.Round(dB*100) / 100)
}

// Moved is the median of what voices in their place rose from the first roll call to the
// second, in cents; NaN without any.
func (r *Result) Moved() float64 {
	var all []weighted
	for i := range r.Voices {
		if v := &r.Voices[i]; v.State == OK && !math.IsNaN(v.Moved) {
			all = append(all, weighted{v.Moved, 1})
		}
	}
	return median(all)
}

// medianLevel is that of the voices in their place that were recorded with a voice.
func (r *Result) medianLevel(with int) float64 {
	var all []float64
	rig := r.Take.Plan.Rig
	for i := range r.Voices {
		v := &r.Voices[i]
		if r.Path == profiles.PathBank && rig.Voices[v.Voice].Bank != rig.Voices[with].Bank {
			continue
		}
		if v.State == OK && !math.IsNaN(v.Level) {
			all = append(all, v.Level)
		}
	}
	slices.Sort(all)
	if len(all) == 0 {
		return math.NaN()
	}
	return (all[(len(all)-1)/2] + all[len(all)/2]) / 2
}

// withDay are days of tuning with one in its place, of readings under no bend.
func withDay(days []profiles.TunedDay, date string, readings []Reading) []profiles.TunedDay {
	day := profiles.TunedDay{Date: date}
	for _, m := range readings {
		if m.Bend == 0 && m.Sigma < besideStuck {
			day.Keys = append(day.Keys, profiles.TunedKey{Key: int(m.Key), Sharp: profiles.Cents(math.Round(m.Cents*100) / 100)})
		}
	}
	if len(day.Keys) == 0 {
		return days
	}
	slices.SortFunc(day.Keys, func(a, b profiles.TunedKey) int { return cmp.Compare(a.Key, b.Key) })
	days = slices.DeleteFunc(slices.Clone(days), func(d profiles.TunedDay) bool { return d.Date == date })
	days = append(days, day)
	slices.SortFunc(days, func(a, b profiles.TunedDay) int { return cmp.Compare(a.Date, b.Date) })
	return days
}

// Earlier are the readings of other days that the rig keeps, of the voices of a take.
func (r *Result) Earlier(date string) (all []tuning.Reading) {
	rig := r.Take.Plan.Rig
	for i := range r.Voices {
		v := r.Voices[i].Voice
		if rig.Voices[v].Answer == nil || r.Voices[i].State != OK {
			continue
		}
		for _, day := range rig.Voices[v].Answer.Tuning {
			for _, k := range day.Keys {
				if day.Date != date {
					hertz := float64(rig.A4) * math.Exp2((float64(k.Key)-69)/12+float64(k.Sharp)/1200)
					all = append(all, tuning.Reading{Pos: profiles.Pos{File: rig.File, Line: 1, Column: 1}, Voice: v, Keyed: true, Key: midi.Key(k.Key),
						Hertz: profiles.Hertz(hertz), Date: day.Date})
				}
			}
		}
	}
	return all
}

// SameAs is another day of which the rig keeps just these pitches, to a hundredth of a cent
// of every key of every voice; empty for none. No rack is in tune twice like that: it is one
// recording under two dates.
func (r *Result) SameAs(date string) string {
	days := map[string]int{} // voices that are just as they were then
	read := 0
	for i := range r.Voices {
		v := &r.Voices[i]
		now := withDay(nil, date, v.Readings)
		answer := r.Take.Plan.Rig.Voices[v.Voice].Answer
		if v.State != OK || len(now) == 0 || answer == nil || len(answer.Tuning) == 0 {
			continue
		}
		read++
		for _, day := range answer.Tuning {
			if day.Date != date && slices.Equal(day.Keys, now[0].Keys) {
				days[day.Date]++
			}
		}
	}
	for day, n := range days {
		if n == read && n > 1 {
			return day
		}
	}
	return ""
}

// Later is the last day of which the rig keeps pitches, where that is after a date; empty
// where it is not.
func (r *Result) Later(date string) (last string) {
	for i := range r.Voices {
		if a := r.Take.Plan.Rig.Voices[r.Voices[i].Voice].Answer; a != nil && len(a.Tuning) > 0 && date != "" {
			if day := a.Tuning[len(a.Tuning)-1].Date; day > date {
				last = max(last, day)
			}
		}
	}
	return last
}
