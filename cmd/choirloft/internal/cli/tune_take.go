package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"choirloft/cmd/choirloft/internal/measured"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/plan"
	"choirloft/routing/take"
	"choirloft/routing/take/recorded"
)

// allowTake refuses what does not go with a take, or only with one.
func (t *tune) allowTake() error {
	if t.take == "" {
		if t.bank {
			return &usageError{"--bank is for a take", "name it with --take, and the folder of its recordings with --wav"}
		}
		if t.verify {
			return &usageError{"--verify is for a take", "name it with --take, and its recording with --wav"}
		}
		if t.out.pictures() {
			return &usageError{fmt.Sprintf("-o %s: a picture is of a take", t.out.file), "name it with --take, or end the file in .pdf"}
		}
		return nil
	}
	if t.verify && t.write {
		return &usageError{"--verify and --write cannot go together: what verifies corrections makes none", "give one of them"}
	}
	if t.folder == "" {
		return &usageError{"--take needs the recording of it", "add --wav recording.wav"}
	}
	if t.through != "" {
		return &usageError{"--through and --take cannot go together", "leave it out: the take says what its keys went through"}
	}
	t.date = t.out.printing.date
	if _, err := time.Parse(time.DateOnly, t.date); t.date != "" && err != nil {
		return &usageError{fmt.Sprintf("--date %s: found %q, want a date as in 2026-11-25", t.date, t.date), ""}
	}
	if today := time.Now().Format(time.DateOnly); t.date > today {
		return &usageError{fmt.Sprintf("--date %s: that is after today, %s", t.date, today), "give the day on which the take was recorded"}
	}
	if t.out.file == "" {
		t.out.printing.date = "" // it is no date of pages
	}
	return nil
}

// runTake reads a recording of a take, and what it says of tuning as readings.
func (t *tune) runTake(ctx context.Context, j *measured.Job, names []string) error {
	p, err := plan.Build(j.File.Rig, plan.Overrides{})
	if err != nil {
		return err
	}
	result, err := t.hear(ctx, p)
	if err != nil {
		return err
	}
	var songs []measured.Song
	for _, name := range names {
		song, err := t.readSong(ctx, name, 0)
		if err != nil {
			return err
		}
		songs = append(songs, measured.Song{File: name, MIDI: song})
	}
	r, after, err := j.Take(ctx, measured.Played{Result: result, Take: t.take, Recording: t.folder, Verify: t.verify}, songs...)
	if err != nil {
		return told(err)
	}
	t.out.figures = paper.TakeFigures(r)
	t.out.views = map[string]func(io.Writer) error{".svg": func(w io.Writer) error { return paper.TakeSVG(w, r, t.out.options) }, ".png": func(w io.Writer) error { return paper.TakePNG(w, r, t.out.options) }}
	return t.finish(ctx, j.File, after, r.Written != nil, r, say.Took(r, t.room()))
}

// room is that of the screen, or with --all or in a file as much as there is.
func (t *tune) room() say.Room {
	if t.all || t.out.file != "" {
		return say.All
	}
	return say.Screen
}

// hear reads the take that was played, and its recording.
func (t *tune) hear(ctx context.Context, p *plan.Plan) (*recorded.Result, error) {
	song, err := t.readSong(ctx, t.take, 0)
	if err != nil {
		return nil, err
	}
	played, err := take.Read(p, song)
	if err != nil {
		return nil, within(t.take, err)
	}
	opened, from, err := t.recording(played)
	defer func() {
		for _, f := range opened {
			f.Close()
		}
	}()
	if err != nil {
		return nil, err
	}
	result, err := measured.Hear(ctx, played, from)
	var refused *recorded.Refusal
	if errors.As(err, &refused) {
		return nil, &fileError{t.folder, refused.Message, refused.Hint}
	}
	return result, err
}
