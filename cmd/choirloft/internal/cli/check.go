package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/report"
	"choirloft/cmd/choirloft/internal/text"
	"choirloft/routing"
	"choirloft/routing/plan"
)

func (a *app) checkCommand() *cobra.Command {
	var (
		out     output
		explain string
		codes   bool
	)
	cmd := &cobra.Command{
		Use:   "check RIG",
		Short: "Say what is wrong with a rig",
		Long: `check reads a rig file and says what is wrong: every fault of the file at once,
with line and column, or else what there is to say about the rig as a whole.
Each finding has a code in brackets, which --explain explains.

Exit status: 0 nothing wrong, 1 the rig has errors, 2 the file has faults.`,
		Example: "  choirloft check testdata/kiln-yard.yaml\n  choirloft check testdata/kiln-yard.yaml --json\n" +
			"  choirloft check --explain may-swap",
		Args: func(cmd *cobra.Command, args []string) error {
			if explain != "" || codes {
				return count(0, 0, "no rig file beside --explain and --codes")(cmd, args)
			}
			return count(1, 1, "one rig file")(cmd, args)
		},
		ValidArgsFunction: rigFiles,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := out.check(args...); err != nil {
				return err
			}
			if explain != "" || codes {
				return a.explain(cmd, &out, explain)
			}
			p, err := buildPlan(args[0], plan.Overrides{})
			if err != nil {
				return err
			}
			c := report.NewCheck(p)
			if err := a.emit(cmd.Context(), &out, c, func(w io.Writer, o text.Options) error { return text.Check(w, c, o) }); err != nil {
				return err
			}
			return found(p)
		},
	}
	out.flags(cmd)
	cmd.Flags().StringVar(&explain, "explain", "", "say what the `CODE` of a finding means, and the way out")
	cmd.Flags().BoolVar(&codes, "codes", false, "list all codes of findings")
	var names []string
	for _, c := range routing.Codes() {
		names = append(names, string(c.Code))
	}
	complete(cmd, "explain", names)
	return cmd
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
		hint := "choirloft check --codes lists them"
		if name, ok := plan.Nearest(code, names); ok {
			hint = "did you mean " + name + "?"
		}
		return &usageError{fmt.Sprintf("--explain %s: no finding has this code", code), hint}
	}
	c := report.NewCodes(wanted)
	return a.emit(cmd.Context(), out, c, func(w io.Writer, o text.Options) error { return text.Codes(w, c, o) })
}
