package profiles

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles/unit"
)

// maxVoices is the most voices of a rig.
const maxVoices = 4096

// resolve makes a rig of a draft: it puts numbers in the place of names, and
// complains of names that stand for nothing. Things that have faults of their
// own are known by name, and nothing else is asked of them.
func (r *reader) resolve(d *rigDraft) Rig {
	d.Rig.File, d.Rig.given = r.file, r.given
	x := &resolver{reader: r, draft: d, rig: &d.Rig, things: map[string]thing{}}
	x.listThings()
	x.resolveBanks()
	x.resolveParts()
	x.checkFit()
	x.resolveMacros()
	x.resolveWiring()
	x.resolvePins()
	x.openNormals()
	x.resolveCorrections()
	x.resolveMeasured()
	x.resolveSupplies()
	x.resolveSetUps()
	return *x.rig
}

// resolver looks names up.
type resolver struct {
	*reader
	draft *rigDraft
	rig   *Rig
	// things are interfaces, sequencers, banks and modules by name: they share
	// one set of names, since supplies and set-ups tell them by name alone.
	things map[string]thing
}

// thing is what a name stands for.
type thing struct {
	what   string // its section of the file
	at     int    // its place there
	broken bool
}

// The sections whose names are things.
const (
	inInterfaces = "interfaces"
	inSequencers = "sequencers"
	inBanks      = "banks"
	inGear       = "gear"
)

// listThings gives names to all there is.
func (x *resolver) listThings() {
	d := x.draft
	for _, e := range d.interfaces {
		e.value.Name, e.value.Pos = e.key, e.pos
		d.Interfaces = append(d.Interfaces, e.value)
	}
	for _, e := range d.sequencers {
		e.value.Name, e.value.Pos = e.key, e.pos
		d.Sequencers = append(d.Sequencers, e.value)
	}
	for _, e := range d.gear {
		e.value.Name, e.value.Pos = e.key, e.pos
		d.Gear = append(d.Gear, e.value)
	}
	for _, e := range d.kinds {
		e.value.Name, e.value.Pos = e.key, e.pos
		e.value.Profile = cmp.Or(e.value.Profile, defaultKind)
		d.Kinds = append(d.Kinds, e.value)
	}
	listNames(x, inInterfaces, d.interfaces)
	listNames(x, inSequencers, d.sequencers)
	listNames(x, inBanks, d.banks)
	listNames(x, inGear, d.gear)
}

func listNames[V any](x *resolver, what string, entries []entry[string, V]) {
	for i, e := range entries {
		if other, ok := x.things[e.key]; ok {
			x.faultAt(e.pos, e.at, complain("%s stands under %s already, want names that differ", e.key, other.what))
			continue
		}
		x.things[e.key] = thing{what, i, e.broken}
	}
}

// find returns the thing of that name, if it stands in one of the sections;
// otherwise it complains, unless the name itself was refused before.
func (x *resolver) find(name spot[string], sections ...string) (thing, bool) {
	t, ok := x.things[name.value]
	if ok && slices.Contains(sections, t.what) {
		return t, true
	}
	refused := func(section string) bool { return x.refused[join(section, name.value)] }
	if name.value != "" && !slices.ContainsFunc(sections, refused) {
		x.faultAt(name.pos, name.at, x.noSuch(name.value, sections))
	}
	return thing{}, false
}

// noSuch complains that nothing in the sections has that name.
func (x *resolver) noSuch(name string, sections []string) *complaint {
	var names []string
	for _, section := range sections {
		names = append(names, x.namesIn(section)...)
	}
	c := complain("no %s under %s", name, strings.Join(sections, ", "))
	if t, ok := x.things[name]; ok {
		c.message += ", it stands under " + t.what
	} else if slices.Contains(sections, inBanks) && slices.Contains(keysOf(x.draft.parts), name) {
		c.message += ", it stands under parts"
	} else if slices.Contains(sections, inSequencers) && len(x.draft.sequencers) == 0 {
		c.hint = "name your sequencer in the rig: sequencers: {" + name + ": {parts: 4}}"
	}
	if len(names) == 0 {
		c.message += ", where there are none"
		return c
	}
	c.message += ", want one of " + unit.First(names, 12)
	return c.didYouMean(name, names)
}

func (x *resolver) namesIn(section string) []string {
	d := x.draft
	switch section {
	case inInterfaces:
		return keysOf(d.interfaces)
	case inSequencers:
		return keysOf(d.sequencers)
	case inBanks:
		return keysOf(d.banks)
	}
	return keysOf(d.gear)
}

func keysOf[V any](entries []entry[string, V]) []string {
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.key
	}
	return names
}

// bank returns the index of a bank.
func (x *resolver) bank(name spot[string]) (int, bool) {
	t, ok := x.find(name, inBanks)
	return t.at, ok
}

// voice returns the index of a voice. Where its bank has faults, it returns
// false and says nothing.
func (x *resolver) voice(name spot[string]) (int, bool) {
	bank, digits := splitVoice(name.value)
	t, ok := x.find(spot[string]{bank, name.pos, name.at}, inBanks)
	if !ok || t.broken {
		return 0, false
	}
	b := x.rig.Banks[t.at]
	position, err := strconv.Atoi(digits)
	if err != nil || position < 1 || position > b.Size || digits[0] == '0' {
		x.faultAt(name.pos, name.at, complain("no voice %s, bank %s has %s", shorten(name.value), bank, b.span()))
		return 0, false
	}
	return b.First + position - 1, true
}

// span names the voices of a bank, for messages.
func (b Bank) span() string {
	if b.Size == 1 {
		return b.Name + "1 alone"
	}
	return b.Name + "1 to " + b.Name + strconv.Itoa(b.Size)
}
