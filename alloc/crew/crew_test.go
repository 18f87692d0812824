package crew

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestDo(t *testing.T) {
	var done [100]atomic.Int64
	var workers atomic.Int64
	require.NoError(t, Do(t.Context(), len(done), func(context.Context) func(int) error {
		workers.Add(1)
		return func(job int) error { done[job].Add(1); return nil }
	}))
	for job := range done {
		require.EqualValues(t, 1, done[job].Load(), job)
	}
	require.Positive(t, workers.Load())
	require.LessOrEqual(t, workers.Load(), int64(len(done)))
	require.NoError(t, Do(t.Context(), 0, nil), "no job, no worker")
}

func TestDoStops(t *testing.T) {
	wrong := errors.New("wrong")
	var begun atomic.Int64
	fails := func(context.Context) func(int) error {
		return func(int) error { begun.Add(1); return wrong }
	}
	require.Equal(t, wrong, Do(t.Context(), 1_000_000, fails))
	require.Less(t, begun.Load(), int64(1_000_000))
	ended, end := context.WithCancel(t.Context())
	end()
	begun.Store(0)
	require.Equal(t, context.Canceled, Do(ended, 10, fails))
	require.Zero(t, begun.Load())
}

// A panic of a goroutine that nobody recovers ends the process, and with it
// this test.
func TestPanicComesBack(t *testing.T) {
	var zero []int
	raise := func() {
		Do(t.Context(), 10, func(context.Context) func(int) error { return func(job int) error { zero[job]++; return nil } })
	}
	err := Catch(func() error { raise(); return nil })
	var p *Panic
	require.ErrorAs(t, err, &p)
	require.ErrorContains(t, err, "index out of range")
	require.Contains(t, string(p.Stack), "TestPanicComesBack", "the stack is that of the goroutine that broke")
	require.Equal(t, err, Catch(func() error { panic(p) }), "raised again it keeps its stack")
	require.NoError(t, Catch(func() error { return nil }))
	require.ErrorAs(t, Catch(func() error {
		worker := func(context.Context) func(int) error { panic("no worker") }
		return Do(t.Context(), 1, worker)
	}), &p)
}
