package page

import (
	"context"
	"encoding/json"
	"math"
	"net/http"
	"slices"
	"sync"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/figures"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/advise"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// sized works out the size of a song, without remedies, and what is heard.
func sized(ctx context.Context, p *plan.Plan, o plan.Overrides, song Song) (*whatif.Session, contract.SizeInput, error) {
	in := contract.SizeInput{Plan: p, File: song.Name, Song: song.MIDI}
	rules, err := plan.Rulesets(p, []string{"few"})
	if err != nil {
		return nil, in, err
	}
	session, err := whatif.New(p.Unchanged, o, song.MIDI)
	if err != nil {
		return nil, in, err
	}
	in.Now = session.Before()
	session.Limit(whatif.UsualBudget)
	if in.Sizing, err = session.Size(ctx, study.SizingOptions{Rulesets: rules}); err != nil {
		return nil, in, err
	}
	in.Covered = session.Covered
	in.Heard, err = session.Listen(ctx, in.Sizing)
	return session, in, err
}

// newSize is the answer of the command, with its sentences.
func newSize(p *plan.Plan, in contract.SizeInput) *contract.Size {
	size := contract.NewSize(p, contract.NewSizeResult(in))
	say.Fill(size)
	return size
}

// sizeAnswer is how many voices a song needs.
type sizeAnswer struct {
	*contract.Size
	Axis *figures.Sizes `json:"axis"`
	told
}

func (s *server) size(w http.ResponseWriter, r *http.Request) error {
	_, p, o, song, err := s.ask(w, r, true)
	if err != nil {
		return err
	}
	_, in, err := sized(r.Context(), p, o, song)
	if err != nil {
		return err
	}
	size := newSize(p, in)
	axis := figures.NewSizes(&size.SizeResult)
	axis.Marks = say.SizeMarks(&size.SizeResult)
	return send(w, &sizeAnswer{size, axis, tellSize(size, s.command("size", o, song.typed()))})
}

// axisAnswer is what numbers of voices cost.
type axisAnswer struct {
	Axis *figures.Sizes `json:"axis"`
}

// axis answers with what numbers of voices cost a part by itself.
func (s *server) axis(w http.ResponseWriter, r *http.Request) error {
	q, p, o, song, err := s.ask(w, r, true)
	if err != nil {
		return err
	}
	part := slices.IndexFunc(p.Rules.Config.Parts, func(x alloc.Part) bool { return x.Name == q.Part })
	if part < 0 {
		return &refusal{http.StatusNotFound, "no part " + q.Part, ""}
	}
	rules, err := plan.Rulesets(p, []string{"few"})
	if err != nil {
		return err
	}
	session, err := whatif.New(p.Unchanged, o, song.MIDI)
	if err != nil {
		return err
	}
	session.Limit(whatif.UsualBudget)
	sizing, err := session.SizePart(r.Context(), part, study.SizingOptions{Rulesets: rules})
	if err != nil {
		return err
	}
	in := contract.SizeInput{Plan: p, File: song.Name, Song: song.MIDI, Now: session.Before()}
	size := contract.NewPartSize(in, part, sizing)
	return send(w, &axisAnswer{figures.NewSizes(&contract.SizeResult{Curve: size.Curve})})
}

// tellSize says a size as the command writes it to a file.
func tellSize(size *contract.Size, command string) told {
	return tell(say.Size(size, say.Paper), paper.SizeFigures(size), command)
}

// compareAnswer is how many voices all songs need.
type compareAnswer struct {
	*contract.SizeSongs
	told
}

// compare sizes every song on the desk.
func (s *server) compare(w http.ResponseWriter, r *http.Request) error {
	_, p, o, _, err := s.ask(w, r, false)
	if err != nil {
		return err
	}
	s.desk.mu.RLock()
	songs := s.desk.songs
	s.desk.mu.RUnlock()
	var results []*contract.SizeResult
	for _, song := range songs {
		_, in, err := sized(r.Context(), p, o, song)
		if err != nil {
			return err
		}
		results = append(results, contract.NewSizeResult(in))
	}
	all := contract.NewSizeSongs(p, results, nil)
	say.Fill(all)
	return send(w, &compareAnswer{all, told{Doc: say.SizeSongs(all)}})
}

// longestSearch is how long pairs may be looked for.
const longestSearch = 10 * time.Minute

// stepView is how far a search is, by what it has done and what there is to do, or at last what it has found.
type stepView struct {
	What    string            `json:"what,omitempty"`
	Done    int               `json:"done"`
	All     int               `json:"all"`
	Size    *contract.Size    `json:"size,omitempty"`
	Doc     *doc.Doc          `json:"doc,omitempty"`
	Figures map[string]string `json:"figures,omitempty"`
	Ways    []wayView         `json:"ways,omitempty"` // of the fixes of the size, one each
}

// fixes tries remedies, and tells how far it is, a line a step.
func (s *server) fixes(w http.ResponseWriter, r *http.Request) error {
	q, p, o, song, err := s.ask(w, r, true)
	if err != nil {
		return err
	}
	session, in, err := sized(r.Context(), p, o, song)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", linesType)
	steps := &stepWriter{w: w}
	budget := whatif.UsualBudget
	if q.Pairs > 0 {
		budget += min(time.Duration(q.Pairs*float64(time.Second)), longestSearch)
	}
	step := steps.of("remedies")
	s.search(r.Context(), func(ctx context.Context) {
		in.Fixes, err = advise.Find(ctx, []*whatif.Session{session}, advise.Options{Work: study.NewBudget(budget).Left(math.MaxInt64), Pairs: q.Pairs > 0, Keep: true,
			Progress: func(played int) { step(played, played+1) }})
	})
	if err != nil {
		return err
	}
	in.Covered = session.Covered
	size := newSize(p, in)
	ways, err := viewWays(size.Fixes)
	if err != nil {
		return err
	}
	said := tellSize(size, s.command("size", o, song.typed()))
	return steps.line(&stepView{Size: size, Doc: said.Doc, Figures: said.Figures, Ways: ways})
}

// search does what may be stopped by another request, of which there is one at
// a time: a new one ends the one before.
func (s *server) search(ctx context.Context, do func(context.Context)) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s.searching.Lock()
	if s.stop != nil {
		s.stop()
	}
	s.stop = cancel
	s.searching.Unlock()
	do(ctx)
}

func (s *server) stopSearch(w http.ResponseWriter, _ *http.Request) error {
	s.searching.Lock()
	defer s.searching.Unlock()
	if s.stop != nil {
		s.stop()
		s.stop = nil
	}
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// linesType is the type of an answer that comes a line of JSON a step. What goes
// wrong once it has begun is its last line.
const linesType = "application/x-ndjson"

// stepWriter writes lines of JSON as they come, seldom enough to be read.
type stepWriter struct {
	mu   sync.Mutex
	w    http.ResponseWriter
	last time.Time
}

func (s *stepWriter) line(value any) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := json.NewEncoder(s.w).Encode(value); err != nil {
		return err
	}
	return http.NewResponseController(s.w).Flush()
}

// of returns a function that tells how much of something is done.
func (s *stepWriter) of(what string) func(done, all int) {
	return func(done, all int) {
		s.mu.Lock()
		soon := time.Since(s.last) < 50*time.Millisecond && done < all
		if !soon {
			s.last = time.Now()
		}
		s.mu.Unlock()
		if !soon {
			s.line(&stepView{What: what, Done: done, All: all})
		}
	}
}
