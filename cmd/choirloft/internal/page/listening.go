package page

import (
	"bytes"
	"context"
	"errors"
	"math"
	"net/http"
	"strconv"

	"choirloft/routing/listen"
)

// Limits of what the page makes audible.
const (
	excerpt      = 6 * listen.Rate // frames at once
	leadIn       = listen.Rate     // before what is asked for
	loudLooked   = 6 * listen.Rate // for the gain
	mostSketches = 2               // worked out at once
)

// sketched is a song ready to be made audible, and the gain that all its excerpts have.
type sketched struct {
	*listen.Sketch
	gain float64
}

// sketch makes one of what was played, or finds it made.
func (x *played) sketch(ctx context.Context) (*sketched, error) {
	x.sketching.Lock()
	defer x.sketching.Unlock()
	if x.sketched != nil {
		return x.sketched, nil
	}
	s, err := listen.New(x.plan, x.song.MIDI)
	if err != nil {
		return nil, err
	}
	peaks, err := s.Loudest(ctx, loudLooked)
	if err != nil {
		return nil, err
	}
	x.sketched = &sketched{s, peaks.Gain()}
	return x.sketched, nil
}

// versions are those of an excerpt, by name.
var versions = map[string]listen.Version{"asked": listen.Asked, "played": listen.Played, "missing": listen.Missing}

// listen answers with six seconds of a song as a sound file, from a second before a time
// on. It stops where nobody waits for it any more.
func (s *server) listen(w http.ResponseWriter, r *http.Request) error {
	q, p, o, song, err := s.ask(w, r, true)
	if err != nil {
		return err
	}
	version, ok := versions[q.Version]
	if !ok || math.IsNaN(q.AtS) || q.AtS < 0 || q.AtS > 1e9 {
		return &refusal{http.StatusBadRequest, "no excerpt of this kind, want asked, played or missing, from 0 s on", ""}
	}
	ctx := r.Context()
	done, err := s.begin(ctx)
	if err != nil {
		return err
	}
	defer done()
	x, err := s.perform(ctx, p, o, song, false)
	if err != nil {
		return err
	}
	sketch, err := x.sketch(ctx)
	if err != nil {
		return inaudible(err)
	}
	from := max(0, min(int64(math.Round(q.AtS*listen.Rate))-leadIn, sketch.Frames-excerpt))
	take := &listen.Take{Part: -1, Gain: sketch.gain, Name: p.Rig.Name + ": " + song.Name,
		Sections: []listen.Section{{Version: version, From: from, To: min(from+excerpt, sketch.Frames)}}}
	w.Header().Set("X-From-S", strconv.FormatFloat(float64(from)/listen.Rate, 'f', 4, 64)) // in the song
	return sendSound(ctx, w, sketch.Sketch, take)
}

// begin waits until fewer sketches are worked out, and returns what ends this one.
func (s *server) begin(ctx context.Context) (done func(), err error) {
	select {
	case s.sketches <- struct{}{}:
		return func() { <-s.sketches }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// inaudible says why there is nothing to hear.
func inaudible(err error) error {
	var silent *listen.Error
	if errors.As(err, &silent) {
		return &refusal{http.StatusUnprocessableEntity, silent.Message, silent.Hint}
	}
	return err
}

// sendSound answers with a take as a sound file. It stops where nobody waits for it any more.
func sendSound(ctx context.Context, w http.ResponseWriter, sketch *listen.Sketch, take *listen.Take) error {
	var sound bytes.Buffer
	if err := sketch.Write(&waited{&sound, ctx}, take, func(int64) {}); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "audio/wav")
	_, err := w.Write(sound.Bytes())
	return err
}

// waited fails to write what nobody waits for any more.
type waited struct {
	*bytes.Buffer
	ctx context.Context
}

func (w *waited) Write(data []byte) (int, error) {
	if err := w.ctx.Err(); err != nil {
		return 0, err
	}
	return w.Buffer.Write(data)
}
