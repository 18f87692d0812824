package link

import (
	"fmt"
	"strings"
	"testing"
	"time"

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

// By USB it takes over 160 messages at once; what is said then is assumed, and more
// ports of the same cable are no way out.
func TestAUSBCableThatIsLate(t *testing.T) {
	l := loadOf(t, strings.Replace(din, "din", "usb", 1), on(60, 1000)...)
	rig, _ := profiles.Read("test.yaml", []byte("rig: Test\n"+strings.Replace(din, "din", "usb", 1)), nil)
	song := &midi.Song{Tempo: midi.NewTempoMap(midi.Division{Ticks: 500}, nil), End: 4000}
	l.Ports[0].Late.By = 10 * time.Millisecond
	require.Empty(t, l.Findings(rig, song))
	l.Ports[0].Late.By = 11 * time.Millisecond
	f := l.Findings(rig, song)
	require.Len(t, f, 1)
	require.True(t, f[0].Assumed)
	require.Equal(t, "spread the voices over more interfaces, or send less at once: one packet takes 16 messages", f[0].Hint)
}
