// Command licences gathers the licences of all that choirloft is linked with,
// from the module cache, as the text that the program prints of itself. It asks
// the go command what that is, for each system that choirloft is built for.
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
)

func main() { os.Exit(run(os.Args[1:], os.Stderr)) }

// run returns 0 when the text is written, 2 for a wrong call, 3 where a licence
// is missing, or unknown, or the file cannot be written.
func run(args []string, stderr io.Writer) int {
	flags := flag.NewFlagSet("licences", flag.ContinueOnError)
	flags.SetOutput(stderr)
	path := flags.String("o", "licences.txt", "write the text to this `file`")
	if err := flags.Parse(args); err != nil || flags.NArg() > 0 {
		fmt.Fprintln(stderr, "licences: want -o FILE and nothing else")
		return 2
	}
	works, err := linked(program)
	if err == nil {
		err = os.WriteFile(*path, []byte(text(works)), 0o666)
	}
	if err != nil {
		fmt.Fprintln(stderr, "licences:", err)
		return 3
	}
	return 0
}
