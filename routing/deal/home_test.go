package deal

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/plan"
)

// What notes cannot do over MIDI is refused with the reason and with what does it: by CVs the
// same rig plays, and as one stack, or with gates together, by MIDI too.
func TestWhatNotesCannotDo(t *testing.T) {
	song := songOf(t, 0, 0x90, 60, 100, 100, 0x80, 60, 0)
	for _, c := range []struct{ bank, message, hint, way string }{
		{"shared: gate", "voices K1 and K2 share a gate jack, and by MIDI a note opens the gate of its own channel alone",
			"drive them by CVs (link: audio), play them as one stack of a unison, or give each its own gate jack", "unison: {voices: 2, when_short: blocks}"},
		{"shared: pitch, gates: in turn", "K1 has its pitch from a jack of several voices that open in turn, and one note moves pitch and gate",
			"write gates: together in its bank, or drive it by CVs (link: audio)", ""},
	} {
		rig := func(box, bank, part string) *plan.Plan {
			return planOf(t, "rig: R\ninterfaces: {main: {profile: "+box+"}}\nbanks: {K: {voices: 2, "+bank+"}}\nparts: {p: {"+part+"}}\n", plan.Overrides{})
		}
		_, err := New(rig("cv4-gate4", c.bank, ""), song, Options{})
		var refused *Error
		require.ErrorAs(t, err, &refused)
		require.Equal(t, []string{c.message, c.hint}, []string{refused.Message, refused.Hint})
		_, err = NewCV(rig("audio-dc8", c.bank, ""), song, CVOptions{Rate: 1000})
		require.NoError(t, err)
		bank := c.bank
		if c.way == "" {
			bank = "shared: pitch, gates: together"
		}
		_, err = New(rig("cv4-gate4", bank, c.way), song, Options{})
		require.NoError(t, err)
	}
}
