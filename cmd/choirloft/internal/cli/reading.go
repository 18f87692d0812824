package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"time"

	"choirloft/alloc/crew"
)

// patience is how long an input may keep the program waiting without a word.
const patience = time.Second

// endsWaiting is the way out of it.
const endsWaiting = "Ctrl-C ends the waiting"

// read reads an input whole, or a byte more than most, so that what is too large
// shows. One that may come late, such as a FIFO, is read for as long as ctx lasts.
// Errors are that of ctx or a *fileError.
func (a *app) read(ctx context.Context, path string, most int64) ([]byte, error) {
	if path == standardInput {
		return a.awaited(ctx, path, func() ([]byte, error) { return upTo(a.stdin, most, 0) })
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, unreadable(path, err)
	case info.IsDir():
		return nil, &fileError{path, "this is a folder, want a file", "name a file in it"}
	case info.Mode().IsRegular():
		data, err := openUpTo(path, most, info.Size())
		if err != nil {
			return nil, unreadable(path, err)
		}
		return data, nil
	}
	return a.awaited(ctx, path, func() ([]byte, error) { return openUpTo(path, most, 0) })
}

func openUpTo(path string, most, size int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return upTo(f, most, size)
}

// upTo reads at most a byte more than most; size is how much is expected.
func upTo(from io.Reader, most, size int64) ([]byte, error) {
	var data bytes.Buffer
	data.Grow(int(min(size, most)) + bytes.MinRead)
	_, err := data.ReadFrom(io.LimitReader(from, most+1))
	return data.Bytes(), err
}

// awaited reads what may come late. No call of the system ends where somebody
// loses patience, so the reading is left to itself then.
func (a *app) awaited(ctx context.Context, path string, read func() ([]byte, error)) ([]byte, error) {
	type result struct {
		data []byte
		err  error
	}
	done := make(chan result, 1)
	go func() {
		var r result
		r.err = crew.Catch(func() (err error) {
			r.data, err = read()
			return err
		})
		done <- r
	}()
	late := time.NewTimer(patience)
	defer late.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-late.C:
			a.complain("waiting for "+songName(path)+", which is read to its end", endsWaiting)
		case r := <-done:
			var bug *crew.Panic
			if errors.As(r.err, &bug) {
				return nil, bug
			}
			if r.err != nil {
				return nil, unreadable(songName(path), r.err)
			}
			if len(r.data) == 0 {
				return nil, &fileError{songName(path), "nothing came through it, want what a file holds", "whoever writes there may have failed"}
			}
			return r.data, nil
		}
	}
}

func unreadable(path string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return &fileError{path, "there is no such file", ""}
	}
	return &fileError{path, reason(err), ""}
}
