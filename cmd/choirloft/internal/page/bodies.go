package page

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"sync"
	"time"
)

// limits are those of what requests carry.
type limits struct {
	sum   int64         // of all bodies that are being answered, bytes
	stall time.Duration // without a byte
	whole time.Duration // from the first byte to the last
}

// usual are the limits of a page: two songs of the largest size at once.
var usual = limits{sum: 2 * maxSong, stall: 10 * time.Second, whole: 2 * time.Minute}

// recordingLonger is how much longer a recording may take, which goes to a disk.
const recordingLonger = 5

// bodies counts what requests carry, so that what many send at once does not
// fill the memory, and those that stop sending hold nothing for long.
type bodies struct {
	limits
	mu    sync.Mutex
	taken int64
}

// take keeps room for a body, if there is enough.
func (b *bodies) take(size int64) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.taken+size > b.sum {
		return false
	}
	b.taken += size
	return true
}

func (b *bodies) give(size int64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.taken -= size
}

// admit answers a request where there is room for what it carries, and else
// refuses it. What it carries is then let go by, since whoever is still sending
// does not hear.
func (b *bodies) admit(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		size := r.ContentLength
		if size < 0 || size > maxSong {
			size = maxSong // nothing reads more
		}
		if !b.take(size) {
			io.Copy(io.Discard, http.MaxBytesReader(w, r.Body, maxSong))
			w.Header().Set("Retry-After", "1")
			refuse(w, &refusal{http.StatusServiceUnavailable,
				fmt.Sprintf("what is being sent to this page and worked on would be more than %d MiB at once", b.sum>>20), "send it again in a moment"})
			return
		}
		defer b.give(size)
		next.ServeHTTP(w, r)
	})
}

// hurry lets the reading of bodies fail in time, of those too that nobody reads.
func (b *bodies) hurry(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.ContentLength != 0 {
			timed := &timedBody{ReadCloser: r.Body, control: http.NewResponseController(w), limits: b.limits, began: time.Now()}
			if r.URL.Path == recordingPath {
				timed.limits.whole *= recordingLonger
			}
			timed.extend()
			r.Body = timed
		}
		next.ServeHTTP(w, r)
	})
}

// timedBody is a body that must go on coming.
type timedBody struct {
	io.ReadCloser
	control *http.ResponseController
	limits  limits
	began   time.Time
}

// extend moves the time at which reading fails; the server takes it away when the
// body has ended. Where the connection knows no such time there is none.
func (b *timedBody) extend() {
	until := time.Now().Add(b.limits.stall)
	if end := b.began.Add(b.limits.whole); end.Before(until) {
		until = end
	}
	b.control.SetReadDeadline(until)
}

func (b *timedBody) Read(data []byte) (int, error) {
	b.extend()
	n, err := b.ReadCloser.Read(data)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		err = &refusal{http.StatusRequestTimeout,
			fmt.Sprintf("the rest did not come: want something every %s, and all within %s", b.limits.stall, b.limits.whole), "send it again"}
	}
	return n, err
}
