package cli

import (
	"io"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/report"
	"choirloft/cmd/choirloft/internal/text"
	"choirloft/routing"
	"choirloft/routing/plan"
)

func (a *app) checkCommand() *cobra.Command {
	var out output
	cmd := &cobra.Command{
		Use:   "check RIG",
		Short: "Say what is wrong with a rig",
		Long: `check reads a rig file and says what is wrong: every fault of the file at once,
with line and column, or else what there is to say about the rig as a whole.

Exit status: 0 nothing wrong, 1 the rig has errors, 2 the file has faults.`,
		Example: "  choirloft check testdata/kiln-yard.yaml\n  choirloft check testdata/kiln-yard.yaml --json",
		Args:    count(1, 1, "one rig file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := out.check(args[0]); err != nil {
				return err
			}
			rig, err := loadRig(args[0])
			if err != nil {
				return err
			}
			p, err := plan.Build(rig, plan.Overrides{})
			if err != nil {
				return err
			}
			c := report.NewCheck(p)
			if err := a.emit(cmd.Context(), &out, c, func(w io.Writer, o text.Options) error { return text.Check(w, c, o) }); err != nil {
				return err
			}
			if worst, ok := routing.Worst(p.Findings); ok && worst == routing.Error {
				return statusError(exitFound)
			}
			return nil
		},
	}
	out.flags(cmd)
	return cmd
}
