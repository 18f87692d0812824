package page

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"slices"
	"strconv"
	"sync"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/measured"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/routing/plan"
	"choirloft/routing/take"
	"choirloft/routing/take/recorded"
	"choirloft/routing/tuning"
)

// Limits of takes.
const (
	maxRecording = 512 << 20 // bytes: half an hour of 24 bits in stereo
	mostTakes    = 4         // that are kept, the latest
)

// recordingPath is where recordings come in, which take longer than anything else.
const recordingPath = "/api/recording"

// played is a take that somebody has played, and what its recording says once that is there.
type playedTake struct {
	id, name, recording string
	song                *midi.Song
	result              *recorded.Result // nil before
}

// takes are those that were played. One recording is read at a time: it takes all processors.
type takes struct {
	mu      sync.Mutex
	next    int
	list    []playedTake
	reading sync.Mutex
}

func (t *takes) add(one playedTake) string {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.next++
	one.id = strconv.Itoa(t.next)
	t.list = append(t.list, one)
	t.list = t.list[max(0, len(t.list)-mostTakes):]
	return one.id
}

func (t *takes) find(id string) (playedTake, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	i := slices.IndexFunc(t.list, func(one playedTake) bool { return one.id == id })
	if i < 0 {
		return playedTake{}, &refusal{http.StatusNotFound, "no take " + cleanName(id) + " is here", "add the take and its recording again"}
	}
	return t.list[i], nil
}

// heard keeps what a recording says of a take.
func (t *takes) heard(id, recording string, result *recorded.Result) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for i := range t.list {
		if t.list[i].id == id {
			t.list[i].recording, t.list[i].result = recording, result
		}
	}
}

// takeAnswer is a take to be played.
type takeAnswer struct {
	*contract.Take
	told
}

// makeTake answers with what a take plays, its cautions first, or with "file" set with the take itself.
func (s *server) makeTake(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		Short   bool `json:"short"`
		Through bool `json:"through"`
		File    bool `json:"file"`
	}](w, r, 1<<16)
	if err != nil {
		return err
	}
	p, err := s.desk.plan(plan.Overrides{})
	if err != nil {
		return err
	}
	t, err := take.New(p, take.Options{Short: body.Short, Through: body.Through})
	if err != nil {
		return err
	}
	if !body.File {
		v := contract.NewTake(t, s.desk.typed(), []string{"take.mid"}, false)
		say.Fill(v)
		return send(w, &takeAnswer{v, told{Doc: say.Take(v)}})
	}
	score, err := t.Score()
	if err != nil {
		return err
	}
	data, err := score.Bytes()
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "audio/midi")
	_, err = w.Write(data)
	return err
}

// playedView is a take that was played.
type playedView struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Says string `json:"says"`
}

// addPlayed takes the MIDI file of a take that was played.
func (s *server) addPlayed(w http.ResponseWriter, r *http.Request) error {
	name, song, err := s.sent(w, r)
	if err != nil {
		return err
	}
	p, err := s.desk.plan(plan.Overrides{})
	if err != nil {
		return err
	}
	t, err := take.Read(p, song)
	if err != nil {
		return named(name, err)
	}
	v := contract.NewTake(t, s.desk.typed(), []string{name}, false)
	say.Fill(v)
	return send(w, &playedView{s.takes.add(playedTake{name: name, song: song}), name, v.Summary})
}

// addRecording reads the recording of a take that was played. It goes to a file that is gone
// afterwards, so that the memory never holds it.
func (s *server) addRecording(w http.ResponseWriter, r *http.Request) error {
	one, err := s.takes.find(r.URL.Query().Get("take"))
	if err != nil {
		return err
	}
	p, err := s.desk.plan(plan.Overrides{})
	if err != nil {
		return err
	}
	t, err := take.Read(p, one.song)
	if err != nil {
		return named(one.name, err)
	}
	name := cleanName(r.URL.Query().Get("name"))
	file, err := s.desk.tools.Scratch()
	if err != nil {
		return fmt.Errorf("no room for the recording: %w", err)
	}
	defer func() {
		file.Close()
		os.Remove(file.Name()) // where the system has not let go of it before
	}()
	size, err := io.Copy(file, http.MaxBytesReader(w, r.Body, maxRecording))
	if err != nil {
		return tooLong(name, err)
	}
	sound, err := tuning.OpenSound(file, size)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	result, err := s.hear(r.Context(), t, sound)
	if err != nil {
		return named(name, err)
	}
	s.takes.heard(one.id, name, result)
	return send(w, &playedView{one.id, name, ""})
}

// tooLong says how long a recording may be.
func tooLong(name string, err error) error {
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return &refusal{http.StatusRequestEntityTooLarge, fmt.Sprintf("%s has more than %d MiB", name, maxRecording>>20), "record the take in mono, or with fewer frames a second"}
	}
	return err
}

// hear reads a recording, one at a time.
func (s *server) hear(ctx context.Context, t *take.Take, sound *tuning.Sound) (*recorded.Result, error) {
	s.takes.reading.Lock()
	defer s.takes.reading.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return measured.Hear(ctx, t, recorded.Mix(sound))
}
