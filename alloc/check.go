package alloc

import (
	"errors"
	"fmt"
	"slices"
)

func (cfg *Config) check() error {
	var errs []error
	if len(cfg.Voices) > MaxVoices {
		errs = append(errs, fmt.Errorf("%d voices, at most %d", len(cfg.Voices), MaxVoices))
	}
	if cfg.FreeDB > 0 || cfg.MinGate < 0 {
		errs = append(errs, fmt.Errorf("free level %g dB and minimum gate %v: neither may be above full or below 0", cfg.FreeDB, cfg.MinGate))
	}
	banks := map[int]bool{}
	for i, v := range cfg.Voices {
		banks[v.Bank] = true
		if i > 0 && v.Bank < cfg.Voices[i-1].Bank {
			errs = append(errs, fmt.Errorf("voice %d: bank %d after bank %d, voices stand bank by bank", i+1, v.Bank, cfg.Voices[i-1].Bank))
		}
		if e := v.Envelope; v.Bank < 0 || e.Attack < 0 || e.Decay < 0 || e.Release < 0 || !(e.Sustain >= 0 && e.Sustain <= 1) {
			errs = append(errs, fmt.Errorf("voice %d: bank %d, envelope %+v out of range", i+1, v.Bank, e))
		}
	}
	for i, v := range cfg.Voices {
		if v.State == Joined && (v.With < 0 || v.With >= len(cfg.Voices) || cfg.Voices[v.With].State == Joined) {
			errs = append(errs, fmt.Errorf("voice %d: joined with %d, which is no voice that plays by itself", i+1, v.With+1))
		}
	}
	for _, p := range cfg.Parts {
		for _, b := range p.Banks {
			if !banks[b] {
				errs = append(errs, fmt.Errorf("part %s: no voice in bank %d", p.Name, b))
			}
		}
		if u := p.Unison; u.Voices < 0 || u.Voices > len(cfg.Voices) {
			errs = append(errs, fmt.Errorf("part %s: unison of %d, allowed are 1 to the %d voices", p.Name, u.Voices, len(cfg.Voices)))
		}
		if n := len(p.Unison.ByVoice); n > 0 && n != len(cfg.Voices) {
			errs = append(errs, fmt.Errorf("part %s: detunes of %d voices, there are %d", p.Name, n, len(cfg.Voices)))
		}
		inBlock := map[int]bool{}
		for _, i := range slices.Concat(p.Unison.Blocks...) {
			switch {
			case i < 0 || i >= len(cfg.Voices):
				errs = append(errs, fmt.Errorf("part %s: no voice %d for a block", p.Name, i+1))
			case inBlock[i]:
				errs = append(errs, fmt.Errorf("part %s: voice %d in two blocks, allowed is one", p.Name, i+1))
			}
			inBlock[i] = true
		}
		if p.Transpose < -48 || p.Transpose > 48 {
			errs = append(errs, fmt.Errorf("part %s: transpose %d, allowed are -48 to 48", p.Name, p.Transpose))
		}
		if p.Reserve < 0 || p.Limit < 0 || p.Limit > 0 && p.Reserve > p.Limit {
			errs = append(errs, fmt.Errorf("part %s: reserve %d, limit %d: a reserve is from 0 to the limit", p.Name, p.Reserve, p.Limit))
		}
		if p.Pick == PickSameKey && p.Second == PickSameKey {
			errs = append(errs, fmt.Errorf("part %s: same-key cannot be its own second rule", p.Name))
		}
	}
	return errors.Join(errs...)
}
