package alter

import (
	"slices"
	"strconv"
	"strings"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/profiles/pattern"
)

// states are those that a deed gives a voice, and what they are in a rig.
var states = map[string]alloc.VoiceState{"in": alloc.In, "out": alloc.Out, "spare": alloc.Spare, "limited": alloc.Limited}

// keysText are keys that stand in a rig file without quotes.
var keysText = pattern.Of(`^[A-Ga-g0-9#-]+$`)

// voiceState has a voice in service, out of it, spare, or limited to some keys. One that is out or spare keeps
// its limits; one that is limited again without Keys has those that it had.
func voiceState(t *text, d Deed) (func(*profiles.Rig) bool, error) {
	at := slices.IndexFunc(t.rig.Voices, func(v profiles.Voice) bool { return v.Name == d.Voice })
	if at < 0 {
		return nil, refuse("reload the page: the rig has changed", "there is no voice %q", d.Voice)
	}
	want, known := states[d.State]
	if !known {
		return nil, refuse("", "found the state %q, want one of in, out, spare, limited", d.State)
	}
	v := &t.rig.Voices[at]
	b := &t.rig.Banks[v.Bank]
	if err := t.lastSpare(b, v, want); err != nil {
		return nil, err
	}
	t.member(want == alloc.Out, v, "banks", b.Name, "out")
	t.member(want == alloc.Spare, v, "banks", b.Name, "spare")
	limits := []string{"banks", b.Name, "limited", strconv.Itoa(v.Position)}
	limited := slices.ContainsFunc(t.leaves(), func(l profiles.Setting) bool { return under(l.Path, limits) })
	keys := strings.TrimSpace(d.Keys)
	if !keysText().MatchString(keys) && keys != "" {
		keys = profiles.Plain(keys)
	}
	switch {
	case want == alloc.Limited && keys != "":
		t.set(keys, limits...)
	case want == alloc.Limited && !limited:
		return nil, refuse("write the lowest and the highest, such as 40-76 or E2-E5", "it is not said which keys %s tracks", v.Name)
	case want == alloc.In && limited:
		t.drop(limits...)
	}
	return func(r *profiles.Rig) bool { return r.Voices[at].State == want }, nil
}

// lastSpare refuses to take a bank's only spare away while the bank uses it.
func (t *text) lastSpare(b *profiles.Bank, v *profiles.Voice, want alloc.VoiceState) error {
	if v.State != alloc.Spare || want == alloc.Spare || !b.UseSpare {
		return nil
	}
	for i := b.First; i < b.First+b.Size; i++ {
		if x := &t.rig.Voices[i]; x != v && x.State == alloc.Spare {
			return nil
		}
	}
	return refuse("make another voice of the bank spare first, or write use_spare: false", "%s is the only spare of bank %s, which plays it in place of a voice that is out", v.Name, b.Name)
}

// member has a voice's position stand in a list of its bank, or not.
func (t *text) member(in bool, v *profiles.Voice, path ...string) {
	position := strconv.Itoa(v.Position)
	var there, own []profiles.Setting
	for _, l := range t.leaves() {
		if !under(l.Path, path) {
			continue
		}
		there = append(there, l)
		if n, err := strconv.Atoi(l.Text); err == nil && n == v.Position {
			own = append(own, l)
		}
	}
	switch {
	case in == (len(own) > 0):
	case !in:
		t.drop(own[0].Path...)
	case len(there) > 0 && len(there[0].Path) > len(path):
		t.set(position, append(slices.Clone(path), "[+]")...)
	case len(there) > 0: // a single one, without brackets
		t.set("["+there[0].Text+", "+position+"]", path...)
	default:
		t.set("["+position+"]", path...)
	}
}
