package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// replay is one call of the command replay.
type replay struct {
	*app
	out        output
	overrides  plan.Overrides
	track      int
	failOnLoss bool
	dealt      bool
	all        bool
	lines      bool
	drawing    drawing
}

// room is that of the output, or for all there is.
func (r *replay) room() say.Room {
	if r.all {
		return say.All
	}
	return r.out.room()
}

// played is what came of one song: the result, and its lanes where they are
// drawn.
type played struct {
	*contract.Result
	lanes *contract.Lanes
	code  string // of the plan, which a dealt song brings along
}

func (a *app) replayCommand() *cobra.Command {
	r := &replay{app: a}
	cmd := &cobra.Command{
		Use:   "replay RIG SONG…",
		Short: "Play songs through a rig and say which notes are lost",
		Long: `replay plays MIDI files through the voices of a rig, as they would play live. It
says what becomes of every note: which are dropped, cut short or late, where,
and which note has their voice instead. It also says how many voices the song
needs at its peak, and what no rule could do better.

A song may be - (standard input) or a folder, which stands for all songs in it
and below. Several songs give one table, the worst song first.
With --lines each song is a line of JSON, printed when it is done.

--pick, --steal, --tails, --same-key, --voices, --release and --unison change
the rig for this run: all of it, or one part as in --pick pad=nearest. Each may
be given several times.

-o lanes.svg, .png or .pdf draws one song: voices needed over time, and what
each voice plays. A mark at every loss says how much you would hear. A long song comes as a
strip of the whole, then the bars in which a loss is plain. --from and --to choose
other bars. -o report.html, or -o report.pdf with
--report, has the findings, the pictures and the tables.

-o notes.csv has a row for every note: its voices, its start, when its gate falls,
and when it ends. It ends when it is silent, or when another note takes its voice. A note that no
part plays has a row too, with the ending unplayed. -o losses.csv has a row for
every loss. The file's name must end in one of the two, as in mine-notes.csv. Times are in
seconds, and as bar and beat. --all --json has every note too.

What each word and column means: choirloft help results.

` + ruleNames() + `
Exit status: 0 fine, 1 a note was lost and --fail-on-loss asks, 2 a wrong command line
or an unusable song, 3 could not run. Where one song of
several cannot be used, the others still play.`,
		Example: `  choirloft replay testdata/kiln-yard.yaml testdata/slow-kiln.mid
  choirloft replay testdata/kiln-yard.yaml testdata/slow-kiln.mid --voices 10 --steal oldest
  choirloft replay testdata/kiln-yard.yaml testdata/slow-kiln.mid --pick pad=nearest --release "1.2 s" --json`,
		Args:              count(2, -1, "a rig file and at least one song"),
		ValidArgsFunction: rigThenSongs,
		RunE:              func(cmd *cobra.Command, args []string) error { return r.run(cmd.Context(), args[0], args[1:]) },
	}
	r.out.documents(cmd, ".csv", ".svg", ".png")
	r.drawing.flag(cmd)
	r.drawing.bars.flags(cmd, "draw")
	overrideFlags(cmd, &r.overrides)
	cmd.Flags().IntVar(&r.track, "track", 0, "play this track, from 1, of a song of format 2 (`N`)")
	cmd.Flags().BoolVar(&r.dealt, "dealt", false, "play a file that write made for this rig: each voice has its own channel")
	cmd.Flags().BoolVar(&r.all, "all", false, "print every loss, part and song, not only the worst; with --json every note too")
	linesFlag(cmd, &r.lines)
	cmd.Flags().BoolVar(&r.failOnLoss, "fail-on-loss", false, "exit with 1 if a note is cut short or dropped")
	return cmd
}

func (r *replay) run(ctx context.Context, rigFile string, args []string) error {
	if r.track < 0 {
		return &usageError{fmt.Sprintf("--track %d: tracks count from 1", r.track), ""}
	}
	if err := errors.Join(r.out.check(append([]string{rigFile}, args...)...), noLines(r.lines, &r.out), r.drawing.check(&r.out), r.checkTable()); err != nil {
		return err
	}
	rig, err := r.loadRig(ctx, rigFile)
	if err != nil {
		return err
	}
	p, err := plan.Build(rig, r.overrides)
	if err != nil {
		return err
	}
	songs, err := collect(args)
	if err != nil {
		return err
	}
	single := len(songs) == 1 && songs[0].path == args[0]
	if !single {
		if err := r.drawing.oneSong(&r.out); err != nil {
			return err
		}
	}
	r.warn(p)
	if r.lines {
		return r.inLines(ctx, p, songs)
	}
	w := onEach(songs, runtime.GOMAXPROCS(0), func(from source) (played, error) { return r.play(ctx, p, from) })
	if err := w.wait(ctx, r.stderr); err != nil {
		return err
	}
	if single {
		return r.one(ctx, p, w)
	}
	return r.several(ctx, p, w)
}

// one prints the result of a single song.
func (r *replay) one(ctx context.Context, p *plan.Plan, w *work[played]) error {
	if err := w.errs[0]; err != nil {
		return err
	}
	single := contract.NewReplay(p, w.results[0].Result)
	single.Fingerprint = w.results[0].code
	if r.out.draws() {
		if err := r.drawing.song(&r.out, single, w.results[0].lanes); err != nil {
			return err
		}
	}
	r.tables(single.Fingerprint, &single.Result)
	err := r.tell(ctx, &r.out, single, say.Replay(single, r.room()))
	return r.status(err, []*contract.Result{w.results[0].Result})
}

// play plays one song.
func (r *replay) play(ctx context.Context, p *plan.Plan, from source) (out played, err error) {
	song, err := r.load(ctx, from, r.track)
	if err != nil {
		return out, err
	}
	if r.dealt {
		if p, song, err = deal.Read(p, song); err != nil {
			return out, within(from.path, err)
		}
	}
	var (
		replay *study.Replay
		spans  []study.Span
	)
	if r.out.draws() || r.wantsNotes() {
		replay, spans, err = p.Lanes(song)
	} else {
		replay, err = p.Replay(song)
	}
	if err != nil {
		return out, err
	}
	out.Result = contract.NewResult(p, from.path, song, replay)
	if err := out.Listen(p, song, replay); err != nil {
		return out, err
	}
	if r.out.draws() {
		out.lanes = contract.NewLanes(p, song, replay, spans)
	}
	if r.wantsNotes() {
		out.Notes = contract.NewNotes(p, song, replay, spans)
	}
	if out.Dealt, out.code = r.dealt, p.Code(); r.dealt {
		out.RunsOut = nil // every voice is a part
	}
	return out, nil
}

// inLines prints the result of each song on a line of its own.
func (r *replay) inLines(ctx context.Context, p *plan.Plan, songs []source) error {
	var lost error
	err := inLines(ctx, r.app, p, songs, runtime.GOMAXPROCS(0), func(from source) (played, error) { return r.play(ctx, p, from) },
		func(x played) any {
			lost = r.status(lost, []*contract.Result{x.Result})
			line := contract.NewReplay(p, x.Result)
			line.Fingerprint = x.code
			return line
		})
	return cmp.Or(err, lost)
}

// several prints the results of several songs and what kept others from it.
func (r *replay) several(ctx context.Context, p *plan.Plan, w *work[played]) error {
	all, failed, err := sorted(r.app, w)
	if err != nil {
		return err
	}
	results := make([]*contract.Result, len(all))
	codes := make([]string, len(all))
	for i := range all {
		results[i], codes[i] = all[i].Result, all[i].code
	}
	table := contract.NewSongs(p, results, failed)
	if len(codes) > 0 {
		table.Fingerprint = together(codes)
	}
	r.tables(table.Fingerprint, results...)
	err = r.tell(ctx, &r.out, table, say.Songs(table, r.room()))
	if err == nil && len(failed) > 0 {
		return statusError(exitUsage)
	}
	return r.status(err, results)
}

// together is one code for what was played by several plans: theirs, where they
// agree.
func together(codes []string) string {
	slices.Sort(codes)
	if codes = slices.Compact(codes); len(codes) == 1 {
		return codes[0]
	}
	return profiles.Fingerprint([]byte(strings.Join(codes, " ")))
}

// status returns err, or else a status if there was a loss and that matters.
func (r *replay) status(err error, results []*contract.Result) error {
	for _, x := range results {
		if err == nil && r.failOnLoss && x.Damaged > 0 {
			return statusError(exitFound)
		}
	}
	return err
}
