package plan

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/routing"
)

// A part's notes end with the triggers of its voices where all in service have one, of
// several lengths with the longest; else check says that they do not.
func TestNotesEndWithTheirTriggers(t *testing.T) {
	const triggers = `
rig: Triggers
interfaces: {main: {profile: cv8-gate8}}
banks: {K: {voices: 3}, L: {voices: 1}}
parts: {bells: {channel: 1, banks: [K]}, pad: {channel: 2, banks: [L]}}
gear: {a: {does: trigger}, b: {does: trigger, pulse: 30 ms}}
wiring:
  - {from: main.gate 1, to: a}
  - {from: a, to: K1.gate}
  - {from: main.gate 2, to: b}
  - {from: b, to: K2.gate}
`
	for _, c := range []struct {
		flags []string
		want  time.Duration
		said  string
	}{
		{nil, 0, "part bells plays on voices with triggers and without: its notes count as long as their keys are down, and K1, K2 end sooner"},
		{[]string{"--without", "K3"}, 30 * time.Millisecond, ""},
		{[]string{"--without", "K2,K3"}, 5 * time.Millisecond, ""},
		{[]string{"--without", "K1,K2"}, 0, ""},
		{[]string{"--without", "K3", "--unison", "bells=2", "--when-short", "wait"}, 0,
			"part bells waits for the voices of its unison: its notes count as long as their keys are down, and K1, K2 end sooner"},
		{[]string{"--without", "K3", "--banks", "bells=K,L"}, 0,
			"part bells plays on voices with triggers and without: its notes count as long as their keys are down, and K1, K2 end sooner"},
	} {
		p := build(t, triggers, MustParse(c.flags...))
		require.Equal(t, c.want, p.Rules.Config.Parts[0].Pulse, c.flags)
		require.Zero(t, p.Rules.Config.Parts[1].Pulse)
		said := ""
		for _, f := range p.Findings {
			if f.Code == routing.TriggerNotReckoned {
				said = f.Text
			}
		}
		require.Equal(t, c.said, said, c.flags)
	}
}
