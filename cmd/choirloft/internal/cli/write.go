package cli

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// write is one call of the command write.
type write struct {
	*app
	file          string
	json          bool
	overrides     plan.Overrides
	track         int
	bendRange     int
	stems, byPort bool
	passes        string
	lineCheck     bool
	take          takeFlags
	limits
	rate    int    // of a file of CVs; 0 for the usual
	samples string // 24, float; empty for the usual
}

func (a *app) writeCommand() *cobra.Command {
	w := &write{app: a}
	cmd := &cobra.Command{
		Use:   "write RIG [SONG] -o FILE.mid",
		Short: "Deal a song to the voices, as MIDI files or control voltages",
		Long: `write deals a song to the voices of a rig. It writes a MIDI file of format 1
with a track for each voice, on its port and channel. Tempi and time signatures
are those of the song. Unlike live, an export knows what comes next. It
makes the gap before an attack by ending the previous note sooner, so every note
is on time. It may use the stealing rules that look ahead. Bends of the song,
detune and corrections are added up as pitch bend, with RPN 0 at the start.

--stems writes one file per bank, --by-port one file per port: NAME-K.mid,
NAME-port-1.mid. --passes splits a song that needs more voices than there are
into recordings to mix, one file a pass: NAME-pass-1.mid. --passes pad,bass/arp
makes one of pad and bass, and one of arp; it names every part. All files of a
run are written, or none changes; an older one that is replaced is named.

--line-check, without a song, writes a file that plays every voice in turn, and
prints the page to follow along. Master down before you play it.

--take, without a song, writes a file to measure the whole rack by. It plays every
voice in turn, each in at most 12 s; record that, and give it to tune --take.
--only, --keys and --short make it shorter.
With -o FILE.wav the take is control voltages, and FILE.mid stands beside it. Master
down, monitors off.

-o FILE.wav writes control voltages instead, for outputs that pass DC. Each
channel carries one CV or gate, named in the file and in FILE.wav.txt. Gates are
right to the sample. Such a file must never reach monitors, speakers or
headphones. write prints what is lost; replay --dealt plays such a file again.

Without --yes write makes no file of CVs above 4 GB, no more than 64 recordings
and no more than 256 files. It says how much it found before it writes any.
` + ruleNames() + `
Exit status: 0 fine, 2 a wrong command line or a file that cannot be used, 3 could not
run.`,
		Example: `  choirloft write testdata/kiln-yard.yaml testdata/slow-kiln.mid -o dealt.mid
  choirloft write testdata/kiln-yard.yaml testdata/slow-kiln.mid -o dealt.mid --stems --steal least-lost
  choirloft write testdata/kiln-yard.yaml testdata/slow-kiln.mid -o dealt.mid --voices 8 --passes fewest
  choirloft write testdata/kiln-yard.yaml testdata/slow-kiln.mid -o cv.wav --rate 8000
  choirloft write testdata/kiln-yard.yaml testdata/slow-kiln.mid -o cv.wav --rate 192000 --yes
  choirloft write testdata/kiln-yard.yaml --line-check -o check.mid
  choirloft write testdata/kiln-yard.yaml --take -o take.mid`,
		Args: func(cmd *cobra.Command, args []string) error {
			if w.lineCheck {
				return count(1, 1, "a rig file, and no song beside --line-check")(cmd, args)
			}
			if w.take.make {
				return count(1, 1, "a rig file, and no song beside --take")(cmd, args)
			}
			return count(2, 2, "a rig file and a song")(cmd, args)
		},
		ValidArgsFunction: rigThenSongs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := w.take.allow(cmd, w.lineCheck); err != nil {
				return err
			}
			if w.lineCheck {
				return w.check(cmd, args[0])
			}
			if w.take.make {
				return w.runTake(cmd, args[0])
			}
			return w.run(cmd.Context(), args[0], args[1])
		},
	}
	flags := cmd.Flags()
	flags.StringVarP(&w.file, "output", "o", "", "write to this `FILE`: .mid, or .wav for control voltages")
	flags.BoolVar(&w.json, "json", false, "print what was written as JSON")
	flags.BoolVar(&w.stems, "stems", false, "write one file per bank")
	flags.BoolVar(&w.byPort, "by-port", false, "write one file per port")
	flags.StringVar(&w.passes, "passes", "", "split the song into `N` recordings, the fewest that leave every note whole: fewest, or by part as in pad,bass/arp")
	complete(cmd, "passes", []string{fewestPasses, "2", "3"})
	flags.IntVar(&w.bendRange, "bend-range", 0, "bend range of every voice in semitones, `N` (default: the smallest that covers all)")
	flags.BoolVar(&w.lineCheck, "line-check", false, "play every voice in turn, instead of a song, and print what should be heard")
	flags.IntVar(&w.rate, "rate", 0, "of control voltages: `N` frames a second (default 48000)")
	flags.StringVar(&w.samples, "samples", "", "of control voltages: `24` bits, or float (default 24)")
	complete(cmd, "samples", []string{"24", "float"})
	flags.IntVar(&w.track, "track", 0, "deal this track, from 1, of a song of format 2 (`N`)")
	w.take.add(cmd)
	overrideFlags(cmd, &w.overrides)
	w.limits.flags(cmd)
	return cmd
}

// allow refuses what cannot be done before any work.
func (w *write) allow(inputs ...string) error {
	switch {
	case w.file == "":
		return &usageError{"no file to write is named", "add -o FILE.mid"}
	case strings.ToLower(filepath.Ext(w.file)) != midiEnding && !w.cv():
		return noFormat("-o", w.file, "no format that a song is dealt in", []string{midiEnding, cvEnding}, "")
	case w.track < 0:
		return &usageError{fmt.Sprintf("--track %d: tracks count from 1", w.track), ""}
	case w.bendRange < 0 || w.bendRange > 127:
		return &usageError{fmt.Sprintf("--bend-range %d: want semitones from 1 to 127", w.bendRange), ""}
	case w.stems && w.byPort:
		return &usageError{"--stems and --by-port cannot go together", "give one of them"}
	}
	if !strings.ContainsAny(w.passes, ",/") { // parts are looked for when the rig is there
		if _, err := w.passCount(); err != nil {
			return err
		}
	}
	if err := w.allowCV(); err != nil {
		return err
	}
	return w.spare(w.file, inputs)
}

// midiEnding is that of the files that songs are dealt in.
const midiEnding = ".mid"

// spare refuses to write over what is read, and where nothing can be written.
func (w *write) spare(file string, inputs []string) error {
	return files.Check(inputs, files.Out{Flag: "-o", Name: file})
}

func (w *write) run(ctx context.Context, rigFile, song string) error {
	if err := w.allow(rigFile, song); err != nil {
		return err
	}
	p, err := w.buildPlan(ctx, rigFile, w.overrides)
	if err != nil {
		return err
	}
	if w.cv() {
		return w.runCV(ctx, p, song, rigFile)
	}
	work := onEach([]source{{path: song}}, 1, func(from source) (*deal.Deal, error) { return w.deal(ctx, p, from) })
	if err := errors.Join(work.wait(ctx, w.stderr), work.errs[0]); err != nil {
		return err
	}
	return w.emit(ctx, work.results[0], song, rigFile)
}

func (w *write) deal(ctx context.Context, p *plan.Plan, from source) (*deal.Deal, error) {
	song, err := w.load(ctx, from, w.track)
	if err != nil {
		return nil, err
	}
	o := deal.Options{BendRange: w.bendRange, AnyPasses: w.yes}
	groups, named := plan.ParseGroups(p.Rig, w.passes)
	if o.Groups = groups; !named {
		if o.Passes, err = w.passCount(); err != nil {
			return nil, err
		}
	}
	return deal.New(p, song, o)
}

// fewestPasses asks for as few passes as leave every note whole.
const fewestPasses = "fewest"

func (w *write) passCount() (int, error) {
	if w.passes == "" {
		return 0, nil
	}
	if w.passes == fewestPasses {
		return deal.Fewest, nil
	}
	n, err := strconv.Atoi(w.passes)
	if err != nil || n < 1 || n > alloc.MaxVoices {
		return 0, &usageError{fmt.Sprintf("--passes %s: want fewest, a number from 1 to %d, or every part once", w.passes, study.MostPasses), "write the parts of each recording as in pad,bass/arp,lead"}
	}
	return n, w.limits.check(int64(n), study.MostPasses, "--passes "+w.passes, unit.Count(n, "recording"), strconv.Itoa(study.MostPasses))
}

// split is how many files there are to be.
func (w *write) split() deal.Split {
	switch {
	case w.stems:
		return deal.ByBank
	case w.byPort:
		return deal.ByPort
	}
	return deal.Whole
}

// emit writes the files and prints what they are.
func (w *write) emit(ctx context.Context, d *deal.Deal, song, rigFile string) error {
	dealt := d.Files(w.split())
	if len(dealt) == 0 {
		return &fileError{rigFile, "no voice in service has a port and a channel, so there is no bank and no port to write a file for",
			"put a voice into service, or leave --stems and --by-port out"}
	}
	if err := w.limits.check(int64(len(dealt)), mostFiles, "-o "+w.file, unit.Count(len(dealt), "file"), strconv.Itoa(mostFiles)); err != nil {
		return err
	}
	var (
		all   []files.Out
		names []string
		sizes []int
	)
	for i := range dealt {
		data, err := dealt[i].Score.Bytes()
		if err != nil {
			return err
		}
		name := w.name(dealt[i].Suffix)
		all, names, sizes = append(all, files.Out{Flag: "-o", Name: name, Data: data}), append(names, name), append(sizes, len(data))
	}
	if err := files.Check([]string{rigFile, song}, all...); err != nil {
		return err
	}
	report := contract.NewWritten(d, song, dealt, names, sizes)
	if err := report.Listen(d); err != nil {
		return err
	}
	out := &output{json: w.json}
	printed, err := w.laidOut(out, report, say.Written(report, say.Screen))
	if err := errors.Join(err, ctx.Err()); err != nil {
		return err
	}
	if err := w.commit(ctx, all...); err != nil {
		return err
	}
	return w.print(printed)
}

// name is that of one of several files: dealt-K.mid.
func (w *write) name(suffix string) string {
	if suffix == "" {
		return w.file
	}
	ending := filepath.Ext(w.file)
	return strings.TrimSuffix(w.file, ending) + "-" + suffix + ending
}
