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
	var besides []string
	supply := "supply"
	if p.Supplies.More > 1 {
		supply = "supplie"
	}
	for _, x := range []struct {
		n    int
		what string
	}{{p.Interfaces.More, "interface"}, {p.Supplies.More, supply}, {p.Rows, "row"}} {
		if x.n > 0 {
			besides = append(besides, unit.Count(x.n, x.what))
		}
	}
	if len(besides) > 0 {
		text += ", with " + unit.List(besides)
	}
	if p.Price != nil {
		text += ", for " + strconv.FormatFloat(*p.Price, 'f', -1, 64)
	}
	return text
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
	var words []string
	if len(p.Needs) > 0 {
		first := &p.Needs[0]
		words = append(words, fmt.Sprintf("What runs out first: %s (%s).", first.Resource, needText(first)))
	}
	if len(p.Unknown) > 0 {
		words = append(words, "Not known: "+unit.List(p.Unknown)+".")
	}
	return strings.Join(words, " ")
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
		words = append(words, after+"as little as "+purchaseText(b.Fewest)+" helps.")
	case b.Needless:
		words = append(words, after+"there is nothing to buy for.")
	case b.Short:
		words = append(words, "Not every purchase was tried: a longer --budget tries more.")
	case b.Tried > 0:
		words = append(words, after+"no purchase helps.")
	}
	return strings.Join(words, " ")
}

// noRoomLine says what the rack cannot hold: where something else is offered to buy, or where nothing is.
func (s size) noRoomLine(offered bool) string {
	b := s.Buying
	if b == nil || len(b.Refused) == 0 || s.content() || offered != slices.ContainsFunc(s.Fixes, func(f contract.Fix) bool { return f.Asks == buying }) {
		return ""
	}
	r := &b.Refused[0]
	if at := slices.IndexFunc(r.Short, func(n contract.Need) bool { return n.Why != nil }); at >= 0 {
		return fmt.Sprintf("Not offered: %s. check would say: %s.", banksLike(r.Banks, r.Voices, r.Like), *r.Short[at].Why)
	}
	var short []string
	for i := range r.Short {
		short = append(short, r.Short[i].Resource+" ("+needText(&r.Short[i])+")")
	}
	return fmt.Sprintf("No room for %s: short of %s.", banksLike(r.Banks, r.Voices, r.Like), unit.List(short))
}
