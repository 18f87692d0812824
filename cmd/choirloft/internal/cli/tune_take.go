package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/take"
	"choirloft/routing/take/recorded"
	"choirloft/routing/tuning"
)

// allowTake refuses what does not go with a take, or only with one.
func (t *tune) allowTake() error {
	if t.take == "" {
		return nil
	}
	if t.folder == "" {
		return &usageError{"--take needs the recording of it", "add --wav recording.wav"}
	}
	if t.through != "" {
		return &usageError{"--through and --take are at odds", "leave it out: the take says what its keys went through"}
	}
	t.date = t.out.printing.date
	if _, err := time.Parse(time.DateOnly, t.date); t.date != "" && err != nil {
		return &usageError{fmt.Sprintf("--date %s: found %q, want a date as in 2026-11-25", t.date, t.date), ""}
	}
	if t.out.file == "" {
		t.out.printing.date = "" // it is no date of pages
	}
	return nil
}

// runTake reads a recording of a take, and what it says of tuning as readings.
func (t *tune) runTake(ctx context.Context, file *profiles.File, rigFile string) error {
	in := contract.TuneInput{RigFile: rigFile}
	var err error
	if in.Before, err = plan.Build(file.Rig, plan.Overrides{}); err != nil {
		return err
	}
	result, err := t.hear(ctx, in.Before)
	if err != nil {
		return err
	}
	through := tuning.Nothing
	if result.Take.Through {
		through = tuning.ThroughCorrections
		if t.write {
			return &usageError{"--write: this take went through the corrections, so that it verifies them and makes none", "write one without --through"}
		}
	}
	after, err := t.released(file, result)
	if err != nil {
		return err
	}
	took := contract.TookInput{Result: result, RigFile: rigFile, Take: t.take, Recording: t.folder}
	readings := result.Tuned(t.folder)
	for i := range readings {
		readings[i].Date = t.date
	}
	if in.Readings = len(readings); in.Readings > 0 {
		if after, err = t.study(after, readings, through, &in); err != nil {
			return err
		}
		took.Tuning = contract.NewTune(in)
	}
	if t.write && !bytes.Equal(after.Data, file.Data) {
		in.Written, took.Written = file.Path, file.Path
	}
	r := contract.NewTook(took)
	return t.finish(ctx, file, after, &in, r, say.Took(r))
}

// released is the file with the releases that were measured, where they are to be written.
func (t *tune) released(file *profiles.File, result *recorded.Result) (*profiles.File, error) {
	settings := recorded.Settings(file.Rig, result.Releases(), plan.TypedTime)
	if !t.write || len(settings) == 0 {
		return file, nil
	}
	after := &profiles.File{Path: file.Path}
	err := file.Beside(func(beside fs.FS) (err error) {
		after.Data, after.Rig, err = profiles.WithSettings(file.Path, file.Data, settings, beside)
		return err
	})
	if err != nil {
		return nil, &fileError{file.Path, err.Error(), ""}
	}
	return after, nil
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
	f, err := os.Open(t.folder)
	if err != nil {
		return nil, unreadable(t.folder, err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err == nil && !info.Mode().IsRegular() {
		return nil, &fileError{t.folder, "this is no file: a recording of a take is one WAV file", "name the file with --wav"}
	}
	if err != nil {
		return nil, unreadable(t.folder, err)
	}
	sound, err := tuning.OpenSound(f, info.Size())
	if err != nil {
		return nil, &fileError{t.folder, err.Error(), ""}
	}
	result, err := recorded.Read(played, sound)
	var refused *recorded.Refusal
	if errors.As(err, &refused) {
		return nil, &fileError{t.folder, refused.Message, refused.Hint}
	}
	return result, err
}
