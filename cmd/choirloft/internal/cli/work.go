package cli

import (
	"context"
	"io"
	"runtime"
	"sync/atomic"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/sync/errgroup"

	"choirloft/cmd/choirloft/internal/report"
	"choirloft/routing/plan"
)

// work is the playing of several songs, which goes on by itself.
type work struct {
	songs   []source
	results []*report.Result // by song; nil where there was an error
	errs    []error          // by song
	stopped atomic.Bool
	tick    chan struct{} // one for each song that is done
	done    chan struct{}
}

// playAll starts to play songs, as many at once as there are processors.
func (r *replay) playAll(p *plan.Plan, songs []source) *work {
	w := &work{
		songs:   songs,
		results: make([]*report.Result, len(songs)),
		errs:    make([]error, len(songs)),
		tick:    make(chan struct{}, len(songs)),
		done:    make(chan struct{}),
	}
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	go func() {
		for i := range songs {
			g.Go(func() error {
				if !w.stopped.Load() {
					w.results[i], w.errs[i] = r.play(p, songs[i])
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

// play plays one song.
func (r *replay) play(p *plan.Plan, from source) (*report.Result, error) {
	if from.err != nil {
		return nil, from.err
	}
	song, err := r.readSong(from.path, r.track)
	if err != nil {
		return nil, err
	}
	played, err := p.Replay(song)
	if err != nil {
		return nil, err
	}
	return report.NewResult(p, from.path, song, played), nil
}

// wait waits until all songs are played, with a progress bar if there are
// several and someone looks. Where ctx ends first it returns at once, also
// from a song that hangs on standard input, and no further song is begun.
func (w *work) wait(ctx context.Context, stderr io.Writer) error {
	bar := progressbar.DefaultSilent(int64(len(w.songs)))
	if len(w.songs) > 1 && isTerminal(stderr) {
		bar = progressbar.NewOptions(len(w.songs), progressbar.OptionSetWriter(stderr),
			progressbar.OptionSetDescription("songs"), progressbar.OptionShowCount(),
			progressbar.OptionClearOnFinish(), progressbar.OptionThrottle(100*time.Millisecond))
	}
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
