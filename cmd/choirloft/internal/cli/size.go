package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// size is one call of the command size.
type size struct {
	*app
	out         output
	overrides   plan.Overrides
	rules       []string
	by          string
	racks       []string
	price       string
	sensitivity bool
	drill       bool
	pairs       bool
	fixes       bool
	budget      time.Duration
	track       int
	playing     playing
	report      bool
	all         bool
	lines       bool
	from        []string // files of lines
	apply       int      // the fix to write, from 1; 0 for none

	rig      *profiles.File
	plan     *plan.Plan
	rulesets []study.Ruleset
	asked    []whatif.Rack
	prices   *whatif.Prices
	first    *contract.SizeLine // of those that are joined
}

func (a *app) sizeCommand() *cobra.Command {
	s := &size{app: a}
	cmd := &cobra.Command{
		Use:   "size RIG [SONG…]",
		Short: "Say how many voices songs need, and what to try",
		Long: `size says how many voices a song needs: for its keys, with the pedal, and for
every release tail that can be heard. Then it says what plays wrong on the rig
as it is, and what no rule can do better. It says what to try, and what the
answer rests on. A table shows what every number of identical voices loses. For
one song size looks for fixes in all that the rack allows, and plays each.
replay with the flags of a fix gives the same figures.

Effort says what a fix takes: a setting, an export, the sound (releases,
unisons), the playing, wiring, a recording, or buying.

--rules says which rules to try: few (the default), all, or a picking and a
stealing rule as in lowest/oldest. Each is tried hearing tails and deaf to them.
--by part sizes each part alone. --by bank compares racks of whole banks, once
with every part on all banks, once dealt out in the best way. Name racks with
--rack as in 6x4 or big=6x4. Without --rack it compares a bank less than the rig
has to two banks more.
What is bought is whole banks, and the interfaces, supplies, rows and multiples
that they need. Nothing is offered that the rack cannot hold: size says what is
short. --price says what things cost: voice, bank, interface, supply, row,
multiple and cable.
--pairs also plays two changes at once of those that help most alone; Ctrl-C
ends it and keeps the best so far.

--budget says how long to search. It is counted in work, so the answer depends
on no clock: about as many seconds of one core, 10 if not said. What it leaves
untried is said, and stands under covered in the JSON.

--apply N -o rig2.yaml writes the fix of that number into a copy of the rig, with
all its comments. The copy passes check, and replay gives the figures of the
fix. A rig cannot hold edits to the song, or recordings: the command beside the fix
does those.

Of several songs --fixes looks for what helps all of them. It searches with the
three that lose most, and plays what it finds with each song. The table has the
sums and the song that comes off worst.

-o curve.svg, .png or .pdf draws the curves of one song. -o report.html, .md, or
.pdf with --report has the answer, the curves and the tables. Of several songs,
and of a way of playing, all of these are documents without curves.

Without a song, --playing says how you play: notes, or chords of so many, how
often and how long. Add even for what keeps time, and pedal with the time from
lift to lift. Join layers with +, and aim one at a part as in pad=chords of 4.
The estimate compares a telephone-traffic formula with a random player's notes under
the same rules. choirloft help estimate names the formulas.

A folder of many songs: with --lines each song is a line of JSON, printed when
it is done. --from makes the table of all songs out of such lines. Share the
songs out among machines as you like: the table is the same.

What each word and column means: choirloft help results.

` + ruleNames() + `
Exit status: 0 fine, 2 a wrong command line or a song that cannot be used, 3 could not
run. Where one song of several cannot be used, the others are still sized.`,
		Example: `  choirloft size testdata/kiln-yard.yaml testdata/slow-kiln.mid
  choirloft size testdata/kiln-yard.yaml testdata/slow-kiln.mid --voices 12 --pairs --budget 30s
  choirloft size testdata/kiln-yard.yaml testdata/slow-kiln.mid --by bank --rack 4x4 --rack 6x4 --price "voice 90, bank 40"
  choirloft size testdata/kiln-yard.yaml testdata/slow-kiln.mid --rules lowest/oldest --json
  choirloft size testdata/kiln-yard.yaml --playing "chords of 4, 2 a second, 0.8 s"
  choirloft size testdata/kiln-yard.yaml --playing "pad=chords of 3-5, 20 a minute, 3 s, pedal 6 s + bass=notes, 2 a second, 0.4 s, even"`,
		Args:              songsOrPlaying,
		ValidArgsFunction: rigThenSongs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(s.from) > 0 {
				return s.joined(cmd.Context(), append(s.from, args...))
			}
			if len(args) == 1 {
				return s.played(cmd.Context(), args[0])
			}
			return s.run(cmd.Context(), args[0], args[1:])
		},
	}
	s.out.documents(cmd, ".csv", ".svg", ".png")
	overrideFlags(cmd, &s.overrides)
	f := cmd.Flags()
	f.StringArrayVar(&s.rules, "rules", []string{"few"}, "`RULES` to try: few, all, or as in lowest/oldest")
	f.StringVar(&s.by, "by", "", "`part` or bank: size each part alone, or compare racks of whole banks")
	f.StringArrayVar(&s.racks, "rack", nil, "a `RACK` to compare with --by bank, as in 6x4 or big=6x4")
	f.StringVar(&s.price, "price", "", "`PRICES` for what is bought, and for --by bank, as in voice 90, bank 40")
	f.BoolVar(&s.sensitivity, "sensitivity", false, "change one thing at a time, by steps")
	f.BoolVar(&s.drill, "drill", false, "take each voice out in turn")
	f.BoolVar(&s.pairs, "pairs", false, "also play two changes at once")
	f.BoolVar(&s.fixes, "fixes", false, "with several songs: also look for fixes that help all of them")
	f.DurationVar(&s.budget, "budget", whatif.UsualBudget, "how `LONG` to search each song or way of playing, counted in work")
	f.IntVar(&s.track, "track", 0, "play this track, from 1, of a song of format 2 (`N`)")
	f.BoolVar(&s.report, "report", false, "with -o FILE.pdf: the answer, curves and tables, not the curves alone")
	f.BoolVar(&s.all, "all", false, "print more fixes, more rows, what makes it worse and the bars that need more voices")
	f.IntVar(&s.apply, "apply", 0, "write the fix of this number, `N`, into a copy of the rig: -o FILE.yaml")
	linesFlag(cmd, &s.lines)
	f.StringArrayVar(&s.from, "from", nil, "make the table of all songs out of lines in this `FILE`, and in those that follow; no rig")
	s.playing.flags(cmd)
	complete(cmd, "rules", []string{"few", "all"})
	complete(cmd, "by", []string{"part", "bank"})
	return cmd
}

func (s *size) run(ctx context.Context, rigFile string, args []string) error {
	if err := s.check(append([]string{rigFile}, args...)); err != nil {
		return err
	}
	var err error
	if s.rig, err = s.openRig(ctx, rigFile); err != nil {
		return err
	}
	if s.plan, err = plan.Build(s.rig.Rig, s.overrides); err != nil {
		return err
	}
	if s.plan.InService() == 0 {
		return noVoice(rigFile)
	}
	if s.rulesets, err = plan.Rulesets(s.plan, s.rules); err != nil {
		return err
	}
	songs, err := collect(args)
	if err != nil {
		return err
	}
	s.warn(s.plan)
	if !s.lines && len(songs) == 1 && songs[0].path == args[0] {
		return s.one(ctx, songs[0])
	}
	return s.several(ctx, songs)
}

// check refuses what cannot be meant before any work is done.
func (s *size) check(inputs []string) (err error) {
	switch {
	case s.track < 0:
		return &usageError{fmt.Sprintf("--track %d: tracks count from 1", s.track), ""}
	case s.by != "" && s.by != "part" && s.by != "bank":
		return &usageError{fmt.Sprintf("--by %s: found %q, want part or bank", s.by, s.by), ""}
	case s.by != "bank" && len(s.racks) > 0:
		return &usageError{"--rack is for --by bank", "add --by bank"}
	}
	if err := s.checkBudget(); err != nil {
		return err
	}
	if s.asked, err = parseRacks(s.racks); err != nil {
		return err
	}
	if s.prices, err = parsePrices(s.price); err != nil {
		return err
	}
	if s.report && s.out.ending() != ".pdf" {
		return &usageError{"--report is for -o with a file that ends in .pdf", "a file that ends in .html is a report by itself"}
	}
	if s.apply != 0 {
		return s.checkApply(inputs)
	}
	return errors.Join(s.out.check(inputs...), noLines(s.lines, &s.out), s.out.printing.check(&s.out))
}

func (s *size) checkBudget() error {
	if s.budget <= 0 {
		return &usageError{fmt.Sprintf("--budget %s: want a time above 0, as in 10s", s.budget), ""}
	}
	return nil
}

// one prints the size of a single song.
func (s *size) one(ctx context.Context, from source) error {
	song, err := s.load(ctx, from, s.track)
	if err != nil {
		return err
	}
	result, err := s.study(ctx, from.path, song, true)
	if err != nil {
		return err
	}
	if s.apply > 0 {
		return s.applied(ctx, from.path, contract.NewSize(s.plan, result))
	}
	ctx = context.WithoutCancel(ctx) // what was stopped while it listened, or tried pairs, is printed
	single := contract.NewSize(s.plan, result)
	s.out.figures = paper.SizeFigures(single)
	s.out.views = map[string]func(io.Writer) error{
		".csv": func(w io.Writer) error { return contract.CSV(w, contract.SizeRecords(single.Fingerprint, result)) },
		".svg": func(w io.Writer) error { return paper.SizeSVG(w, single, s.out.options) },
		".png": func(w io.Writer) error { return paper.SizePNG(w, single, s.out.options) },
	}
	if !s.report {
		s.out.views[".pdf"] = func(w io.Writer) error { return paper.SizePages(w, single, s.out.options) }
	}
	return s.tell(ctx, &s.out, single, say.Size(single, s.room()))
}

// room is that of the output, or with --all as much as there is.
func (s *size) room() say.Room {
	if s.all {
		return say.All
	}
	return s.out.room()
}

// several prints the sizes of several songs. Each song uses all processors, so
// they come one after the other.
func (s *size) several(ctx context.Context, songs []source) error {
	if s.out.pictures() {
		return &usageError{"-o " + s.out.file + ": pictures are of one song", "name a single song"}
	}
	if s.apply > 0 {
		return &usageError{"--apply is for one song", "name a single song"}
	}
	if s.sensitivity || s.drill || s.pairs || s.by != "" {
		return &usageError{"--by, --pairs, --sensitivity and --drill are for one song", "name a single song"}
	}
	alone := func(from source) (*contract.SizeResult, error) {
		song, err := s.load(ctx, from, s.track)
		if err != nil {
			return nil, err
		}
		return s.study(ctx, from.path, song, false)
	}
	if s.lines {
		return inLines(ctx, s.app, s.plan, songs, 1, alone, func(r *contract.SizeResult) any { return contract.NewSize(s.plan, r) })
	}
	w := onEach(songs, 1, alone)
	if err := w.wait(ctx, s.stderr); err != nil {
		return err
	}
	results, failed, err := sorted(s.app, w)
	if err != nil {
		return err
	}
	all := contract.NewSizeSongs(s.plan, results, failed)
	if s.fixes && len(results) > 0 {
		if err := s.forSet(ctx, songs, all); err != nil {
			return err
		}
	}
	return s.tellSongs(ctx, all)
}

// tellSongs says the sizes of several songs.
func (s *size) tellSongs(ctx context.Context, all *contract.SizeSongs) error {
	s.out.views = map[string]func(io.Writer) error{".csv": func(w io.Writer) error { return contract.CSV(w, contract.SizeRecords(all.Fingerprint, all.Songs...)) }}
	err := s.tell(ctx, &s.out, all, say.SizeSongs(all))
	if err == nil && len(all.Failed) > 0 {
		return statusError(exitUsage)
	}
	return err
}

// study works out the size of one song, and alone also what would help.
func (s *size) study(ctx context.Context, file string, song *midi.Song, alone bool) (*contract.SizeResult, error) {
	session, err := whatif.New(s.plan.Unchanged, s.overrides, song)
	if err != nil {
		return nil, err
	}
	session.Limit(s.budget)
	in := contract.SizeInput{Plan: s.plan, File: file, Song: song, Now: session.Before(), Prices: s.prices}
	if alone {
		err = s.alone(ctx, session, &in)
	} else if in.Sizing, err = session.Size(ctx, study.SizingOptions{Rulesets: s.rulesets}); err == nil {
		in.Heard, err = session.Listen(ctx, in.Sizing) // with what the sizes left
	}
	if err != nil {
		return nil, err
	}
	in.Covered = session.Covered
	return contract.NewSizeResult(in), nil
}
