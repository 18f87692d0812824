package setups

import (
	"fmt"
	"strconv"
	"strings"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/cables"
)

// Names are the names of the cables that are pulled, and of those that are
// plugged: the ones that the flags of the map have, see [cables.List], and else,
// as for a sequencer, names made alike.
func (c *Change) Names() (pulls, plugs []string) {
	from, to := Label(c.From, c.To)
	return names(c.From, from, c.Pulls), names(c.To, to, c.Plugs)
}

// names names some cables of a patch.
func names(p *Patch, all, some []Cable) []string {
	n := newNamer(p, all)
	named := map[Cable]string{}
	for _, c := range all {
		named[c] = n.name(c)
	}
	list := make([]string, len(some))
	for i, c := range some {
		list[i] = named[c]
	}
	return list
}

// namer names the cables of a patch one after the other.
type namer struct {
	rig   *profiles.Rig // without its sequencers
	flags []cables.Cable
	into  map[string][]Cable // by panel
	taken map[string]bool    // names
}

// newNamer names all cables of a patch.
func newNamer(p *Patch, all []Cable) *namer {
	n := &namer{rig: p.base.Rig, flags: cables.List(p.base), into: map[string][]Cable{}, taken: map[string]bool{}}
	for _, f := range n.flags {
		n.taken[f.Name] = true
	}
	for _, c := range all {
		n.into[c.To.Panel] = append(n.into[c.To.Panel], c)
	}
	return n
}

func (n *namer) name(c Cable) string {
	source := n.source(c.From)
	for i, f := range n.flags {
		if f.Jack == source.Panel+" "+source.Name && f.To == n.flagged(c, source) {
			n.flags[i].Jack = "" // a flag is for one cable
			return f.Name
		}
	}
	kind, number, _ := strings.Cut(source.Name, " ")
	jack, _ := strconv.Atoi(number)
	made := cables.OnFrom
	if c.From == source {
		made = cables.Beside
	}
	for i := 1; ; i++ {
		if name := made(routing.CableName(n.rig, source.Panel, kind == "gate", jack), i); !n.taken[name] {
			n.taken[name] = true
			return name
		}
	}
}

// source is the jack of an interface or a sequencer that a signal comes from. What
// a gate-OR gives to a voice is called after what the map gives to it.
func (n *namer) source(j Jack) Jack {
	into := n.into[j.Panel]
	if len(into) == 0 {
		return j
	}
	from := into[0]
	for _, c := range into {
		if c.To.Name == strings.Replace(j.Name, "out", "in", 1) {
			from = c
			break
		}
	}
	return n.source(from.From)
}

// flagged is what the flag of a cable on the map calls the end that it leads to.
// A gate-OR, which no map knows, stands in the way to a gate.
func (n *namer) flagged(c Cable, source Jack) string {
	if bank, ok := strings.CutPrefix(c.To.Panel, orPanel("")); ok {
		return fmt.Sprintf("%s%s.gate", bank, strings.TrimPrefix(c.To.Name, "in "))
	}
	switch {
	case strings.HasPrefix(c.From.Panel, orPanel("")):
		return ""
	case strings.HasPrefix(c.To.Panel, "bank "):
		return c.To.Name
	case strings.HasPrefix(c.To.Panel, "multiple "):
		return "multiple at " + source.Panel + " " + source.Name
	}
	return c.To.Panel
}
