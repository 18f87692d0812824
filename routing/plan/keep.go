package plan

import (
	"fmt"
	"io/fs"
	"reflect"
	"slices"
	"strconv"
	"strings"

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
	before, err := Draft(rig, o)
	if err != nil {
		return nil, nil, o, err
	}
	left = Overrides{Voices: o.Voices, More: o.More, Trim: o.Trim, Lift: o.Lift, Doubles: o.Doubles}
	settings, err := settings(before, o)
	if err != nil {
		return nil, nil, o, err
	}
	if kept, after, err = profiles.WithSettings(rig.File, data, settings, files); err != nil {
		return nil, nil, o, err
	}
	now, err := Draft(after, left)
	if err != nil {
		return nil, nil, o, err
	}
	is, was := now.Rules, before.Rules
	is.Weigh, was.Weigh = nil, nil // of functions nobody can tell whether they are the same
	if !reflect.DeepEqual(is, was) {
		return nil, nil, o, fmt.Errorf("the file cannot say this in a few words; write it by hand: %s", strings.Join(o.Flags(), " "))
	}
	return kept, after, left, nil
}

// settings are what a rig file has to say to be like a plan with overrides.
func settings(p *Plan, o Overrides) ([]profiles.Setting, error) {
	var list []profiles.Setting
	for i := range p.Rules.Config.Parts {
		list = append(list, partSettings(p, i, o)...)
	}
	for bank := range p.Rig.Banks {
		list = append(list, outSettings(p, bank, o)...)
	}
	releases, err := releaseSettings(p, o)
	return append(list, releases...), err
}

// partSettings are those of one part: what some override has to do with, and
// differs from what the rig says.
func partSettings(p *Plan, i int, o Overrides) []profiles.Setting {
	was, now := &p.Unchanged.Parts[i], &p.Rules.Config.Parts[i]
	var list []profiles.Setting
	set := func(text string, path ...string) {
		list = append(list, profiles.Setting{Path: append([]string{"parts", was.Name}, path...), Text: text})
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
	if mode := p.Rig.Parts[i].Mode; len(o.Mode) > 0 && mode != was.Mode {
		set(mode.String(), "mode")
	}
	if short := p.Rig.Parts[i].Unison.Short; len(o.WhenShort) > 0 && short != was.Unison.Short {
		set(short.String(), "unison", "when_short")
	}
	if n := p.Rig.Parts[i].Unison.Voices; len(o.Unison) > 0 && n != was.Unison.Voices {
		set(strconv.Itoa(n), "unison", "voices")
	}
	if len(o.Banks) > 0 && !slices.Equal(now.Banks, was.Banks) {
		var names []string
		for _, b := range now.Banks {
			names = append(names, p.Rig.Banks[b].Name)
		}
		set("["+strings.Join(names, ", ")+"]", "banks")
	}
	return list
}

// outSettings takes the voices of a bank out that overrides take out.
func outSettings(p *Plan, bank int, o Overrides) []profiles.Setting {
	if len(o.Without) == 0 || bank >= len(p.Unchanged.Banks) {
		return nil
	}
	b := &p.Unchanged.Banks[bank]
	var out []string
	changed := false
	for i := b.First; i < b.First+b.Size; i++ {
		if p.Rig.Voices[i].State == alloc.Out {
			out = append(out, strconv.Itoa(i-b.First+1))
			changed = changed || p.Unchanged.Voices[i].State != alloc.Out
		}
	}
	if !changed {
		return nil
	}
	return []profiles.Setting{{Path: []string{"banks", b.Name, "out"}, Text: "[" + strings.Join(out, ", ") + "]"}}
}

// releaseSettings sets the releases of kinds of voices. A kind that is built in
// has no place in the file, and one whose voices are to differ has no one value.
func releaseSettings(p *Plan, o Overrides) ([]profiles.Setting, error) {
	if len(o.Release) == 0 {
		return nil, nil
	}
	var list []profiles.Setting
	for kind := range p.Unchanged.Kinds {
		k := &p.Unchanged.Kinds[kind]
		release, used := k.Envelope.Release, false
		for i, v := range p.Rules.Config.Voices {
			if v.Bank >= len(p.Unchanged.Banks) || p.Rig.Banks[v.Bank].Kind != kind {
				continue
			}
			if used && v.Envelope.Release != release {
				return nil, fmt.Errorf("voices of kind %s are to have different releases, from %s on; give those a kind of their own", k.Name, p.Rig.Voices[i].Name)
			}
			release, used = v.Envelope.Release, true
		}
		switch {
		case !used || release == k.Envelope.Release:
		case k.Pos.IsZero():
			return nil, fmt.Errorf("the kind %s is built in, so the file has no place for its release; add a kind under voices, as in voices: {mine: {profile: %s, release: %s}}",
				k.Name, k.Name, TypedTime(release))
		default:
			list = append(list, profiles.Setting{Path: []string{"voices", k.Name, "release"}, Text: TypedTime(release)})
		}
	}
	return list, nil
}
