// Package cli is the command: it reads arguments, files and the environment,
// calls the library, and prints. Results go to standard output, everything
// else to standard error. A file a command.
package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"choirloft/alloc/crew"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/cmd/choirloft/internal/wire"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
)

// The exit statuses.
const (
	exitFine   = 0
	exitFound  = 1 // the plan has errors, or a loss where --fail-on-loss asks
	exitUsage  = 2 // a wrong call, or a file that is faulty or cannot be read
	exitFailed = 3 // could not run
)

// app is one run of the command.
type app struct {
	stdin          io.Reader
	stdout, stderr io.Writer
}

// Run runs the command with the arguments that follow its name and returns
// the exit status. Where ctx ends before the work does it prints nothing more
// to standard output, writes no file and returns 3. A panic is a bug of ours:
// Run says so in a sentence and returns 3.
func Run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	a := &app{stdin, stdout, stderr}
	if len(args) == 1 && args[0] == wire.GuardCall {
		return a.report(wire.StandGuard())
	}
	root := a.root()
	root.Annotations = map[string]string{called: commandLine(args)}
	root.SetArgs(append([]string{}, args...)) // never nil, for which cobra takes those of the process
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	return a.report(crew.Catch(func() error { return root.ExecuteContext(ctx) }))
}

// called is the annotation of the root that has the call as it stands on pictures.
const called = "called"

// commandLine is a call as one types it again: without the folders of its files.
func commandLine(args []string) string {
	words := []string{"choirloft"}
	for _, word := range args {
		flag, file := "", word
		switch rest, long := strings.CutPrefix(word, "--output="); {
		case long:
			flag, file = "--output=", rest
		case strings.HasPrefix(word, "-o"):
			flag, file = "-o", word[2:]
		case strings.HasPrefix(word, "-"):
			flag, file = word, ""
		}
		if strings.ContainsRune(file, filepath.Separator) {
			file = filepath.Base(file)
		}
		words = append(words, flag+file)
	}
	return say.Typed(words)
}

func (a *app) root() *cobra.Command {
	asksVersion := false
	root := &cobra.Command{
		Use:   "choirloft",
		Short: "Plan which voice of a wall of voices plays which note",
		Long: `choirloft plays a song, a MIDI file, through your rack, a rig file, before you buy.
It says which notes are lost and why, and how many voices the song needs.`,
		Example: "  choirloft replay testdata/kiln-yard.yaml testdata/slow-kiln.mid",
		Args:    a.noCommand,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if asksVersion { // not by a template of cobra's, which links 4 MB more
				return a.print([]byte("choirloft " + version() + "\n"))
			}
			return cmd.Help()
		},
		SilenceErrors: true,
		SilenceUsage:  true,

		PersistentPreRun: a.settle,
	}
	root.SetFlagErrorFunc(flagError)
	root.Flags().BoolVar(&asksVersion, "version", false, "say which build this is")
	root.AddCommand(
		a.newCommand(),
		a.checkCommand(),
		a.mapCommand(),
		a.replayCommand(),
		a.sizeCommand(),
		a.listenCommand(),
		a.writeCommand(),
		a.tuneCommand(), a.liveCommand(),
		a.repatchCommand(),
		a.serveCommand(),
		a.completionCommand(),
	)
	a.addHelp(root)
	return root
}

// noCommand refuses a first word that is no command.
func (a *app) noCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	names, _ := helpNames(cmd)
	hint := cmp.Or(unit.DidYouMean(args[0], names), "see choirloft --help")
	if args[0] == "version" {
		hint = "choirloft --version says which build this is"
	}
	return &usageError{fmt.Sprintf("no command %q, there are %s", args[0], strings.Join(names, ", ")), hint}
}

// flagError turns what the flag parser says into a message of ours.
func flagError(cmd *cobra.Command, err error) error {
	hint := "see " + cmd.CommandPath() + " --help"
	var (
		override *plan.OverrideError
		unknown  *pflag.NotExistError
		bad      *pflag.InvalidValueError
		bare     *pflag.ValueRequiredError
	)
	switch {
	case errors.As(err, &override):
		return override
	case errors.As(err, &unknown):
		var names []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if name, ok := unit.Nearest(unknown.GetSpecifiedName(), names); ok {
			hint = "did you mean --" + name + "?"
		}
		if unknown.GetSpecifiedName() == "out" {
			hint = "--out is where live writes; replay, size, write and map leave a voice out by --without VOICE"
		}
	case errors.As(err, &bad):
		kind := bad.GetFlag().Value.Type()
		want := "a value of type " + kind
		switch kind {
		case "duration":
			want = "a time such as 10s"
		case wholeBar, cableWidth:
			want, hint = kind, ""
		case "int", "int64", "uint64":
			want = "a whole number, such as 3"
		}
		message := fmt.Sprintf("--%s %s: found %q, want %s", bad.GetFlag().Name, bad.GetValue(), bad.GetValue(), want)
		return &usageError{message, hint}
	case errors.As(err, &bare):
		return &usageError{"--" + bare.GetSpecifiedName() + " needs a value", hint}
	}
	return &usageError{err.Error(), hint}
}

// count refuses any but min to max arguments; max −1 is without limit.
func count(min, max int, want string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) >= min && (max < 0 || len(args) <= max) {
			return nil
		}
		found := "got nothing"
		if len(args) > 0 {
			found = "got " + strings.Join(args, " ")
		}
		return &usageError{"want " + want + "; " + found, "see " + cmd.CommandPath() + " --help"}
	}
}

// isTerminal tells whether a stream is a terminal.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// narrowest and widest are how narrow and wide a line may be, in characters.
const (
	narrowest = 60
	widest    = 120
)

// width is that of a line: what COLUMNS says, else that of the terminal, else
// 80.
func width(w io.Writer) int {
	n, err := strconv.Atoi(os.Getenv("COLUMNS"))
	if f, ok := w.(*os.File); ok && err != nil {
		n, _, err = term.GetSize(int(f.Fd()))
	}
	if err != nil || n <= 0 {
		return 80
	}
	return min(max(n, narrowest), widest)
}

// utf8Locale tells whether characters beyond ASCII may be printed: the first of
// LC_ALL, LC_CTYPE and LANG that says anything decides (POSIX.1-2017, 8.2). Where
// none does, as outside of Unix, they may.
func utf8Locale() bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if value := strings.ToLower(os.Getenv(name)); value != "" {
			return strings.Contains(value, "utf-8") || strings.Contains(value, "utf8")
		}
	}
	return true
}
