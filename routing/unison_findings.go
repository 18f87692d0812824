package routing

import (
	"math"

	"choirloft/profiles"
	"choirloft/routing/detune"
)

// unite works out the unisons of all parts.
func (m *Map) unite() {
	for i := range m.Rig.Parts {
		if m.Rig.Parts[i].Unison.Voices < 2 {
			continue
		}
		u, err := m.unison(i)
		if err != nil {
			m.find(UnisonImpossible, m.unisonPath(i, "law"), Named("why", err.Error()))
			continue
		}
		m.Unisons = append(m.Unisons, u)
	}
}

// findUnisons says what is doubtful about the stacks.
func (m *Map) findUnisons() {
	for i := range m.Unisons {
		u := &m.Unisons[i]
		for k := range u.Keys {
			if c, err := u.Course(k); err == nil { // as its beats are known
				u.Keys[k].InStep, u.Keys[k].Again = c.InStep()
			}
		}
		if !u.OneJack {
			m.warn(u)
		}
		m.findBlocks(u)
		if !u.OneJack {
			m.findBeats(u)
		}
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
	path, part, of := m.unisonPath(u.Part, "voices"), m.part(u), Number("stack", u.Of, "")
	voices := Number("voices", len(u.Stacks)*u.Of+len(u.Idle), "")
	switch {
	case len(u.Stacks) == 0:
		m.find(UnisonImpossible, path, part, of, voices, Number("most", max(1, len(u.Idle)), ""))
	case len(u.Idle) > 0:
		facts := []Fact{part, of, voices, m.voices("idle", u.Idle).Main()}
		if n := m.divisor(u.Part, int(*voices.Value)); n > 0 {
			facts = append(facts, Number("divides", n, ""))
		}
		if m.wouldPlay(func(r *profiles.Rig) { r.Parts[u.Part].Unison.Short = profiles.Thin }) {
			facts = append(facts, Named("thin", profiles.Thin.String()))
		}
		m.find(UnisonRemainder, path, facts...)
	}
	for i, stack := range u.Stacks {
		var out []int
		for _, voice := range stack {
			if !m.serves(voice) {
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
	facts := []Fact{Number("number", stack+1, ""), m.part(u), m.voices("voices", u.Stacks[stack]), Number("left", left, ""),
		Number("stack", u.Of, ""), m.voices("out", out)}
	if bank, ok := m.spareFor(out); ok {
		facts = append(facts, Named("spare_in", m.Rig.Banks[bank].Name))
	}
	if left > 0 {
		facts = append(facts, Number("level", -10*math.Log10(float64(u.Of)/float64(left)), "dB").Main())
	}
	m.find(UnisonThinned, m.unisonPath(u.Part, "voices"), facts...)
}

// spareFor is a bank whose spare can stand in for one of some voices.
func (m *Map) spareFor(out []int) (bank int, ok bool) {
	for _, voice := range out {
		bank = m.Rig.Voices[voice].Bank
		use := func(r *profiles.Rig) { r.Banks[bank].UseSpare = true }
		tried, ok := m.triedParts(use)
		if !ok || m.Rig.Banks[bank].UseSpare {
			continue
		}
		if _, replaced, ok := tried.Rig.Replaced(bank); ok && replaced == voice && m.wouldPlay(use) {
			return bank, true
		}
	}
	return 0, false
}

// voices are some voices as a fact.
func (m *Map) voices(name string, voices []int) Fact {
	f := Named(name)
	for _, v := range voices {
		f.Names = append(f.Names, m.Rig.Voices[v].Name)
	}
	return f
}

// part is the part of a unison as a fact.
func (m *Map) part(u *Unison) Fact { return Named("part", m.Rig.Parts[u.Part].Name) }

// warn looks for neighbours in a stack that lie too close, each kind of
// warning once, about the first stack that it concerns.
func (m *Map) warn(u *Unison) {
	stacks := u.Stacks
	if len(stacks) == 0 {
		stacks = [][]int{nil}
	}
	seen := map[detune.WarningCode]bool{}
	for i, stack := range stacks {
		own, assumed := m.scatter(u, stack)
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

// scatter is that of the voice of a stack, or of the part, that strays most at the
// middle key of the part. It is assumed where that rests on what nobody gave or measured.
func (m *Map) scatter(u *Unison, stack []int) (own detune.Scatter, assumed bool) {
	if stack == nil {
		stack = m.Players(u.Part)
	}
	for i, voice := range stack {
		s, assumes := m.Scatter(voice, float64(u.Keys[1].Key))
		s.LSB = detune.RoundingScatter(m.step(u, voice))
		if i == 0 || s.Sigma() > own.Sigma() {
			own, assumed = s, assumes
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
	for _, w := range u.Warnings {
		m.findWarning(u, w)
	}
	m.findThrob(u)
	if u.Stereo.Placement == detune.Centred {
		facts := []Fact{m.part(u)}
		const wide = 3
		if len(m.Players(u.Part))%wide == 0 && m.wouldPlay(func(r *profiles.Rig) { r.Parts[u.Part].Unison.Voices = wide }) {
			facts = append(facts, Number("wide", wide, ""))
		}
		m.find(PanCentred, m.unisonPath(u.Part, "pan"), facts...)
	}
	m.findTooFine(u)
}

// findThrob speaks of three voices or more that are in step again while a note is held, and
// of the pattern that puts it off longest.
func (m *Map) findThrob(u *Unison) {
	k := &u.Keys[1]
	if u.Of < 3 || !k.Again {
		return
	}
	facts := []Fact{m.part(u), Number("period", k.InStep, "s").Main(), Number("key", int(k.Key), "key")}
	if t := k.Beats.Throb; t.Common {
		facts = append(facts, Number("even", t.Period, "s"))
	}
	var best profiles.Law
	latest, stops := 2*k.InStep, false
	for _, law := range []profiles.Law{profiles.LawUneven, profiles.LawGolden} { // the uneven one ends at 12 voices
		if stops || law == m.Rig.Parts[u.Part].Unison.Law || !m.wouldPlay(func(r *profiles.Rig) { r.Parts[u.Part].Unison.Law = law }) {
			continue
		}
		if at, again, ok := m.inStepBy(u, law); ok && (!again || at >= latest) {
			best, latest, stops = law, at, !again
		}
	}
	switch {
	case stops:
		facts = append(facts, Named("law", best.String()))
	case latest > 2*k.InStep:
		facts = append(facts, Named("slower", best.String()), Number("later", latest, "s"))
	}
	m.find(CommonThrob, m.unisonPath(u.Part, "law"), facts...)
}

// inStepBy is when the stack would be in step again with another detune pattern, at the
// middle key; ok is false where the pattern has none.
func (m *Map) inStepBy(u *Unison, law profiles.Law) (at detune.Seconds, again, ok bool) {
	p := m.Rig.Parts[u.Part]
	p.Unison.Law = law
	cents, err := Detunes(&p)
	if err != nil {
		return 0, false, false
	}
	c, err := detune.NewCourse(cents, u.Keys[1].Beats.Key)
	if err != nil {
		return 0, false, false
	}
	at, again = c.InStep()
	return at, again, true
}

// Course is what the stack does at one of its three keys.
func (u *Unison) Course(key int) (*detune.Course, error) {
	return detune.NewCourse(u.Keys[key].Cents, u.Keys[key].Beats.Key)
}

func (m *Map) findWarning(u *Unison, w StackWarning) {
	facts := []Fact{Number("low", w.Low+1, ""), Number("high", w.High+1, ""), m.part(u), Number("gap", w.Gap, "cents").Main(),
		Number("limit", w.Limit, "cents").Assume(w.Assumed)}
	code := MayLock
	if w.Code == detune.MaySwap {
		code, facts = MaySwap, append(facts, Number("chance", 100*w.Chance, "%"))
	}
	m.find(code, m.unisonPath(u.Part, "spread"), facts...)
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
		m.find(DetuneTooFine, m.unisonPath(u.Part, "spread"), m.part(u), Number("gap", gap, "cents").Main(),
			Named("interface", m.Rig.Interfaces[m.Voices[voice].Interface].Name), Number("step", step, "cents"))
		return
	}
}
