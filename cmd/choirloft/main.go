// Command choirloft plans which voice of a stack plays which note, and says
// what it costs. Run it with --help.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"choirloft/cmd/choirloft/internal/cli"
)

func main() {
	// A run is short: collect seldom, until it is large.
	debug.SetGCPercent(400)
	debug.SetMemoryLimit(512 << 20)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second interrupt ends the process at once
	status := cli.Run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	os.Exit(status)
}
