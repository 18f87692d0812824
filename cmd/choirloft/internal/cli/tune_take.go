package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime/debug"
	"slices"
	"time"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/take"
	"choirloft/routing/take/recorded"
	"choirloft/routing/tuning"
	"choirloft/routing/whatif"
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
		return &usageError{"--verify and --write are at odds: what verifies corrections makes none", "give one of them"}
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
func (t *tune) runTake(ctx context.Context, file *profiles.File, in contract.TuneInput, songs []string) error {
	var err error
	if in.Before, err = plan.Build(file.Rig, plan.Overrides{}); err != nil {
		return err
	}
	result, err := t.hear(ctx, in.Before)
	if err != nil {
		return err
	}
	took := contract.TookInput{Result: result, RigFile: in.RigFile, Take: t.take, Recording: t.folder, Within: t.within, Date: t.date, Asked: t.write}
	after := file
	switch through := result.Take.Through; {
	case through && t.write:
		return &usageError{"--write: this take went through the corrections, so that it verifies them and makes none", "write one without --through"}
	case t.verify && !through:
		return &usageError{"--verify: this take went through no corrections, so that it cannot verify them", "write one with --through, and record that"}
	case !through:
		if day := result.SameAs(t.date); t.date != "" && day != "" {
			return &fileError{t.folder, "every pitch is that of " + day + ", to a hundredth of a cent: this is the same recording", "give it --date " + day + ", or record the take again"}
		}
		if after, err = t.measured(file, result, &in, &took); err != nil {
			return err
		}
	}
	for _, song := range songs {
		if took.Needs, err = t.needs(ctx, song, file.Rig, after.Rig); err != nil {
			return err
		}
	}
	if t.write && !bytes.Equal(after.Data, file.Data) {
		in.Written, took.Written = file.Path, file.Path
	}
	r := contract.NewTook(took)
	t.out.figures = paper.TakeFigures(r)
	t.out.views = map[string]func(io.Writer) error{".svg": func(w io.Writer) error { return paper.TakeSVG(w, r, t.out.options) }, ".png": func(w io.Writer) error { return paper.TakePNG(w, r, t.out.options) }}
	return t.finish(ctx, file, after, &in, r, say.Took(r, t.room()))
}

// measured is the file with all in it that a recording measured.
func (t *tune) measured(file *profiles.File, result *recorded.Result, in *contract.TuneInput, took *contract.TookInput) (*profiles.File, error) {
	readings := result.Tuned(t.folder)
	for i := range readings {
		readings[i].Date = t.date
	}
	if t.date != "" {
		earlier := slices.DeleteFunc(result.Earlier(t.date), func(r tuning.Reading) bool { return slices.Contains(in.Turned, r.Voice) })
		readings = append(readings, earlier...)
	}
	after, days := file, map[int]recorded.Days{}
	for _, voice := range in.Turned {
		days[voice] = recorded.Anew
	}
	if in.Readings = len(readings); in.Readings > 0 {
		var err error
		if after, err = t.study(file, readings, tuning.Nothing, in); err != nil {
			return nil, err
		}
		took.Tuning = contract.NewTune(*in)
		for _, v := range in.Study.Voices {
			if v.ByHand {
				days[v.Voice] = recorded.Ended
			}
		}
	}
	took.Answers = result.Answers(t.date, func(voice int) recorded.Days { return days[voice] })
	settings := recorded.Settings(file.Rig, result.Releases(), took.Answers, plan.TypedTime)
	if len(settings) == 0 {
		return after, nil
	}
	written := &profiles.File{Path: file.Path}
	err := file.Beside(func(beside fs.FS) (err error) {
		written.Data, written.Rig, err = profiles.WithSettings(file.Path, after.Data, settings, beside)
		return err
	})
	if err != nil {
		return nil, &fileError{file.Path, err.Error(), ""}
	}
	return written, nil
}

// room is that of the screen, or with --all or in a file as much as there is.
func (t *tune) room() say.Room {
	if t.all || t.out.file != "" {
		return say.All
	}
	return say.Screen
}

// needs says how many voices a song needs on the rig as it was, and as it was measured.
func (t *tune) needs(ctx context.Context, file string, before, after *profiles.Rig) (*contract.TookNeeds, error) {
	song, err := t.readSong(ctx, file, 0)
	if err != nil {
		return nil, err
	}
	var sizes []*contract.SizeResult
	var measured *plan.Plan
	for _, rig := range []*profiles.Rig{before, after} {
		p, err := plan.Build(rig, plan.Overrides{})
		if err != nil {
			return nil, err
		}
		measured = p
		s := size{app: t.app, plan: p, budget: whatif.UsualBudget}
		sized, err := s.study(ctx, file, song, false)
		if err != nil {
			return nil, err
		}
		sizes = append(sizes, sized)
	}
	return contract.NewTookNeeds(sizes[0], sizes[1], measured), nil
}

// oftener is how much may be left uncollected while a recording is read, in per cent of
// what is kept.
const oftener = 60

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
	defer debug.SetGCPercent(debug.SetGCPercent(oftener)) // ten minutes of 24 voices within 200 MB
	result, err := recorded.Read(ctx, played, from)
	var refused *recorded.Refusal
	if errors.As(err, &refused) {
		return nil, &fileError{t.folder, refused.Message, refused.Hint}
	}
	return result, err
}
