package plan

import (
	"errors"
	"reflect"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/profiles"
)

// For is a value for every part, or for one alone. What is aimed at a part goes
// before what holds for every part.
type For[T any] struct {
	Part  string // its name; empty for every part
	Value T
}

// All is a value for every part.
func All[T any](value T) []For[T] { return []For[T]{{Value: value}} }

// Only is a value for one part.
func Only[T any](part string, value T) []For[T] { return []For[T]{{part, value}} }

// Overrides change a rig for one run. They are read by [ParseFlags] or
// [Overrides.Add] and written by [Overrides.Flags]. A part may get one value of
// a kind.
type Overrides struct {
	Pick    []For[Pick]
	Steal   []For[alloc.StealRule]
	Tails   []For[bool] // true where rules are deaf to them
	SameKey []For[alloc.SameKey]
	// Transpose is by how many semitones a part plays higher than its keys, -48 to 48, in
	// place of what the rig says.
	Transpose []For[int]
	// ZeroKey is the key at 0 V, 0–127: of every interface, or of the one that stands in place
	// of a part. Its voices are then tuned to it.
	ZeroKey []For[int]
	// Voices keeps the first so many of the voices in service, of all or of
	// those in the banks of a part; the others are out. From 1.
	Voices []For[int]
	// Release is a time to −60 dB, up to 600 s: of every voice, or of those in
	// the banks of a part.
	Release []For[time.Duration]
	Unison  []For[int] // voices on a note, 1–64
	Without []string   // voices taken out of service, by name
	// Banks says on which banks parts play. One whose keys are split over banks becomes
	// several parts, which have all else of it.
	Banks   []For[Seats]
	Reserve []For[int] // voices kept for a part
	// Limit is the most voices that a part may hold, from 1; Priority its rank among
	// parts, 1 (the highest) to 100.
	Limit, Priority []For[int]
	Mode            []For[profiles.Mode]      // chords, or one note at a time
	WhenShort       []For[profiles.WhenShort] // what a unison does without enough voices
	// More adds a bank of so many voices like those of the last bank, for every
	// part or for one alone.
	More []For[int]
	// Buy adds whole banks like one of the rig, and what they need: see
	// [purchase.New]. It is aimed at no part: those that play on that bank play on them.
	Buy []For[Buy]
	// Trim, Lift, Shorten and Doubles change what parts are given to play, as
	// [study.Edit] says: times up to 10 s, and true to drop doubled octaves.
	Trim, Lift, Shorten []For[Sooner]
	Doubles             []For[bool]
}

// Sooner is by how much something ends sooner, and whether only where voices are short.
type Sooner struct {
	By        time.Duration
	WhenShort bool
}

// Pick is a picking rule, and the one that same-key falls back to.
type Pick struct{ First, Second alloc.PickRule }

// Buy is so many banks like one of the rig, by its name.
type Buy struct {
	Banks int
	Like  string
}

// OverrideError says what is wrong with an override.
type OverrideError struct {
	Name    string // of the override, as a flag: "--pick"
	Value   string // as it was typed, or as it is written where it had been read well
	Message string // what was found and what is allowed
	Hint    string // what to do about it; may be empty
	// Unknown says that it names a voice, part, bank or interface that is not there.
	Unknown bool
}

// Error returns name, value and message, without the hint.
func (e *OverrideError) Error() string { return e.Name + " " + e.Value + ": " + e.Message }

// With returns the overrides with others on top. What is set for every part
// goes in place of all there was of its kind, and what is aimed at a part in
// place of what was aimed at that. Voices that are out stay out.
func (o Overrides) With(top Overrides) Overrides {
	for _, k := range kinds {
		k.stack(&o, &top)
	}
	return o
}

// IsZero tells whether nothing is overridden.
func (o Overrides) IsZero() bool { return reflect.ValueOf(o).IsZero() }

// Known are the overrides without those that name a voice, part, bank or interface which a rig has not;
// these come beside. What else is wrong with them stays.
func (o Overrides) Known(rig *profiles.Rig) (known Overrides, dropped []Word) {
	words := o.Words()
	for len(words) > 0 {
		var wrong *OverrideError
		if _, err := Build(rig, o); !errors.As(err, &wrong) || !wrong.Unknown {
			break
		}
		at := slices.IndexFunc(words, func(w Word) bool { return w.Flag == wrong.Name && w.Typed() == wrong.Value })
		if at < 0 {
			break
		}
		dropped, words = append(dropped, words[at]), slices.Delete(words, at, at+1)
		next, err := ParseWords(words)
		if err != nil {
			break
		}
		o = next
	}
	return o, dropped
}

// EditsSong tells whether the overrides change what parts are given to play.
func (o Overrides) EditsSong() bool { return len(o.Trim)+len(o.Lift)+len(o.Shorten)+len(o.Doubles) > 0 }

// apply changes a configuration.
func (o *Overrides) apply(cfg *alloc.Config) error {
	if err := o.applyRules(cfg); err != nil {
		return err
	}
	if err := o.applyVoices(cfg); err != nil {
		return err
	}
	return o.applyRelease(cfg)
}

// applyRules applies what each part has of its own.
func (o *Overrides) applyRules(cfg *alloc.Config) error {
	picks, err := resolve(cfg, &pickKind, o)
	if err != nil {
		return err
	}
	steals, err := resolve(cfg, &stealKind, o)
	if err != nil {
		return err
	}
	tails, err := resolve(cfg, &tailsKind, o)
	if err != nil {
		return err
	}
	sameKeys, err := resolve(cfg, &sameKeyKind, o)
	if err != nil {
		return err
	}
	for i := range cfg.Parts {
		p := &cfg.Parts[i]
		if rule := picks.byPart[i]; rule != nil {
			p.Pick, p.Second, p.Fixed = rule.First, rule.Second, nil
		}
		set(&p.Steal, steals.byPart[i])
		set(&p.TailsUnknown, tails.byPart[i])
		set(&p.SameKey, sameKeys.byPart[i])
	}
	return nil
}

func set[T any](to, value *T) {
	if value != nil {
		*to = *value
	}
}

// stack puts what is set on top in place of what that leaves nothing of.
func (k *kind[T]) stack(o, top *Overrides) {
	below, above := k.of(o), *k.of(top)
	kept := slices.DeleteFunc(slices.Clone(*below), func(v For[T]) bool {
		return slices.ContainsFunc(above, func(a For[T]) bool { return a.Part == "" || a.Part == v.Part })
	})
	*below = append(kept, above...)
}
