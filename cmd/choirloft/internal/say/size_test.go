package say

import (
	"context"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/midi"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// songOf returns a song under testdata.
func songOf(t testing.TB, file string) *midi.Song {
	t.Helper()
	data, err := os.ReadFile(demo(file))
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	return song
}

// sizeOf works out all there is to say about the size of a song.
func sizeOf(t testing.TB, file string, o plan.Overrides, song *midi.Song, named string, all bool) (*plan.Plan, *contract.SizeResult) {
	t.Helper()
	ctx, p := context.Background(), planOf(t, file, o)
	rules, err := plan.Rulesets(p, []string{"few"})
	require.NoError(t, err)
	session, err := whatif.New(p.Unchanged, o, song)
	require.NoError(t, err)
	in := contract.SizeInput{Plan: p, File: named, Song: song, Now: session.Before()}
	options := study.SizingOptions{Rulesets: rules}
	in.Sizing, err = session.Size(ctx, options)
	require.NoError(t, err)
	in.Fixes, err = session.List(ctx, nil)
	require.NoError(t, err)
	if all {
		session.Pairs(ctx, in.Fixes, nil)
		in.Varied, err = session.Vary(ctx)
		require.NoError(t, err)
		in.Drill, err = session.Drill(ctx)
		require.NoError(t, err)
		in.Racks, err = session.Racks(ctx, []whatif.Rack{{Name: "small", Banks: 3, Size: 4}, {Name: "twice as large", Banks: 5, Size: 4}}, &whatif.Prices{Voice: 90.5, Bank: 40})
		require.NoError(t, err)
		for i := range p.Rules.Config.Parts {
			one, err := session.SizePart(ctx, i, options)
			require.NoError(t, err)
			in.ByPart = append(in.ByPart, one)
		}
	}
	return p, contract.NewSizeResult(in)
}

// sized and estimated are worked out once.
var sized, estimated []said

// sizes are sizes of one song and of several, on screen and on paper.
func sizes(t *testing.T) (all []said) {
	if sized != nil {
		return sized
	}
	song := songOf(t, "slow-kiln.mid")
	odd := *song
	odd.Warnings = midi.Warnings{List: []midi.Warning{{Offset: 12, Message: "strange"}, {Offset: 99, Message: "stranger"}}, Total: 3}
	silent := *song
	silent.Events = nil
	var several []*contract.SizeResult
	var last *plan.Plan
	for _, c := range []struct {
		name, rig, file string
		o               plan.Overrides
		song            *midi.Song
		all             bool
	}{
		{"enough", "kiln-yard.yaml", "a/slow-kiln.mid", plan.Overrides{}, song, false},
		{"too few", "kiln-yard.yaml", "b/slow-kiln.mid", plan.Overrides{Voices: []string{"12"}}, song, true},
		{"parts differ", "kiln-yard.yaml", "-", plan.Overrides{Steal: []string{"pad=oldest"}, Unison: []string{"lead=3"}, Voices: []string{"8"}}, &odd, false},
		{"nothing", "kiln-yard.yaml", "silent.mid", plan.Overrides{}, &silent, false},
		{"reserves", "rigs/full.yaml", strings.Repeat("long", 12) + ".mid", plan.Overrides{}, song, false},
	} {
		p, r := sizeOf(t, c.rig, c.o, c.song, c.file, c.all)
		for _, room := range []Room{Screen, Paper} {
			all = append(all, of("size "+c.name, contract.NewSize(p, r), func(s *contract.Size) *doc.Doc { return Size(s, room) }))
		}
		last, several = p, append(several, r)
	}
	failed := []contract.Failure{{File: "x.mid", Message: "no song"}}
	sized = append(all, of("size several", contract.NewSizeSongs(last, several, failed), SizeSongs),
		of("size none", contract.NewSizeSongs(last, nil, failed), SizeSongs))
	return sized
}

// TestFixText words each kind; a pair names both, also where they are of one kind.
func TestFixText(t *testing.T) {
	pad, bass := "pad", "bass"
	for want, changes := range map[string][]contract.FixChange{
		"pick lowest":                                            {{Kind: "pick", Value: "lowest"}},
		"export it, so that tails are known":                     {{Kind: "tails", Value: "known"}},
		"keep 2 voices for bass, and steal oldest":               {{Kind: "reserve", Part: &bass, Number: 2}, {Kind: "steal", Value: "oldest"}},
		"release 1 s for pad, and release 2 s for bass":          {{Kind: "release", Part: &pad, Value: "1 s"}, {Kind: "release", Part: &bass, Value: "2 s"}},
		"release 1.2 s for all":                                  {{Kind: "release", Value: "1.2 s"}},
		"pad with a unison of 3":                                 {{Kind: "unison", Part: &pad, Number: 3}},
		"end pad's notes at the next, overlaps up to 80 ms":      {{Kind: "trim", Part: &pad, Value: "80 ms"}},
		"lift pad's pedal 1 s earlier":                           {{Kind: "lift", Part: &pad, Value: "1 s"}},
		"drop pad's doubled octaves":                             {{Kind: "doubles", Part: &pad, Value: "drop"}},
		"2 recordings to be mixed":                               {{Kind: "passes", Number: 2}},
		"1 voice more: 20":                                       {{Kind: "voices", Number: 20, More: 1}},
		"banks: pad and lead on A B; bass on C, and pick lowest": {{Kind: "banks", Banks: []contract.PartBanks{{Part: "pad", Banks: []string{"A", "B"}}, {Part: "bass", Banks: []string{"C"}}, {Part: "lead", Banks: []string{"A", "B"}}}}, {Kind: "pick", Value: "lowest"}},
	} {
		require.Equal(t, want, fixText(&contract.Fix{Changes: changes}))
	}
}

// TestOwnLine: what lies between the thresholds is said where it is between.
func TestOwnLine(t *testing.T) {
	n := func(n int) *int { return &n }
	level := -27.1
	say := func(whole, quiet, free *int) string {
		return size{&contract.SizeResult{EnoughOwn: contract.OwnFrom{Undamaged: whole, Quiet: quiet, LoudestDB: &level, Untouched: free},
			Curve: []contract.SizePoint{{Voices: 1}, {Voices: 2}}}}.ownLine()
	}
	const head = "By these rules, of identical voices: "
	require.Equal(t, head+"13 damage no note, 20 cut nothing louder than -27.1 dB, 24 cut no tail either.", say(n(13), n(20), n(24)))
	require.Equal(t, head+"13 damage no note, 24 cut no tail either.", say(n(13), n(13), n(24)))
	require.Equal(t, head+"13 damage no note, 24 cut no tail either.", say(n(13), n(24), n(24)))
	require.Equal(t, head+"13 damage no note.", say(n(13), n(20), nil))
	require.Equal(t, "By these rules identical voices damage notes up to 2 and beyond.", say(nil, nil, nil))
}

func TestSongNames(t *testing.T) {
	long := strings.Repeat("a", 30) + "0123456789.mid" // 44 characters
	var songs []*contract.Song
	for _, file := range []string{"x/a.mid", "x/b.mid", "y/b.mid", "-", long} {
		songs = append(songs, &contract.Song{File: file})
	}
	short := "…" + strings.Repeat("a", 21) + "0123456789.mid" // 36
	require.Equal(t, []string{"a.mid", "x/b.mid", "y/b.mid", "standard input", short}, songNames(songs))
}
