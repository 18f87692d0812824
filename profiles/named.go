package profiles

import (
	"slices"
	"strings"
)

// VoiceSpan names the voices there are, as in K1 to P4.
func (r *Rig) VoiceSpan() string {
	first, last := r.Voices[0].Name, r.Voices[len(r.Voices)-1].Name
	if first == last {
		return first
	}
	return first + " to " + last
}

// VoicesNamed are the voices of a name in any case, by their index: one, as in K3, several in a row, as in K1-K4, or a
// bank, as in K; none where the rig has no such.
func (r *Rig) VoicesNamed(name string) (all []int) {
	name = strings.TrimSpace(name)
	at := func(name string) int {
		return slices.IndexFunc(r.Voices, func(v Voice) bool { return strings.EqualFold(v.Name, strings.TrimSpace(name)) })
	}
	if i := at(name); i >= 0 {
		return []int{i}
	}
	if i := slices.IndexFunc(r.Banks, func(b Bank) bool { return strings.EqualFold(b.Name, name) }); i >= 0 {
		for v := range r.Banks[i].Size {
			all = append(all, r.Banks[i].First+v)
		}
		return all
	}
	if from, to, ok := strings.Cut(name, "-"); ok && at(from) >= 0 {
		for v := at(from); v <= at(to); v++ {
			all = append(all, v)
		}
	}
	return all
}
