package contract

import (
	"slices"
	"strings"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/cables"
	"choirloft/routing/setups"
)

// Cable is one cable of the rig.
type Cable struct {
	Number   string   `json:"number"` // on its label, of the jack that it comes from
	From     string   `json:"from"`
	To       string   `json:"to"`
	Purpose  string   `json:"purpose"`   // pitch, gate, lane, macro
	Colour   string   `json:"colour"`    // proposed, of the bank; empty where the cable serves several
	LengthMM *float64 `json:"length_mm"` // null where the rig does not say where both ends are
	StockCM  *int     `json:"stock_cm"`  // null as above, and past the longest in stock
	SetUps   []string `json:"set_ups"`   // in which it is plugged
}

// CableLot is cables to buy that are alike.
type CableLot struct {
	Purpose string `json:"purpose"`
	StockCM *int   `json:"stock_cm"`
	Long    bool   `json:"long"`    // past the longest in stock
	OverCM  *int   `json:"over_cm"` // the longest in stock; null unless past it
	Count   int    `json:"count"`
}

// CableShade is cables to buy that are alike in length and colour.
type CableShade struct {
	Colour  string `json:"colour"` // empty for those that serve several banks
	StockCM *int   `json:"stock_cm"`
	Long    bool   `json:"long"`    // past the longest in stock
	OverCM  *int   `json:"over_cm"` // the longest in stock; null unless past it
	Count   int    `json:"count"`
}

// MultipleLot is multiples to buy that are alike.
type MultipleLot struct {
	Through string `json:"through"` // passive, buffered
	Outs    int    `json:"outs"`    // that each needs
	Count   int    `json:"count"`
}

// cables lists the cables of a map, with the colours of banks, and sums them up.
func (m *Map) cables(of *routing.Map) {
	m.Cables, m.CablesToBuy, m.ColoursToBuy = []Cable{}, []CableLot{}, []CableShade{}
	m.MultiplesToBuy = multipleLots(cables.BuyMultiples(of))
	m.Banks = []MapBank{}
	for i := range of.Rig.Banks {
		m.Banks = append(m.Banks, MapBank{of.Rig.Banks[i].Name, of.Rig.Banks[i].Colour.String()})
	}
	list := cables.List(of)
	in, others := setups.Schedule(of)
	for i, c := range list {
		x := Cable{Number: c.Name, From: c.From, To: c.To, Purpose: c.Purpose.String(), Colour: colourName(c.Colour(of.Rig)), StockCM: above0(c.Stock), SetUps: setUpNames(of.Rig, in[i])}
		if c.Length > 0 {
			x.LengthMM = &c.Length
		}
		m.Cables = append(m.Cables, x)
	}
	m.SetUps, m.SetUpCables = []string{}, []Cable{}
	for i := range of.Rig.SetUps {
		m.SetUps = append(m.SetUps, of.Rig.SetUps[i].Name)
	}
	for _, c := range others {
		x := Cable{Number: c.Name, From: c.From, To: c.To, SetUps: setUpNames(of.Rig, c.SetUps)}
		if c.Bank >= 0 {
			x.Colour = of.Rig.Banks[c.Bank].Colour.String()
		}
		if _, input, ok := strings.Cut(c.To, "."); ok {
			x.Purpose = input
		}
		m.SetUpCables = append(m.SetUpCables, x)
	}
	for _, l := range cables.Buy(list) {
		m.CablesToBuy = append(m.CablesToBuy, CableLot{l.Purpose.String(), above0(l.Stock), l.Long, overCM(&l), l.Count})
	}
	for _, l := range cables.BuyColours(of.Rig, list) {
		m.ColoursToBuy = append(m.ColoursToBuy, CableShade{colourName(l.Colour), above0(l.Stock), l.Long, overCM(&l), l.Count})
	}
}

// SetUpShown is the set-up that a map is of: the first in which all its cables are plugged; empty
// for none, and where the rig has no set-ups.
func (m *Map) SetUpShown() string {
	for _, name := range m.SetUps {
		if !slices.ContainsFunc(m.Cables, func(c Cable) bool { return !slices.Contains(c.SetUps, name) }) {
			return name
		}
	}
	return ""
}

// SetUpMultiples are the multiples that only set-ups plug, by the names of the cables that feed them.
func (m *Map) SetUpMultiples() (fed []string) {
	for _, c := range m.SetUpCables {
		if strings.HasPrefix(c.To, "multiple ") && !slices.Contains(fed, c.Number) {
			fed = append(fed, c.Number)
		}
	}
	return fed
}

func setUpNames(rig *profiles.Rig, setUps []int) []string {
	names := []string{}
	for _, at := range setUps {
		names = append(names, rig.SetUps[at].Name)
	}
	return names
}

// plugOf is a way from a jack to an input, by the words for either.
type plugOf struct{ jack, input string }

// cableNames are the names of the cables that are plugged into inputs; two from two jacks may be in
// one, which check says is wrong.
func cableNames(m *routing.Map) map[plugOf]string {
	names := map[plugOf]string{}
	for _, c := range cables.List(m) {
		if at := (plugOf{c.Jack, c.To}); names[at] == "" {
			names[at] = c.Name
		}
	}
	return names
}

// colourName is empty for no colour.
func colourName(c profiles.Colour) string {
	if c == cables.NoColour {
		return ""
	}
	return c.String()
}

// overCM is the longest in stock for what is longer.
func overCM(l *cables.Lot) *int {
	if !l.Long {
		return nil
	}
	longest := slices.Max(cables.Stock())
	return &longest
}

// above0 is nil for 0.
func above0(n int) *int {
	if n == 0 {
		return nil
	}
	return &n
}
