package plan

import (
	"fmt"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/pattern"
	"choirloft/routing"
	"choirloft/routing/setups"
)

// find returns what there is to say about the plan and its map.
func (p *Plan) find() []routing.Finding {
	found := append(slices.Clone(p.Map.Findings), setups.Findings(p.Map)...)
	for i := range p.Rules.Config.Parts {
		found = append(found, p.voiceless(i)...)
		found = append(found, p.keptOut(i)...)
		found = append(found, p.fixed(i)...)
		found = append(found, p.unreached(i)...)
		found = append(found, p.notReckoned(i)...)
	}
	found = append(found, p.zoned()...)
	found = append(found, p.unused()...)
	found = append(found, p.readAsKeys()...)
	found = append(found, p.readAsOthers()...)
	found = append(found, p.Rack.Findings...)
	found = append(found, p.Levels.Find(p.Rig)...)
	found = append(found, p.late()...)
	found = append(found, p.unfinished()...)
	found = append(found, p.gatesTooShort()...)
	if len(p.Rig.Interfaces) == 0 {
		found = append(found, routing.New(routing.NoInterface, "interfaces"))
	}
	p.place(found)
	routing.Sort(found)
	return found
}

// voiceless reports a part without a voice in service.
func (p *Plan) voiceless(i int) []routing.Finding {
	part := &p.Rules.Config.Parts[i]
	for _, v := range p.Rules.Config.Voices {
		if v.State.InService() && slices.Contains(part.Banks, v.Bank) {
			return nil
		}
	}
	banks := routing.Named("banks")
	for _, b := range part.Banks {
		banks.Names = append(banks.Names, p.Rig.Banks[b].Name)
	}
	f := routing.New(routing.PartWithoutVoices, "parts."+part.Name+".banks", routing.Named("part", part.Name), banks)
	f.Pos = p.Rig.Parts[i].Pos
	return []routing.Finding{f}
}

// keptOut reports a part with no reserve whose voices are all reserved for others: a note
// takes a voice only if as many are free as others may still claim, and one more.
func (p *Plan) keptOut(i int) []routing.Finding {
	part := &p.Rules.Config.Parts[i]
	var banks []int // a voice each
	for _, v := range p.Rules.Config.Voices {
		if v.State.InService() && slices.Contains(part.Banks, v.Bank) {
			banks = append(banks, v.Bank)
		}
	}
	kept, parts, voices := 0, routing.Named("parts"), len(banks)
	for j := range p.Rules.Config.Parts {
		other := &p.Rules.Config.Parts[j]
		shares := func(b int) bool { return slices.Contains(banks, b) }
		if j != i && other.Reserve > 0 && slices.ContainsFunc(other.Banks, shares) {
			kept, parts.Names = kept+other.Reserve, append(parts.Names, other.Name)
		}
	}
	if part.Reserve > 0 || voices == 0 || kept < voices {
		return nil
	}
	f := routing.New(routing.PartKeptOut, "parts."+part.Name, parts, routing.Number("voices", voices, ""), routing.Named("part", part.Name))
	f.Pos = p.Rig.Parts[i].Pos
	return []routing.Finding{f}
}

// fixed reports keys that a fixed map gives to voices which cannot play them.
func (p *Plan) fixed(i int) []routing.Finding {
	part := &p.Rules.Config.Parts[i]
	if part.Pick != alloc.PickFixed {
		return nil
	}
	var found []routing.Finding
	for key := range midi.Key(128) {
		voice, ok := part.Fixed[key]
		if !ok {
			continue
		}
		code, why := p.cannotPlay(part, key, voice)
		if code == "" {
			continue
		}
		f := routing.New(code, fmt.Sprintf("parts.%s.pick.fixed.%d", part.Name, key), append(why, routing.Number("key", int(key), "key"),
			routing.Named("part", part.Name), routing.Named("voice", p.Rig.Voices[voice].Name))...)
		if _, ok := p.Rig.Given(f.Where); !ok { // written by name
			f.Pos = p.Rig.Parts[i].Pos
		}
		found = append(found, f)
	}
	return found
}

// cannotPlay says why a voice cannot play a key of a part; the code is empty if
// it can.
func (p *Plan) cannotPlay(part *alloc.Part, key midi.Key, voice int) (code routing.Code, why []routing.Fact) {
	v := p.Rules.Config.Voices[voice]
	sounding := int(key) + part.Transpose
	switch {
	case v.State == alloc.Out:
		return routing.FixedVoiceOut, []routing.Fact{routing.Named("state", "out of service")}
	case v.State == alloc.Spare:
		return routing.FixedVoiceOut, []routing.Fact{routing.Named("state", "a spare")}
	case !slices.Contains(part.Banks, v.Bank):
		return routing.FixedVoiceAway, nil
	case v.State == alloc.Limited && (sounding < int(v.Keys.Low) || sounding > int(v.Keys.High)):
		return routing.FixedKeyOutside, []routing.Fact{routing.Number("low", int(v.Keys.Low), "key"), routing.Number("high", int(v.Keys.High), "key"),
			routing.Number("sounding", sounding, "key")}
	}
	return "", nil
}

// NotLate is the latency below which nothing is said of a voice: two tones that begin less
// than some 5 ms apart begin together (from memory; Zwicker and Fastl give 2 to 10 ms).
const NotLate = 5 * time.Millisecond

// late reports voices that were measured to answer late, the latest first told.
func (p *Plan) late() []routing.Finding {
	voices, most := routing.Named("voices"), time.Duration(0)
	for i, v := range p.Rules.Config.Voices {
		if behind := p.Rig.Latency(i); behind >= NotLate && v.State != alloc.Out {
			voices.Names, most = append(voices.Names, p.Rig.Voices[i].Name), max(most, behind)
		}
	}
	if most == 0 {
		return nil
	}
	return []routing.Finding{routing.New(routing.VoiceLate, "measured", voices, routing.Number("latency", milliseconds(most), "ms"))}
}

func milliseconds(d time.Duration) float64 { return 1000 * d.Seconds() }

// unfinished reports, where takes have measured the pitch of some voices, those whose pitch
// they leave out, to be turned most often; those not read at all; and those read on one day, where others
// were on two.
func (p *Plan) unfinished() (found []routing.Finding) {
	unwritten, unread, once := routing.Named("voices"), routing.Named("voices"), routing.Named("voices")
	some, most := false, 0
	rig := p.Unchanged // what is left to measure does not go with what is tried
	now := routing.Corrections(rig)
	for i := range rig.Voices {
		name, a := rig.Voices[i].Name, rig.Voices[i].Answer
		if rig.Voices[i].State == alloc.Out {
			continue
		}
		if a != nil && len(a.Tuning) > 0 {
			some, most = true, max(most, len(a.Tuning))
		}
		switch {
		case a != nil && len(a.Tuning) == 0 && (a.Date != "" || now[i].Residual == nil):
			unwritten.Names = append(unwritten.Names, name)
		case a == nil && now[i].Residual == nil:
			unread.Names = append(unread.Names, name)
		case a != nil && len(a.Tuning) == 1 && now[i].Drift == nil:
			once.Names = append(once.Names, name)
		}
	}
	if some && len(unwritten.Names) > 0 {
		found = append(found, routing.New(routing.PitchUnwritten, "measured", unwritten))
	}
	if some && len(unread.Names) > 0 {
		found = append(found, routing.New(routing.VoicesUnmeasured, "measured", unread.Main()))
	}
	if most > 1 && len(once.Names) > 0 {
		found = append(found, routing.New(routing.DriftUnmeasured, "measured", once))
	}
	return found
}

// gatesTooShort reports voices that were found to open by longer gates alone than the file
// allows.
func (p *Plan) gatesTooShort() []routing.Finding {
	voices, needed := routing.Named("voices"), time.Duration(0)
	shortest := p.Rules.Config.MinGate
	for i, v := range p.Rules.Config.Voices {
		if a := p.Rig.Voices[i].Answer; a != nil && a.MinGate != nil && *a.MinGate > shortest && v.State != alloc.Out {
			voices.Names, needed = append(voices.Names, p.Rig.Voices[i].Name), max(needed, *a.MinGate)
		}
	}
	if needed == 0 {
		return nil
	}
	return []routing.Finding{routing.New(routing.GateTooShort, "timing.min_gate", voices, routing.Number("shortest", milliseconds(shortest), "ms"),
		routing.Number("needed", milliseconds(needed), "ms"))}
}

// keyLetter is a bank whose voices read as keys: H is one too where B is a
// semitone lower, and so are flats.
var keyLetter = pattern.Of(`^[A-Ha-h]b?$`)

// readAsKeys reports banks whose voices have the names of keys, all at once.
func (p *Plan) readAsKeys() []routing.Finding {
	var banks []string
	var first profiles.Pos
	for _, b := range p.Rig.Banks {
		if keyLetter().MatchString(b.Name) {
			if len(banks) == 0 {
				first = b.Pos
			}
			banks = append(banks, b.Name)
		}
	}
	if len(banks) == 0 {
		return nil
	}
	f := routing.New(routing.BankReadsAsKey, "banks."+banks[0], routing.Named("banks", banks...), routing.Named("voice", profiles.VoiceName(banks[0], 1)),
		routing.Named("to", p.freeBanks(len(banks))...))
	f.Pos = first
	return []routing.Finding{f}
}

// freeBanks are names that no bank has and that read as no key.
func (p *Plan) freeBanks(n int) (names []string) {
	for i := 0; len(names) < n; i++ {
		name := profiles.BankName(i)
		if !slices.ContainsFunc(p.Rig.Banks, func(b profiles.Bank) bool { return b.Name == name }) {
			names = append(names, name)
		}
	}
	return names
}

// keyForm is a name of one key, flats too; sharps cannot stand in names.
var keyForm = pattern.Of(`^[A-Ha-h]b?-?[0-9]+$`)

// readAsOthers reports names that read as a key, or are those of voices.
func (p *Plan) readAsOthers() []routing.Finding {
	voices := map[string]bool{}
	for _, v := range p.Rig.Voices {
		voices[v.Name] = true
	}
	var found []routing.Finding
	report := func(section, what, name string, pos profiles.Pos) {
		facts := []routing.Fact{routing.Named("kind", what), routing.Named("name", name)}
		switch {
		case voices[name]:
			facts = append(facts, routing.Named("voice", name))
		case !keyForm().MatchString(name):
			return
		}
		f := routing.New(routing.NameReadsAsOther, section+"."+name, facts...)
		f.Pos = pos
		found = append(found, f)
	}
	for _, m := range p.Rig.Macros {
		report("macros", "macro", m.Name, m.Pos)
	}
	for _, x := range p.Rig.Parts {
		report("parts", "part", x.Name, x.Pos)
	}
	for _, i := range p.Rig.Interfaces {
		report("interfaces", "interface", i.Name, i.Pos)
	}
	for _, s := range p.Rig.Sequencers {
		report("sequencers", "sequencer", s.Name, s.Pos)
	}
	return found
}

// unused reports banks that no part plays on.
func (p *Plan) unused() []routing.Finding {
	var found []routing.Finding
	for i, b := range p.Rig.Banks {
		if slices.ContainsFunc(p.Rules.Config.Parts, func(x alloc.Part) bool { return slices.Contains(x.Banks, i) }) {
			continue
		}
		f := routing.New(routing.BankUnused, "banks."+b.Name, routing.Named("bank", b.Name), routing.Number("voices", b.Size, ""))
		f.Pos = b.Pos
		found = append(found, f)
	}
	return found
}
