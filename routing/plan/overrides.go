package plan

import (
	"choirloft/alloc"
)

// Overrides change a rig for one run. Each is a list of values as they are
// typed: "nearest" holds for every part, "pad=nearest" for the part pad, and
// goes before what holds for every part. A part may get one value of a kind.
type Overrides struct {
	Pick    []string // a picking rule, "same-key then" and another included
	Steal   []string // a stealing rule
	Tails   []string // "known" or "unknown"
	SameKey []string // a same-key rule
	// Voices keeps the first so many of the voices in service, of all or of
	// those in the banks of a part; the others are out.
	Voices []string
	// Release is a time to −60 dB, such as "1.2 s": of every voice, or of
	// those in the banks of a part.
	Release []string
	Unison  []string // voices on a note
	Without []string // voices taken out of service, by names with commas between
	// Banks says on which banks parts play, by names with commas between.
	Banks   []string
	Reserve []string // voices kept for a part
	// More adds a bank of so many voices like those of the last bank, for every
	// part or for one alone.
	More []string
	// Trim, Lift and Doubles change what parts are given to play, as
	// [study.Edit] says: times such as "80 ms", and keep or drop.
	Trim, Lift, Doubles []string
}

// OverrideError says what is wrong with an override.
type OverrideError struct {
	Name    string // of the override, as a flag: "--pick"
	Value   string // as it was typed
	Message string // what was found and what is allowed
	Hint    string // what to do about it; may be empty
}

// Error returns name, value and message, without the hint.
func (e *OverrideError) Error() string { return e.Name + " " + e.Value + ": " + e.Message }

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
	picks, err := resolve(cfg, "--pick", o.Pick, parsePick)
	if err != nil {
		return err
	}
	steals, err := resolve(cfg, "--steal", o.Steal, parseSteal)
	if err != nil {
		return err
	}
	tails, err := resolve(cfg, "--tails", o.Tails, parseTails)
	if err != nil {
		return err
	}
	sameKeys, err := resolve(cfg, "--same-key", o.SameKey, parseSameKey)
	if err != nil {
		return err
	}
	for i := range cfg.Parts {
		p := &cfg.Parts[i]
		if rule := picks.byPart[i]; rule != nil {
			p.Pick, p.Second, p.Fixed = rule.first, rule.second, nil
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
