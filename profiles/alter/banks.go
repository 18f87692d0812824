package alter

import (
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// bank is a bank of the rig by its name.
func (t *text) bank(name string) (*profiles.Bank, error) {
	if b := bankOf(t.rig, name); b != nil {
		return b, nil
	}
	return nil, t.noBank(name)
}

func (t *text) noBank(name string) error {
	var names []string
	for _, b := range t.rig.Banks {
		names = append(names, b.Name)
	}
	return refuse("reload the page: the rig has changed", "there is no bank %q, want one of %s", name, unit.First(names, 12))
}

func bankOf(r *profiles.Rig, name string) *profiles.Bank {
	i := slices.IndexFunc(r.Banks, func(b profiles.Bank) bool { return b.Name == name })
	if i < 0 {
		return nil
	}
	return &r.Banks[i]
}

// moreBank is like the last bank, where it is of the same kind: it has its lanes too.
func moreBank(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	last := &t.rig.Banks[len(t.rig.Banks)-1]
	like := t.rig.Kinds[last.Kind].Name
	kind, name := d.Kind, t.rig.FreeBank()
	if kind == "" {
		kind = like
	}
	fields := []string{"voices: " + strconv.Itoa(d.Voices), "kind: " + profiles.NameText(kind)}
	if kind == like && len(last.Lanes) > 0 {
		fields = append(fields, "lanes: "+list(last.Lanes))
	}
	t.set("{"+strings.Join(fields, ", ")+"}", "banks", name)
	return func(r *profiles.Rig) bool {
		b := bankOf(r, name)
		return len(r.Banks) == len(t.rig.Banks)+1 && b != nil && b.Size == d.Voices && r.Kinds[b.Kind].Name == kind
	}, nil
}

func bankGone(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	if _, err := t.bank(d.Bank); err != nil {
		return nil, err
	}
	if len(t.rig.Banks) == 1 {
		return nil, refuse("add another bank first", "%s is the last bank, and a rig has one at least", d.Bank)
	}
	err := t.forget("bank "+d.Bank, func(name string) bool {
		of, digits := voiceOf(name)
		return name == d.Bank || of == d.Bank && digits != ""
	})
	t.drop("banks", d.Bank)
	return func(r *profiles.Rig) bool { return len(r.Banks) == len(t.rig.Banks)-1 && bankOf(r, d.Bank) == nil }, err
}

// voiceOf cuts the name of a voice into its bank and the digits of its place there.
func voiceOf(name string) (bank, digits string) {
	bank = strings.TrimRight(name, "0123456789")
	return bank, name[len(bank):]
}

// bankVoices has a bank end earlier or later. What is said of voices that go, goes with them.
func bankVoices(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	b, err := t.bank(d.Bank)
	if err != nil {
		return nil, err
	}
	beyond := func(digits string) bool {
		n, err := strconv.Atoi(digits)
		return err == nil && n > d.Voices
	}
	if d.Voices > 0 && d.Voices < b.Size {
		err = t.forget("the last voices of bank "+d.Bank, func(name string) bool {
			of, digits := voiceOf(name)
			return of == d.Bank && beyond(digits)
		})
		t.forgetStates(d.Bank, beyond)
	}
	t.set(strconv.Itoa(d.Voices), "banks", d.Bank, "voices")
	return func(r *profiles.Rig) bool { return bankOf(r, d.Bank).Size == d.Voices }, err
}

// forgetStates takes out what a bank says of the places of some of its voices.
func (t *text) forgetStates(bank string, gone func(position string) bool) {
	for _, key := range []string{"out", "spare", "limited"} {
		path := []string{"banks", bank, key}
		for _, l := range slices.Backward(t.leaves()) {
			if under(l.Path, path) && gone(place(l)) {
				t.drop(l.Path...)
			}
		}
	}
}

// place is the position that a state is of: of a limit its key, else what is listed.
func place(l profiles.Setting) string {
	if l.Path[2] == "limited" {
		return l.Path[len(l.Path)-1]
	}
	return l.Text
}
