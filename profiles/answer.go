package profiles

import (
	"strconv"
	"strings"

	"choirloft/alloc"
)

// Answer is how a voice answers, as the recording of a take says. What is nil nobody
// measured.
type Answer struct {
	Release *Duration // to −60 dB, 0–600 s; else that of its kind
	Attack  *Duration // 0–60 s; else that of its kind
	Level   *Decibels // above the median of the voices that were recorded with it, −60…+60 dB
	Latency *Duration // behind the quickest voice, 0–1 s
	MinGate *Duration // the shortest gate that opened it, 0–1 s
	Sigma   AnswerSigma
	Date    string // YYYY-MM-DD, or empty
	Notes   int    // notes that the values rest on, 0–10000; 0 where nobody says
	Path    SoundPath
	Tuning  []TunedDay // by ascending date
}

// AnswerSigma are standard deviations of what was measured; nil where nobody says.
type AnswerSigma struct {
	Release, Attack, Latency *Duration
	Level                    *Decibels
}

// SoundPath says what the sound of a voice came through when it was recorded. Levels
// compare within one recording alone.
type SoundPath uint8

// What a recording may be of.
const (
	PathMix   SoundPath = iota // the mix of the whole rack
	PathBank                   // the submixer of its bank
	PathAlone                  // the voice alone
)

// TunedDay is by how much keys of a voice were sharp on a day, without corrections.
type TunedDay struct {
	Date string
	Keys []TunedKey // ascending
}

// TunedKey is by how much a key was sharp.
type TunedKey struct {
	Key   int
	Sharp Cents
}

// Envelope is that of a voice: of its kind, with what was measured of the voice itself.
func (r *Rig) Envelope(voice int) alloc.Envelope {
	e := r.Kinds[r.Banks[r.Voices[voice].Bank].Kind].Envelope
	if a := r.Voices[voice].Answer; a != nil {
		e.Release, e.Attack = or(a.Release, e.Release), or(a.Attack, e.Attack)
	}
	return e
}

func or[T any](measured *T, otherwise T) T {
	if measured != nil {
		return *measured
	}
	return otherwise
}

// Latency is by how much a voice answers behind the quickest; 0 where nobody measured.
func (r *Rig) Latency(voice int) (behind Duration) {
	if a := r.Voices[voice].Answer; a != nil {
		return or(a.Latency, 0)
	}
	return 0
}

// Louder is by how much a voice is above the median of those recorded with it; 0 dB
// where nobody measured.
func (r *Rig) Louder(voice int) (level Decibels) {
	if a := r.Voices[voice].Answer; a != nil {
		return or(a.Level, 0)
	}
	return 0
}

// ShortestGate is the shortest gate that is sent: timing.min_gate where the file says it,
// else the longest that a voice in service was found to need, else the default.
func (r *Rig) ShortestGate() Duration {
	needed, measured := r.NeededGate()
	if _, given := r.Given("timing.min_gate"); given || !measured {
		return r.Timing.MinGate
	}
	return needed
}

// NeededGate is the longest of the shortest gates that voices were found to open by,
// but for those that are out; false where nobody measured.
func (r *Rig) NeededGate() (gate Duration, measured bool) {
	for i := range r.Voices {
		if a := r.Voices[i].Answer; a != nil && a.MinGate != nil && r.Voices[i].State != alloc.Out {
			gate, measured = max(gate, *a.MinGate), true
		}
	}
	return gate, measured
}

func (x *resolver) resolveMeasured() {
	for _, e := range x.draft.measured {
		if voice, ok := x.voice(spot[string]{e.key, e.pos, e.at}); ok {
			x.rig.Voices[voice].Answer = &e.value
		}
	}
}

// Text is an answer as a rig file has it behind the name of its voice, on one line.
func (a *Answer) Text() string {
	var parts []string
	add := func(key, text string) {
		if text != "" {
			parts = append(parts, key+": "+text)
		}
	}
	add("release", secondsText(a.Release))
	add("attack", millisecondsText(a.Attack))
	add("level", decibelsText(a.Level))
	add("latency", millisecondsText(a.Latency))
	add("min_gate", millisecondsText(a.MinGate))
	add("sigma", a.Sigma.text())
	add("date", a.Date)
	add("notes", countText(a.Notes, a.Notes > 0))
	if a.Path != PathMix {
		add("path", a.Path.String())
	}
	add("tuning", tuningText(a.Tuning))
	return "{" + strings.Join(parts, ", ") + "}"
}

func (s AnswerSigma) text() string {
	var parts []string
	for _, w := range []mapEntry{{"release", secondsText(s.Release)}, {"attack", millisecondsText(s.Attack)}, {"level", decibelsText(s.Level)}, {"latency", millisecondsText(s.Latency)}} {
		if w.text != "" {
			parts = append(parts, w.key+": "+w.text)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

func tuningText(days []TunedDay) string {
	texts := make([]string, len(days))
	for i, d := range days {
		keys := make([]string, len(d.Keys))
		for j, k := range d.Keys {
			keys[j] = strconv.Itoa(k.Key) + ": " + decimalText(float64(k.Sharp), 2) + " cents"
		}
		texts[i] = d.Date + ": {" + strings.Join(keys, ", ") + "}"
	}
	if len(texts) == 0 {
		return ""
	}
	return "{" + strings.Join(texts, ", ") + "}"
}

func secondsText(d *Duration) string {
	if d == nil {
		return ""
	}
	return decimalText(d.Seconds(), 4) + " s"
}

func millisecondsText(d *Duration) string {
	if d == nil {
		return ""
	}
	return decimalText(1000*d.Seconds(), 2) + " ms"
}

func decibelsText(d *Decibels) string {
	if d == nil {
		return ""
	}
	return decimalText(float64(*d), 2) + " dB"
}
