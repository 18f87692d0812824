package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing"
	"choirloft/routing/listen"
	"choirloft/routing/plan"
)

func (a *app) mapCommand() *cobra.Command {
	var (
		out    output
		o      plan.Overrides
		failed string
		pitch  string
		since  string
		songs  []string
		sound  = soundFile{flag: "--listen"}
	)
	cmd := &cobra.Command{
		Use:   "map RIG",
		Short: "Say which jack and channel drives which voice",
		Long: `map lists the jacks of each voice, its MIDI port and channel, detune and pan. It
also lists shared CVs, free jacks, and how fast each unison beats. A longer rig
changes no line of the map of a shorter one.

-o sheet.pdf is the same as a sheet to tape to the rack. Its first page has up to 64
voices with their jacks, and the jacks by number, which may go on to a second. Then
comes all by jack, to plug in by, and by bank, to find faults by. It has unisons on
a scale, findings, and flags for the
cables. -o sheet.html is one page for a screen, -o sheet.svg all pages as a picture.

--without says on a page what to do if a voice fails: which cables move, which spare
stands in, which lines of the map change. With --song it says what songs lose.

--pitch says of one voice how far off its pitch may be, and why: each cause, and
what it rests on. Then it goes key by key; -o pitch.svg is the curve.

--buy shows the rig as it would be with banks bought, and with what they need.

--since OLD.yaml says which plan this one replaces, and which cables lead elsewhere.

--listen FILE.wav lets you choose a unison by ear. It has one voice, the stack at
three keys, then other detune patterns and spreads; FILE.wav.txt says what sounds
when. Caution: begin quietly.

Exit status: 0 fine, 1 the plan has errors, 2 the file has faults.`,
		Example: "  choirloft map testdata/kiln-yard.yaml\n  choirloft map testdata/kiln-yard.yaml --unison pad=4\n" +
			"  choirloft map testdata/kiln-yard.yaml --buy 1xP\n" +
			"  choirloft map testdata/rigs/starter-song.yaml --since testdata/rigs/starter.yaml\n" +
			"  choirloft map testdata/kiln-yard.yaml --json\n" +
			"  choirloft map testdata/kiln-yard.yaml --pitch K1\n" +
			"  choirloft map testdata/kiln-yard.yaml --unison pad=4 --listen stack.wav\n" +
			"  choirloft map testdata/kiln-yard.yaml --without M1 --song testdata/slow-kiln.mid",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(songs) > 0 {
				return count(1, -1, "one rig file, and songs after --song")(cmd, args)
			}
			return count(1, 1, "one rig file")(cmd, args)
		},
		ValidArgsFunction: rigFiles,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := errors.Join(out.check(slices.Concat(args, songs, notEmpty(since))...), out.printing.check(&out)); err != nil {
				return err
			}
			switch {
			case since != "" && (pitch != "" || failed != "" || sound.file != ""):
				return &usageError{"--since " + since + " stands beside --pitch, --without or --listen, each of which prints something else", "leave all but one of them out"}
			case pitch != "" && (failed != "" || sound.file != ""):
				return &usageError{"--pitch " + pitch + " stands beside --without or --listen, each of which prints something else", "leave all but one of them out"}
			case failed != "":
				return a.outage(cmd.Context(), &out, args[0], failed, o, append(songs, args[1:]...))
			case len(songs) > 0:
				return &usageError{"--song goes with --without: the map itself depends on no song", "choirloft check --song says what depends on notes"}
			}
			p, err := a.buildPlan(cmd.Context(), args[0], o)
			if err != nil {
				return err
			}
			if pitch != "" {
				return a.pitchOf(cmd.Context(), &out, p, pitch)
			}
			if sound.file != "" {
				sound.json, sound.yes = out.json, out.limits.yes
				return a.stacks(cmd.Context(), &sound, &out, p, args[0])
			}
			var old *plan.Plan
			if since != "" {
				before := o
				before.Buy = nil
				if old, err = a.buildPlan(cmd.Context(), since, before); err != nil {
					return err
				}
			}
			if err := a.chart(cmd.Context(), &out, p, old); err != nil {
				return err
			}
			return found(p)
		},
	}
	out.documents(cmd, ".csv", ".svg")
	cmd.Flags().Var((*cableFlag)(&out.options.Cable), "cable", "the flags on the sheet go round cables of this `DIAMETER`, from 2 mm to 8 mm (default 4 mm)")
	cmd.Flags().StringVar(&failed, "without", "", "say what changes if this `VOICE` fails")
	cmd.Flags().StringVar(&pitch, "pitch", "", "say how far off the pitch of this `VOICE` may be, and why")
	cmd.Flags().StringVar(&since, "since", "", "say what changed in the wiring since this older `RIG`")
	cmd.Flags().StringArrayVar(&songs, "song", nil, "with --without: say what changes in this `SONG`")
	addFlags(cmd, []override{{&o, "unison", "voices a note: `N`, or pad=N for one part", nil}, buying(&o)})
	cmd.Flags().StringVar(&sound.file, "listen", "", "write the unisons as sound to this `FILE`, with the ending .wav")
	return cmd
}

// cableFlag is the diameter of cables, in mm.
type cableFlag float64

// Set reads a diameter; the flag parser says what is wanted by its type.
func (c *cableFlag) Set(typed string) error {
	mm, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(typed, "mm")), 64)
	if err == nil && !(mm >= 2 && mm <= 8) {
		err = strconv.ErrRange
	}
	if err == nil {
		*c = cableFlag(mm)
	}
	return err
}

// String is empty: the default is said in words.
func (c *cableFlag) String() string { return "" }

// Type is what the flag parser asks for.
func (c *cableFlag) Type() string { return cableWidth }

// cableWidth is what a flag wants that says how thick cables are.
const cableWidth = "a diameter from 2 mm to 8 mm, such as 4 mm"

// stacks writes the unisons of a plan as sound.
func (a *app) stacks(ctx context.Context, f *soundFile, out *output, p *plan.Plan, rigFile string) error {
	if out.file != "" {
		return &usageError{"--listen " + f.file + " and -o " + out.file + " cannot go together", "leave one of them out"}
	}
	if err := f.check([]string{rigFile}); err != nil {
		return err
	}
	s, list, err := listen.NewStacks(p)
	if err != nil {
		return unheard(rigFile, err)
	}
	take := &listen.Take{Part: -1, Name: p.Rig.Name + " [" + p.Code() + "]: unisons", Sections: []listen.Section{{To: list[len(list)-1].To}}}
	return a.writeSound(ctx, f, s, take, []string{rigFile}, func(listen.Peaks) (any, *doc.Doc, *doc.Doc) {
		r := contract.NewStacks(p, list, contract.NewSoundFile(take, f.file, f.sheet()))
		return r, say.Stacks(r), say.Stacks(r)
	})
}

// notEmpty is a list of one name, or of none.
func notEmpty(name string) []string {
	if name == "" {
		return nil
	}
	return []string{name}
}

// chart says the map of a plan, and what changed since an older one if there is one: as
// lines, or for paper as a sheet with drawings.
func (a *app) chart(ctx context.Context, out *output, p, old *plan.Plan) error {
	revise := func(m *contract.Map) *contract.Map {
		if old != nil {
			m.Since(contract.NewMap(old))
		}
		return m
	}
	if !slices.Contains([]string{".pdf", ".svg", ".html"}, out.ending()) {
		m := revise(contract.NewMap(p))
		out.views = map[string]func(io.Writer) error{".csv": func(w io.Writer) error { return contract.CSV(w, m.Records()) }}
		return a.tell(ctx, out, m, say.Map(m, out.room()))
	}
	s := contract.NewSheet(p)
	revise(s.Map)
	d := say.Sheet(s)
	out.figures = paper.Drawings(s.Map)
	out.views = map[string]func(io.Writer) error{".svg": func(w io.Writer) error { return paper.SVG(w, d, out.figures, out.options) }}
	return a.tell(ctx, out, s, d)
}

// found is the status of a plan that has errors.
func found(p *plan.Plan) error {
	if worst, ok := routing.Worst(p.Findings); ok && worst == routing.Error {
		return statusError(exitFound)
	}
	return nil
}

// bytesOf runs a view.
func bytesOf(view func(io.Writer) error) ([]byte, error) {
	var b bytes.Buffer
	err := view(&b)
	return b.Bytes(), err
}
