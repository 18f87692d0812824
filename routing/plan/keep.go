package plan

import (
	"fmt"
	"io/fs"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"choirloft/alloc"
	"choirloft/profiles"
)

// Keep writes overrides into a rig file's data, as far as a rig can say them:
// rules, banks, reserves, unisons, releases, and voices that are out. It returns
// the data, the rig that it is, and the overrides that are left: how many voices
// there are to be, and what is done to the song. Nothing else of the file
// changes; what cannot be written is an error that says what to write by hand.
//
// The rig with what is left plays as the old one did with all: this is checked.
func Keep(rig *profiles.Rig, data []byte, o Overrides, files fs.FS) (kept []byte, after *profiles.Rig, left Overrides, err error) {
	left = o.Untold()
	left.More, left.Buy = o.More, o.Buy
	kept, after, err = keep(rig, data, o, left, files)
	return kept, after, left, err
}

// KeepBought is [Keep] of what is bought and added too.
func KeepBought(rig *profiles.Rig, data []byte, o Overrides, files fs.FS) (kept []byte, after *profiles.Rig, left Overrides, err error) {
	left = o.Untold()
	kept, after, err = keep(rig, data, o, left, files)
	return kept, after, left, err
}

// Untold are those overrides that no rig says: what is done to the song, and on how many of its voices it is
// played.
func (o Overrides) Untold() Overrides {
	return Overrides{Voices: o.Voices, Trim: o.Trim, Lift: o.Lift, Shorten: o.Shorten, Doubles: o.Doubles}
}

// EditError says which overrides no rig can say, since they change the song.
type EditError struct{ Edits Overrides }

func (e *EditError) Error() string {
	return "a rig cannot hold a change of the song: " + strings.Join(e.Edits.Flags(), " ")
}

// Write is [Keep] of everything: voices that there are not to be are out in the file,
// and those that there are to be besides are a bank there. What changes the song no rig
// can say; that is an *[EditError].
func Write(f *profiles.File, o Overrides) (*profiles.File, error) {
	if o.EditsSong() {
		return nil, &EditError{Overrides{Trim: o.Trim, Lift: o.Lift, Shorten: o.Shorten, Doubles: o.Doubles}}
	}
	after := &profiles.File{Path: f.Path}
	err := f.Beside(func(files fs.FS) (err error) {
		after.Data, after.Rig, err = keep(f.Rig, f.Data, o, Overrides{}, files)
		return err
	})
	if err != nil {
		return nil, err
	}
	return after, nil
}

// keep writes what is not left into the data, and checks that the rig plays the same.
func keep(rig *profiles.Rig, data []byte, o, left Overrides, files fs.FS) ([]byte, *profiles.Rig, error) {
	before, err := Draft(rig, o)
	if err != nil {
		return nil, nil, err
	}
	w := keeper{before, data, o}
	w.o.Voices, w.o.More, w.o.Buy = slices.Clone(o.Voices[len(left.Voices):]), slices.Clone(o.More[len(left.More):]), slices.Clone(o.Buy[len(left.Buy):])
	settings, err := w.settings()
	if err != nil {
		return nil, nil, err
	}
	kept, after, err := profiles.WithSettings(rig.File, data, settings, files)
	if err != nil {
		return nil, nil, err
	}
	now, err := Draft(after, left)
	if err != nil {
		return nil, nil, err
	}
	is, was := now.Rules, before.Rules
	is.Weigh, was.Weigh = nil, nil // of functions nobody can tell whether they are the same
	if !reflect.DeepEqual(is, was) {
		return nil, nil, fmt.Errorf("the file cannot say this in a few words; write it by hand: %s", strings.Join(o.Flags(), " "))
	}
	return kept, after, nil
}

// keeper finds what a rig file has to say to be like a plan with overrides.
type keeper struct {
	*Plan
	data []byte    // of the file
	o    Overrides // that it is to say
}

func (w keeper) settings() ([]profiles.Setting, error) {
	list, err := w.boughtSettings()
	if err != nil {
		return nil, err
	}
	list = append(list, w.bankSettings()...)
	for i := range w.Rig.Interfaces {
		if f := &w.Rig.Interfaces[i]; len(w.o.ZeroKey) > 0 && i < len(w.Unchanged.Interfaces) && f.ZeroKey != w.Unchanged.Interfaces[i].ZeroKey {
			list = append(list, profiles.Setting{Path: []string{"interfaces", f.Name, "zero_key"}, Text: strconv.Itoa(f.ZeroKey)})
		}
	}
	for i := range w.Rules.Config.Parts {
		half, err := w.halfSettings(i)
		if err != nil {
			return nil, err
		}
		list = slices.Concat(list, half, w.partSettings(i))
	}
	for bank := range w.Rig.Banks {
		list = append(list, w.outSettings(bank)...)
	}
	releases, err := w.releaseSettings()
	return append(list, releases...), err
}

// partSettings are those of one part: what some override has to do with, and
// differs from what the rig says.
func (w keeper) partSettings(i int) []profiles.Setting {
	p, o := w.Plan, w.o
	was, now := &p.Unchanged.Parts[p.Origin[i]], &p.Rules.Config.Parts[i]
	var list []profiles.Setting
	set := func(text string, path ...string) {
		list = append(list, profiles.Setting{Path: append([]string{"parts", now.Name}, path...), Text: text})
	}
	if len(o.Pick) > 0 && (now.Pick != was.Pick || now.Second != was.Second) {
		set(Pick{now.Pick, now.Second}.String(), "pick")
	}
	if len(o.Steal) > 0 && now.Steal != was.Steal {
		set(now.Steal.String(), "steal")
	}
	if len(o.Tails) > 0 && now.TailsUnknown != was.TailsUnknown {
		set(tails.print(now.TailsUnknown), "tails")
	}
	if len(o.SameKey) > 0 && now.SameKey != was.SameKey {
		set(now.SameKey.String(), "same_key")
	}
	if len(o.Reserve) > 0 && now.Reserve != was.Reserve {
		set(strconv.Itoa(now.Reserve), "reserve")
	}
	if len(o.Limit) > 0 && now.Limit != was.Limit {
		set(strconv.Itoa(now.Limit), "limit")
	}
	if len(o.Priority) > 0 && now.Priority != was.Priority {
		set(strconv.Itoa(now.Priority), "priority")
	}
	if len(o.Transpose) > 0 && now.Transpose != was.Transpose {
		set(strconv.Itoa(now.Transpose), "transpose")
	}
	if mode := p.Rig.Parts[i].Mode; len(o.Mode) > 0 && mode != was.Mode {
		set(mode.String(), "mode")
	}
	if short := p.Rig.Parts[i].Unison.Short; len(o.WhenShort) > 0 && short != was.Unison.Short {
		set(short.String(), "unison", "when_short")
	}
	if n := p.Rig.Parts[i].Unison.Voices; len(o.Unison) > 0 && n != was.Unison.Voices {
		set(strconv.Itoa(n), "unison", "voices")
	}
	if len(o.Banks)+len(o.More)+len(o.Buy) > 0 && i < len(p.Unchanged.Parts) && !slices.Equal(now.Banks, w.banks(i)) {
		set(w.bankList(i), "banks")
	}
	if i < len(p.Unchanged.Parts) && now.Keys != was.Keys {
		set(keysText(now.Keys), "keys")
	}
	return list
}

// bankList are the banks of a part as a file has them.
func (w keeper) bankList(part int) string {
	var names []string
	for _, b := range w.Rules.Config.Parts[part].Banks {
		names = append(names, w.Rig.Banks[b].Name)
	}
	return "[" + strings.Join(names, ", ") + "]"
}

// keysText are keys as a file has them.
func keysText(r alloc.KeyRange) string { return fmt.Sprintf("%d-%d", r.Low, r.High) }

// halfSettings make a part that has some keys of another one: with all that the file says of that.
func (w keeper) halfSettings(i int) ([]profiles.Setting, error) {
	if i < len(w.Unchanged.Parts) {
		return nil, nil
	}
	was, now := &w.Unchanged.Parts[w.Origin[i]], &w.Rules.Config.Parts[i]
	texts := []string{"keys: " + keysText(now.Keys), "banks: " + w.bankList(i)}
	if !was.Pos.IsZero() {
		fields, err := profiles.FieldsOf(w.data, "parts", was.Name)
		if err != nil {
			return nil, fmt.Errorf("the keys of part %s are to be split: %s", was.Name, err)
		}
		for _, f := range fields {
			if f.Path[0] != "keys" && f.Path[0] != "banks" {
				texts = append(texts, f.Path[0]+": "+f.Text)
			}
		}
	}
	return []profiles.Setting{{Path: []string{"parts", now.Name}, Text: "{" + strings.Join(texts, ", ") + "}"}}, nil
}

// banks are those of a part as long as the file says nothing else of it: with all
// banks, the new ones too.
func (w keeper) banks(part int) []int {
	was := &w.Unchanged.Parts[part]
	if _, given := w.Unchanged.Given("parts." + was.Name + ".banks"); given {
		return was.Banks
	}
	all := make([]int, len(w.Rig.Banks))
	for i := range all {
		all[i] = i
	}
	return all
}

// outSettings takes the voices of a bank out that overrides take out.
func (w keeper) outSettings(bank int) []profiles.Setting {
	if len(w.o.Without)+len(w.o.Voices) == 0 {
		return nil
	}
	b := &w.Rig.Banks[bank]
	var out []string
	changed := false
	for i := b.First; i < b.First+b.Size; i++ {
		if w.Rig.Voices[i].State == alloc.Out || len(w.o.Voices) > 0 && w.Rules.Config.Voices[i].State == alloc.Out {
			out = append(out, strconv.Itoa(i-b.First+1))
			changed = changed || i >= len(w.Unchanged.Voices) || w.Unchanged.Voices[i].State != alloc.Out
		}
	}
	if !changed {
		return nil
	}
	return []profiles.Setting{{Path: []string{"banks", b.Name, "out"}, Text: "[" + strings.Join(out, ", ") + "]"}}
}

// releaseSettings sets the releases of kinds of voices. Where banks of a kind are to have
// several, or the kind is built in and has no place in the file, banks get a kind like it.
func (w keeper) releaseSettings() (list []profiles.Setting, err error) {
	if len(w.o.Release) == 0 {
		return nil, nil
	}
	var names []string // of new kinds
	for kind := range w.Unchanged.Kinds {
		k := &w.Unchanged.Kinds[kind]
		banks, releases := w.released(kind)
		if err := w.notMeasured(banks); err != nil {
			return nil, err
		}
		if len(releases) > 0 && !k.Pos.IsZero() && !slices.Contains(releases, k.Envelope.Release) {
			list = append(list, profiles.Setting{Path: []string{"voices", k.Name, "release"}, Text: TypedTime(releases[0])})
			releases = releases[1:]
		}
		for _, release := range releases {
			if release == k.Envelope.Release {
				continue
			}
			like, err := w.like(k)
			if err != nil {
				return nil, err
			}
			names = append(names, w.freeKind(k, names))
			name := names[len(names)-1]
			list = append(list, profiles.Setting{Path: []string{"voices", name}, Text: "{" + like + "release: " + TypedTime(release) + "}"})
			for _, b := range banks[release] {
				list = append(list, profiles.Setting{Path: []string{"banks", w.Rig.Banks[b].Name, "kind"}, Text: name})
			}
		}
	}
	return list, nil
}

// like is what a kind is without its release, as the file has it, and without what is
// measured: nobody has measured the new one.
func (w keeper) like(k *profiles.Kind) (text string, err error) {
	if k.Pos.IsZero() {
		return "profile: " + k.Name + ", ", nil
	}
	fields, err := profiles.FieldsOf(w.data, "voices", k.Name)
	if err != nil {
		return "", fmt.Errorf("voices of kind %s are to have different releases: %s; give some a kind of their own", k.Name, err)
	}
	for _, f := range fields {
		if f.Path[0] != "release" && f.Path[0] != "measured" {
			text += f.Path[0] + ": " + f.Text + ", "
		}
	}
	return text, nil
}

// released are the releases that voices of a kind are to have, and the banks of each:
// those of a bank have one.
func (w keeper) released(kind int) (banks map[time.Duration][]int, releases []time.Duration) {
	banks = map[time.Duration][]int{}
	for i := range w.Rig.Banks {
		b := &w.Rig.Banks[i]
		release := w.Rules.Config.Voices[b.First].Envelope.Release
		if b.Kind != kind {
			continue
		}
		if release == w.Rig.Envelope(b.First).Release { // as it is, whatever was measured of its voices
			release = w.Rig.Kinds[kind].Envelope.Release
		}
		if banks[release] == nil {
			releases = append(releases, release)
		}
		banks[release] = append(banks[release], i)
	}
	return banks, releases
}

// notMeasured refuses a release for banks with voices whose own one was measured: no
// release of a kind could take its place.
func (w keeper) notMeasured(banks map[time.Duration][]int) error {
	for release, of := range banks {
		for _, bank := range of {
			b := &w.Rig.Banks[bank]
			for v := b.First; v < b.First+b.Size; v++ {
				if a := w.Rig.Voices[v].Answer; a != nil && a.Release != nil && release != w.Rig.Kinds[b.Kind].Envelope.Release {
					return fmt.Errorf("the release of %s was measured, and counts before that of its kind: turn the knob, and record a take again", w.Rig.Voices[v].Name)
				}
			}
		}
	}
	return nil
}

// freeKind is a name that no kind has: own for a built-in one, else that of the kind,
// with a number.
func (w keeper) freeKind(like *profiles.Kind, taken []string) string {
	for _, k := range w.Unchanged.Kinds {
		taken = append(taken, k.Name)
	}
	base := like.Name
	if like.Pos.IsZero() {
		base = "own"
	}
	name := base
	for n := 2; slices.Contains(taken, name); n++ {
		name = base + strconv.Itoa(n)
	}
	return name
}
