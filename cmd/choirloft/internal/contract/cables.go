package contract

import (
	"fmt"
	"strconv"
	"strings"

	"choirloft/routing"
	"choirloft/routing/cables"
)

// Cable is one cable of the rig.
type Cable struct {
	Number   string   `json:"number"` // on its label, of the jack that it comes from
	From     string   `json:"from"`
	To       string   `json:"to"`
	Purpose  string   `json:"purpose"`   // pitch, gate, lane, macro
	Colour   string   `json:"colour"`    // proposed
	LengthMM *float64 `json:"length_mm"` // null where the rig does not say where both ends are
	StockCM  *int     `json:"stock_cm"`  // null as above, and past the longest in stock
}

// CableLot is cables to buy that are alike.
type CableLot struct {
	Purpose string `json:"purpose"`
	Colour  string `json:"colour"`
	StockCM *int   `json:"stock_cm"`
	Long    bool   `json:"long"` // past the longest in stock
	Count   int    `json:"count"`
}

func newCables(m *routing.Map) (all []Cable, lots []CableLot) {
	all, lots = []Cable{}, []CableLot{}
	list := cables.List(m)
	for _, c := range list {
		x := Cable{Number: c.Number, From: c.From, To: c.To, Purpose: c.Purpose.String(), Colour: c.Purpose.Colour(), StockCM: above0(c.Stock)}
		if c.Length > 0 {
			x.LengthMM = &c.Length
		}
		all = append(all, x)
	}
	for _, l := range cables.Buy(list) {
		lots = append(lots, CableLot{l.Purpose.String(), l.Purpose.Colour(), above0(l.Stock), l.Long, l.Count})
	}
	return all, lots
}

// above0 is nil for 0.
func above0(n int) *int {
	if n == 0 {
		return nil
	}
	return &n
}

// CableLines say what to buy, a line a length.
func (m *Map) CableLines() []string {
	if len(m.Cables) == 0 {
		return nil
	}
	var colours []string
	for _, p := range cables.Purposes() {
		colours = append(colours, p.String()+" "+p.Colour())
	}
	lines := []string{fmt.Sprintf("Cables to buy: %d, without those of sound (%s).", len(m.Cables), strings.Join(colours, ", "))}
	unknown := false
	for i := 0; i < len(m.CablesToBuy); {
		first := m.CablesToBuy[i].length()
		unknown = unknown || first == unknownLength
		var words []string
		for ; i < len(m.CablesToBuy) && m.CablesToBuy[i].length() == first; i++ {
			words = append(words, fmt.Sprintf("%d %s", m.CablesToBuy[i].Count, m.CablesToBuy[i].Purpose))
		}
		lines = append(lines, first+": "+strings.Join(words, ", "))
	}
	if unknown {
		lines = append(lines, "Lengths are known where interfaces and banks say their row and hp, and what is left of them too.")
	}
	return lines
}

const unknownLength = "length not known"

func (l *CableLot) length() string {
	switch {
	case l.StockCM != nil:
		return strconv.Itoa(*l.StockCM) + " cm"
	case l.Long:
		stock := cables.Stock()
		return "over " + strconv.Itoa(stock[len(stock)-1]) + " cm"
	}
	return unknownLength
}
