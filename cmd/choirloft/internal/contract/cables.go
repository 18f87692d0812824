package contract

import (
	"slices"

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
	Long    bool   `json:"long"`    // past the longest in stock
	OverCM  *int   `json:"over_cm"` // the longest in stock; null unless past it
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
	longest := slices.Max(cables.Stock())
	for _, l := range cables.Buy(list) {
		x := CableLot{Purpose: l.Purpose.String(), Colour: l.Purpose.Colour(), StockCM: above0(l.Stock), Long: l.Long, Count: l.Count}
		if l.Long {
			x.OverCM = &longest
		}
		lots = append(lots, x)
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

// CablePurpose is what cables are for, and the colour proposed for it.
type CablePurpose struct{ Purpose, Colour string }

// CablePurposes are all there are.
func CablePurposes() (all []CablePurpose) {
	for _, p := range cables.Purposes() {
		all = append(all, CablePurpose{p.String(), p.Colour()})
	}
	return all
}
