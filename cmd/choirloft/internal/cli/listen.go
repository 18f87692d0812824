package cli

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/profiles/unit"
	"choirloft/routing/deal"
	"choirloft/routing/listen"
	"choirloft/routing/plan"
)

// audition is one call of the command listen.
type audition struct {
	*app
	soundFile
	overrides                     plan.Overrides
	track                         int
	dealt                         bool
	asked, missing, both, moments bool
	bars
	part string
}

func (a *app) listenCommand() *cobra.Command {
	l := &audition{app: a, soundFile: soundFile{flag: "-o"}}
	cmd := &cobra.Command{
		Use:   "listen RIG SONG -o FILE.wav",
		Short: "Hear a song as your rack plays it, or what goes missing",
		Long: `listen plays a song through model voices and writes it as sound: stereo, 48 kHz,
24 bit. It plays the song as replay does. Notes are late, cut short or dropped as
replay says. Each voice has its detune, tuning error, drift and pan.

--asked writes the song as if nothing were lost. --missing writes what is lost
and nothing else: asked less played. One gain holds for all of them, so you can
compare them or mix them again.

--moments writes only the moments where you would hear a loss. --both writes each
moment as asked, then as played, with a second of silence between; with --missing
also what is lost. --from and --to choose bars, --part one part with its own
moments. Where you would hear no loss, --moments and --both write nothing.

Caution: begin quietly. Turn your monitors down before you play the file.
It is a sketch of envelopes, detune and losses, not the sound of your voices.
FILE.wav.txt beside it says what stands where, and what is assumed.

Without --yes listen makes no file above 4 GB.

Exit status: 0 fine, 2 a wrong command line or a file that cannot be used, 3 could not
run.`,
		Example: `  choirloft listen my-wall.yaml song.mid -o kiln.wav --voices 10
  choirloft listen my-wall.yaml song.mid -o moments.wav --voices 10 --both
  choirloft listen my-wall.yaml song.mid -o lost.wav --voices 10 --missing --moments
  choirloft listen my-wall.yaml song.mid -o arp.wav --part arp --from 9 --to 12`,
		Args:              count(2, 2, "a rig file and a song"),
		ValidArgsFunction: rigThenSongs,
		RunE:              func(cmd *cobra.Command, args []string) error { return l.run(cmd.Context(), args[0], args[1]) },
	}
	flags := cmd.Flags()
	flags.StringVarP(&l.file, "output", "o", "", "write to this `FILE`, with the ending .wav")
	flags.BoolVar(&l.json, "json", false, "print what was written as JSON")
	flags.BoolVar(&l.asked, "asked", false, "the song as asked for, with every note and tail whole")
	flags.BoolVar(&l.missing, "missing", false, "what goes missing, and nothing else")
	flags.BoolVar(&l.both, "both", false, "every moment as asked, then as played")
	flags.BoolVar(&l.moments, "moments", false, "only the moments where you would hear a loss")
	l.bars.flags(cmd, "listen")
	flags.StringVar(&l.part, "part", "", "this `PART` alone, as loud as among the others")
	flags.IntVar(&l.track, "track", 0, "play this track, from 1, of a song of format 2 (`N`)")
	flags.BoolVar(&l.dealt, "dealt", false, "play a file that write made for this rig: each voice has its own channel")
	overrideFlags(cmd, &l.overrides)
	l.limits.flags(cmd)
	return cmd
}

// check refuses what cannot be done before any work.
func (l *audition) check(inputs ...string) error {
	switch {
	case l.file == "":
		return &usageError{"no file is named to write the sound to", "add -o FILE.wav"}
	case l.track < 0:
		return &usageError{fmt.Sprintf("--track %d: tracks count from 1", l.track), ""}
	case l.asked && l.missing && !l.both:
		return &usageError{"--asked and --missing cannot go together", "give one of them, or --both for one after the other"}
	}
	return l.soundFile.check(inputs)
}

func (l *audition) run(ctx context.Context, rigFile, name string) error {
	if err := l.check(rigFile, name); err != nil {
		return err
	}
	p, err := l.buildPlan(ctx, rigFile, l.overrides)
	if err != nil {
		return err
	}
	song, err := l.readSong(ctx, name, l.track)
	if err != nil {
		return err
	}
	if l.dealt {
		if p, song, err = deal.Read(p, song); err != nil {
			return within(name, err)
		}
	}
	s, err := listen.New(p, song)
	if err != nil {
		return unheard(name, err)
	}
	take, heard, err := l.take(p, s, song, name)
	if err != nil {
		return err
	}
	return l.writeSound(ctx, &l.soundFile, s, take, []string{rigFile, name}, func(peaks listen.Peaks) (any, *doc.Doc, *doc.Doc) {
		r := contract.NewListen(p, s, song, name, take, peaks, heard, contract.NewSoundFile(take, l.file, l.sheet()))
		return r, say.Listen(r, say.Screen), say.Listen(r, say.All)
	})
}

// unheard turns a song that cannot be made audible into a file that cannot be used.
func unheard(file string, err error) error {
	var silent *listen.Error
	if errors.As(err, &silent) {
		return &fileError{songName(file), silent.Message, silent.Hint}
	}
	return err
}

// take is what is to be written, and what is heard to be missing where that was asked.
func (l *audition) take(p *plan.Plan, s *listen.Sketch, song *midi.Song, name string) (*listen.Take, *plan.Listened, error) {
	t := &listen.Take{Part: -1, Name: unit.Printable(p.Rig.Name + " [" + p.Code() + "]: " + filepath.Base(songName(name)))}
	if l.part != "" {
		var err error
		if t.Part, err = s.CheckPart(l.part); err != nil {
			var silent *listen.Error
			if errors.As(err, &silent) {
				err = &usageError{"--part " + l.part + ": " + silent.Message, silent.Hint}
			}
			return nil, nil, err
		}
	}
	window := [2]int64{0, s.Frames}
	if l.from != 0 || l.to != 0 {
		w, err := l.window(contract.NewLanes(p, song, s.Replay, nil))
		if err != nil {
			return nil, nil, err
		}
		window[0] = int64(math.Ceil(float64(w.From*listen.Rate) - 1e-6))
		if w.To < s.Replay.Reference.End.Seconds() { // else with the last tails
			window[1] = frame(w.To)
		}
	}
	heard := s.Heard(study.NewBudget(worthHearing))
	if heard != nil && t.Part >= 0 {
		heard.Heard = heard.Heard.Of(t.Part)
	}
	spans, err := l.chosen(window, heard, name)
	if err != nil {
		return nil, nil, err
	}
	t.Sections = l.sections(spans)
	return t, heard, nil
}

// chosen is what of a window is to be written: all of it, or its moments.
func (l *audition) chosen(window [2]int64, heard *plan.Listened, name string) ([][2]int64, error) {
	whole, byBars := [][2]int64{window}, l.from != 0 || l.to != 0
	switch {
	case !l.moments && !l.both:
		return whole, nil
	case heard == nil && !l.moments && byBars:
		return whole, nil
	case heard == nil:
		return nil, &fileError{songName(name), "the song is too long to look for moments", "choose bars with --from and --to, without --moments"}
	}
	spans := around(heard.Heard.Moments, window)
	if len(spans) == 0 {
		what := "you would hear no loss"
		if l.part != "" {
			what += " of " + l.part
		}
		if byBars {
			what += " in these bars"
		}
		return nil, &fileError{songName(name), what + ", so there is no moment to write", "leave --moments and --both out, or choose other bars"}
	}
	if !l.moments && byBars {
		return whole, nil
	}
	return spans, nil
}

func frame(seconds float64) int64 { return int64(math.Round(seconds * listen.Rate)) }

// worthHearing is how long it may take to find the moments; see [study.Budget].
const worthHearing = 30 * time.Second

// lead and trail are what is heard before a moment, and after it.
const (
	lead  = time.Second
	trail = time.Second / 2
	// early is by how much a moment may begin before what is lost in it: half of the
	// window over which a difference is averaged.
	early = time.Second / 10
)

// around returns where moments lie in a window, with what is before and after them:
// those that meet are one.
func around(moments []hearing.Moment, window [2]int64) (spans [][2]int64) {
	for _, m := range moments {
		from, to := frame((m.From - lead).Seconds()), frame((m.To + trail).Seconds())
		if frame(m.To.Seconds()) <= window[0] || frame((m.From+early).Seconds()) >= window[1] {
			continue
		}
		from, to = max(from, window[0]), min(to, window[1])
		if n := len(spans); n > 0 && from <= spans[n-1][1] {
			spans[n-1][1] = max(spans[n-1][1], to)
			continue
		}
		spans = append(spans, [2]int64{from, to})
	}
	return spans
}

// silence is that between sections.
const silence = listen.Rate

// sections are the spans in each version that is asked for.
func (l *audition) sections(spans [][2]int64) (list []listen.Section) {
	versions := []listen.Version{listen.Played}
	switch {
	case l.both && l.missing:
		versions = []listen.Version{listen.Asked, listen.Played, listen.Missing}
	case l.both:
		versions = []listen.Version{listen.Asked, listen.Played}
	case l.asked:
		versions = []listen.Version{listen.Asked}
	case l.missing:
		versions = []listen.Version{listen.Missing}
	}
	for _, x := range spans {
		for _, v := range versions {
			if len(list) > 0 {
				list = append(list, listen.Section{To: silence, Silence: true})
			}
			list = append(list, listen.Section{Version: v, From: x[0], To: x[1]})
		}
	}
	return list
}
