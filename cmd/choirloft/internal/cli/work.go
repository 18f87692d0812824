package cli

import (
	"context"
	"io"
	"sync/atomic"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/sync/errgroup"

	"choirloft/alloc/crew"
)

// work is what is done with several songs, which goes on by itself.
type work[R any] struct {
	songs   []source
	results []R     // by song; of no value where there was an error
	errs    []error // by song
	stopped atomic.Bool
	tick    chan struct{} // one for each song that is done
	done    chan struct{}
}

// onEach starts to do something with each of the songs, with so many at once.
func onEach[R any](songs []source, atOnce int, do func(source) (R, error)) *work[R] {
	w := &work[R]{
		songs:   songs,
		results: make([]R, len(songs)),
		errs:    make([]error, len(songs)),
		tick:    make(chan struct{}, len(songs)),
		done:    make(chan struct{}),
	}
	var g errgroup.Group
	g.SetLimit(atOnce)
	go func() {
		for i := range songs {
			g.Go(func() error {
				if !w.stopped.Load() {
					w.errs[i] = crew.Catch(func() (err error) {
						w.results[i], err = do(songs[i])
						return err
					})
				}
				w.tick <- struct{}{}
				return nil
			})
		}
		g.Wait()
		close(w.done)
	}()
	return w
}

// wait waits until all songs are played, with a progress bar if there are
// several and someone looks. Where ctx ends first it returns at once, also
// from a song that hangs on standard input, and no further song is begun.
func (w *work[R]) wait(ctx context.Context, stderr io.Writer) error {
	bar := progress(stderr, len(w.songs), "songs")
	defer bar.Finish()
	for {
		select {
		case <-ctx.Done():
			w.stopped.Store(true)
			return ctx.Err()
		case <-w.tick:
			bar.Add(1)
		case <-w.done:
			return ctx.Err()
		}
	}
}

// progress returns a bar that runs to a number, on a terminal and where there
// is more than one step; else one that says nothing.
func progress(stderr io.Writer, all int, what string) *progressbar.ProgressBar {
	if all < 2 || !isTerminal(stderr) {
		return progressbar.DefaultSilent(int64(all))
	}
	return progressbar.NewOptions(all, progressbar.OptionSetWriter(stderr),
		progressbar.OptionSetDescription(what), progressbar.OptionShowCount(),
		progressbar.OptionClearOnFinish(), progressbar.OptionThrottle(100*time.Millisecond))
}
