package alter

import (
	"strconv"

	"choirloft/profiles"
)

// unison has a part play so many voices on a note, so far apart, in a detune pattern. What is not said, or is so
// already, stays as it is written.
func unison(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	p, err := t.part(d.Part)
	if err != nil {
		return nil, err
	}
	if d.Voices > 0 && d.Voices != p.Unison.Voices {
		t.set(strconv.Itoa(d.Voices), "parts", d.Part, "unison", "voices")
	}
	if d.Width != nil && *d.Width != float64(p.Unison.Spread) {
		t.set(strconv.FormatFloat(*d.Width, 'f', -1, 64)+" cents", "parts", d.Part, "unison", "spread")
	}
	if d.Law != "" && d.Law != p.Unison.Pattern() {
		t.set(profiles.Plain(d.Law), "parts", d.Part, "unison", "law")
	}
	return func(r *profiles.Rig) bool {
		u := partOf(r, d.Part).Unison
		return (d.Voices == 0 || u.Voices == d.Voices) && (d.Width == nil || float64(u.Spread) == *d.Width) && (d.Law == "" || u.Pattern() == d.Law)
	}, nil
}
