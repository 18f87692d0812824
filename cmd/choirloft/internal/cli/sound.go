package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/profiles/unit"
	"choirloft/routing/listen"
)

// soundFile is a file of sound that is to be written.
type soundFile struct {
	flag string // that it is named with
	file string
	json bool
	limits
}

// sheet is the text beside it.
func (f *soundFile) sheet() string { return f.file + ".txt" }

// soundEnding is that of files of sound.
const soundEnding = ".wav"

// check refuses what cannot be written before any work.
func (f *soundFile) check(inputs []string) error {
	if strings.ToLower(filepath.Ext(f.file)) != soundEnding {
		return noFormat(f.flag, f.file, "no format of sound", []string{soundEnding}, "")
	}
	return files.Check(inputs, f.outs(0)...)
}

// outs are the text and the sound, of so many bytes.
func (f *soundFile) outs(size int64) []files.Out {
	return []files.Out{{Flag: f.flag, Name: f.sheet()}, {Flag: f.flag, Name: f.file, Size: size}}
}

// writeSound finds the gain of a take and writes it with the text beside it. The report
// is what is printed, as a value and in words, and what the text says.
func (a *app) writeSound(ctx context.Context, f *soundFile, s *listen.Sketch, take *listen.Take, inputs []string,
	report func(listen.Peaks) (value any, printed, sheet *doc.Doc)) error {
	size := take.File().Bytes()
	found := fmt.Sprintf("%s for %s of sound", bytesText(size), unit.Length(float64(take.Frames())/listen.Rate))
	if err := f.limits.check(size, mostCVBytes, f.flag+" "+f.file, found, bytesText(mostCVBytes)); err != nil {
		return err
	}
	outs := f.outs(size)
	if err := files.Check(inputs, outs...); err != nil {
		return err
	}
	done, finish := a.seconds(s.Frames + take.Frames())
	defer finish()
	peaks, err := s.Peaks(ctx, done)
	if err != nil {
		return err
	}
	take.Gain = peaks.Gain()
	value, screen, sheet := report(peaks)
	printed, err := a.laidOut(&output{json: f.json}, value, screen)
	if err := errors.Join(err, ctx.Err()); err != nil {
		return err
	}
	var beside bytes.Buffer
	if err := doc.Text(&beside, sheet, doc.TextOptions{}); err != nil {
		return err
	}
	outs[0].Data = beside.Bytes()
	outs[1].Fill = func(to io.Writer) error { return s.Write(while{ctx, to}, take, done) }
	if err := a.commit(ctx, outs...); err != nil {
		return errors.Join(ctx.Err(), err)
	}
	finish()
	return a.print(printed)
}

// seconds returns a bar that counts frames as seconds of sound, and what ends it.
func (a *app) seconds(frames int64) (done func(int64), finish func()) {
	bar, rest := progress(a.stderr, int(frames/listen.Rate), "seconds of sound"), int64(0)
	return func(n int64) {
		if rest += n; rest >= listen.Rate {
			bar.Add(int(rest / listen.Rate))
			rest %= listen.Rate
		}
	}, func() { bar.Finish() }
}
