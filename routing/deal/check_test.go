package deal

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/routing/plan"
)

const twoStacks = `rig: Stacks
interfaces: {main: {profile: cv8-gate8}}
banks: {K: {voices: 5, out: [2], spare: [5]}}
parts: {p: {unison: {voices: 2, law: even, spread: 12 cents}}}
`

// A line check plays every voice that is not out in turn, alone, quiet first,
// and then the stacks by position: of K1 and K2, which is out, and of K3 and K4.
// At −6 and +6 cents of one semitone: 8192 ∓ 491.52.
func TestLineCheck(t *testing.T) {
	p := planOf(t, twoStacks, plan.Overrides{})
	c, err := LineCheck(p)
	require.NoError(t, err)
	data, err := c.Score().Bytes()
	require.NoError(t, err)
	song := read(t, data)
	apart(t, song)
	require.Equal(t, []int{1}, c.Silent)
	var order []string
	quietest := uint8(127)
	for _, l := range c.Lines {
		order = append(order, fmt.Sprintf("%s at bar %d", p.Rig.Voices[l.Voice].Name, l.Bar))
		require.Equal(t, []midi.Key{36, 48, 60, 72, 84, 96}, l.Keys)
		require.EqualValues(t, 60, l.Key)
	}
	require.Equal(t, []string{"K1 at bar 1", "K3 at bar 4", "K4 at bar 7", "K5 at bar 10"}, order)
	said := says(song, "K1")[6:]
	require.Equal(t, []string{"0 bend 8192", "0 on 60 v16", "250 off 60", "500 on 60 v40", "750 off 60", "1000 on 60 v64", "1250 off 60",
		"1500 on 60 v88", "1750 off 60", "2000 on 36 v64", "2400 off 36", "2500 on 48 v64", "2900 off 48", "3000 on 60 v64", "3400 off 60",
		"3500 on 72 v64", "3900 off 72", "4000 on 84 v64", "4400 off 84", "4500 on 96 v64", "4900 off 96",
		"24000 bend 7700", "24000 on 66 v64", "25900 off 66"}, said)
	require.Subset(t, says(song, "K3"), []string{"26000 bend 7700", "26000 on 66 v64"})
	require.Subset(t, says(song, "K4"), []string{"26500 bend 8684", "26500 on 66 v64"})
	for _, e := range song.Events {
		if e.Kind() == midi.NoteOn {
			require.LessOrEqual(t, e.Data2, uint8(88))
			if e.Tick == 0 {
				quietest = e.Data2
			}
		}
	}
	require.EqualValues(t, 16, quietest, "the first sound is the quietest")
	require.Equal(t, song.End, barStart(c.Bars+1))
	_, _, ok := DealtFor(song)
	require.False(t, ok, "this is no dealt song")
}

// Before the stacks no two voices sound together, so that a wrong jack is heard
// as one.
func TestLineCheckOneAtATime(t *testing.T) {
	p, _ := demo(t, plan.Overrides{Unison: plan.Only("pad", 4)})
	c, err := LineCheck(p)
	require.NoError(t, err)
	data, err := c.Score().Bytes()
	require.NoError(t, err)
	open, most := 0, 0
	for _, e := range read(t, data).Events {
		switch e.Kind() {
		case midi.NoteOn:
			open++
		case midi.NoteOff:
			open--
		}
		if e.Tick < barStart(c.Stacks[0].Bar) {
			most = max(most, open)
		}
	}
	require.Equal(t, 1, most)
	require.Zero(t, open)
}
