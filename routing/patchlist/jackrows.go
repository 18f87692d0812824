package patchlist

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// jackRow reads a row of a table that has a row a jack.
func (r *reader) jackRow(x *row) {
	if of := r.get(x, bank); of != "" {
		r.bank = of
	}
	if nothing(r.get(x, jack)) {
		return
	}
	if r.get(x, rowKind) == "macro" {
		r.macro(x)
		return
	}
	target := r.get(x, lane)
	of, in, dotted := strings.Cut(target, ".")
	switch {
	case r.get(x, rowKind) == "lane" && r.get(x, bank) == "":
		r.wired(x)
		return
	case dotted && !endsInDigit(of) && r.get(x, bank) != "":
		r.bankLane(x, in)
		return
	case !dotted:
		in = r.get(x, input)
	}
	v, _, ok := r.voiceOf(x)
	if !ok {
		return
	}
	in = strings.ToLower(in)
	inputs := []string{in}
	if in == "" {
		inputs = r.byKind(x)
	} else if plainName(in) != in {
		r.refuse(x, input, fmt.Errorf("found %s, want an input such as pitch, gate or cutoff", quote(in)))
		return
	}
	for _, in := range inputs {
		if j, ok := r.jackOf(x, jack, in == "gate"); ok {
			j.Target, j.voice, j.said = in, v, r.address(x)
			r.Jacks = append(r.Jacks, j)
		}
	}
	r.stateOf(x, v, !r.has(rowKind) || in == "gate")
}

// byKind are the inputs of a row that names none: by the kind of its jack, or else
// the pitch and the gate of one number.
func (r *reader) byKind(x *row) []string {
	kind := strings.ToLower(r.get(x, kind))
	switch {
	case strings.HasPrefix(kind, "gate"), strings.HasPrefix(kind, "gt"), strings.HasPrefix(kind, "trig"):
		return []string{"gate"}
	case kind != "":
		return []string{"pitch"}
	}
	if !r.both {
		r.both = true
		r.say("One jack a voice is read as the CV and the gate of that number.")
	}
	return []string{"pitch", "gate"}
}

// bankLane is a CV for a whole bank.
func (r *reader) bankLane(x *row, in string) {
	at, ok := r.bankOf(x, bank, r.get(x, bank))
	if !ok {
		return
	}
	if j, ok := r.jackOf(x, jack, in == "gate"); ok {
		j.Target = r.Banks[at].Name + "." + in
		r.Banks[at].Lanes = append(r.Banks[at].Lanes, in)
		r.Jacks = append(r.Jacks, j)
	}
}

// wired is a jack of which a wire is all there is.
func (r *reader) wired(x *row) {
	inputs := strings.Fields(r.get(x, to))
	if len(inputs) == 0 {
		r.refuse(x, lane, errors.New("the inputs that it feeds are missing, want them under to"))
		return
	}
	if j, ok := r.jackOf(x, jack, strings.EqualFold(r.get(x, kind), "gate")); ok {
		j.Wired = inputs
		r.Jacks = append(r.Jacks, j)
	}
}

// macro is a CV that a controller moves.
func (r *reader) macro(x *row) {
	a, m := r.address(x), ctlForm().FindStringSubmatch(r.get(x, message))
	name, inputs := plainName(r.get(x, lane)), strings.Fields(r.get(x, to))
	switch {
	case name == "" || slices.ContainsFunc(r.Macros, func(m Macro) bool { return m.Name == name }):
		r.refuse(x, lane, fmt.Errorf("found %s, want a name of its own for a macro", quote(r.get(x, lane))))
		return
	case m == nil || a == nil:
		r.refuse(x, message, fmt.Errorf("found %s, want a controller such as CC 74, and its channel", quote(r.get(x, message))))
		return
	case len(inputs) == 0:
		r.refuse(x, lane, errors.New("the inputs of the macro are missing, want them under to"))
		return
	}
	controller, err := whole(m[1], 0, 119)
	if err != nil {
		r.refuse(x, message, err)
		return
	}
	if j, ok := r.jackOf(x, jack, false); ok {
		r.Macros = append(r.Macros, Macro{name, controller, max(1, a.port), a.channel, inputs})
		j.Target = name
		r.Jacks = append(r.Jacks, j)
	}
}
