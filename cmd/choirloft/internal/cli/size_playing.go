package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"choirloft/alloc/study"
	"choirloft/alloc/study/estimate"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
)

// playing is what size works with when there is no song.
type playing struct {
	text   string
	seed   uint64
	length time.Duration
}

// longestRun is how long the random player plays at most.
const longestRun = 24 * time.Hour

func (p *playing) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&p.text, "playing", "", "without a song: how you play, in `WORDS` such as \"chords of 4, 2 a second, 0.8 s\"")
	f.Uint64Var(&p.seed, "seed", 1, "seed of the random player of --playing, a `NUMBER`")
	f.DurationVar(&p.length, "for", 10*time.Minute, "how `LONG` the random player of --playing plays")
}

// fewestNotes is how many the random player plays at least, on average.
const fewestNotes = 100

// forSongs are the flags of size that have no meaning without a song, and
// forPlaying those that have none with one.
var (
	forSongs   = []string{"rules", "by", "rack", "price", "sensitivity", "drill", "pairs", "fixes", "track", "report", "trim", "lift", "shorten", "doubles", "lines"}
	forPlaying = []string{"seed", "for"}
	// forLines are those that say how lines are printed that are joined.
	forLines = []string{"from", "json", "output", "paper", "date"}
)

// songsOrPlaying refuses a call that is not clearly one of the two.
func songsOrPlaying(cmd *cobra.Command, args []string) error {
	given := cmd.Flags().Changed("playing")
	hint := "see " + cmd.CommandPath() + " --help"
	refuse := func(flags []string, message string) error {
		for _, name := range flags {
			if cmd.Flags().Changed(name) {
				return &usageError{"--" + name + " " + message, hint}
			}
		}
		return nil
	}
	if cmd.Flags().Changed("from") {
		var others []string
		cmd.Flags().Visit(func(f *pflag.Flag) {
			if !slices.Contains(forLines, f.Name) {
				others = append(others, f.Name)
			}
		})
		return refuse(others, "goes with songs, and with --from they are sized already")
	}
	switch {
	case given && len(args) > 1:
		return &usageError{"found --playing and " + args[1] + ", want songs or a way of playing", "leave one of them out"}
	case given && len(args) == 1:
		return refuse(forSongs, "is for songs, there is none with --playing")
	case len(args) == 1:
		return &usageError{"found " + args[0] + ", want at least one song too, or how you play without a song", `name a song, or say --playing "chords of 4, 2 a second, 0.8 s"`}
	case len(args) == 0:
		return count(1, -1, `a rig file and at least one song, or a rig file and --playing "chords of 4, 2 a second, 0.8 s"`)(cmd, args)
	}
	return refuse(forPlaying, "is for --playing")
}

// noVoice refuses a rig that gives no example of a voice.
func noVoice(rigFile string) error {
	return &fileError{rigFile, "no voice is in service, and further voices are counted as like those that are", "put one into service: out and spare stand in its bank"}
}

// played estimates how many voices a way of playing wants.
func (s *size) played(ctx context.Context, rigFile string) error {
	if err := errors.Join(s.checkBudget(), s.out.check(rigFile), s.out.printing.check(&s.out)); err != nil {
		return err
	}
	if s.out.pictures() {
		return &usageError{"-o " + s.out.file + ": an estimate is not drawn", "take a document, such as .pdf"}
	}
	how, err := estimate.Parse(s.playing.text)
	if err != nil {
		return playingError(err)
	}
	rig, err := s.loadRig(ctx, rigFile)
	if err != nil {
		return err
	}
	if s.plan, err = plan.Build(rig, s.overrides); err != nil {
		return err
	}
	voices := s.plan.InService()
	if voices == 0 {
		return noVoice(rigFile)
	}
	model, err := estimate.New(s.plan.Rules, how)
	if err != nil {
		return playingError(err)
	}
	if err := s.playing.check(model); err != nil {
		return err
	}
	s.warn(s.plan)
	return s.estimate(ctx, model, voices)
}

// check refuses runs that say nothing, or never end.
func (p *playing) check(m *estimate.Model) error {
	switch least := m.ShortestRun(); {
	case p.length < least:
		return &usageError{fmt.Sprintf("--for %s: too short to tell, want at least %s, 40 times the longest note", p.length, least), ""}
	case p.length > longestRun:
		return &usageError{fmt.Sprintf("--for %s: want at most %s", p.length, longestRun), ""}
	}
	n := m.NotesIn(p.length)
	if n < fewestNotes {
		return &usageError{fmt.Sprintf("--for %s: this is %s notes, too few to tell, want at least %d", p.length, unit.Fixed(n, 0), fewestNotes), "play for longer"}
	}
	if n > maxNotes {
		return &usageError{fmt.Sprintf("--for %s: this is %s notes, at most %d are played", p.length, unit.Fixed(n, 0), maxNotes), "play less, or not for so long"}
	}
	return nil
}

func (s *size) estimate(ctx context.Context, model *estimate.Model, voices int) error {
	bar := progress(s.stderr, 2, "voices")
	defer bar.Finish()
	e, err := model.Run(ctx, estimate.Options{Seed: s.playing.seed, Length: s.playing.length, Voices: voices, Budget: study.NewBudget(s.budget),
		Progress: func(done, all int) { bar.ChangeMax(all); bar.Set(done) }})
	if err != nil {
		return err
	}
	single := contract.NewEstimate(s.plan, e, voices)
	s.out.views = map[string]func(io.Writer) error{".csv": func(w io.Writer) error { return contract.CSV(w, contract.EstimateRecords(single)) }}
	return s.tell(ctx, &s.out, single, say.Estimate(single))
}

// playingError names the flag that a description came with.
func playingError(err error) error {
	var wrong *estimate.SyntaxError
	if errors.As(err, &wrong) {
		return &usageError{"--playing: " + wrong.Error(), wrong.Hint}
	}
	return err
}
