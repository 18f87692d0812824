package alter

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/profiles"
)

// What a voice is stands in its bank: out and spare are lists of positions, limited a map of them to keys, and a voice that
// is out keeps its limits (profiles/doc.go). The lines that each deed leaves in place of some follow from that.
func TestVoiceDeeds(t *testing.T) {
	is := func(voice, state string) Deed { return Deed{Do: "voice", Voice: voice, State: state} }
	limited := func(voice, keys string) Deed { return Deed{Do: "voice", Voice: voice, State: "limited", Keys: keys} }
	const k, l = "  K: {voices: 4, kind: own}   #", "  L: {voices: 4, kind: own, out: [4], limited: {3: 40-76}}"
	for _, row := range []struct {
		name   string
		deeds  []Deed
		change []string
	}{
		{"out", []Deed{is("K2", "out")}, []string{k, "  K: {voices: 4, kind: own, out: [2]}   #"}},
		{"out beside another", []Deed{is("L1", "out")}, []string{"out: [4]", "out: [4, 1]"}},
		{"out already", []Deed{is("L4", "out")}, nil},
		{"in again", []Deed{is("L4", "in")}, []string{"own, out: [4], limited", "own, limited"}},
		{"out, and in again", []Deed{is("K2", "out"), is("K2", "in")}, nil},
		{"spare", []Deed{is("K4", "spare")}, []string{k, "  K: {voices: 4, kind: own, spare: [4]}   #"}},
		{"spare in place of out", []Deed{is("L4", "spare")}, []string{l, "  L: {voices: 4, kind: own, limited: {3: 40-76}, spare: [4]}"}},
		{"spare, out, spare, in", []Deed{is("K1", "spare"), is("K1", "out"), is("K1", "spare"), is("K1", "in")}, nil},
		{"limited", []Deed{limited("K1", " E2-E5 ")}, []string{k, "  K: {voices: 4, kind: own, limited: {1: E2-E5}}   #"}},
		{"limited beside another", []Deed{limited("L1", "36-96")}, []string{"{3: 40-76}", "{3: 40-76, 1: 36-96}"}},
		{"limited otherwise", []Deed{limited("L3", "0-60")}, []string{"{3: 40-76}", "{3: 0-60}"}},
		{"limited no more", []Deed{is("L3", "in")}, []string{", limited: {3: 40-76}}", "}"}},
		{"out keeps its limits, and has them again", []Deed{is("L3", "out"), is("L3", "limited")}, nil},
		{"out keeps its limits", []Deed{is("L3", "out")}, []string{"out: [4]", "out: [4, 3]"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			want := shop
			for i := 0; i < len(row.change); i += 2 {
				require.Equal(t, 1, strings.Count(want, row.change[i]), "the row is right: %q", row.change[i])
				want = strings.Replace(want, row.change[i], row.change[i+1], 1)
			}
			require.Equal(t, want, done(t, shop, row.deeds...))
		})
	}
}

// Lists that stand on lines of their own, one place without brackets, and comments in between.
func TestVoiceDeedsInOtherLayouts(t *testing.T) {
	const lines = "rig: R\nbanks:\n  K:\n    voices: 4 # four\n    out: # in repair\n      - 2 # the hum\n      - 3 # the knob\n    limited: # by ear\n      1: 40-76 # below it howls\n"
	text := done(t, lines, Deed{Do: "voice", Voice: "K2", State: "in"}, Deed{Do: "voice", Voice: "K4", State: "out"}, Deed{Do: "voice", Voice: "K1", State: "in"}, Deed{Do: "voice", Voice: "K3", State: "in"})
	require.Equal(t, comments(lines), comments(text))
	rig, faults := profiles.Read("rig.yaml", []byte(text), nil)
	require.Empty(t, faults)
	require.Equal(t, []alloc.VoiceState{alloc.In, alloc.In, alloc.In, alloc.Out}, []alloc.VoiceState{rig.Voices[0].State, rig.Voices[1].State, rig.Voices[2].State, rig.Voices[3].State})
	const one = "rig: R\nbanks:\n  K: {voices: 4, out: 2}\n"
	if _, faults := profiles.Read("rig.yaml", []byte(one), nil); len(faults) == 0 {
		require.Equal(t, strings.Replace(one, "out: 2", "out: [2, 3]", 1), done(t, one, Deed{Do: "voice", Voice: "K3", State: "out"}))
		require.Equal(t, strings.Replace(one, ", out: 2", "", 1), done(t, one, Deed{Do: "voice", Voice: "K2", State: "in"}))
	}
}

// A unison says what it is to be, and no more than differs.
func TestUnisonDeeds(t *testing.T) {
	width := func(v float64) *float64 { return &v }
	for _, row := range []struct {
		deed Deed
		want string // behind keys: 48-127
	}{
		{Deed{Voices: 3, Width: width(12), Law: "uneven"}, ", unison: {voices: 3}"}, // 12 cents and uneven are the defaults of the grammar
		{Deed{Voices: 2, Width: width(7.5), Law: "power 1.5"}, ", unison: {voices: 2, spread: 7.5 cents, law: power 1.5}"},
		{Deed{Width: width(700)}, ", unison: {spread: 700 cents}"},
		{Deed{Voices: 1, Law: "uneven"}, ""},
	} {
		row.deed.Do, row.deed.Part = "unison", "high"
		require.Equal(t, strings.Replace(shop, "keys: 48-127", "keys: 48-127"+row.want, 1), done(t, shop, row.deed))
	}
}

// Why a state or a unison cannot be: no voice of that name, no such state, keys that are none, a spare that is needed, more voices than there are.
func TestVoiceRefusals(t *testing.T) {
	const used = "rig: R\nbanks:\n  K: {voices: 4, out: [2], spare: [4], use_spare: true}\nparts:\n  pad: {channel: 1, unison: {voices: 3}}\n"
	for _, row := range []struct {
		name, text, why, hint string
		deed                  Deed
	}{
		{"no such voice", shop, `there is no voice "Q1"`, "reload the page", Deed{Voice: "Q1", State: "in"}},
		{"no such state", shop, `found the state "tired", want one of in, out, spare, limited`, "", Deed{Voice: "K1", State: "tired"}},
		{"no keys", shop, "it is not said which keys K1 tracks", "such as 40-76", Deed{Voice: "K1", State: "limited"}},
		{"keys upside down", shop, "banks.K.limited.1: ", "", Deed{Voice: "K1", State: "limited", Keys: "76-40"}},
		{"keys that are none", shop, "banks.K.limited.1: ", "", Deed{Voice: "K1", State: "limited", Keys: "a few"}},
		{"the only spare, in use", used, "K4 is the only spare of bank K, which plays it", "make another voice", Deed{Voice: "K4", State: "in"}},
		{"a spare that nobody can spare", used, "found a unison of 3 voices, and bank K has 2", "", Deed{Voice: "K3", State: "spare"}},
		{"a unison of more than there are", used, "found a unison of 4 voices, and bank K has 3", "", Deed{Do: "unison", Part: "pad", Voices: 4}},
		{"a pattern that is none", used, `want one of uneven`, "", Deed{Do: "unison", Part: "pad", Law: "odd"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			if row.deed.Do == "" {
				row.deed.Do = "voice"
			}
			_, _, err := Do("rig.yaml", []byte(row.text), []Deed{row.deed}, nil)
			var refused *Refusal
			require.ErrorAs(t, err, &refused)
			require.Contains(t, refused.Why, row.why)
			require.Contains(t, refused.Hint, row.hint)
		})
	}
}
