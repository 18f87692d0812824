package alter

import (
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// part is a part of the rig by its name.
func (t *text) part(name string) (*profiles.Part, error) {
	i := slices.IndexFunc(t.rig.Parts, func(p profiles.Part) bool { return p.Name == name })
	if i < 0 {
		return nil, refuse("reload the page: the rig has changed", "there is no part %q, want one of %s", name, unit.First(t.partNames(), 12))
	}
	return &t.rig.Parts[i], nil
}

func (t *text) partNames() (names []string) {
	for _, p := range t.rig.Parts {
		names = append(names, p.Name)
	}
	return names
}

// partOf is a part of a rig by its name, of no value where there is none.
func partOf(r *profiles.Rig, name string) (found profiles.Part) {
	for _, p := range r.Parts {
		if p.Name == name {
			found = p
		}
	}
	return found
}

// writeOut writes the part that a rig has whose file names none, so that it stays when one is named.
func (t *text) writeOut() {
	if t.rig.Parts[0].Pos.IsZero() {
		t.set("{}", "parts", t.rig.Parts[0].Name)
	}
}

// nameOf is a name for a part as a rig can have it.
func (t *text) nameOf(wish string) string {
	if wish == "" {
		wish = "part"
	}
	return profiles.PartNames([]string{wish})[0]
}

func morePart(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	base := t.nameOf(d.Part)
	name := base
	for n := 2; slices.Contains(t.partNames(), name); n++ {
		name = base + "-" + strconv.Itoa(n)
	}
	before := len(t.rig.Parts)
	t.writeOut()
	t.set("{channel: none}", "parts", profiles.NameText(name))
	added := func(r *profiles.Rig) bool { return len(r.Parts) == before+1 && partOf(r, name).Name == name }
	if d.Channel == 0 && d.Zone == "" {
		return added, nil
	}
	heard, err := hear(d)
	if err != nil {
		return nil, err
	}
	if err := t.unhear(heard, name, d.Also); err != nil {
		return nil, err
	}
	t.set(heard.text(), "parts", name, "channel")
	return func(r *profiles.Rig) bool { return added(r) && heard.by(partOf(r, name)) }, nil
}

func renamePart(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	if _, err := t.part(d.Part); err != nil {
		return nil, err
	}
	if d.Name == "" {
		return nil, refuse("type one", "part %s needs a name", d.Part)
	}
	name := t.nameOf(d.Name)
	if name == d.Part {
		return func(*profiles.Rig) bool { return true }, nil
	}
	if slices.Contains(t.partNames(), name) {
		return nil, refuse("choose a name that no other part has", "there is a part %s already", name)
	}
	t.writeOut()
	t.settings = append(t.settings, profiles.Setting{Path: []string{"parts", d.Part}, Text: profiles.NameText(name), Do: profiles.Rename})
	return func(r *profiles.Rig) bool { return partOf(r, d.Part).Name == "" && partOf(r, name).Name == name }, nil
}

func partGone(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	if _, err := t.part(d.Part); err != nil {
		return nil, err
	}
	if len(t.rig.Parts) == 1 {
		return nil, refuse("add another part first, or name this one anew", "%s is the last part, and a rig plays one at least", d.Part)
	}
	t.drop("parts", d.Part)
	return func(r *profiles.Rig) bool { return len(r.Parts) == len(t.rig.Parts)-1 && partOf(r, d.Part).Name == "" }, nil
}

func banks(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	if _, err := t.part(d.Part); err != nil {
		return nil, err
	}
	var names []string
	for _, b := range t.rig.Banks {
		if len(d.Banks) == 0 || slices.Contains(d.Banks, b.Name) {
			names = append(names, b.Name)
		}
	}
	for _, name := range d.Banks {
		if !slices.Contains(names, name) {
			return nil, t.noBank(name)
		}
	}
	if len(d.Banks) == 0 {
		t.dropGiven("parts", d.Part, "banks")
	} else {
		t.set(list(names), "parts", d.Part, "banks")
	}
	return func(r *profiles.Rig) bool {
		var now []string
		for _, b := range partOf(r, d.Part).Banks {
			now = append(now, r.Banks[b].Name)
		}
		return slices.Equal(now, names)
	}, nil
}

// list is names as a rig file has them.
func list(names []string) string {
	texts := make([]string, len(names))
	for i, name := range names {
		texts[i] = profiles.NameText(name)
	}
	return "[" + strings.Join(texts, ", ") + "]"
}

func transpose(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	if _, err := t.part(d.Part); err != nil {
		return nil, err
	}
	t.set(strconv.Itoa(d.Semitones), "parts", d.Part, "transpose")
	return func(r *profiles.Rig) bool { return partOf(r, d.Part).Transpose == d.Semitones }, nil
}

func mode(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	if _, err := t.part(d.Part); err != nil {
		return nil, err
	}
	if d.Mode == profiles.Poly.String() {
		t.dropGiven("parts", d.Part, "reattack") // only a mono part has it
	}
	t.set(profiles.Plain(d.Mode), "parts", d.Part, "mode")
	return func(r *profiles.Rig) bool { return partOf(r, d.Part).Mode.String() == d.Mode }, nil
}
