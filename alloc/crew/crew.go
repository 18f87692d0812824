// Package crew shares jobs out among goroutines, and lets no panic of one of
// them end the process by itself: [Do] raises it again where the jobs are waited
// for, [Catch] makes it an error. Only whoever answers to the user decides what
// becomes of it.
package crew

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
)

// Panic is a panic, and where it was raised: a bug of ours. It is raised again,
// or returned, as a *Panic.
type Panic struct {
	Value any
	Stack []byte // of the goroutine that raised it, as the runtime prints it
}

func (p *Panic) Error() string { return fmt.Sprintf("panic: %v", p.Value) }

// Catch calls do and returns its error, or as a *[Panic] what it panics with.
func Catch(do func() error) (err error) {
	defer func() {
		switch p := recover().(type) {
		case nil:
		case *Panic: // raised again
			err = p
		default:
			err = &Panic{p, debug.Stack()}
		}
	}()
	return do()
}

// Do does the jobs 0 to n−1, handed out one by one in this order to as many
// goroutines as there are processors. Each calls worker once, for what it keeps
// from job to job. Do returns the first error; then, and where ctx ends, no
// further job is begun. It panics with a *[Panic] where a job does, once none is
// going on.
func Do(ctx context.Context, n int, worker func(context.Context) func(job int) error) error {
	var next atomic.Int64
	g, ctx := errgroup.WithContext(ctx)
	for range min(runtime.GOMAXPROCS(0), n) {
		g.Go(func() error {
			return Catch(func() error { return drain(ctx, &next, n, worker(ctx)) })
		})
	}
	err := g.Wait()
	if p := (*Panic)(nil); errors.As(err, &p) {
		panic(p)
	}
	return err
}

// drain does jobs until there are none.
func drain(ctx context.Context, next *atomic.Int64, n int, do func(job int) error) error {
	for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := do(i); err != nil {
			return err
		}
	}
	return nil
}
