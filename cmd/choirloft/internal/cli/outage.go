package cli

import (
	"context"
	"fmt"
	"runtime"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// outage says what it means that a voice fails.
func (a *app) outage(ctx context.Context, out *output, path, voice string, o plan.Overrides, names []string) error {
	if ending := out.ending(); ending == ".csv" || ending == ".svg" {
		return &usageError{fmt.Sprintf("-o %s: with --without there are .txt, .json, .md, .html and .pdf", out.file), ""}
	}
	rig, err := a.loadRig(ctx, path)
	if err != nil {
		return err
	}
	fails, err := whatif.NewOutage(rig, o, voice)
	if err != nil {
		return err
	}
	songs, err := collect(names)
	if err != nil {
		return err
	}
	w := onEach(songs, runtime.GOMAXPROCS(0), func(from source) (contract.OutageSong, error) {
		song, err := a.load(ctx, from, 0)
		if err != nil {
			return contract.OutageSong{}, err
		}
		before, after, without, err := fails.Play(song)
		if err != nil {
			return contract.OutageSong{}, err
		}
		return contract.NewOutageSong(fails, from.path, song, before, after, without), nil
	})
	if err := w.wait(ctx, a.stderr); err != nil {
		return err
	}
	played, failed, err := sorted(a, w)
	if err != nil {
		return err
	}
	r := contract.NewOutage(fails, played, failed)
	if err := a.tell(ctx, out, r, say.Outage(r, out.room())); err != nil {
		return err
	}
	if len(failed) > 0 {
		return statusError(exitUsage)
	}
	return nil
}
