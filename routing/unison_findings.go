package routing

import (
	"fmt"
	"math"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/detune"
)

// unite works out the unisons of all parts, and what there is to say of them.
func (m *Map) unite() {
	for i := range m.Rig.Parts {
		if m.Rig.Parts[i].Unison.Voices < 2 {
			continue
		}
		u, err := m.unison(i)
		if err != nil {
			m.find(UnisonImpossible, m.unisonPath(i, "law"), err.Error(), "")
			continue
		}
		m.warn(&u)
		m.Unisons = append(m.Unisons, u)
		m.findBlocks(&u)
		m.findBeats(&u)
	}
}

func (m *Map) unisonPath(part int, key string) string {
	return "parts." + m.Rig.Parts[part].Name + ".unison." + key
}

// findBlocks speaks of stacks that are not whole.
func (m *Map) findBlocks(u *Unison) {
	if m.Rig.Parts[u.Part].Unison.Short != profiles.Blocks {
		return
	}
	part, path := m.Rig.Parts[u.Part].Name, m.unisonPath(u.Part, "voices")
	switch {
	case len(u.Stacks) == 0:
		m.find(UnisonImpossible, path,
			fmt.Sprintf("part %s needs %d voices for a note and has %d", part, u.Of, len(u.Idle)),
			fmt.Sprintf("write voices: %d at most, or give the part more banks", max(1, len(u.Idle))))
	case len(u.Idle) > 0:
		f := m.find(UnisonRemainder, path,
			fmt.Sprintf("part %s plays stacks of %d voices, which leaves %s idle", part, u.Of, m.voiceNames(u.Idle)),
			fmt.Sprintf("choose a unison that divides %d, or when_short: thin", len(u.Stacks)*u.Of+len(u.Idle)))
		f.Value = number(len(u.Idle))
	}
	for i, stack := range u.Stacks {
		var out []int
		for _, voice := range stack {
			if !m.Rig.Voices[voice].InService() && !m.standsIn(voice) {
				out = append(out, voice)
			}
		}
		if len(out) > 0 {
			m.findThinned(u, i, out)
		}
	}
}

// standsIn tells whether a voice is a spare that plays for another.
func (m *Map) standsIn(voice int) bool {
	spare, _, ok := m.Rig.Replaced(m.Rig.Voices[voice].Bank)
	return ok && spare == voice
}

// findThinned speaks of a stack with voices that are out: −10·log10(n/k) dB
// where k of n are left.
func (m *Map) findThinned(u *Unison, stack int, out []int) {
	left := u.Of - len(out)
	verb := "is"
	if len(out) > 1 {
		verb = "are"
	}
	f := m.find(UnisonThinned, m.unisonPath(u.Part, "voices"),
		fmt.Sprintf("stack %d of part %s (%s) plays with %d of %d voices: %s %s out", stack+1, m.Rig.Parts[u.Part].Name,
			m.voiceNames(u.Stacks[stack]), left, u.Of, m.voiceNames(out), verb), "a spare of the bank can stand in: use_spare")
	if left > 0 {
		value := -10 * math.Log10(float64(u.Of)/float64(left))
		f.Value, f.Unit = &value, "dB"
	}
}

// voiceNames joins names of voices.
func (m *Map) voiceNames(voices []int) string {
	names := make([]string, len(voices))
	for i, v := range voices {
		names[i] = m.Rig.Voices[v].Name
	}
	return unit.First(names, 8)
}

// warn looks for neighbours in a stack that lie too close, each kind of
// warning once, about the first stack that it concerns.
func (m *Map) warn(u *Unison) {
	stacks := u.Stacks
	if len(stacks) == 0 {
		stacks = [][]int{nil}
	}
	seen := map[detune.WarningCode]bool{}
	tuned := Corrections(m.Rig)
	for i, stack := range stacks {
		own, assumed := m.scatter(u, stack, tuned)
		warnings, err := detune.Warnings(u.Cents, own, m.modules(stack))
		if err != nil {
			continue // cannot be: a law's detunes and a rig's drift are in reach
		}
		for _, w := range warnings {
			if seen[w.Code] {
				continue
			}
			seen[w.Code] = true
			s := StackWarning{Warning: w, Assumed: assumed || w.Code == detune.MayLock}
			if stack != nil {
				s.Stack = i + 1
			}
			u.Warnings = append(u.Warnings, s)
		}
	}
}

// modules are the banks of a stack's voices; nil, for one module, where stacks
// are not fixed.
func (m *Map) modules(stack []int) (banks []int) {
	for _, voice := range stack {
		banks = append(banks, m.Rig.Voices[voice].Bank)
	}
	return banks
}

// scatter is that of the voice of a stack, or of the part, that strays most:
// what its budget says of drift, calibration and buffers, and the rounding of
// its converter. It is assumed where that rests on what nobody measured. A voice
// without a jack has its drift alone.
func (m *Map) scatter(u *Unison, stack []int, tuned []profiles.Correction) (own detune.Scatter, assumed bool) {
	if stack == nil {
		stack = m.Players(u.Part)
	}
	for i, voice := range stack {
		b := m.Voices[voice].Budget
		if b == nil {
			b = m.unplugged(&tuned[voice])
		}
		if s := b.scatter(m.step(u, voice)); i == 0 || s.Sigma() > own.Sigma() {
			own, assumed = s, b.Drift.Assumed || b.Buffers.Assumed && b.Buffers.Sigma > 0
		}
	}
	return own, assumed
}

// step is the converter's step for a voice at the lowest key of the part, 0
// where the voice has no jack.
func (m *Map) step(u *Unison, voice int) detune.Cents {
	at := m.Voices[voice].Interface
	if at < 0 {
		return 0
	}
	return detune.Cents(StepCents(&m.Rig.Interfaces[at], m.Rig.A4, float64(u.Keys[0].Key)))
}

// findBeats turns what a unison does into findings.
func (m *Map) findBeats(u *Unison) {
	part := m.Rig.Parts[u.Part].Name
	for _, w := range u.Warnings {
		m.findWarning(u, w)
	}
	if t := u.Keys[1].Beats.Throb; t.Common {
		f := m.find(CommonThrob, m.unisonPath(u.Part, "law"), fmt.Sprintf(
			"the voices of part %s are evenly spaced and beat together, every %.3g s at key %d", part, float64(t.Period), u.Keys[1].Key),
			"law: uneven stops it")
		period := float64(t.Period)
		f.Value, f.Unit = &period, "s"
	}
	if u.Stereo.Placement == detune.Centred {
		m.find(PanCentred, m.unisonPath(u.Part, "pan"), fmt.Sprintf(
			"part %s has two voices on a note, both in the centre: apart, one would be flat left and one sharp right", part),
			"for width, choose three voices")
	}
	m.findTooFine(u)
}

func (m *Map) findWarning(u *Unison, w StackWarning) {
	code, hint := MayLock, "choose more spread, or stacks across banks"
	text := fmt.Sprintf("positions %d and %d of part %s lie %s cents apart in one bank, below %s, and may lock",
		w.Low+1, w.High+1, m.Rig.Parts[u.Part].Name, unit.Fixed(w.Gap, 1), unit.Fixed(w.Limit, 1))
	if w.Code == detune.MaySwap {
		code, hint = MaySwap, "choose more spread, fewer voices, or voices that drift less"
		text = fmt.Sprintf("positions %d and %d of part %s lie %s cents apart, less than twice their tuning error (%s cents). They trade places with a chance of %s %%",
			w.Low+1, w.High+1, m.Rig.Parts[u.Part].Name, unit.Fixed(w.Gap, 1), unit.Fixed(w.Limit, 1), unit.Fixed(100*w.Chance, 0))
	}
	f := m.find(code, m.unisonPath(u.Part, "spread"), text, hint)
	gap := float64(w.Gap)
	f.Value, f.Unit, f.Assumed = &gap, "cents", w.Assumed
}

// findTooFine speaks of a gap between neighbours below two steps of the
// converter.
func (m *Map) findTooFine(u *Unison) {
	gap := math.Inf(1)
	for i := 1; i < len(u.Cents); i++ {
		gap = min(gap, float64(u.Cents[i]-u.Cents[i-1]))
	}
	for _, voice := range m.Players(u.Part) {
		step := float64(m.step(u, voice))
		if gap >= 2*step {
			continue
		}
		f := m.find(DetuneTooFine, m.unisonPath(u.Part, "spread"), fmt.Sprintf(
			"neighbours in part %s lie %.2g cents apart, and the converter of %s has steps of %.2g cents",
			m.Rig.Parts[u.Part].Name, gap, m.Rig.Interfaces[m.Voices[voice].Interface].Name, step), "choose more spread, or a narrower CV range")
		f.Value, f.Unit = &gap, "cents"
		return
	}
}

func number(n int) *float64 {
	v := float64(n)
	return &v
}
