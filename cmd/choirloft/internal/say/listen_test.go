package say

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/routing/listen"
	"choirloft/routing/plan"
)

// listens are files of sound: of a song as it is asked for, of its moments, and of a
// part in which nothing sounds.
func listens(t *testing.T) []said {
	p, song := planOf(t, "kiln-yard.yaml", plan.Overrides{Voices: plan.All(10)}), songOf(t, "slow-kiln.mid")
	s, err := listen.New(p, song)
	require.NoError(t, err)
	heard, peaks := s.Heard(nil), listen.Peaks{Asked: 1 << 50, Played: 1 << 49}
	whole := &listen.Take{Part: -1, Gain: peaks.Gain(), Sections: []listen.Section{{Version: listen.Asked, To: s.Frames}}}
	moments := &listen.Take{Part: -1, Gain: peaks.Gain()}
	for i := range int64(16) {
		moments.Sections = append(moments.Sections, listen.Section{Version: listen.Version(i % 3), From: i * 3 * listen.Rate, To: (i*3 + 3) * listen.Rate}, listen.Section{To: listen.Rate, Silence: true})
	}
	part := &listen.Take{Part: 1, Sections: []listen.Section{{Version: listen.Missing, To: listen.Rate}}}
	long := &listen.Take{Part: -1, Gain: peaks.Gain(), Sections: []listen.Section{{To: 1 << 31}}}
	value := func(t *listen.Take, h *plan.Listened, peaks listen.Peaks) *contract.Listen {
		return contract.NewListen(p, s, song, "a-song-with-a-name-that-is-longer-than-most.mid", t, peaks, h, contract.NewSoundFile(t, "out.wav", "out.wav.txt"))
	}
	silent := value(part, nil, listen.Peaks{Played: 0})
	silent.Elastic = true
	unison := planOf(t, "kiln-yard.yaml", plan.MustParse("--unison", "pad=4", "--unison", "lead=2"))
	_, stacks, err := listen.NewStacks(unison)
	require.NoError(t, err)
	screen := func(v *contract.Listen) *doc.Doc { return Listen(v, Screen) }
	all := func(v *contract.Listen) *doc.Doc { return Listen(v, All) }
	return []said{of("listen", value(whole, nil, peaks), screen), of("listen to moments", value(moments, heard, peaks), screen),
		of("listen to moments, all", value(moments, heard, peaks), all), of("listen to silence", silent, screen), of("listen for long", value(long, heard, peaks), screen),
		of("stacks", contract.NewStacks(unison, stacks, contract.NewSoundFile(long, "stack.wav", "stack.wav.txt")), Stacks)}
}
