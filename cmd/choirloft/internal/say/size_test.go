package say

import (
	"context"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/routing/advise"
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
	in.Fixes, err = advise.Find(ctx, []*whatif.Session{session}, advise.Options{Work: study.Work(corpora.Some(25, 600)) * session.TryWork(plan.Overrides{}), Pairs: all})
	require.NoError(t, err)
	if all {
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
	in.Heard, err = session.Listen(ctx, in.Sizing)
	require.NoError(t, err)
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
		{"too few", "kiln-yard.yaml", "b/slow-kiln.mid", plan.Overrides{Voices: plan.All(12)}, song, true},
		{"parts differ", "kiln-yard.yaml", "-", plan.MustParse("--steal", "pad=oldest", "--unison", "lead=3", "--voices", "8"), &odd, false},
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
		"pick lowest": {{Kind: "pick", Value: "lowest"}},
		"export it with write, which hears tails":                          {{Kind: "tails", Value: "known"}},
		"keep 2 voices for bass, and steal oldest":                         {{Kind: "reserve", Part: &bass, Number: 2}, {Kind: "steal", Value: "oldest"}},
		"release 1 s for pad, and release 2 s for bass":                    {{Kind: "release", Part: &pad, Value: "1 s"}, {Kind: "release", Part: &bass, Value: "2 s"}},
		"release 1.2 s for all":                                            {{Kind: "release", Value: "1.2 s"}},
		"a unison of 3 for pad":                                            {{Kind: "unison", Part: &pad, Number: 3}},
		"end pad's notes at the next where they overlap it by up to 80 ms": {{Kind: "trim", Part: &pad, Value: "80 ms"}},
		"end pad's notes 100 ms earlier, only where voices are short":      {{Kind: "shorten", Part: &pad, Value: "100 ms when short"}},
		"lift pad's pedal 1 s earlier":                                     {{Kind: "lift", Part: &pad, Value: "1 s"}},
		"tune main and its voices to F1 (29) at 0 V":                       {{Kind: "zero-key", Interface: "main", Number: 29, Value: "F1"}},
		"drop pad's doubled octaves":                                       {{Kind: "doubles", Part: &pad, Value: "drop"}},
		"2 recordings to mix":                                              {{Kind: "passes", Number: 2}},
		"1 voice more (20)":                                                {{Kind: "voices", Number: 20, More: 1}},
		"give pad and lead banks K L; bass banks M, and pick lowest":       {{Kind: "banks", Banks: []contract.PartBanks{{Part: "pad", Banks: []string{"K", "L"}}, {Part: "bass", Banks: []string{"M"}}, {Part: "lead", Banks: []string{"K", "L"}}}}, {Kind: "pick", Value: "lowest"}},
	} {
		require.Equal(t, want, changesText(&contract.Fix{Changes: changes}))
	}
}

// TestEnough: what lies between the thresholds is said where it is between, and
// the first line has the numbers that are beyond the curve.
func TestEnough(t *testing.T) {
	n := func(n int) *int { return &n }
	level := -27.1
	of := func(whole, quiet, free *int) size {
		return size{&contract.SizeResult{Song: contract.Song{File: "x.mid", Notes: 1}, Voices: 9,
			EnoughOwn: contract.OwnFrom{Undamaged: whole, Quiet: quiet, LoudestDB: &level, Untouched: free},
			Curve:     []contract.SizePoint{{Voices: 1}, {Voices: 2}}}}
	}
	whole, quiet, free := [2]string{"13", "no note is cut short or dropped"}, [2]string{"20", "no tail is cut louder than -27.1 dB"}, [2]string{"24", "every release tail rings out"}
	require.Equal(t, [][2]string{whole, quiet, free}, of(n(13), n(20), n(24)).enough())
	require.Equal(t, [][2]string{whole, free}, of(n(13), n(13), n(24)).enough())
	require.Equal(t, [][2]string{whole, free}, of(n(13), n(24), n(24)).enough())
	require.Equal(t, [][2]string{whole}, of(n(13), n(20), nil).enough())
	require.Empty(t, of(nil, nil, nil).enough())
	for want, s := range map[string]size{
		"x.mid needs 13 voices for whole notes, 24 for every tail; Rack has 9 in service.": of(n(13), n(20), n(24)),
		"x.mid needs 13 voices for whole notes and every tail; Rack has 9 in service.":     of(n(13), n(13), n(13)),
		"x.mid needs 13 voices for whole notes, more than 2 for every tail; 9 in service.": of(n(13), nil, nil),
		"x.mid needs more than 2 voices for whole notes by these rules; 9 in service.":     of(nil, nil, nil),
	} {
		require.Equal(t, want, s.summary("Rack"))
	}
}

// TestWrong: every kind of thing that plays wrong has its sentence, with what to
// do. Keys are named with middle C, key 60, as C4: C2 is 36 and C7 is 96.
func TestWrong(t *testing.T) {
	n := func(n int) *int { return &n }
	ranged := func(low, high int, octaves *int) contract.Range {
		return contract.Range{LowKey: low, HighKey: high, WindowLowKey: n(36), WindowHighKey: n(96), OctavesToFit: octaves}
	}
	s := size{&contract.SizeResult{MiddleC: 4, Unmapped: 876, UnmappedKeys: []contract.UnmappedKeys{{Channel: "channel 10", Whole: true}}, NoJack: []string{"K1", "K2"}, WrongPitch: []contract.WrongPitch{
		{Part: "bass", Notes: 24, Of: 32, Range: ranged(29, 36, n(1))},
		{Part: "lead", Notes: 1, Of: 9, Range: ranged(60, 98, n(-1))},
		{Part: "pad", Notes: 3, Of: 9, Range: ranged(30, 98, nil)},
		{Part: "arp", Notes: 2, Of: 2, Range: ranged(40, 96, n(0))}}}}
	require.Equal(t, []string{
		"24 of 32 notes of bass play at the wrong pitch, below C2 (36): transpose bass up 1 octave.",
		"3 of 9 notes of pad play at the wrong pitch, below C2 (36) or above C7 (96): play pad on a wider CV range.",
		"Also at the wrong pitch: 3 notes of arp and lead.",
		"876 notes are unplayed: no part plays channel 10.",
		"2 voices have no jack for pitch or gate, and cannot play (K1, K2): see check.",
	}, s.wrong())
	require.Equal(t, "1 of 9 notes of lead plays at the wrong pitch, above C7 (96): transpose lead down 1 octave.", wrongPitch(&s.WrongPitch[1], 4))
	require.Equal(t, "2 of 2 notes of arp play at the wrong pitch, out of range by bend or detune: play arp on a wider CV range.", wrongPitch(&s.WrongPitch[3], 4))
	moved := contract.WrongPitch{Part: "all", Notes: 1, Of: 4, Range: ranged(26, 80, n(1))}
	moved.Range.ZeroKey = &contract.ZeroKey{Interface: "main", Key: 26}
	require.Equal(t, "1 of 4 notes of all plays at the wrong pitch, below C2 (36): transpose all up 1 octave. "+
		"Or tune main to D1 (26) at 0 V.", wrongPitch(&moved, 4))
	moved.Range.OctavesToFit = nil
	require.Equal(t, "1 of 4 notes of all plays at the wrong pitch, below C2 (36): set zero_key of main to 26, and tune its voices to it.", wrongPitch(&moved, 4))
	for _, line := range s.wrong() {
		_, more, _ := size{&contract.SizeResult{Song: contract.Song{Notes: 1}, Unmapped: s.Unmapped, UnmappedKeys: s.UnmappedKeys, NoJack: s.NoJack,
			WrongPitch: s.WrongPitch, MiddleC: 4}}.advice()
		require.Contains(t, more, line)
	}
	require.Equal(t, []string{"1 note is unplayed: no part plays channel 10.", "K1 has no jack for pitch or gate, and cannot play: see check."},
		size{&contract.SizeResult{Unmapped: 1, UnmappedKeys: []contract.UnmappedKeys{{Channel: "channel 10", Whole: true}}, NoJack: []string{"K1"}}}.wrong())
}

// TestRestLine: a release that nobody wrote is said to be a guess, whatever it
// moves.
func TestRestLine(t *testing.T) {
	of := func(b contract.Basis) string { return size{&contract.SizeResult{RestsOn: b}}.restLine() }
	require.Equal(t, "Rests on: release 2.40 s (not measured). 30 % longer: 27 voices; shorter: 21.",
		of(contract.Basis{Values: contract.Values{ReleaseS: 2.4, ReleaseSource: contract.FromRig}, StepPercent: 30, Longer: contract.Enough{Audible: 27}, Shorter: contract.Enough{Audible: 21}}))
	require.Equal(t, "Rests on: release 1.50 s (assumed). 30 % longer or shorter: no change.",
		of(contract.Basis{Values: contract.Values{ReleaseS: 1.5, ReleaseSource: contract.Assumed, RangeAssumed: true}, StepPercent: 30}))
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

// TestSizeFitsAScreen: what is printed unless more is asked for has 48 lines at
// most at 80 columns, and the first four name the voices and what is lost. Without
// CHOIRLOFT_CORPORA a rig has all its voices, and then so few as is its turn.
func TestSizeFitsAScreen(t *testing.T) {
	for i, file := range []string{"kiln-yard.yaml", "rigs/full.yaml", "rigs/one-jack.yaml", "rigs/starter-song.yaml", "rigs/small-wall.yaml"} {
		for n, voices := range []string{"", "1", "2", "3"} {
			if n > 0 && n%corpora.Some(3, 1) != i%corpora.Some(3, 1) || i%corpora.Some(2, 1) > 0 {
				continue
			}
			if file == "rigs/one-jack.yaml" && voices > "1" {
				continue // its four voices are one
			}
			o := plan.Overrides{}
			if voices != "" {
				o = plan.MustParse("--voices", voices)
			}
			p, r := sizeOf(t, file, o, songOf(t, "slow-kiln.mid"), "slow-kiln.mid", false)
			r.Song.WarningsTotal = 12
			lines := strings.Split(strings.TrimRight(textOf(t, Size(contract.NewSize(p, r), Screen), 80), "\n"), "\n")
			require.LessOrEqual(t, len(lines), 48, "%s on %s", file, voices)
			if file == "kiln-yard.yaml" && voices == "" { // what is needed, lost, assumed and to be tried: a line each
				for i, begins := range []string{"Slow Kiln needs ", "On 19 voices: ", "First fix (1): ", "Rests on: "} {
					require.True(t, strings.HasPrefix(lines[i], begins), lines[i])
				}
			}
			first := strings.Join(lines[:8], "\n")
			require.Contains(t, first, " needs ", file)
			require.Contains(t, first, "\nOn ", file)
			require.Contains(t, first, "\nRests on: release ", file)
		}
	}
}

// TestFirstFourLines: whatever is wrong, a fix to try first and what all rests on
// are within the first four lines, and the first fix is the first row of the
// table, where it is not one to buy. It is what replay would try first.
func TestFirstFourLines(t *testing.T) {
	for i, c := range []struct{ file, flags, fix string }{
		{"kiln-yard.yaml", "", "transpose bass up 1 octave"},
		{"kiln-yard.yaml", "--release 1.2s", "transpose bass up 1 octave"},
		{"rigs/own-zero-key.yaml", "", ""}, // nothing that is heard
		{"rigs/one-jack.yaml", "", "play all on a wider CV range"},
		{"rigs/two-shelves.yaml", "", "parts for 3 channels"},
	} {
		if i%corpora.Some(2, 1) > 0 {
			continue
		}
		o := plan.MustParse(strings.Fields(c.flags)...)
		p, r := sizeOf(t, c.file, o, songOf(t, "slow-kiln.mid"), "slow-kiln.mid", false)
		s := contract.NewSize(p, r)
		s.Rig = strings.Repeat("Long name ", 9)
		text := textOf(t, Size(s, Screen), 80)
		lines := strings.Split(text, "\n")
		require.LessOrEqual(t, len([]rune(lines[0])), 80)
		four := strings.Join(lines[:5], "\n")
		require.Contains(t, four, "Rests on: release ", c.file)
		if c.fix == "" {
			require.True(t, size{r}.content())
			require.Contains(t, four, "Nothing that you would hear needs a fix.")
			require.NotContains(t, text, "  Fix\n")
			continue
		}
		require.Regexp(t, `First fix( without buying)?( \(\d+\))?: `+regexp.QuoteMeta(c.fix), four, c.file)
		if before, _ := (size{r}).mends(); len(before) > 0 {
			require.Contains(t, played(t, planOf(t, c.file, o), songOf(t, "slow-kiln.mid")).needHead(), "First fix: "+c.fix+".")
		}
		for _, number := range regexp.MustCompile(`(?m)^[A-Z][a-z ]+ \((\d+)\): `).FindAllStringSubmatch(text, -1) {
			require.Contains(t, strings.Split(text, "  Fix\n")[1], "  "+number[1], "the table has what the head names")
		}
	}
}

// TestNeededByEar: the first line has the voices needed by ear, and what assumption
// would make those in service too few or enough; the list below has the others. Of
// what is measured nothing is said to be another.
func TestNeededByEar(t *testing.T) {
	n := func(n int) *int { return &n }
	of := func(voices int, none *int, varied map[string]int, assumed ...string) size {
		s := &contract.SizeResult{Song: contract.Song{File: "x.mid", Notes: 1}, Voices: voices, RestsOn: contract.Basis{Values: contract.Values{ReleaseSource: contract.Measured}},
			EnoughOwn: contract.OwnFrom{Undamaged: n(13), Quiet: n(20), Untouched: n(24)}, Enough: contract.Enough{Audible: 24},
			Demand:  contract.Demand{HeardDemand: &contract.HeardDemand{None: none, PlainNone: n(14)}},
			Hearing: &contract.Hearing{Assumed: assumed}}
		for _, name := range []string{"sine", "triangle", "longer", "shorter", "dull"} {
			if m, ok := varied[name]; ok {
				s.Hearing.Variations = append(s.Hearing.Variations, contract.HearingVariation{Name: name, HeardDemand: contract.HeardDemand{None: n(m)}})
			}
		}
		return size{s}
	}
	varied := map[string]int{"triangle": 17, "sine": 24, "shorter": 15, "dull": 15}
	for want, s := range map[string]size{
		"x.mid needs 16 voices, 24 with sine waves; Rack has 19 in service.":               of(19, n(16), varied, "voices.v.sound.wave"),
		"x.mid needs 16 voices; Rack has 24 in service.":                                   of(24, n(16), varied, "voices.v.sound.wave"),
		"x.mid needs 16 voices; Rack has 19 in service.":                                   of(19, n(16), varied, "voices.v.sound.cutoff"),
		"x.mid needs 16 voices, 15 with losses counted from 2 dB; Rack has 15 in service.": of(15, n(16), varied),
		"x.mid needs 13 voices for whole notes, 24 for every tail; 19 in service.":         of(19, nil, varied),
	} {
		require.Equal(t, want, s.summary("Rack"))
	}
	require.Equal(t, "24 voices with sine waves, 17 with triangle, 15 with losses counted from 2 dB.", of(19, n(16), varied, "voices.v.sound.wave").earMoves())
	require.Equal(t, "Other waves, releases or hearing thresholds: no change.", of(19, n(16), map[string]int{"dull": 16}).earMoves())
	require.Empty(t, of(19, n(16), nil).earMoves(), "the budget was not enough")
	require.Equal(t, [][2]string{{"16", "nothing goes missing that you would hear"}, {"14", "no loss that you would plainly hear"},
		{"13", "no note is cut short or dropped"}, {"24", "every release tail rings out"}}, of(19, n(16), varied).enough())

	unknown := of(19, nil, nil)
	require.Equal(t, "By these rules no number of voices is safe by ear: with more you would hear a loss again.", unknown.earLine())
	unknown.Hearing.Covered = []contract.Coverage{{What: "demand", Tried: 0, Of: 1}}
	require.Equal(t, "By ear it is not known: a longer --budget finds it.", unknown.earLine())
	require.Empty(t, of(19, n(16), nil).earLine())
	unknown.Hearing.Interrupted = true
	require.Equal(t, "Interrupted: by ear it is not known.", unknown.earLine())
	known := of(19, n(16), nil)
	known.Hearing.Interrupted = true
	require.Equal(t, "Interrupted: what was not heard by then is left out.", known.earLine())
}

// TestSizePointsToTheTake: where nobody measured the release it says what does, and where somebody
// did, or it was given for this run, it does not.
func TestSizePointsToTheTake(t *testing.T) {
	for from, points := range map[contract.Source]bool{contract.Assumed: true, contract.FromRig: true, contract.Measured: false, contract.ThisRun: false} {
		s := &contract.SizeResult{}
		s.RestsOn.ReleaseSource = from
		require.Equal(t, points, size{s}.takeLine() != "", from)
	}
}

// Where a bank runs out, the size of a song says so as the replay does, before what to try: that more voices do not help.
func TestSizeNamesBankThatRunsOut(t *testing.T) {
	o := plan.MustParse("--banks", "pad=K", "--banks", "arp=L,M,N,P", "--banks", "bass=L,M,N,P", "--banks", "lead=L,M,N,P")
	_, s := sizeOf(t, "kiln-yard.yaml", o, songOf(t, "slow-kiln.mid"), "slow-kiln.mid", false)
	r := demoOn(t, o)
	require.NotNil(t, r.RunsOut)
	require.Equal(t, r.RunsOut, s.RunsOut)
	top, _, _ := size{s}.advice()
	at := slices.Index(top, runsOut(r.RunsOut))
	require.Greater(t, at, 0)
	require.Contains(t, top[at], "Bank K runs out: pad wants 10 voices at the peak and has 4.")
	require.Contains(t, top[at+1], "First fix")
}
