package plan

import (
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/purchase"
)

// What is said of things that are bought: nobody has measured them.
const (
	unmeasuredBank      = "bought: tuning and release assumed until measured"
	unmeasuredInterface = "bought: volts assumed until measured"
	unmeasuredSupply    = "bought: rating assumed until measured"
)

// bankSettings are the banks that there are besides.
func (w keeper) bankSettings() (list []profiles.Setting) {
	if len(w.o.More)+len(w.o.Buy) == 0 {
		return nil
	}
	for i := len(w.Unchanged.Banks); i < len(w.Rig.Banks); i++ {
		b := &w.Rig.Banks[i]
		like, note := w.Unchanged.Banks[len(w.Unchanged.Banks)-1].Name, ""
		if len(w.o.Buy) > 0 && i >= len(w.Rig.Banks)-w.o.Buy[0].Value.Banks {
			like = w.o.Buy[0].Value.Like
			note = unmeasuredBank + byHand(like, w.Bought.ByHand[i-len(w.Rig.Banks)+w.Bought.Banks])
		}
		fields := []string{"voices: " + strconv.Itoa(b.Size)}
		if _, given := w.Unchanged.Given("banks." + like + ".kind"); given || b.Kind >= len(w.Unchanged.Kinds) {
			fields = append(fields, "kind: "+w.Rig.Kinds[b.Kind].Name)
		}
		if len(b.Lanes) > 0 {
			fields = append(fields, "lanes: ["+strings.Join(b.Lanes, ", ")+"]")
		}
		if b.Shared != profiles.SharedNone {
			fields = append(fields, "shared: "+b.Shared.String())
		}
		if b.Gates != profiles.Together {
			fields = append(fields, "gates: "+b.Gates.String())
		}
		if b.Row > 0 {
			fields = append(fields, "row: "+strconv.Itoa(b.Row))
		}
		if b.HP > 0 {
			fields = append(fields, "hp: "+strconv.Itoa(b.HP))
		}
		if len(b.Current) > 0 {
			fields = append(fields, "ma: "+b.Current.Text())
		}
		list = append(list, profiles.Setting{Path: []string{"banks", b.Name}, Text: "{" + strings.Join(fields, ", ") + "}", Note: note})
	}
	return list
}

// byHand says what of a new bank is left to wire; empty for nothing.
func byHand(like string, names []string) (text string) {
	var ends []string
	for _, name := range names {
		if strings.HasPrefix(name, "set-up ") {
			text += "; add a gate-OR for " + name
		} else {
			ends = append(ends, name)
		}
	}
	if len(ends) > 0 {
		text = "; wire by hand, as bank " + like + " is: " + strings.Join(ends, ", ") + text
	}
	return text
}

// boughtSettings are the kinds, interfaces and supplies that are bought with banks.
func (w keeper) boughtSettings() (list []profiles.Setting, err error) {
	if len(w.o.Buy) == 0 {
		return nil, nil
	}
	p := w.Bought
	if k := p.Unmeasured; k != nil {
		like, err := w.like(&w.Unchanged.Kinds[w.Unchanged.Banks[p.Like].Kind])
		if err != nil {
			return nil, err
		}
		first := w.Rig.Banks[len(w.Rig.Banks)-1].First
		like += "release: " + TypedTime(w.Rules.Config.Voices[first].Envelope.Release)
		list = append(list, profiles.Setting{Path: []string{"voices", k.Name}, Text: "{" + like + "}", Note: unmeasuredBank})
	}
	for _, f := range p.NewInterfaces() {
		fields, err := profiles.FieldsOf(w.data, "interfaces", w.Unchanged.Interfaces[p.From].Name)
		if err != nil {
			return nil, err
		}
		var texts []string
		for _, x := range fields {
			if !slices.Contains(purchase.OwnOfInterfaces, x.Path[0]) {
				texts = append(texts, x.Path[0]+": "+x.Text)
			}
		}
		if f.Row > 0 {
			texts = append(texts, "row: "+strconv.Itoa(f.Row))
		}
		list = append(list, profiles.Setting{Path: []string{"interfaces", f.Name}, Text: "{" + strings.Join(texts, ", ") + "}", Note: unmeasuredInterface})
	}
	joined, err := w.joinedSettings()
	return slices.Concat(list, w.pinSettings(), w.feedSettings(), joined), err
}

// pinSettings hold what a further interface would move.
func (w keeper) pinSettings() (list []profiles.Setting) {
	for i := len(w.Unchanged.Pins); i < len(w.Rig.Pins); i++ {
		what, jack := routing.PinText(w.Rig, &w.Rig.Pins[i])
		list = append(list, profiles.Setting{Path: []string{"pins", what}, Text: jack})
	}
	return list
}

// feedSettings are the supplies that are bought, and what hangs on the others now.
func (w keeper) feedSettings() (list []profiles.Setting) {
	for i := range w.Rig.Supplies {
		s := &w.Rig.Supplies[i]
		var names []string
		for _, f := range s.Feeds {
			names = append(names, f.Name)
		}
		feeds := "[" + strings.Join(names, ", ") + "]"
		switch {
		case i >= len(w.Unchanged.Supplies):
			rating := strings.TrimPrefix(s.Rating.Ratings(), "{")
			list = append(list, profiles.Setting{Path: []string{"supplies", s.Name}, Text: "{" + strings.TrimSuffix(rating, "}") + ", feeds: " + feeds + "}", Note: unmeasuredSupply})
		case len(s.Feeds) > len(w.Unchanged.Supplies[i].Feeds):
			list = append(list, profiles.Setting{Path: []string{"supplies", s.Name, "feeds"}, Text: feeds})
		}
	}
	return list
}
