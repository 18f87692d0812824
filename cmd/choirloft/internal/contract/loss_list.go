package contract

import (
	"cmp"
	"slices"
)

// LossFilter chooses losses: of a part and of a kind, empty for all that voices could cure.
// Notes at the wrong pitch are a kind that stands apart.
type LossFilter struct{ Part, Kind string }

func (f LossFilter) takes(l *Loss) bool {
	return (f.Part == "" || l.Part == f.Part) && (f.Kind == "" && !l.WrongPitch() || l.What() == f.Kind)
}

// What is what kind of loss it is: its flag, or else its ending.
func (l *Loss) What() string {
	if l.Flagged() {
		return *l.Flag
	}
	return l.Ending
}

// LossCount is how many losses there are of a part or of a kind, and how many of them are
// heard; none where nobody listened.
type LossCount struct {
	Name   string `json:"name"`
	Losses int    `json:"losses"`
	Heard  int    `json:"heard"`
}

// LossList is what was chosen of the losses of a result.
type LossList struct {
	LossFilter
	LossCount              // of what was chosen; its name is empty
	WrongPitch int         // notes of the part that was chosen
	Order      []int       // the places of what was chosen, the most heard first
	Parts      []LossCount // all parts in order, each with its losses of the kind that was chosen
	Kinds      []LossCount // of the part that was chosen, those with the most losses first
}

// Choose lists losses, the most heard first.
func (r *Result) Choose(f LossFilter) *LossList {
	list := &LossList{LossFilter: f, Order: []int{}}
	parts, kinds := map[string]*LossCount{}, map[string]*LossCount{}
	tally := func(of map[string]*LossCount, name string, l *Loss) {
		if of[name] == nil {
			of[name] = &LossCount{Name: name}
		}
		of[name].add(l)
	}
	for _, at := range r.Worst(len(r.Losses)) {
		l := &r.Losses[at]
		if (LossFilter{Kind: f.Kind}).takes(l) {
			tally(parts, l.Part, l)
		}
		if f.Part == "" || l.Part == f.Part {
			tally(kinds, l.What(), l)
			if l.WrongPitch() {
				list.WrongPitch++
			}
		}
		if f.takes(l) {
			list.add(l)
			list.Order = append(list.Order, at)
		}
	}
	for i := range r.Parts {
		c := parts[r.Parts[i].Name]
		if c == nil {
			c = &LossCount{Name: r.Parts[i].Name}
		}
		list.Parts = append(list.Parts, *c)
	}
	if f.Kind != "" && kinds[f.Kind] == nil {
		kinds[f.Kind] = &LossCount{Name: f.Kind}
	}
	for _, c := range kinds {
		list.Kinds = append(list.Kinds, *c)
	}
	slices.SortFunc(list.Kinds, func(a, b LossCount) int {
		return cmp.Or(b.Heard-a.Heard, b.Losses-a.Losses, cmp.Compare(a.Name, b.Name))
	})
	return list
}

func (c *LossCount) add(l *Loss) {
	c.Losses++
	if l.HeardOne != nil && l.HeardDB != nil {
		c.Heard++
	}
}
