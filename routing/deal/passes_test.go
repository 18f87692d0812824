package deal

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/routing/plan"
)

// The demo has a held peak of 13 (worked out without the engine in
// cmd/demosong): 8 voices take 2 passes, 5 take 3, 4 take 4.
func TestPasses(t *testing.T) {
	for voices, want := range map[string]int{"13": 1, "8": 2, "5": 3, "4": 4} {
		p, song := demo(t, plan.MustParse("--voices", voices))
		d, err := New(p, song, Options{Passes: Fewest})
		require.NoError(t, err)
		require.Len(t, d.Passes, want)
		require.Equal(t, want, d.FewestPasses)
		notes := 0
		for i, f := range d.Files(Whole) {
			require.Zero(t, d.Passes[i].Replay.Rig.Tally.Damaged())
			data, err := f.Score.Bytes()
			require.NoError(t, err)
			back := read(t, data)
			apart(t, back)
			notes += back.NoteOns
		}
		require.Equal(t, 328, notes, "every note is in one pass")
	}
}

func TestPassesThatAreToldHowMany(t *testing.T) {
	p, song := demo(t, plan.Overrides{Voices: plan.All(5)})
	d, err := New(p, song, Options{Passes: 2})
	require.NoError(t, err)
	require.Len(t, d.Passes, 2)
	require.Equal(t, 3, d.FewestPasses)
	damaged := d.Passes[0].Replay.Rig.Tally.Damaged() + d.Passes[1].Replay.Rig.Tally.Damaged()
	require.Positive(t, damaged, "fewer than the bound damage some")
}

// Files by bank and by port hold between them what one file holds.
func TestSplits(t *testing.T) {
	p, song := demo(t, plan.Overrides{})
	d, err := New(p, song, Options{Passes: 2})
	require.NoError(t, err)
	events := func(split Split) (all map[midi.Event]int, names []string) {
		all = map[midi.Event]int{}
		for _, f := range d.Files(split) {
			names = append(names, f.Suffix)
			data, err := f.Score.Bytes()
			require.NoError(t, err)
			for _, e := range read(t, data).Events {
				e.Track = uint16(f.Pass)
				all[e]++
			}
		}
		return all, names
	}
	whole, names := events(Whole)
	require.Equal(t, []string{"pass-1", "pass-2"}, names)
	banks, names := events(ByBank)
	require.Equal(t, []string{"pass-1-K", "pass-1-L", "pass-1-M", "pass-1-N", "pass-1-P", "pass-2-K", "pass-2-L", "pass-2-M", "pass-2-N", "pass-2-P"}, names)
	require.Equal(t, whole, banks)
	ports, names := events(ByPort)
	require.Equal(t, []string{"pass-1-port-1", "pass-1-port-2", "pass-2-port-1", "pass-2-port-2"}, names)
	require.Equal(t, whole, ports)
}
