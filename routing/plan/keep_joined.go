package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles"
	"choirloft/routing"
)

// joinedSettings lead to bought banks what leads to those that they are like: macros, wires with
// the multiples behind them, and set-ups.
func (w keeper) joinedSettings() (list []profiles.Setting, err error) {
	for i := range w.Unchanged.Macros {
		was, now := &w.Unchanged.Macros[i], &w.Rig.Macros[i]
		if err = w.longer(&list, w.endNames(now.To[len(was.To):]), nil, "macros", was.Name, "to"); err != nil {
			return nil, err
		}
	}
	list = append(list, w.gearSettings()...)
	if err = w.wireSettings(&list); err != nil {
		return nil, err
	}
	for i := range w.Unchanged.SetUps {
		was, now := &w.Unchanged.SetUps[i], &w.Rig.SetUps[i]
		var names []string
		for _, at := range now.Also[len(was.Also):] {
			names = append(names, w.Rig.Interfaces[at].Name)
		}
		if err = w.longer(&list, names, nil, "set_ups", was.Name, "from"); err != nil {
			return nil, err
		}
		for k := range was.Parts {
			names = nil
			for _, b := range now.Parts[k].Banks[len(was.Parts[k].Banks):] {
				names = append(names, w.Rig.Banks[b].Name)
			}
			if err = w.longer(&list, names, nil, "set_ups", was.Name, "parts", strconv.Itoa(was.Parts[k].Part)); err != nil {
				return nil, err
			}
		}
	}
	return list, nil
}

// longer sets a list of the file with names more, and without others.
func (w keeper) longer(list *[]profiles.Setting, more, less []string, path ...string) error {
	if len(more)+len(less) == 0 {
		return nil
	}
	items, err := profiles.Items(w.data, path...)
	if err != nil {
		return fmt.Errorf("%s: %s; add %s by hand", strings.Join(path, "."), err, strings.Join(more, ", "))
	}
	items = slices.DeleteFunc(items, func(name string) bool { return slices.Contains(less, name) })
	*list = append(*list, profiles.Setting{Path: path, Text: "[" + strings.Join(append(items, more...), ", ") + "]"})
	return nil
}

// endNames are inputs as a file has them.
func (w keeper) endNames(ends []profiles.Target) (names []string) {
	for _, t := range ends {
		names = append(names, routing.Input{Bank: t.Bank, Voice: t.Voice, Input: t.Input}.Name(w.Rig))
	}
	return names
}

// gearSettings are the multiples that are bought as modules.
func (w keeper) gearSettings() (list []profiles.Setting) {
	for i := len(w.Unchanged.Gear); i < len(w.Rig.Gear); i++ {
		g := &w.Rig.Gear[i]
		does := g.Does.String()
		if g.Outs > 0 {
			does += " " + strconv.Itoa(g.Outs)
		}
		fields := []string{"does: " + does}
		if g.Row > 0 {
			fields = append(fields, "row: "+strconv.Itoa(g.Row))
		}
		if g.HP > 0 {
			fields = append(fields, "hp: "+strconv.Itoa(g.HP))
		}
		if len(g.Current) > 0 {
			fields = append(fields, "ma: "+g.Current.Text())
		}
		list = append(list, profiles.Setting{Path: []string{"gear", g.Name}, Text: "{" + strings.Join(fields, ", ") + "}", Note: gearNote(g)})
	}
	return list
}

// gearNote is what is said of a multiple that is bought: it is as the one that it is like, but
// of the multiple of a wire no rig says how wide it is and what it draws.
func gearNote(g *profiles.Gear) string {
	switch drawn := len(g.Current) > 0; {
	case g.HP > 0 && drawn:
		return "bought: width and current assumed until measured"
	case g.HP > 0:
		return "bought: width assumed until measured, current not known"
	case drawn:
		return "bought: current assumed until measured, width not known"
	}
	return "bought: width and current not known"
}

// wireSettings set what hangs on the multiples of wires and on modules: more inputs, and in the
// place of some a multiple that is bought.
func (w keeper) wireSettings(list *[]profiles.Setting) error {
	for i := range w.Unchanged.Wiring {
		was, now := &w.Unchanged.Wiring[i], &w.Rig.Wiring[i]
		straight := func(wire *profiles.Wire) []string {
			var ends []profiles.Target
			for _, t := range wire.To {
				if t.Via == 0 {
					ends = append(ends, t)
				}
			}
			return append(w.endNames(ends), w.gearNames(wire.On)...)
		}
		more, less := changed(straight(was), straight(now))
		if err := w.longer(list, more, less, "wiring", fmt.Sprintf("[%d]", i), "to"); err != nil {
			return err
		}
	}
	for i := range w.Rig.Gear {
		var before []string
		if i < len(w.Unchanged.Gear) {
			was := &w.Unchanged.Gear[i]
			before = append(w.endNames(was.To), w.gearNames(was.On)...)
		}
		now := &w.Rig.Gear[i]
		more, less := changed(before, append(w.endNames(now.To), w.gearNames(now.On)...))
		if err := w.moduleSettings(list, now.Name, more, less); err != nil {
			return err
		}
	}
	return nil
}

func (w keeper) gearNames(at []int) (names []string) {
	for _, i := range at {
		names = append(names, w.Rig.Gear[i].Name)
	}
	return names
}

// changed are the names of one list that another has not, and the other way round.
func changed(was, now []string) (more, less []string) {
	beside := func(a, b []string) []string {
		return slices.DeleteFunc(slices.Clone(a), func(name string) bool { return slices.Contains(b, name) })
	}
	return beside(now, was), beside(was, now)
}

// moduleSettings are a wire more from a module, or in the place of what it led to before.
func (w keeper) moduleSettings(list *[]profiles.Setting, module string, more, less []string) error {
	for i := range w.Unchanged.Wiring {
		at := fmt.Sprintf("[%d]", i)
		from, err := profiles.Items(w.data, "wiring", at, "from")
		if err != nil || from[0] != module || len(less) == 0 {
			continue
		}
		items, err := profiles.Items(w.data, "wiring", at, "to")
		if err != nil {
			return err
		}
		if slices.ContainsFunc(items, func(name string) bool { return slices.Contains(less, name) }) {
			return w.longer(list, more, less, "wiring", at, "to")
		}
	}
	switch {
	case len(less) > 0:
		return fmt.Errorf("what %s leads to cannot be edited; add %s by hand", module, strings.Join(more, ", "))
	case len(more) > 0:
		*list = append(*list, profiles.Setting{Path: []string{"wiring", "[+]"}, Text: "{from: " + module + ", to: [" + strings.Join(more, ", ") + "]}"})
	}
	return nil
}
