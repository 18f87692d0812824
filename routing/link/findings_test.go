package link

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// Ten notes on ten channels are 9.6 ms late, eleven 10.56.
func TestBothSidesOfALateNote(t *testing.T) {
	found := func(link string, notes int) []routing.Finding {
		text := fmt.Sprintf("rig: R\ninterfaces: {main: {profile: cv16-gate16, link: %s}}\nbanks: {K: {voices: 16}}\n", link)
		rig, faults := profiles.Read("test.yaml", []byte(text), nil)
		require.Empty(t, faults)
		p, err := plan.Build(rig, plan.Overrides{})
		require.NoError(t, err)
		song := &midi.Song{Tempo: midi.NewTempoMap(midi.Division{Ticks: 500}, nil), End: 4000}
		for key := range uint8(notes) {
			song.Events = append(song.Events, on(60+key, 2000)...)
		}
		for key := range uint8(notes) {
			song.Events = append(song.Events, off(60+key, 3000)...)
		}
		l, err := Of(p, song)
		require.NoError(t, err)
		return l.Findings(rig, song)
	}
	require.Empty(t, found("din", 10))
	require.Empty(t, found("usb", 16))
	list := found("din", 11)
	require.Len(t, list, 1)
	f := list[0]
	require.Equal(t, routing.LinkLate, f.Code)
	require.Equal(t, "interfaces.main.link", f.Where)
	require.Equal(t, 2, f.Pos.Line)
	require.InDelta(t, 10.56, *f.Value, 1e-9)
	require.Equal(t, "port 1 of main sends a note 10.6 ms late, at bar 2:1:0. It spreads a chord of 11 over 9.6 ms, at bar 2:1:0", f.Text)
}
