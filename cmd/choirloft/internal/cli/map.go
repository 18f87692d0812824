package cli

import (
	"bytes"
	"io"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/report"
	"choirloft/cmd/choirloft/internal/text"
	"choirloft/routing"
	"choirloft/routing/plan"
)

func (a *app) mapCommand() *cobra.Command {
	var (
		out output
		o   plan.Overrides
	)
	cmd := &cobra.Command{
		Use:   "map RIG",
		Short: "Say which jack and channel drives which voice",
		Long: `map lists for each voice the jacks, the MIDI port and channel, the detune and the
pan; the lanes that voices share, the jacks that are free, and the beats of each
unison. A longer rig changes no line of the map of a shorter one.

Exit status: 0 fine, 1 the plan has errors, 2 the file has faults.`,
		Example: "  choirloft map testdata/kiln-yard.yaml\n  choirloft map testdata/kiln-yard.yaml --unison pad=4\n" +
			"  choirloft map testdata/kiln-yard.yaml --json",
		Args:              count(1, 1, "one rig file"),
		ValidArgsFunction: rigFiles,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := out.check(args[0]); err != nil {
				return err
			}
			p, err := buildPlan(args[0], o)
			if err != nil {
				return err
			}
			m := report.NewMap(p)
			out.views = map[string]func(io.Writer) error{
				".csv": func(w io.Writer) error { return text.MapCSV(w, m, text.Options{}) },
				".md":  func(w io.Writer) error { return text.MapMarkdown(w, m, text.Options{}) },
			}
			if err := a.emit(cmd.Context(), &out, m, func(w io.Writer, o text.Options) error { return text.Map(w, m, o) }); err != nil {
				return err
			}
			return found(p)
		},
	}
	out.formats(cmd, ".csv", ".md")
	cmd.Flags().StringArrayVar(&o.Unison, "unison", nil, "voices a note: `N`, or pad=N for one part")
	return cmd
}

// buildPlan reads a rig file and makes the plan of it.
func buildPlan(path string, o plan.Overrides) (*plan.Plan, error) {
	rig, err := loadRig(path)
	if err != nil {
		return nil, err
	}
	return plan.Build(rig, o)
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
