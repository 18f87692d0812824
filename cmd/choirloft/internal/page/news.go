package page

import (
	"bytes"
	"fmt"
	"net/http"
	"os"
	"time"
)

// mostListeners is how many pages hear of changes at once. A browser holds few connections to one
// program, and a page lets go of its own while it is hidden.
const mostListeners = 16

// lookEvery is how often the rig file is looked at, while a page listens.
const lookEvery = 500 * time.Millisecond

// news tells a page the edition of the desk, now and whenever it changes, as server-sent events
// (WHATWG HTML, 9.2): until the page is left, or the program ends.
func (s *server) news(w http.ResponseWriter, r *http.Request) error {
	if s.listeners.Add(1) > mostListeners {
		s.listeners.Add(-1)
		return &refusal{http.StatusServiceUnavailable, fmt.Sprintf("%d pages hear of changes already", mostListeners), "close one, and reload this"}
	}
	defer s.listeners.Add(-1)
	w.Header().Set("Content-Type", "text/event-stream")
	look := time.NewTicker(lookEvery)
	defer look.Stop()
	for {
		edition, changed := s.desk.heard()
		fmt.Fprintf(w, "data: %d\n\n", edition)
		if err := http.NewResponseController(w).Flush(); err != nil {
			return nil // nobody hears it
		}
		for waiting := true; waiting; {
			select {
			case <-r.Context().Done():
				return nil
			case <-changed:
				waiting = false
			case <-look.C:
				s.desk.look()
			}
		}
	}
}

// heard is the edition of the desk, and what is closed when there is a next.
func (d *Desk) heard() (int64, <-chan struct{}) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.changed == nil {
		d.changed = make(chan struct{})
	}
	return d.edition, d.changed
}

// look finds out whether somebody else has changed the rig file.
func (d *Desk) look() {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.path == "" {
		return
	}
	info, err := os.Stat(d.path)
	if err == nil && d.looked != nil && info.Size() == d.looked.Size() && info.ModTime().Equal(d.looked.ModTime()) && os.SameFile(info, d.looked) {
		return
	}
	data, err := onDisk(d.path)
	if d.looked = info; err != nil {
		d.looked = nil
	}
	if strayed := err != nil || !bytes.Equal(data, d.disk); strayed != d.strayed {
		d.strayed = strayed
		d.turn()
	}
}
