package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
	"choirloft/routing/setups"
	"choirloft/routing/whatif"
)

func (a *app) repatchCommand() *cobra.Command {
	var (
		out  output
		list bool
		song string
	)
	cmd := &cobra.Command{
		Use:   "repatch RIG FROM TO",
		Short: "Go from one set-up to another with the fewest moves of cables",
		Long: `repatch lists what to pull and what to plug to get from one set-up of a rig to
another. It goes panel by panel, in a safe order: mute, free the outputs, then
the inputs. It says which voltages to hold and what a plug breaks. It also says
which way of wiring a sequencer costs the fewest moves: common pitch jacks,
multiples or gate-ORs.

-o list.pdf has it on paper, with a box to tick for each line.

Set-ups stand under set_ups in the rig. What may stay plugged stays.

--list says which set-ups there are, and who plays which voices in each. With
--song it says what a song loses there, on the voices that the interfaces play.

Exit status: 0 fine, 2 a wrong command line or a file with faults.`,
		Example: "  choirloft repatch testdata/rigs/full.yaml studio stage\n  choirloft repatch testdata/rigs/full.yaml stage studio --json\n" +
			"  choirloft repatch testdata/rigs/full.yaml --list --song testdata/slow-kiln.mid",
		Args:              count(1, 3, "a rig file and two of its set-ups"),
		ValidArgsFunction: rigFiles,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := errors.Join(out.check(args[0]), out.printing.check(&out)); err != nil {
				return err
			}
			switch {
			case list && len(args) > 1:
				return &usageError{"--list names all set-ups of a rig", "leave the names out, or leave --list out"}
			case song != "" && !list:
				return &usageError{"--song goes with --list: moves depend on no song", "add --list, and leave FROM and TO out"}
			}
			p, err := a.buildPlan(cmd.Context(), args[0], plan.Overrides{})
			if err != nil {
				return err
			}
			if list {
				return a.setUps(cmd.Context(), &out, p, song)
			}
			if len(args) < 3 {
				return noSetUps(p.Rig, args)
			}
			var at [2]int
			for i, name := range args[1:] {
				if at[i], err = findSetUp(p.Rig, name); err != nil {
					return err
				}
			}
			r := contract.NewRepatch(p, at[0], at[1])
			out.views = map[string]func(io.Writer) error{".csv": func(w io.Writer) error { return contract.CSV(w, r.Records()) }}
			return a.tell(cmd.Context(), &out, r, say.Repatch(r, out.room()))
		},
	}
	out.documents(cmd, ".csv")
	cmd.Flags().BoolVar(&list, "list", false, "say which set-ups the rig has, instead of the moves between two")
	cmd.Flags().StringVar(&song, "song", "", "with --list: say what this `SONG` loses in each")
	return cmd
}

// setUps says which set-ups there are, and what a song loses in each.
func (a *app) setUps(ctx context.Context, out *output, p *plan.Plan, file string) error {
	if out.ending() == ".csv" {
		return &usageError{fmt.Sprintf("-o %s: with --list there are .txt, .json, .md, .html and .pdf", out.file), ""}
	}
	var song *midi.Song
	var err error
	if file != "" {
		if song, err = a.readSong(ctx, file, 0); err != nil {
			return err
		}
	}
	all, err := whatif.NewSetUps(p.Unchanged, plan.Overrides{})
	if err != nil {
		return err
	}
	r, err := contract.NewSetUps(p, all, file, song)
	if err != nil {
		return err
	}
	return a.tell(ctx, out, r, say.SetUps(r))
}

// noSetUps asks for the two set-ups, and names those that there are.
func noSetUps(rig *profiles.Rig, args []string) error {
	if len(rig.SetUps) == 0 {
		return &usageError{"found " + strings.Join(args, " ") + ", want two set-ups, and the rig has none", setUpsHint}
	}
	return &usageError{fmt.Sprintf("found %s, want a rig file and two of its set-ups: %s", strings.Join(args, " "), unit.List(setUpNames(rig))), "see choirloft repatch --help"}
}

// setUpsHint shows how set-ups are written.
const setUpsHint = "write them under set_ups, as in set_ups: {studio: {from: main}, stage: {from: seq, parts: {1: K}}}"

func setUpNames(rig *profiles.Rig) (names []string) {
	for i := range rig.SetUps {
		names = append(names, rig.SetUps[i].Name)
	}
	return names
}

// findSetUp finds a set-up by name.
func findSetUp(rig *profiles.Rig, name string) (int, error) {
	if at, ok := setups.Find(rig, name); ok {
		return at, nil
	}
	if len(rig.SetUps) == 0 {
		return 0, &usageError{fmt.Sprintf("no set-up %q, the rig has none", name), setUpsHint}
	}
	names := setUpNames(rig)
	return 0, &usageError{fmt.Sprintf("no set-up %q, the rig has %s", name, strings.Join(names, ", ")), unit.DidYouMean(name, names)}
}
