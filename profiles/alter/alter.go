package alter

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// Deed is one thing that is done to a rig. Do says what, and which of the other fields count:
//
//	channel         Part listens to Channel of Port, or to Zone, and no other part does; an empty Part is nobody.
//	                With Also the others go on listening
//	part            a new part of the name Part, or of one that is free; it listens to Channel, if there is one
//	part-name       Part is called Name
//	part-gone       Part goes
//	banks           Part plays on Banks; on all where there are none
//	transpose       Part plays Semitones higher
//	unison          Part plays Voices on a note, over Width cents, in the detune pattern Law; what is not said stays
//	mode            Part plays by Mode: poly, mono last, mono low, mono high
//	bank            a bank more, of Voices of Kind, or else of the kind of the last bank
//	bank-gone       Bank goes, with all that is said of it and its voices
//	bank-voices     Bank has Voices
//	voice           Voice is what State says: in, out, spare, or limited to Keys. One that is out or spare keeps its limits
//	interface       the interface Name has the profile Profile
//	zero-key        the interface Name gives 0 V for Key
//	range           the CVs of the interface Name go from LowV to HighV
//	interface-more  an interface more, of the profile Profile
//	interface-gone  the interface Name goes
//	name            the rig is called Name
type Deed struct {
	Do        string   `json:"do"`
	Part      string   `json:"part,omitempty"`
	Port      int      `json:"port,omitempty"`    // 1–128, or 0 for every port
	Channel   int      `json:"channel,omitempty"` // 1–16, or 0 for none
	Zone      string   `json:"zone,omitempty"`    // such as mpe lower 7, in place of a channel
	Also      bool     `json:"also,omitempty"`
	Name      string   `json:"name,omitempty"`
	Banks     []string `json:"banks,omitempty"`
	Bank      string   `json:"bank,omitempty"`
	Voices    int      `json:"voices,omitempty"` // 1–1024
	Kind      string   `json:"kind,omitempty"`
	Profile   string   `json:"profile,omitempty"`
	Semitones int      `json:"semitones,omitempty"` // −48…48
	Mode      string   `json:"mode,omitempty"`
	Width     *float64 `json:"width,omitempty"` // cents, 0–2400
	Law       string   `json:"law,omitempty"`   // as a rig writes it: uneven, power 1.5
	Voice     string   `json:"voice,omitempty"`
	State     string   `json:"state,omitempty"`
	Keys      string   `json:"keys,omitempty"` // such as 40-76 or E2-E5
	Key       *int     `json:"key,omitempty"`  // 0–127
	LowV      float64  `json:"low_v,omitempty"`
	HighV     float64  `json:"high_v,omitempty"` // −20…20, above LowV
}

// Refusal is why a deed cannot be done, and what to do instead.
type Refusal struct{ Why, Hint string }

func (r *Refusal) Error() string { return r.Why }

func refuse(hint, format string, args ...any) error {
	return &Refusal{fmt.Sprintf(format, args...), hint}
}

// deed finds out what to write for a deed, and tells afterwards whether the rig says what was asked.
type deed func(t *text, d Deed) (did func(*profiles.Rig) bool, err error)

// deeds are all that there are, by name.
var deeds = map[string]deed{
	"channel": channel, "part": morePart, "part-name": renamePart, "part-gone": partGone, "banks": banks, "transpose": transpose, "mode": mode, "unison": unison,
	"bank": moreBank, "bank-gone": bankGone, "bank-voices": bankVoices, "voice": voiceState,
	"interface": boxProfile, "zero-key": zeroKey, "range": boxRange, "interface-more": moreBox, "interface-gone": boxGone,
	"name": rename,
}

// text is a rig file that is being edited.
type text struct {
	data     []byte
	rig      *profiles.Rig
	settings []profiles.Setting // for the deed that is being done
}

// Do does deeds to a rig file's data, one after the other, or none of them. The error is
// a [*Refusal], or [profiles.Faults] where the data itself is no rig.
func Do(name string, data []byte, all []Deed, files fs.FS) ([]byte, *profiles.Rig, error) {
	rig, faults := profiles.Read(name, data, files)
	if len(faults) > 0 {
		return nil, nil, faults
	}
	t := &text{data: data, rig: rig}
	for _, d := range all {
		if err := t.do(name, d, files); err != nil {
			return nil, nil, err
		}
	}
	return t.data, t.rig, nil
}

func (t *text) do(name string, d Deed, files fs.FS) error {
	do := deeds[d.Do]
	if do == nil {
		var names []string
		for name := range deeds {
			names = append(names, name)
		}
		slices.Sort(names)
		return refuse("", "found the deed %q, want one of %s", d.Do, unit.First(names, len(names)))
	}
	t.settings = nil
	did, err := do(t, d)
	if err != nil {
		return err
	}
	data, rig, err := profiles.WithSettings(name, t.data, t.settings, files)
	var (
		layout *profiles.LayoutError
		faults profiles.Faults
	)
	switch {
	case errors.As(err, &layout):
		return &Refusal{layout.Why, layout.ByHand}
	case errors.As(err, &faults):
		f := faults[0]
		return &Refusal{unit.Place(f.Path) + ": " + f.Message, f.Hint}
	case err != nil:
		return err
	case !did(rig):
		return refuse("change it in the rig text", "the text is laid out so that this cannot be written into it")
	}
	t.data, t.rig = data, rig
	return nil
}

// set notes a value to be written at a path.
func (t *text) set(value string, path ...string) {
	t.settings = append(t.settings, profiles.Setting{Path: path, Text: value})
}

// drop notes what is to be taken out at a path.
func (t *text) drop(path ...string) {
	t.settings = append(t.settings, profiles.Setting{Path: path, Do: profiles.Remove})
}

// dropGiven takes a value out of a map if the rig file itself says it. A map that has nothing else stays.
func (t *text) dropGiven(path ...string) {
	given, rest := false, false
	of := path[:len(path)-1]
	for _, l := range t.leaves() {
		given = given || under(l.Path, path)
		rest = rest || under(l.Path, of) && !under(l.Path, path)
	}
	switch {
	case given && rest:
		t.drop(path...)
	case given:
		t.set("{}", of...)
	}
}

// leaves are all single values of the file.
func (t *text) leaves() []profiles.Setting {
	leaves, err := profiles.Leaves(t.data)
	if err != nil {
		return nil // it has been read: it is a map
	}
	return leaves
}

// under tells whether a path leads to what stands at another, or in it.
func under(path, top []string) bool {
	return len(path) >= len(top) && slices.Equal(path[:len(top)], top)
}

// rename calls the rig by another name.
func rename(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	t.set(profiles.Plain(d.Name), "rig")
	return func(r *profiles.Rig) bool { return r.Name == d.Name }, nil
}
