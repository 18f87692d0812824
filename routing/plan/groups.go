package plan

import (
	"slices"
	"strings"

	"choirloft/profiles"
)

// ParseGroups reads the parts of each recording, as in "pad,bass/arp": by index. It is false
// where not every part of the rig is named once, or there is but one recording.
func ParseGroups(rig *profiles.Rig, text string) (groups [][]int, ok bool) {
	named := make([]bool, len(rig.Parts))
	for one := range strings.SplitSeq(text, "/") {
		var group []int
		for name := range strings.SplitSeq(one, ",") {
			i := slices.IndexFunc(rig.Parts, func(p profiles.Part) bool { return p.Name == strings.TrimSpace(name) })
			if i < 0 || named[i] {
				return nil, false
			}
			named[i], group = true, append(group, i)
		}
		groups = append(groups, group)
	}
	return groups, len(groups) > 1 && !slices.Contains(named, false)
}

// GroupsText is the inverse of ParseGroups.
func GroupsText(rig *profiles.Rig, groups [][]int) string {
	var all []string
	for _, g := range groups {
		var names []string
		for _, i := range g {
			names = append(names, rig.Parts[i].Name)
		}
		all = append(all, strings.Join(names, ","))
	}
	return strings.Join(all, "/")
}
