package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/deal"
	"choirloft/routing/link"
	"choirloft/routing/plan"
)

func (a *app) checkCommand() *cobra.Command {
	var (
		out     output
		o       plan.Overrides
		explain string
		codes   bool
		songs   []string
	)
	cmd := &cobra.Command{
		Use:   "check RIG",
		Short: "Say what is wrong with a rig",
		Long: `check reads a rig file and says what is wrong. Where the file has faults, it
lists them all, with line and column. Otherwise it says what is wrong with the
rig as a whole. Each finding has a code in brackets; --explain says what it
means.

--song adds what depends on notes. It lists notes out of the CV range, bar by
bar, with the octave or the key at 0 V that fits. It counts the levels with as many voices
as sound at once, and how late notes get on 5-pin MIDI connections. Name several
songs, or folders, if you like.

--buy says it of the rig with banks bought, and with what they need.

Exit status: 0 nothing wrong, 1 the rig has errors, 2 the file has faults.`,
		Example: "  choirloft check testdata/kiln-yard.yaml\n  choirloft check testdata/kiln-yard.yaml --song testdata/slow-kiln.mid\n" +
			"  choirloft check --explain may-swap",
		Args: func(cmd *cobra.Command, args []string) error {
			if explain != "" || codes {
				return count(0, 0, "no rig file beside --explain and --codes")(cmd, args)
			}
			if len(songs) > 0 {
				return count(1, -1, "one rig file, and songs after --song")(cmd, args)
			}
			return count(1, 1, "one rig file")(cmd, args)
		},
		ValidArgsFunction: rigFiles,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := errors.Join(out.check(slices.Concat(args, songs)...), out.printing.check(&out)); err != nil {
				return err
			}
			if explain != "" || codes {
				return a.explain(cmd, &out, explain)
			}
			return a.check(cmd.Context(), &out, args[0], o, append(songs, args[1:]...))
		},
	}
	out.documents(cmd)
	cmd.Flags().StringVar(&explain, "explain", "", "say what the `CODE` of a finding means, and what to do")
	cmd.Flags().StringArrayVar(&songs, "song", nil, "add what depends on the notes of this `SONG`")
	addFlags(cmd, []override{buying(&o)})
	cmd.Flags().BoolVar(&codes, "codes", false, "list all codes of findings")
	var names []string
	for _, c := range routing.Codes() {
		names = append(names, string(c.Code))
	}
	complete(cmd, "explain", names)
	return cmd
}

// check says what is wrong with a rig, and what songs add to that.
func (a *app) check(ctx context.Context, out *output, rig string, o plan.Overrides, names []string) error {
	p, err := a.buildPlan(ctx, rig, o)
	if err != nil {
		return err
	}
	songs, err := collect(names)
	if err != nil {
		return err
	}
	w := onEach(songs, runtime.GOMAXPROCS(0), func(from source) (contract.CheckSong, error) { return a.hear(ctx, p, from) })
	if err := w.wait(ctx, a.stderr); err != nil {
		return err
	}
	heard, failed, err := sorted(a, w)
	if err != nil {
		return err
	}
	p.Findings = append(p.Findings, routing.Letters(p.Rig, draw.Lacking)...)
	routing.Sort(p.Findings)
	c := contract.NewCheck(p, heard, failed)
	if err := a.tell(ctx, out, c, say.Check(c)); err != nil {
		return err
	}
	if len(failed) > 0 {
		return statusError(exitUsage)
	}
	if c.Errors() {
		return statusError(exitFound)
	}
	return nil
}

// hear plays one song.
func (a *app) hear(ctx context.Context, p *plan.Plan, from source) (contract.CheckSong, error) {
	song, err := a.load(ctx, from, 0)
	if err != nil {
		return contract.CheckSong{}, err
	}
	h, err := p.Hear(song)
	if err != nil {
		return contract.CheckSong{}, err
	}
	load, err := link.Of(p, song)
	var refused *deal.Error
	if err != nil && !errors.As(err, &refused) {
		return contract.CheckSong{}, err
	}
	if err == nil {
		h.Findings = append(h.Findings, load.Findings(p.Rig, song)...)
		routing.Sort(h.Findings)
	}
	return contract.NewCheckSong(p, from.path, song, h, contract.NewLinks(p, song, load, err)), nil
}

// explain prints what one code means, or all of them if it is empty.
func (a *app) explain(cmd *cobra.Command, out *output, code string) error {
	var wanted []routing.CodeInfo
	var names []string
	for _, c := range routing.Codes() {
		names = append(names, string(c.Code))
		if code == "" || string(c.Code) == code {
			wanted = append(wanted, c)
		}
	}
	if len(wanted) == 0 {
		hint := cmp.Or(unit.DidYouMean(code, names), "choirloft check --codes lists them")
		return &usageError{fmt.Sprintf("--explain %s: no finding has this code", code), hint}
	}
	c := contract.NewCodes(wanted)
	return a.tell(cmd.Context(), out, c, say.Codes(c))
}
