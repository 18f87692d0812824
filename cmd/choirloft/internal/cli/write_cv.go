package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// cvEnding is that of files of control voltages.
const cvEnding = ".wav"

// cv tells whether control voltages are asked for.
func (w *write) cv() bool { return strings.ToLower(filepath.Ext(w.file)) == cvEnding }

// allowCV refuses what is of MIDI files alone, or of files of CVs.
func (w *write) allowCV() error {
	if !w.cv() {
		if w.rate != 0 || w.samples != "" {
			return &usageError{fmt.Sprintf("--rate and --samples are for control voltages, and -o %s is none", w.file), "name the file " + cvEnding}
		}
		return nil
	}
	for _, flag := range []struct {
		name  string
		given bool
	}{{"--stems", w.stems}, {"--by-port", w.byPort}, {"--passes", w.passes != ""}, {"--bend-range", w.bendRange != 0}, {"--line-check", w.lineCheck}} {
		if flag.given {
			return &usageError{fmt.Sprintf("%s is for MIDI files: %s holds control voltages and nothing else", flag.name, w.file), "leave it out, or name the file " + midiEnding}
		}
	}
	if w.samples != "" && w.samples != "24" && w.samples != "float" {
		return &usageError{fmt.Sprintf("--samples %s: want 24 or float", w.samples), ""}
	}
	return nil
}

// runCV writes the control voltages of a song.
func (w *write) runCV(ctx context.Context, p *plan.Plan, song, rigFile string) error {
	work := onEach([]source{{path: song}}, 1, func(from source) (*deal.CV, error) {
		song, err := w.load(ctx, from, w.track)
		if err != nil {
			return nil, err
		}
		return deal.NewCV(p, song, deal.CVOptions{Rate: w.rate, Float: w.samples == "float"})
	})
	if err := errors.Join(work.wait(ctx, w.stderr), work.errs[0]); err != nil {
		return err
	}
	cv, sheet := work.results[0], w.file+".txt"
	found := fmt.Sprintf("%s for %s of song on %s at %d frames a second", bytesText(cv.Bytes()), unit.Length(cv.Song.Duration().Seconds()),
		unit.Count(len(cv.Channels), "channel"), cv.Rate)
	if err := w.limits.check(cv.Bytes(), mostCVBytes, "-o "+w.file, found, bytesText(mostCVBytes)); err != nil {
		return err
	}
	outs := []files.Out{{Flag: "-o", Name: sheet}, {Flag: "-o", Name: w.file, Size: cv.Bytes(), Fill: func(to io.Writer) error { return cv.Write(while{ctx, to}) }}}
	if err := files.Check([]string{rigFile, song}, outs...); err != nil {
		return err
	}
	r := contract.NewCV(cv, song, w.file, sheet)
	if err := r.Result.Listen(cv.Plan, cv.Song, cv.Replay); err != nil {
		return err
	}
	printed, err := w.laidOut(&output{json: w.json}, r, say.CV(r, say.Screen))
	if err := errors.Join(err, ctx.Err()); err != nil {
		return err
	}
	var beside bytes.Buffer
	if err := doc.Text(&beside, say.CVSheet(r), doc.TextOptions{}); err != nil {
		return err
	}
	outs[0].Data = beside.Bytes()
	if err := w.commit(ctx, outs...); err != nil {
		return errors.Join(ctx.Err(), err)
	}
	return w.print(printed)
}

// while is a writer that fails once a context has ended.
type while struct {
	ctx context.Context
	to  io.Writer
}

func (w while) Write(data []byte) (int, error) {
	if err := w.ctx.Err(); err != nil {
		return 0, err
	}
	return w.to.Write(data)
}
