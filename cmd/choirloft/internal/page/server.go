package page

import (
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"

	"choirloft/alloc/crew"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/alter"
	"choirloft/routing/plan"
)

//go:embed assets
var assets embed.FS

// server answers the page.
type server struct {
	desk *Desk

	editing sync.Mutex
	newest  map[string]int // by tab: the number of its last edit

	memory    memory
	surveys   surveys
	takes     takes
	sketches  chan struct{} // those that are worked out now
	listeners atomic.Int64

	searching sync.Mutex
	stop      func() // ends the search that is going on; nil where none is
}

// New returns the handler of a desk, for those whom a door lets in.
func New(desk *Desk, door Door) http.Handler {
	return serve(desk, door, &bodies{limits: usual})
}

func serve(desk *Desk, door Door, sent *bodies) http.Handler {
	s := &server{desk: desk, sketches: make(chan struct{}, mostSketches)}
	mux := http.NewServeMux()
	files, err := fs.Sub(assets, "assets")
	if err != nil {
		panic("bug: " + err.Error())
	}
	mux.Handle("GET /", http.FileServerFS(files))
	mux.HandleFunc("GET /{$}", showIndex(explained(mustRead(files, "index.html"))))
	mux.HandleFunc("GET /api/desk", s.answer(s.showDesk))
	mux.HandleFunc("GET /api/events", s.answer(s.news))
	for path, do := range map[string]func(http.ResponseWriter, *http.Request) error{
		"rig": s.edit, "keep": s.keep, "save": s.save, "open": s.openRig, "disk": s.theirs, "settle": s.settle, "reload": s.reload, "song": s.addSong, "alter": s.alter, "bench": s.bench, "remove": s.removeSong,
		"map": s.showMap, "play": s.play, "size": s.size, "fixes": s.fixes, "stop": s.stopSearch, "compare": s.compare, "file": s.file, "sheets": s.sheets,
		"picture": s.picture, "shown": s.shown, "loss": s.loss, "listen": s.listen, "axis": s.axis, "set": s.stack,
		"take": s.makeTake, "played": s.addPlayed, "recording": s.addRecording, "readings": s.readings, "took": s.took,
		"setups": s.setUps, "repatch": s.repatch, "outage": s.outage,
		"unison": s.unison, "held": s.stackSound,
		"plug": s.plug,
	} {
		mux.HandleFunc("POST /api/"+path, s.answer(do))
	}
	return sent.hurry(door.guard(ownPage(sent.admit(squeeze(mux)))))
}

// ownPage answers questions of the page itself alone, those too that change nothing: another
// site could not read the answer, and would still have work done for it.
func ownPage(next http.Handler) http.Handler {
	others := http.NewCrossOriginProtection()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked := *r
		if strings.HasPrefix(r.URL.Path, "/api/") {
			asked.Method = http.MethodPost
		}
		if err := others.Check(&asked); err != nil {
			refuse(w, &refusal{http.StatusForbidden, "this page answers itself alone: " + err.Error(), ""})
			return
		}
		next.ServeHTTP(w, r)
	})
}

// refusal is an error with the status of its answer.
type refusal struct {
	status        int
	message, hint string
}

func (r *refusal) Error() string { return r.message }

// answer lets a handler return its error. One that panics has met a bug of ours:
// the others go on, since what is on the desk may not be saved yet.
func (s *server) answer(do func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		err := crew.Catch(func() error { return do(w, r) })
		var bug *crew.Panic
		if errors.As(err, &bug) && s.desk.tools.Bug != nil {
			s.desk.tools.Bug(bug)
		}
		if err == nil || r.Context().Err() != nil && !late(err) { // nobody hears it
			return
		}
		refuse(w, err)
	}
}

// late tells whether a body did not come in time. That ends the context too, but
// whoever sends it still hears.
func late(err error) bool {
	var refused *refusal
	return errors.As(err, &refused) && refused.status == http.StatusRequestTimeout
}

// refuse answers with an error.
func refuse(w http.ResponseWriter, err error) {
	status, body := http.StatusUnprocessableEntity, map[string]string{"error": err.Error()}
	var (
		refused  *refusal
		override *plan.OverrideError
		deed     *alter.Refusal
		tooLarge *http.MaxBytesError
		bug      *crew.Panic
	)
	switch {
	case errors.As(err, &bug):
		status, body["error"], body["hint"] = http.StatusInternalServerError, "this is a bug in choirloft; your files are fine",
			"save what you have, or copy your text elsewhere, and start the page again"
	case errors.As(err, &refused):
		status, body["hint"] = refused.status, refused.hint
	case errors.As(err, &override):
		body["hint"] = override.Hint
	case errors.As(err, &deed):
		body["hint"] = deed.Hint
	case errors.As(err, &tooLarge):
		status, body["error"] = http.StatusRequestEntityTooLarge, fmt.Sprintf("more than %d bytes", tooLarge.Limit)
	}
	if w.Header().Get("Content-Type") != linesType { // which has begun: it ends in the error
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(status)
	}
	json.NewEncoder(w).Encode(body)
}

// read reads the JSON of a request.
func read[T any](w http.ResponseWriter, r *http.Request, most int64) (T, error) {
	var value T
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, most))
	d.DisallowUnknownFields()
	if err := d.Decode(&value); err != nil {
		var (
			tooLarge *http.MaxBytesError
			refused  *refusal
		)
		if errors.As(err, &tooLarge) || errors.As(err, &refused) {
			return value, err
		}
		return value, &refusal{http.StatusBadRequest, "this is not what the page sends: " + err.Error(), ""}
	}
	return value, nil
}

// send writes a report as the command prints it.
func send(w http.ResponseWriter, value any) error {
	say.Fill(value)
	data, err := contract.JSON(value)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	_, err = w.Write(data)
	return err
}
