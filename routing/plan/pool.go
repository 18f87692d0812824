package plan

import (
	"fmt"
	"slices"
	"time"

	"choirloft/alloc"
)

// applyVoices takes all but the first voices out of service.
func (o *Overrides) applyVoices(cfg *alloc.Config) error {
	keep, err := resolve(cfg, &voicesKind, o)
	if err != nil {
		return err
	}
	if keep.every != nil && slices.Contains(keep.aimed, true) {
		return voicesKind.refuse("this is for the whole rig, and another is aimed at a part", "give one or the other", For[int]{Value: *keep.every})
	}
	if keep.every != nil {
		return keepFirst(cfg, func(alloc.Voice) bool { return true }, For[int]{Value: *keep.every}, "in the rig")
	}
	for i, n := range keep.byPart {
		if n == nil {
			continue
		}
		p := &cfg.Parts[i]
		if other := sharer(cfg, i, func(int) bool { return false }); other >= 0 {
			return voicesKind.refuse(fmt.Sprintf("part %s shares a bank with part %s", p.Name, cfg.Parts[other].Name),
				"give --voices for the whole rig, or the part a bank of its own", keep.from[i])
		}
		mine := func(v alloc.Voice) bool { return slices.Contains(p.Banks, v.Bank) }
		if err := keepFirst(cfg, mine, keep.from[i], "in the banks of part "+p.Name); err != nil {
			return err
		}
	}
	return nil
}

// keepFirst leaves the first so many of some voices in service.
func keepFirst(cfg *alloc.Config, of func(alloc.Voice) bool, n For[int], where string) error {
	count := 0
	for i := range cfg.Voices {
		v := &cfg.Voices[i]
		if !of(*v) || !v.State.InService() {
			continue
		}
		if count++; count > n.Value {
			v.State = alloc.Out
		}
	}
	if count < n.Value {
		hint := ""
		if n.Part == "" {
			hint = fmt.Sprintf("--more %d plays on that many, with voices that are not there yet", n.Value-count)
		}
		return voicesKind.refuse(fmt.Sprintf("only %d voices are in service %s", count, where), hint, n)
	}
	return nil
}

// sharer returns a part that plays on a bank of part i, leaving out those that
// agree; −1 if there is none.
func sharer(cfg *alloc.Config, i int, agrees func(int) bool) int {
	for j := range cfg.Parts {
		if j != i && !agrees(j) && slices.ContainsFunc(cfg.Parts[j].Banks, func(b int) bool {
			return slices.Contains(cfg.Parts[i].Banks, b)
		}) {
			return j
		}
	}
	return -1
}

// applyRelease changes the release of voices. A voice has one release, so
// parts that share a bank must agree on it.
func (o *Overrides) applyRelease(cfg *alloc.Config) error {
	release, err := resolve(cfg, &releaseKind, o)
	if err != nil {
		return err
	}
	for i, d := range release.byPart {
		if !release.aimed[i] {
			continue
		}
		same := func(j int) bool { return release.byPart[j] != nil && *release.byPart[j] == *d }
		if other := sharer(cfg, i, same); other >= 0 {
			return releaseKind.refuse(fmt.Sprintf("part %s shares a bank with part %s, and a voice has one release", cfg.Parts[i].Name, cfg.Parts[other].Name),
				"aim the same release at both, or give the part banks of its own", release.from[i])
		}
	}
	for v := range cfg.Voices {
		set(&cfg.Voices[v].Envelope.Release, releaseOf(cfg, release, cfg.Voices[v].Bank))
	}
	return nil
}

func releaseOf(cfg *alloc.Config, release *aims[time.Duration], bank int) *time.Duration {
	for i, d := range release.byPart {
		if release.aimed[i] && slices.Contains(cfg.Parts[i].Banks, bank) {
			return d
		}
	}
	return release.every
}
