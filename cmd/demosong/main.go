// Command demosong writes "Slow Kiln", the demo song of this module, as a
// Standard MIDI File of format 1. The song is made up from a few rules in
// song.go; nothing in it is random, so the same bytes come out every time.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

//go:generate go run . -o ../../testdata/slow-kiln.mid

func main() { os.Exit(run(os.Args[1:], os.Stderr)) }

// run is the command: it returns 0 when the song is written, 2 for a wrong
// call, 3 when the file cannot be written.
func run(args []string, stderr io.Writer) int {
	flags := flag.NewFlagSet("demosong", flag.ContinueOnError)
	flags.SetOutput(stderr)
	path := flags.String("o", "slow-kiln.mid", "write the song to this `file`")
	switch err := flags.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return 0
	case err != nil:
		return 2
	case flags.NArg() > 0:
		fmt.Fprintf(stderr, "demosong: unexpected argument %q, the file is given by -o\n", flags.Arg(0))
		return 2
	}
	data, err := encode(slowKiln())
	if err == nil {
		err = replace(*path, data)
	}
	if err != nil {
		fmt.Fprintln(stderr, "demosong:", err)
		return 3
	}
	return 0
}

// replace puts data in the place of the file at path, all of it or, on an
// error, nothing.
func replace(path string, data []byte) (err error) {
	temp, err := os.CreateTemp(filepath.Dir(path), ".demosong-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(temp.Name())
		}
	}()
	_, err = temp.Write(data)
	if err = errors.Join(err, temp.Chmod(0o644), temp.Close()); err != nil {
		return err
	}
	return os.Rename(temp.Name(), path)
}
