package say

import (
	"bytes"
	"strings"
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

// What is missing where nobody would miss it is called so: of the demo on all its voices
// a replay says that none of 92 losses is heard, but 24 wrong pitches are. lead has none.
func TestListenHidden(t *testing.T) {
	p, song := planOf(t, "kiln-yard.yaml", plan.Overrides{}), songOf(t, "slow-kiln.mid")
	s, err := listen.New(p, song)
	require.NoError(t, err)
	heard, peaks := s.Heard(nil), listen.Peaks{Asked: 1 << 50, Played: 1 << 49}
	text := func(take *listen.Take, h *plan.Listened) string {
		v := contract.NewListen(p, s, song, "slow-kiln.mid", take, peaks, h, contract.NewSoundFile(take, "out.wav", "out.wav.txt"))
		var out bytes.Buffer
		require.NoError(t, doc.Text(&out, Listen(v, Screen), doc.TextOptions{}))
		return strings.Join(strings.Fields(out.String()), " ")
	}
	missing := []listen.Section{{Version: listen.Missing, To: s.Frames}}
	whole := text(&listen.Take{Part: -1, Gain: 1, Sections: missing}, heard)
	require.Contains(t, whole, "This is what the song hides, such as tails that nobody misses. In the song you would hear none of 92 losses.")
	require.Contains(t, whole, "But you would hear 24 notes at the wrong pitch: here such a note sounds twice, as asked and as played.")
	of := *heard
	of.Heard = heard.Heard.Of(3)
	lead := text(&listen.Take{Part: 3, Gain: 1, Sections: missing}, &of)
	require.Contains(t, lead, "In the song you would hear none of 7 losses.")
	require.NotContains(t, lead, "wrong pitch")
	require.Contains(t, lead, "You would hear no loss of lead there.")
	require.NotContains(t, text(&listen.Take{Part: -1, Gain: 1, Sections: []listen.Section{{To: s.Frames}}}, heard), "hides")
}
