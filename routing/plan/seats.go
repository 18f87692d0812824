package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
)

// Seats are the banks on which a part plays: for all its keys, or where there are several
// for the keys from each on, in ascending order. The first has all keys below the second.
type Seats []Seat

// Seat is some banks, for the keys from one on, as they come in.
type Seat struct {
	From  midi.Key
	Banks []string // by name, each once
}

// On seats a part on banks with all its keys.
func On(banks ...string) Seats { return Seats{{Banks: banks}} }

// parseSeats reads banks with commas between, as in K,L, and keys between banks, as in K/60/L,M:
// there the keys below 60 are played on K.
func parseSeats(text string) (seats Seats, message, hint string) {
	words := strings.Split(text, "/")
	if len(words)%2 == 0 {
		return nil, fmt.Sprintf("found %q, want banks, or banks / key / banks", text), "write it like K,L, or like K/60/L"
	}
	for i := 0; i < len(words); i += 2 {
		s := Seat{}
		if i > 0 {
			word := strings.TrimSpace(words[i-1])
			key, err := strconv.Atoi(word)
			if low := int(seats[len(seats)-1].From); err != nil || key <= low || key > 127 {
				return nil, fmt.Sprintf("found %q, want a key by its number, from %d to 127", word, low+1), "C4 is 60; a key belongs to the banks behind it"
			}
			s.From = midi.Key(key)
		}
		s.Banks, _, _ = parseNames(words[i])
		seats = append(seats, s)
	}
	return seats, "", ""
}

// String writes them as a flag has them.
func (s Seats) String() string { return s.text(printNames) }

func (s Seats) code() string { return s.text(sortedNames) }

func (s Seats) text(names func([]string) string) string {
	var b strings.Builder
	for i, x := range s {
		if i > 0 {
			fmt.Fprintf(&b, "/%d/", x.From)
		}
		b.WriteString(names(x.Banks))
	}
	return b.String()
}

// Banks names all of them, each once.
func (s Seats) Banks() (names []string) {
	for _, x := range s {
		for _, name := range x.Banks {
			if !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}

// Beside adds banks wherever one is.
func (s Seats) Beside(name string, more []string) Seats {
	with := slices.Clone(s)
	for i, x := range s {
		if slices.Contains(x.Banks, name) {
			with[i].Banks = slices.Concat(x.Banks, more)
		}
	}
	return with
}

// Keys are those of a seat.
func (s Seats) Keys(i int) alloc.KeyRange {
	keys := alloc.KeyRange{Low: s[i].From, High: 127}
	if i+1 < len(s) {
		keys.High = s[i+1].From - 1
	}
	return keys
}

// seats are the banks of the parts, by index into the banks of the rig; by part, and in it by seat.
func (o *Overrides) seats(rig *profiles.Rig) (*aims[Seats], [][][]int, error) {
	for _, v := range o.Banks {
		if err := knownBanks(rig, v); err != nil {
			return nil, nil, err
		}
	}
	seats, err := resolve(partNames(rig), &banksKind, o)
	if err != nil {
		return nil, nil, err
	}
	banks := make([][][]int, len(rig.Parts))
	for part, s := range seats.byPart {
		if s == nil {
			continue
		}
		for _, x := range *s {
			banks[part] = append(banks[part], banksNamed(rig, x.Banks))
		}
	}
	return seats, banks, nil
}

// banksNamed are the indexes of banks, ascending.
func banksNamed(rig *profiles.Rig, names []string) (banks []int) {
	for b := range rig.Banks {
		if slices.Contains(names, rig.Banks[b].Name) {
			banks = append(banks, b)
		}
	}
	return banks
}

func knownBanks(rig *profiles.Rig, v For[Seats]) error {
	var names []string
	for _, b := range rig.Banks {
		names = append(names, b.Name)
	}
	for _, name := range v.Value.Banks() {
		if !slices.Contains(names, name) {
			return banksKind.unknown(unknown("bank", name, names), unit.DidYouMean(name, names), v)
		}
	}
	return nil
}

// seat says on which banks parts play, with all their keys.
func (o *Overrides) seat(rig *profiles.Rig) (*profiles.Rig, error) {
	if len(o.Banks) == 0 {
		return rig, nil
	}
	_, banks, err := o.seats(rig)
	if err != nil {
		return nil, err
	}
	return withParts(rig, func(i int, p *profiles.Part) error {
		if all := slices.Concat(banks[i]...); all != nil {
			slices.Sort(all)
			p.Banks = slices.Compact(all)
		}
		return nil
	})
}

// Splits tells whether the keys of a part are split over banks.
func (o Overrides) Splits() bool {
	return slices.ContainsFunc(o.Banks, func(v For[Seats]) bool { return len(v.Value) > 1 })
}

// split makes several parts of each that has keys on several seats. It comes last: whatever else is
// set was set for the whole part, and holds for each.
func (o *Overrides) split(p *Plan) error {
	p.Origin = make([]int, len(p.Rig.Parts))
	for i := range p.Origin {
		p.Origin[i] = i
	}
	if !o.Splits() {
		return nil
	}
	seats, banks, err := o.seats(p.Rig)
	if err != nil {
		return err
	}
	p.whole = p.Rules.Config.Parts
	s := splitter{Plan: p, rig: *p.Rig}
	s.rig.Parts, p.Rules.Config.Parts = slices.Clone(p.Rig.Parts), slices.Clone(p.whole)
	for i, x := range seats.byPart {
		if x != nil && len(*x) > 1 {
			s.split(i, *x, banks[i])
		}
	}
	p.Rig, p.Map = &s.rig, routing.Lay(&s.rig)
	for i := range p.Rig.Parts {
		p.Rules.Config.Parts[i].Unison = unison(p.Map, i)
		if has := &p.Rig.Parts[i]; has.Unison.Voices > voicesOf(p.Rig, has) {
			of := p.Origin[i]
			return banksKind.refuse(fmt.Sprintf("a note of part %s takes %d voices, more than keys %d to %d have", p.Rig.Parts[of].Name, has.Unison.Voices, has.Keys.Low, has.Keys.High),
				"give these keys more banks, or a smaller unison", seats.from[of])
		}
	}
	if short := p.Rig.Overbooked(); short != nil {
		return banksKind.refuse(fmt.Sprintf("the voices that are kept for %s are more than their banks have", partsOf(p.Rig, short)), "lower a reserve, or give more banks", o.Banks...)
	}
	return nil
}

// splitter makes several parts of one.
type splitter struct {
	*Plan
	rig profiles.Rig
}

// split leaves the first seat that has keys of a part to it, and adds a part for each further one.
func (s *splitter) split(part int, seats Seats, banks [][]int) {
	whole, rules := s.rig.Parts[part], s.Rules.Config.Parts[part]
	at := part
	for i := range seats {
		keys := seats.Keys(i)
		keys.Low, keys.High = max(keys.Low, whole.Keys.Low), min(keys.High, whole.Keys.High)
		if keys.Low > keys.High {
			continue
		}
		if at != part {
			s.rig.Parts, s.Rules.Config.Parts, s.Origin = append(s.rig.Parts, whole), append(s.Rules.Config.Parts, rules), append(s.Origin, part)
			s.rig.Parts[at].Name = s.partName(whole.Name)
			s.rig.Parts[at].Pos = profiles.Pos{}
		}
		p, r := &s.rig.Parts[at], &s.Rules.Config.Parts[at]
		p.Keys, p.Banks = keys, banks[i]
		r.Name, r.Keys, r.Banks = p.Name, keys, banks[i]
		at = len(s.rig.Parts)
	}
}

// partName is the name of a part with the first number from 2 with which no part has it.
func (s *splitter) partName(of string) string {
	for n := 2; ; n++ {
		name := of + strconv.Itoa(n)
		if !slices.ContainsFunc(s.rig.Parts, func(p profiles.Part) bool { return p.Name == name }) {
			return name
		}
	}
}
