package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// purchaseText says what is bought.
func purchaseText(p *contract.Purchase) string {
	text := banksLike(p.Banks, p.Voices, p.Like)
	if besides := besidesBanks(p); len(besides) > 0 {
		text += ", with " + unit.List(besides)
	}
	if p.Price != nil {
		text += ", for " + strconv.FormatFloat(*p.Price, 'f', -1, 64)
	}
	return text
}

// besidesBanks are what else is bought.
func besidesBanks(p *contract.Purchase) (words []string) {
	multiples, supply := 0, "supply"
	for _, m := range p.Multiples {
		multiples += m.Count
	}
	if p.Supplies.More > 1 {
		supply = "supplie"
	}
	for _, x := range []struct {
		contract.Further
		what string
	}{{p.Interfaces, "interface"}, {p.Supplies, supply}, {contract.Further{More: p.Rows}, "row"}, {contract.Further{More: multiples}, "multiple"}} {
		if x.More == 0 {
			continue
		}
		text := unit.Count(x.More, x.what)
		if x.Like != nil {
			text += " like " + *x.Like
		}
		words = append(words, text)
	}
	return words
}

// banksLike are so many banks with voices in all, like one.
func banksLike(banks, voices int, like string) string {
	return fmt.Sprintf("%s of %d like %s", unit.Count(banks, "bank"), voices/banks, like)
}

// needText is what is free of something, and needed.
func needText(n *contract.Need) string {
	measure := ""
	if n.Unit != nil {
		measure = " " + *n.Unit
	}
	return fmt.Sprintf("%s%s free, %s%s needed", unit.Fixed(n.Free, 0), measure, unit.Fixed(n.Needed, 0), measure)
}

// purchaseLine says of the purchase that is named first what runs out first, and what
// nobody knows.
func (s size) purchaseLine() string {
	at := slices.IndexFunc(s.Fixes, func(f contract.Fix) bool { return f.Purchase != nil })
	if at < 0 {
		return ""
	}
	p := s.Fixes[at].Purchase
	if n := len(p.ByHand); n > 0 { // by name in the rig that is written
		return joined(shortOf(p), unit.Count(n, "wire")+" by hand.")
	}
	return shortOf(p)
}

// shortOf says of a purchase what runs out first, and what nobody knows.
func shortOf(p *contract.Purchase) string {
	var words []string
	if len(p.Needs) > 0 {
		first := &p.Needs[0]
		words = append(words, fmt.Sprintf("What runs out first: %s (%s).", first.Resource, needText(first)))
	}
	if len(p.Unknown) > 0 {
		words = append(words, "Not known: "+unit.List(p.Unknown)+".")
	}
	return joined(words...)
}

// ByHand says what of a purchase no rig file is written with: how new banks are wired that
// are like one that is wired by itself; empty for nothing.
func ByHand(p *contract.Purchase) string {
	var ends, ors, words []string
	for _, name := range p.ByHand {
		if setUp, ok := strings.CutPrefix(name, "set-up "); !ok {
			ends = append(ends, name)
		} else if !slices.Contains(ors, setUp) {
			ors = append(ors, setUp)
		}
	}
	if len(ends) > 0 {
		words = append(words, fmt.Sprintf("Wire by hand, as bank %s is: %s.", p.Like, unit.First(ends, 3)))
	}
	if len(ors) > 0 {
		words = append(words, "Each new bank takes a gate-OR for "+unit.First(ors, 2)+".")
	}
	return strings.Join(words, " ")
}

// boughtLines say of a map or a check what is bought; none for nothing.
func boughtLines(p *contract.Purchase) []string {
	if p == nil {
		return nil
	}
	return notEmpty([]string{fmt.Sprintf("With %s: %s.", unit.First(p.Names, 3), purchaseText(p)), joined(shortOf(p), ByHand(p))})
}

// buyingLine says what the fewest voices are that help after the best settings.
func (s size) buyingLine() string {
	b := s.Buying
	if b == nil || s.content() {
		return ""
	}
	var words []string
	after := "With the settings as they are, "
	if b.After != nil {
		after = fmt.Sprintf("After fix %d, ", *b.After)
	}
	switch {
	case b.Fewest != nil:
		words = append(words, after+"the least that helps is "+purchaseText(b.Fewest)+".")
	case b.Needless:
		words = append(words, after+"nothing needs buying.")
	case b.Short:
		words = append(words, "Not every purchase was tried: a longer --budget tries more.")
	case b.Tried > 0:
		words = append(words, after+"no purchase helps.")
	}
	return strings.Join(words, " ")
}

// noRoomFirst says at the top what the rack cannot hold, where nothing is offered to buy.
func (s size) noRoomFirst() string {
	if s.offersToBuy() {
		return ""
	}
	return s.noRoom(0, 1)
}

// noRoomLine says below the fixes what else the rack cannot hold: with --all of each bank that
// one would be like.
func (s size) noRoomLine(room Room) string {
	from := 0
	if !s.offersToBuy() { // it stands at the top
		from = 1
	}
	return s.noRoom(from, room.of(1, 8))
}

func (s size) offersToBuy() bool {
	return slices.ContainsFunc(s.Fixes, func(f contract.Fix) bool { return f.Asks == buying })
}

// noRoom says of some of the purchases that the rack cannot hold what is short.
func (s size) noRoom(from, to int) string {
	b := s.Buying
	if b == nil || s.content() {
		return ""
	}
	var words []string
	for i := from; i < min(to, len(b.Refused)); i++ {
		words = append(words, refusedText(&b.Refused[i]))
	}
	return strings.Join(words, " ")
}

// refusedText says what is short for some banks.
func refusedText(r *contract.Refused) string {
	if at := slices.IndexFunc(r.Short, func(n contract.Need) bool { return n.Why != nil }); at >= 0 {
		return fmt.Sprintf("Not offered: %s. check would say: %s.", banksLike(r.Banks, r.Voices, r.Like), *r.Short[at].Why)
	}
	var short []string
	for i := range r.Short {
		short = append(short, r.Short[i].Resource+" ("+needText(&r.Short[i])+")")
	}
	return fmt.Sprintf("No room for %s: short of %s.", banksLike(r.Banks, r.Voices, r.Like), unit.List(short))
}
