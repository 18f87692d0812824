package deal

import (
	"choirloft/alloc/timing"
	"choirloft/profiles"
)

// early moves the edges of voices that answer late forward by as much, so that all sound
// together: never to before the song's start. A gate that cannot begin sooner still ends
// sooner, for its voice ends late too.
func early(rig *profiles.Rig, voices [][]timing.Edge) {
	for i, edges := range voices {
		late := rig.Latency(i)
		if late == 0 {
			continue
		}
		for j := range edges {
			edges[j].At = max(0, edges[j].At-late)
		}
	}
}
