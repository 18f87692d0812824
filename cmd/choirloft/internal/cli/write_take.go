package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/profiles/unit"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
	"choirloft/routing/take"
)

// takeFlags are those of a take alone.
type takeFlags struct {
	make           bool
	only, keys     []string
	short, through bool
}

var takeFlagNames = []string{"only", "keys", "short", "through"}

func (f *takeFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.BoolVar(&f.make, "take", false, "play every voice so that one recording measures the rack, instead of a song")
	flags.StringSliceVar(&f.only, "only", nil, "of a take: these voices, `K1,K3-K5,L`")
	flags.StringSliceVar(&f.keys, "keys", nil, "of a take: read at these keys, `36,C4` (default: every C)")
	flags.BoolVar(&f.short, "short", false, "of a take: three keys a voice, and no short gates")
	flags.BoolVar(&f.through, "through", false, "of a take: through the corrections of the rig, to verify them")
}

// allow refuses what is of a take alone where there is none.
func (f *takeFlags) allow(cmd *cobra.Command, lineCheck bool) error {
	if f.make && lineCheck {
		return &usageError{"--take and --line-check cannot go together", "give one of them"}
	}
	for _, name := range takeFlagNames {
		if !f.make && cmd.Flags().Changed(name) {
			return &usageError{"--" + name + " is for a take", "add --take, and leave the song out"}
		}
	}
	return nil
}

// options are those that a take is made with.
func (f *takeFlags) options(p *plan.Plan) (o take.Options, err error) {
	o.Short, o.Through = f.short, f.through
	for _, name := range f.only {
		name = strings.TrimSpace(name)
		some := p.Rig.VoicesNamed(name)
		if len(some) == 0 {
			return o, &usageError{fmt.Sprintf("--only %s: the rig has no such voice, want %s", name, p.Rig.VoiceSpan()),
				"name voices, K1,K3, several in a row, K1-K4, or a bank, K"}
		}
		o.Only = append(o.Only, some...)
	}
	for _, name := range f.keys {
		key, err := midi.ParseKey(strings.TrimSpace(name), int(p.Rig.MiddleC))
		if err != nil {
			return o, &usageError{"--keys: " + err.Error(), ""}
		}
		o.Keys = append(o.Keys, key)
	}
	return o, nil
}

// runTake writes a take and prints its page.
func (w *write) runTake(cmd *cobra.Command, rigFile string) error {
	for _, name := range songFlags {
		if cmd.Flags().Changed(name) {
			return &usageError{"--" + name + " is for a song, and --take has none", ""}
		}
	}
	if err := w.allow(rigFile); err != nil {
		return err
	}
	p, err := w.buildPlan(cmd.Context(), rigFile, w.overrides)
	if err != nil {
		return err
	}
	o, err := w.take.options(p)
	if err != nil {
		return err
	}
	t, err := take.New(p, o)
	if err != nil {
		return within(rigFile, err)
	}
	return within(rigFile, w.emitTake(cmd.Context(), t, rigFile))
}

// emitTake writes the files of a take: MIDI, and with control voltages those too.
func (w *write) emitTake(ctx context.Context, t *take.Take, rigFile string) error {
	score, err := t.Score()
	if err != nil {
		return err
	}
	data, err := score.Bytes()
	if err != nil {
		return err
	}
	ending := filepath.Ext(w.file)
	outs := []files.Out{{Flag: "-o", Name: strings.TrimSuffix(w.file, ending) + midiEnding, Data: data}}
	if w.cv() {
		voltages, err := w.takeCV(ctx, t)
		if err != nil {
			return err
		}
		outs = append(voltages, outs...)
	} else {
		outs[0].Name = w.file
	}
	if err := files.Check([]string{rigFile}, outs...); err != nil {
		return err
	}
	names := make([]string, len(outs))
	for i := range outs {
		names[i] = outs[i].Name
	}
	r := contract.NewTake(t, rigFile, names, w.cv())
	printed, err := w.laidOut(&output{json: w.json}, r, say.Take(r))
	if err := errors.Join(err, ctx.Err()); err != nil {
		return err
	}
	if err := w.commit(ctx, outs...); err != nil {
		return errors.Join(ctx.Err(), err)
	}
	return w.print(printed)
}

// takeCV are the files of a take as control voltages: the samples, and which channel is
// which signal.
func (w *write) takeCV(ctx context.Context, t *take.Take) ([]files.Out, error) {
	p, song := t.Song()
	cv, err := deal.NewCV(p, song, deal.CVOptions{Rate: w.rate, Float: w.samples == "float"})
	if err != nil {
		return nil, err
	}
	found := fmt.Sprintf("%s for %s on %s at %d frames a second", bytesText(cv.Bytes()), unit.Length(t.Length.Seconds()), unit.Count(len(cv.Channels), "channel"), cv.Rate)
	if err := w.limits.check(cv.Bytes(), mostCVBytes, "-o "+w.file, found, bytesText(mostCVBytes)); err != nil {
		return nil, err
	}
	sheet := w.file + ".txt"
	var beside bytes.Buffer
	if err := doc.Text(&beside, say.CVSheet(contract.NewCV(cv, "take", w.file, sheet)), doc.TextOptions{}); err != nil {
		return nil, err
	}
	return []files.Out{{Flag: "-o", Name: w.file, Size: cv.Bytes(), Fill: func(to io.Writer) error { return cv.Write(while{ctx, to}) }},
		{Flag: "-o", Name: sheet, Data: beside.Bytes()}}, nil
}
