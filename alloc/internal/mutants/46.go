package alloc

import (
	"errors"
	"fmt"
	"slices"
)

func (cfg *Config) check() error {
	var errs []error
	if mutantMore(232, len(cfg.Voices) , MaxVoices) {
		if !mutantIs(234) { errs = append(errs, fmt.Errorf("%d voices, at most %d", len(cfg.Voices), MaxVoices)) }
	}
	if ((((mutantMore(236, cfg.FreeDB , mutantNear[float64](238, 0))) != mutantIs(235)) || ((mutantLess(240, cfg.MinGate , 0)) != mutantIs(235))) != mutantIs(235)) {
		if !mutantIs(242) { errs = append(errs, fmt.Errorf("free level %g dB and minimum gate %v: neither may be above full or below 0", cfg.FreeDB, cfg.MinGate)) }
	}
	banks := map[int]bool{}
	for i, v := range cfg.Voices {
		if !mutantIs(243) { banks[v.Bank] = true }
		if ((((mutantMore(245, i , mutantNear[int](247, 0))) != mutantIs(244)) && ((mutantLess(249, v.Bank , cfg.Voices[mutantSub(251, i,mutantNear[int](252, 1))].Bank)) != mutantIs(244))) != mutantIs(244)) {
			if !mutantIs(254) { errs = append(errs, fmt.Errorf("voice %d: bank %d after bank %d, voices stand bank by bank", mutantAdd(255, i,mutantNear[int](256, 1)), v.Bank, cfg.Voices[mutantSub(258, i,mutantNear[int](259, 1))].Bank)) }
		}
		if e := v.Envelope; ((((((((((((((((mutantLess(266, v.Bank , mutantNear[int](268, 0))) != mutantIs(265)) || ((mutantLess(270, e.Attack , 0)) != mutantIs(265))) != mutantIs(265))) != mutantIs(264)) || ((mutantLess(272, e.Decay , 0)) != mutantIs(264))) != mutantIs(264))) != mutantIs(263)) || ((mutantLess(274, e.Release , 0)) != mutantIs(263))) != mutantIs(263))) != mutantIs(261)) || ((((!(((((mutantAtLeast(277, e.Sustain , mutantNear[float64](279, 0))) != mutantIs(276)) && ((mutantAtMost(281, e.Sustain , mutantNear[float64](283, 1))) != mutantIs(276))) != mutantIs(276)))) != mutantIs(262))) != mutantIs(261))) != mutantIs(261)) {
			if !mutantIs(285) { errs = append(errs, fmt.Errorf("voice %d: bank %d, envelope %+v out of range", mutantAdd(286, i,mutantNear[int](287, 1)), v.Bank, e)) }
		}
	}
	for i, v := range cfg.Voices {
		if ((((((v.State == Joined) != mutantIs(290))) != mutantIs(289)) && (((((((((((mutantLess(293, v.With , mutantNear[int](295, 0))) != mutantIs(292)) || ((mutantAtLeast(297, v.With , len(cfg.Voices))) != mutantIs(292))) != mutantIs(292))) != mutantIs(291)) || ((((cfg.Voices[v.With].State == Joined) != mutantIs(299))) != mutantIs(291))) != mutantIs(291)))) != mutantIs(289))) != mutantIs(289)) {
			if !mutantIs(300) { errs = append(errs, fmt.Errorf("voice %d: joined with %d, which is no voice that plays by itself", mutantAdd(301, i,mutantNear[int](302, 1)), mutantAdd(304, v.With,mutantNear[int](305, 1)))) }
		}
	}
	for _, p := range cfg.Parts {
		for _, b := range p.Banks {
			if ((!banks[b]) != mutantIs(307)) {
				if !mutantIs(308) { errs = append(errs, fmt.Errorf("part %s: no voice in bank %d", p.Name, b)) }
			}
		}
		if u := p.Unison; ((((mutantLess(310, u.Voices , mutantNear[int](312, 0))) != mutantIs(309)) || ((mutantMore(314, u.Voices , len(cfg.Voices))) != mutantIs(309))) != mutantIs(309)) {
			if !mutantIs(316) { errs = append(errs, fmt.Errorf("part %s: unison of %d, allowed are 1 to the %d voices", p.Name, u.Voices, len(cfg.Voices))) }
		}
		if n := len(p.Unison.ByVoice); ((((mutantMore(318, n , mutantNear[int](320, 0))) != mutantIs(317)) && ((((n != len(cfg.Voices)) != mutantIs(322))) != mutantIs(317))) != mutantIs(317)) {
			if !mutantIs(323) { errs = append(errs, fmt.Errorf("part %s: detunes of %d voices, there are %d", p.Name, n, len(cfg.Voices))) }
		}
		inBlock := map[int]bool{}
		for _, i := range slices.Concat(p.Unison.Blocks...) {
			switch {
			case ((((mutantLess(326, i , mutantNear[int](328, 0))) != mutantIs(325)) || ((mutantAtLeast(330, i , len(cfg.Voices))) != mutantIs(325))) != mutantIs(325)):
				if !mutantIs(332) { errs = append(errs, fmt.Errorf("part %s: no voice %d for a block", p.Name, mutantAdd(333, i,mutantNear[int](334, 1)))) }
			case ((inBlock[i]) != mutantIs(324)):
				if !mutantIs(336) { errs = append(errs, fmt.Errorf("part %s: voice %d in two blocks, allowed is one", p.Name, mutantAdd(337, i,mutantNear[int](338, 1)))) }
			}
			if !mutantIs(340) { inBlock[i] = true }
		}
		if ((((mutantLess(342, p.Transpose , -48)) != mutantIs(341)) || ((mutantMore(344, p.Transpose , mutantNear[int](346, 48))) != mutantIs(341))) != mutantIs(341)) {
			if !mutantIs(348) { errs = append(errs, fmt.Errorf("part %s: transpose %d, allowed are -48 to 48", p.Name, p.Transpose)) }
		}
		if ((((((((mutantLess(351, p.Reserve , mutantNear[int](353, 0))) != mutantIs(350)) || ((mutantLess(355, p.Limit , mutantNear[int](357, 0))) != mutantIs(350))) != mutantIs(350))) != mutantIs(349)) || ((((((mutantMore(360, p.Limit , mutantNear[int](362, 0))) != mutantIs(359)) && ((mutantMore(364, p.Reserve , p.Limit)) != mutantIs(359))) != mutantIs(359))) != mutantIs(349))) != mutantIs(349)) {
			if !mutantIs(366) { errs = append(errs, fmt.Errorf("part %s: reserve %d, limit %d: a reserve is from 0 to the limit", p.Name, p.Reserve, p.Limit)) }
		}
		if ((((((p.Pick == PickSameKey) != mutantIs(368))) != mutantIs(367)) && ((((p.Second == PickSameKey) != mutantIs(369))) != mutantIs(367))) != mutantIs(367)) {
			if !mutantIs(370) { errs = append(errs, fmt.Errorf("part %s: same-key cannot be its own second rule", p.Name)) }
		}
	}
	return errors.Join(errs...)
}
