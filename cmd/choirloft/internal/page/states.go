package page

import (
	"fmt"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
)

// stateView is what the rig's text says of a voice, whatever is tried.
type stateView struct {
	Name  string `json:"name"`
	State string `json:"state"` // in, out, limited, spare
	Keys  string `json:"keys"`  // that it tracks, as the rig writes them; empty for all
	Says  string `json:"says"`
}

// viewStates are those of all voices, in the order of the rig.
func viewStates(rig *profiles.Rig) []stateView {
	names := map[alloc.VoiceState]string{alloc.In: "in", alloc.Out: "out", alloc.Limited: "limited", alloc.Spare: "spare"}
	all := make([]stateView, len(rig.Voices))
	for i := range rig.Voices {
		v := &rig.Voices[i]
		all[i] = stateView{Name: v.Name, State: names[v.State]}
		if v.Keys.Low > 0 || v.Keys.High < 127 {
			all[i].Keys = fmt.Sprintf("%d-%d", v.Keys.Low, v.Keys.High)
		}
		all[i].Says = say.InRig(all[i].State, int(v.Keys.Low), int(v.Keys.High), int(rig.MiddleC))
	}
	return all
}
