package measured

import (
	"bytes"
	"context"
	"io/fs"
	"runtime/debug"
	"slices"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/take"
	"choirloft/routing/take/recorded"
	"choirloft/routing/tuning"
	"choirloft/routing/whatif"
)

// Played is a take that was recorded, and what the recording says of it.
type Played struct {
	Result          *recorded.Result
	Take, Recording string // the names of their files
	Verify          bool   // it must have gone through the corrections
}

// oftener is how much may be left uncollected while a recording is read, in per cent of
// what is kept.
const oftener = 60

// Hear reads the recording of a take: ten minutes of 24 voices within 200 MB. The error is a *[recorded.Refusal], or that of ctx.
func Hear(ctx context.Context, t *take.Take, from recorded.Recording) (*recorded.Result, error) {
	defer debug.SetGCPercent(debug.SetGCPercent(oftener))
	return recorded.Read(ctx, t, from)
}

// Song is a song of which is said how many voices it needs.
type Song struct {
	File string
	MIDI *midi.Song
}

// Take says what the recording of a take tells, and how many voices songs need before and after,
// of which the last counts. It returns the file with all in it that was measured. Errors are *[Error], or that of ctx.
func (j *Job) Take(ctx context.Context, played Played, songs ...Song) (*contract.Took, *profiles.File, error) {
	in, err := j.input()
	if err != nil {
		return nil, nil, err
	}
	r := played.Result
	took := contract.TookInput{Result: r, RigFile: j.Name, Take: played.Take, Recording: played.Recording, Within: j.Within, Date: j.Date, Asked: j.Write}
	after := j.File
	switch through := r.Take.Through; {
	case through && j.Write:
		return nil, nil, &Error{"", "--write: this take went through the corrections, so that it verifies them and makes none", "write one without --through"}
	case played.Verify && !through:
		return nil, nil, &Error{"", "--verify: this take went through no corrections, so that it cannot verify them", "write one with --through, and record that"}
	case !through:
		if day := r.SameAs(j.Date); j.Date != "" && day != "" {
			return nil, nil, &Error{played.Recording, "every pitch is that of " + day + ", to a hundredth of a cent: this is the same recording", "give it --date " + day + ", or record the take again"}
		}
		if after, err = j.measured(played, &in, &took); err != nil {
			return nil, nil, err
		}
	}
	for _, song := range songs {
		if took.Needs, err = needs(ctx, song, j.File.Rig, after.Rig, r); err != nil {
			return nil, nil, err
		}
	}
	if j.Write && !bytes.Equal(after.Data, j.File.Data) {
		took.Written = j.File.Path
	}
	return contract.NewTook(took), after, nil
}

// measured is the file with all in it that a recording measured.
func (j *Job) measured(played Played, in *contract.TuneInput, took *contract.TookInput) (*profiles.File, error) {
	file, result := j.File, played.Result
	readings := result.Tuned(played.Recording)
	for i := range readings {
		readings[i].Date = j.Date
	}
	if j.Date != "" {
		earlier := slices.DeleteFunc(result.Earlier(j.Date), func(r tuning.Reading) bool { return slices.Contains(in.Turned, r.Voice) })
		readings = append(readings, earlier...)
	}
	after, days := file, map[int]recorded.Days{}
	for _, voice := range in.Turned {
		days[voice] = recorded.Anew
	}
	if in.Readings = len(readings); in.Readings > 0 {
		var err error
		if after, err = j.study(readings, tuning.Nothing, in); err != nil {
			return nil, err
		}
		took.Tuning = contract.NewTune(*in)
		for _, v := range in.Study.Voices {
			if v.ByHand {
				days[v.Voice] = recorded.Ended
			}
		}
	}
	took.Answers = result.Answers(j.Date, func(voice int) recorded.Days { return days[voice] })
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
		return nil, &Error{file.Path, err.Error(), ""}
	}
	return written, nil
}

// needs says how many voices a song needs on the rig as it was, and as it was measured without
// the voices that do not answer as they should; nil where none does.
func needs(ctx context.Context, song Song, before, after *profiles.Rig, result *recorded.Result) (*contract.TookNeeds, error) {
	var away []string
	for i := range result.Voices {
		if v := &result.Voices[i]; v.State != recorded.OK {
			away = append(away, before.Voices[v.Voice].Name)
		}
	}
	if len(away) == len(before.Voices) {
		return nil, nil
	}
	was, _, err := sized(ctx, song, before, plan.Overrides{})
	if err != nil {
		return nil, err
	}
	is, measured, err := sized(ctx, song, after, plan.Overrides{Without: away})
	if err != nil {
		return nil, err
	}
	return contract.NewTookNeeds(was, is, measured), nil
}

// sized is the size of a song on a rig by the rules that its parts have.
func sized(ctx context.Context, song Song, rig *profiles.Rig, o plan.Overrides) (*contract.SizeResult, *plan.Plan, error) {
	p, err := plan.Build(rig, o)
	if err != nil {
		return nil, nil, err
	}
	session, err := whatif.New(p.Unchanged, o, song.MIDI)
	if err != nil {
		return nil, nil, err
	}
	session.Limit(whatif.UsualBudget)
	in := contract.SizeInput{Plan: p, File: song.File, Song: song.MIDI, Now: session.Before()}
	if in.Sizing, err = session.Size(ctx, study.SizingOptions{}); err != nil {
		return nil, nil, err
	}
	if in.Heard, err = session.Listen(ctx, in.Sizing); err != nil {
		return nil, nil, err
	}
	in.Covered = session.Covered
	return contract.NewSizeResult(in), p, nil
}
