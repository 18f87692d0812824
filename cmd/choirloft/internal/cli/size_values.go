package cli

import (
	"fmt"
	"strconv"
	"strings"

	"choirloft/alloc"
	"choirloft/profiles/pattern"
	"choirloft/routing/whatif"
)

var rackForm = pattern.Of(`^(?:([^=]+)=)?\s*([0-9]{1,4})\s*[x×]\s*([0-9]{1,4})\s*$`)

// mostBanks is the most banks that are dealt out in every way.
const mostBanks = 16

// parseRacks reads racks such as 6x4 or big=6x4: banks, and voices in each.
func parseRacks(texts []string) ([]whatif.Rack, error) {
	var racks []whatif.Rack
	for _, text := range texts {
		m := rackForm().FindStringSubmatch(text)
		if m == nil {
			return nil, &usageError{fmt.Sprintf("--rack %s: want banks by voices", text), "write it like 6x4, or big=6x4"}
		}
		banks, _ := strconv.Atoi(m[2])
		voices, _ := strconv.Atoi(m[3])
		if banks < 1 || banks > mostBanks || voices < 1 || banks*voices > alloc.MaxVoices {
			return nil, &usageError{fmt.Sprintf("--rack %s: want 1 to %d banks of at least 1 voice, at most %d in all", text, mostBanks, alloc.MaxVoices), ""}
		}
		name := strings.TrimSpace(m[1])
		if name == "" {
			name = rackName(banks, voices)
		}
		racks = append(racks, whatif.Rack{Name: name, Banks: banks, Size: voices})
	}
	return racks, nil
}

func rackName(banks, voices int) string { return fmt.Sprintf("%dx%d", banks, voices) }

// parsePrices reads prices such as "voice 90, bank 40".
func parsePrices(text string) (*whatif.Prices, error) {
	if strings.TrimSpace(text) == "" {
		return nil, nil
	}
	var p whatif.Prices
	things := map[string]*float64{"voice": &p.Voice, "bank": &p.Bank, "interface": &p.Interface, "supply": &p.Supply, "row": &p.Row, "multiple": &p.Multiple, "cable": &p.Cable}
	for _, item := range strings.Split(text, ",") {
		what, number, _ := strings.Cut(strings.TrimSpace(item), " ")
		price, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		to := things[what]
		if to == nil || err != nil || !(price >= 0 && price < 1e12) {
			return nil, &usageError{fmt.Sprintf("--price %s: found %q, want voice, bank, interface, supply, row, multiple or cable, and a number", text, strings.TrimSpace(item)), "write it like voice 90, bank 40"}
		}
		*to = price
	}
	return &p, nil
}
