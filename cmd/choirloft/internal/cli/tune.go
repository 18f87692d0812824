package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/measured"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/routing/tuning"
)

// tune is one call of the command tune.
type tune struct {
	*app
	out     output
	folder  string
	within  float64
	through string
	take    string // the file that was played, of a recorded take
	date    string // it was recorded on
	write   bool
	verify  bool     // the take that was played through corrections
	instead bool     // of trimming, correct
	turned  []string // voices whose trimmers were turned since the last day, or none
	all     bool     // print all there is to say of a take
	bank    bool     // recordings of a take are of submixers
	failed  bool     // some recording was of no use
}

func (a *app) tuneCommand() *cobra.Command {
	t := &tune{app: a}
	cmd := &cobra.Command{
		Use:   "tune RIG [READINGS | SONG]",
		Short: "Say from measurements which voices to trim, and correct the rest",
		Long: `tune reads what you measured of the voices. It says which voice stands apart,
which trimmer to turn, which way and by how much, and where each is in tune.

READINGS is a table (.csv) or a list (.yaml) of voice, key or volts, and hertz.
--wav reads a folder of recorded notes instead or besides, K1_60.wav and so on.
If the rig has corrections, --through says what keys went through.

--take reads one recording of the file that choirloft write --take made: name it
with --wav. It finds crossed cables and silent voices, and measures pitch,
release, attack, level, latency and shortest gate. With --date the pitches of
each day are kept: two days measure the drift. With a song the answer says how
many voices that needs. A screen has the worst of it; --all and -o have the rest.

--write puts corrections into the rig file, with --take all that was measured,
and changes nothing else in it. Voices to be turned by hand are left out;
--instead-of-trimming corrects them too. A turned trimmer is not drift: name it
with --turned. If the file has changed since it was read, nothing is written
(status 3).

Exit status: 0 fine, 2 a wrong command line, a faulty file or an unusable recording, 3
could not run. Where one recording cannot be used, the others still are.`,
		Example: "  choirloft tune testdata/kiln-yard.yaml testdata/kiln-yard-readings.csv\n" +
			"  choirloft tune rig.yaml song.mid --take take.mid --wav recording.wav --date 2020-11-30 --write",
		Args: func(cmd *cobra.Command, args []string) error {
			if t.take != "" {
				return count(1, 2, "a rig file, and beside --take a song or none")(cmd, args)
			}
			if t.folder != "" {
				return count(1, 2, "a rig file, and a file of readings or none")(cmd, args)
			}
			return count(2, 2, "a rig file and a file of readings, or --wav with a folder of them, or --take and --wav with a recording of a take")(cmd, args)
		},
		ValidArgsFunction: rigThenReadings,
		RunE:              func(cmd *cobra.Command, args []string) error { return t.run(cmd.Context(), args) },
	}
	t.out.documents(cmd, ".svg", ".png")
	cmd.Flags().Lookup("date").Usage = "with --take the `DATE` of the recording, as in 2020-11-30; else that of pages"
	cmd.Flags().StringVar(&t.through, "through", "", "keys went through `WHAT`: nothing or corrections")
	cmd.Flags().StringVar(&t.folder, "wav", "", "recordings in this `FOLDER`, K1_60.wav and so on; with --take the one recording, or a folder of K1.wav and so on")
	cmd.Flags().StringVar(&t.take, "take", "", "read a recording of this take, `FILE.mid`")
	cmd.Flags().Float64Var(&t.within, "within", 3, "so many `CENTS` off still count as in tune")
	cmd.Flags().BoolVar(&t.write, "write", false, "write what was measured into the rig file")
	cmd.Flags().BoolVar(&t.all, "all", false, "with --take: all there is to say")
	cmd.Flags().BoolVar(&t.bank, "bank", false, "with --take: the folder has submixers, K.wav")
	cmd.Flags().BoolVar(&t.verify, "verify", false, "verify corrections by a take played --through")
	cmd.Flags().BoolVar(&t.instead, "instead-of-trimming", false, "correct what should be turned, too")
	cmd.Flags().StringSliceVar(&t.turned, "turned", nil, "trimmers of `K1,K3-K5,L` or of none were turned since the last day")
	return cmd
}

// rigThenReadings completes a rig file, then readings.
func rigThenReadings(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
	}
	return []string{"csv", "yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
}

func (t *tune) run(ctx context.Context, args []string) error {
	if !(t.within > 0 && t.within <= 100) {
		return &usageError{fmt.Sprintf("--within %g: want cents above 0, up to 100", t.within), ""}
	}
	through, err := t.saysThrough()
	if err := errors.Join(err, t.allowTake(), t.allow(args)); err != nil {
		return err
	}
	file, err := t.openRig(ctx, args[0])
	if err != nil {
		return err
	}
	j := &measured.Job{File: file, Name: args[0], Within: t.within, Date: t.date, Instead: t.instead, Write: t.write}
	if j.Turned, err = measured.Turned(t.turned, file.Rig); err != nil {
		return told(err)
	}
	if t.take != "" {
		return t.runTake(ctx, j, args[1:])
	}
	readings, heard, err := t.gather(ctx, file.Rig, args[1:])
	if err != nil {
		return err
	}
	r, after, err := j.Readings(readings, through, heard)
	if err != nil {
		return told(err)
	}
	return t.finish(ctx, file, after, r.Written != nil, r, say.Tune(r))
}

// told turns what is wrong with measurements into a wrong call, or a file that cannot be used.
func told(err error) error {
	var refused *measured.Error
	switch {
	case !errors.As(err, &refused):
		return err
	case refused.File == "":
		return &usageError{refused.Message, refused.Hint}
	}
	return &fileError{refused.File, refused.Message, refused.Hint}
}

// saysThrough reads --through.
func (t *tune) saysThrough() (tuning.Through, error) {
	if t.through == "" {
		return tuning.NotSaid, nil
	}
	through, err := tuning.ParseThrough(t.through)
	if err != nil {
		return through, &usageError{"--through: " + err.Error(), ""}
	}
	return through, nil
}

// allow refuses, before any work, what could not be written after it.
func (t *tune) allow(args []string) error {
	if err := errors.Join(t.out.check(args...), t.out.printing.check(&t.out)); err != nil || !t.write {
		return err
	}
	return files.Check(args[1:], files.Out{Flag: "--write", Name: args[0], Was: []byte{}})
}

// gather reads the readings and the recordings.
func (t *tune) gather(ctx context.Context, rig *profiles.Rig, files []string) (all []tuning.Reading, recordings []tuning.Heard, err error) {
	for _, name := range files {
		if all, err = t.readReadings(ctx, name, rig); err != nil {
			return nil, nil, err
		}
	}
	if t.folder != "" {
		if info, err := os.Stat(t.folder); err == nil && info.Mode().IsRegular() {
			return nil, nil, &fileError{t.folder, "this is one file, and --wav reads a folder of notes", "add --take and the file that was played, if this is the recording of a take"}
		}
		root, err := os.OpenRoot(t.folder)
		if err != nil {
			return nil, nil, &fileError{t.folder, reason(err), ""}
		}
		defer root.Close()
		if recordings, err = tuning.Listen(root.FS(), rig); err != nil {
			return nil, nil, &fileError{t.folder, reason(err), ""}
		}
		heard := tuning.Readings(recordings)
		t.failed = len(heard) < len(recordings)
		if len(heard) == 0 && len(all) == 0 {
			return nil, nil, &fileError{t.folder, fmt.Sprintf("none of %d recordings can be used; %s: %v", len(recordings), recordings[0].File, recordings[0].Err), ""}
		}
		all = append(all, heard...)
	}
	return all, recordings, nil
}

// readReadings reads a file by its ending.
func (t *tune) readReadings(ctx context.Context, name string, rig *profiles.Rig) ([]tuning.Reading, error) {
	if !slices.Contains(measured.Endings, strings.ToLower(filepath.Ext(name))) {
		_, err := measured.Read(name, nil, rig)
		return nil, told(err)
	}
	data, err := t.read(ctx, name, profiles.MaxBytes)
	if err != nil {
		return nil, err
	}
	readings, err := measured.Read(name, data, rig)
	return readings, told(err)
}

// finish renders the result, then writes all that is to be written, or nothing.
func (t *tune) finish(ctx context.Context, file, after *profiles.File, write bool, r any, d *doc.Doc) error {
	var outs []files.Out
	if write {
		outs = append(outs, files.Out{Flag: "--write", Name: file.Path, Was: file.Data, Data: after.Data})
	}
	data, err := t.laidOut(&t.out, r, d)
	if err := errors.Join(err, ctx.Err()); err != nil {
		return err
	}
	if t.out.file != "" {
		outs, data = append(outs, t.out.out(data)), nil
	}
	if err := t.commit(ctx, outs...); err != nil {
		return err
	}
	if err := t.print(data); err != nil {
		return err
	}
	if t.failed {
		return statusError(exitUsage)
	}
	return nil
}
