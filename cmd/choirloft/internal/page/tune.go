package page

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"strings"
	"time"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/measured"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
	"choirloft/routing/take"
	"choirloft/routing/take/recorded"
	"choirloft/routing/tuning"
)

// withinCents is up to where a voice counts as in tune, as the command has it by default.
const withinCents = 3

// measuring is how measurements are to be taken, and whether they go into the text.
type measuring struct {
	Turned  string `json:"turned"` // as --turned has it
	Instead bool   `json:"instead"`
	Date    string `json:"date"`
	Write   bool   `json:"write"`
	origin
}

// flags are those of the command that says the same.
func (m *measuring) flags() (flags []string) {
	for _, f := range [][2]string{{"--date", m.Date}, {"--turned", m.Turned}} {
		if f[1] != "" {
			flags = append(flags, f[0], f[1])
		}
	}
	if m.Instead {
		flags = append(flags, "--instead-of-trimming")
	}
	return flags
}

// measuredView is what measurements say.
type measuredView struct {
	Tune *contract.Tune `json:"tune,omitempty"`
	Took *contract.Took `json:"took,omitempty"`
	// Writes: the text would change. Desk is that with the values in its text, where they were to be written.
	Writes bool      `json:"writes"`
	Desk   *deskView `json:"desk,omitempty"`
	// Command says the same, where the files lie beside the rig.
	Command string `json:"command"`
	told
}

// job is that of the text on the desk.
func (s *server) job(m *measuring) (*measured.Job, error) {
	if _, err := time.Parse(time.DateOnly, m.Date); m.Date != "" && err != nil {
		return nil, &refusal{http.StatusUnprocessableEntity, fmt.Sprintf("date: found %q, want one as in 2026-11-25", cleanName(m.Date)), ""}
	}
	file, err := s.desk.file()
	if err != nil {
		return nil, err
	}
	j := &measured.Job{File: file, Name: filepath.Base(file.Path), Within: withinCents, Date: m.Date, Instead: m.Instead, Write: m.Write}
	var names []string
	if strings.TrimSpace(m.Turned) != "" {
		names = strings.Split(m.Turned, ",")
	}
	j.Turned, err = measured.Turned(names, file.Rig)
	return j, said(err)
}

// file is the rig on the desk, which must be without faults.
func (d *Desk) file() (*profiles.File, error) {
	d.mu.RLock()
	defer d.mu.RUnlock()
	if len(d.faults) > 0 {
		return nil, &refusal{http.StatusUnprocessableEntity, fmt.Sprintf("the text has %d faults", len(d.faults)), "correct those first, in the rig text"}
	}
	return &profiles.File{Path: d.path, Data: bytes.Clone(d.text), Rig: d.rig}, nil
}

// replace puts a text in the place of one that must still be there.
func (d *Desk) replace(was, now *profiles.File, by origin) error {
	if len(now.Data) > maxText {
		return fmt.Errorf("a rig of %d bytes, want at most %d", len(now.Data), maxText)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.overtaken(by) || !bytes.Equal(d.text, was.Data) {
		return errOvertaken
	}
	d.write(now.Data, by)
	d.rig = now.Rig
	return nil
}

// readings answers as tune does to a table or a list of readings.
func (s *server) readings(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		Name    string `json:"name"`
		Text    string `json:"text"`
		Through string `json:"through"` // nothing or corrections; empty where nobody says
		measuring
	}](w, r, 2*profiles.MaxBytes)
	if err != nil {
		return err
	}
	through := tuning.NotSaid
	if body.Through != "" {
		if through, err = tuning.ParseThrough(body.Through); err != nil {
			return &refusal{http.StatusUnprocessableEntity, "through: " + err.Error(), ""}
		}
	}
	j, err := s.job(&body.measuring)
	if err != nil {
		return err
	}
	name := cleanName(body.Name)
	list, err := measured.Read(name, []byte(body.Text), j.File.Rig)
	if err != nil {
		return said(err)
	}
	t, after, err := j.Readings(list, through, nil)
	if err != nil {
		return said(err)
	}
	say.Fill(t)
	flags := append([]string{name}, body.flags()...)
	if body.Through != "" {
		flags = append(flags, "--through", body.Through)
	}
	return s.tell(w, j, after, &body.measuring, &measuredView{Tune: t, told: told{Doc: say.Tune(t)}, Command: s.tuneCommand(flags)})
}

// took answers as tune does to the recording of a take, with the voices that a song needs before and after.
func (s *server) took(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		ID   string `json:"id"`
		Song string `json:"song"`
		measuring
	}](w, r, 1<<16)
	if err != nil {
		return err
	}
	one, err := s.takes.find(body.ID)
	if err != nil {
		return err
	}
	if one.result == nil {
		return &refusal{http.StatusUnprocessableEntity, "the recording of " + one.name + " is missing", "add it, a WAV file"}
	}
	j, err := s.job(&body.measuring)
	if err != nil {
		return err
	}
	result, err := again(one, j.File.Rig)
	if err != nil {
		return err
	}
	var songs []measured.Song
	var names []string
	if body.Song != "" {
		song, ok := s.desk.song(body.Song)
		if !ok {
			return noSong(body.Song)
		}
		songs, names = append(songs, measured.Song{File: song.Name, MIDI: song.MIDI}), append(names, song.typed())
	}
	t, after, err := j.Take(r.Context(), measured.Played{Result: result, Take: one.name, Recording: one.recording}, songs...)
	if err != nil {
		return said(err)
	}
	say.Fill(t)
	words := append(append(names, "--take", one.name, "--wav", one.recording), body.flags()...)
	return s.tell(w, j, after, &body.measuring, &measuredView{Took: t, told: tell(say.Took(t, say.All), paper.TakeFigures(t), ""), Command: s.tuneCommand(words)})
}

// again is what a recording says of the rig as it stands now: of other cables it says nothing.
func again(one playedTake, rig *profiles.Rig) (*recorded.Result, error) {
	p, err := plan.Build(rig, plan.Overrides{})
	if err != nil {
		return nil, err
	}
	t, err := take.Read(p, one.song)
	if err != nil {
		return nil, named(one.name, err)
	}
	result := *one.result
	result.Take = t
	return &result, nil
}

// tell sends what measurements say, and puts the values into the text if they are to be written.
func (s *server) tell(w http.ResponseWriter, j *measured.Job, after *profiles.File, m *measuring, v *measuredView) error {
	v.Writes = !bytes.Equal(after.Data, j.File.Data)
	if m.Write && v.Writes {
		if err := s.desk.replace(j.File, after, m.origin); err != nil {
			return conflict(err)
		}
		v.Desk = s.view()
	}
	return send(w, v)
}

// tuneCommand is what one types for the same answer.
func (s *server) tuneCommand(words []string) string {
	return say.Typed(append([]string{"choirloft", "tune", s.desk.typed()}, words...))
}

// said gives what is wrong with measurements its hint.
func said(err error) error {
	var refused *measured.Error
	var faults profiles.Faults
	switch {
	case errors.As(err, &refused):
		return &refusal{http.StatusUnprocessableEntity, refused.Error(), refused.Hint}
	case errors.As(err, &faults):
		message := faults[0].String()
		if n := len(faults) - 1; n > 0 {
			message += fmt.Sprintf(", and %d more", n)
		}
		return &refusal{http.StatusUnprocessableEntity, message, faults[0].Hint}
	}
	return err
}

// named gives what is wrong with a file its name and its hint.
func named(file string, err error) error {
	var undealt *deal.Error
	var refused *recorded.Refusal
	switch {
	case errors.As(err, &undealt):
		return &refusal{http.StatusUnprocessableEntity, file + ": " + undealt.Message, undealt.Hint}
	case errors.As(err, &refused):
		return &refusal{http.StatusUnprocessableEntity, file + ": " + refused.Message, refused.Hint}
	}
	return err
}
