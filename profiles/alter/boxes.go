package alter

import (
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
)

func boxOf(r *profiles.Rig, name string) *profiles.Interface {
	i := slices.IndexFunc(r.Interfaces, func(f profiles.Interface) bool { return f.Name == name })
	if i < 0 {
		return nil
	}
	return &r.Interfaces[i]
}

// box is an interface of the rig by its name.
func (t *text) box(name string) (*profiles.Interface, error) {
	if f := boxOf(t.rig, name); f != nil {
		return f, nil
	}
	var names []string
	for _, f := range t.rig.Interfaces {
		names = append(names, f.Name)
	}
	return nil, refuse("reload the page: the rig has changed", "there is no interface %q, want one of %s", name, unit.First(names, 12))
}

// boxProfile makes an interface one of another kind: how many jacks it has the profile says from now on.
// What else is written beside it, such as its range, stays.
func boxProfile(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	if _, err := t.box(d.Name); err != nil {
		return nil, err
	}
	t.set(profiles.Plain(d.Profile), "interfaces", d.Name, "profile")
	for _, l := range t.leaves() {
		if len(l.Path) == 3 && under(l.Path, []string{"interfaces", d.Name}) && slices.Contains([]string{"cv", "gates", "outputs"}, l.Path[2]) {
			t.drop(l.Path...)
		}
	}
	return func(r *profiles.Rig) bool { return boxOf(r, d.Name).Profile == d.Profile }, nil
}

// zeroKey says which key an interface gives 0 V for. How its voices are tuned is another matter.
func zeroKey(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	if _, err := t.box(d.Name); err != nil {
		return nil, err
	}
	if d.Key == nil {
		return nil, refuse("", "found no key, want one from 0 to 127")
	}
	t.set(strconv.Itoa(*d.Key), "interfaces", d.Name, "zero_key")
	return func(r *profiles.Rig) bool { return boxOf(r, d.Name).ZeroKey == *d.Key }, nil
}

// boxRange says from where to where the CVs of an interface go.
func boxRange(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	if _, err := t.box(d.Name); err != nil {
		return nil, err
	}
	volts := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) + " V" }
	t.set(volts(d.LowV)+" to "+volts(d.HighV), "interfaces", d.Name, "window")
	return func(r *profiles.Rig) bool {
		return boxOf(r, d.Name).Window == profiles.Window{Low: profiles.Volts(d.LowV), High: profiles.Volts(d.HighV)}
	}, nil
}

func moreBox(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	name := "main"
	if len(t.rig.Interfaces) > 0 {
		name = t.rig.FreeName(t.rig.Interfaces[0].Name)
	} else if !t.rig.IsFree(name) {
		name = t.rig.FreeName(name)
	}
	t.set("{profile: "+profiles.Plain(d.Profile)+"}", "interfaces", name)
	return func(r *profiles.Rig) bool {
		f := boxOf(r, name)
		return len(r.Interfaces) == len(t.rig.Interfaces)+1 && f != nil && f.Profile == d.Profile
	}, nil
}

// boxGone takes an interface out, with the cables that hang on it: nothing is left to plug them into.
func boxGone(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	if _, err := t.box(d.Name); err != nil {
		return nil, err
	}
	var drop [][]string
	for _, l := range t.leaves() {
		of, _, _ := strings.Cut(l.Text, ".")
		if of != d.Name {
			continue
		}
		switch {
		case l.Path[0] == "pins", l.Path[0] == "supplies" && l.Path[2] == "feeds", l.Path[0] == "set_ups" && l.Path[2] == "from" && len(l.Path) == 4:
			drop = append(drop, l.Path)
		case l.Path[0] == "wiring" && l.Path[2] == "from":
			drop = append(drop, l.Path[:2])
		case l.Path[0] == "set_ups" && l.Path[2] == "from":
			return nil, refuse("take the set-up out of the text first, or play it from another box", "set-up %s plays from %s", l.Path[1], d.Name)
		}
	}
	t.dropAll(drop)
	t.drop("interfaces", d.Name)
	return func(r *profiles.Rig) bool {
		return boxOf(r, d.Name) == nil && len(r.Interfaces) == len(t.rig.Interfaces)-1
	}, nil
}
