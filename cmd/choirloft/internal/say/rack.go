package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// supplies has a row for each rail of a supply; no group without supplies.
func (c check) supplies() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("supply"), number("rail"), number("drawn"), number("rated"),
		number("share"), words("feeds").Ranked(1)}}
	for i := range c.Supplies {
		s := &c.Supplies[i]
		for n, r := range s.Rails {
			share, feeds := unit.None, ""
			if r.Share != nil {
				share = unit.Percent(*r.Share)
			}
			if n == 0 {
				feeds = strings.Join(s.Feeds, ", ")
			}
			t.Row("", s.Supply, r.Rail, milliamps(r.DrawnMA), milliamps(r.RatingMA), share, feeds)
		}
	}
	return t
}

// rows has a row for each of the rack's; no group where none is named.
func (c check) rows() doc.Table {
	t := doc.Table{Columns: []doc.Column{number("row"), number("HP"), words("draws"), words("modules")}}
	for i := range c.Rows {
		r := &c.Rows[i]
		var names, words []string
		for _, m := range r.Modules {
			names = append(names, m.Name)
		}
		for _, d := range r.Draws {
			words = append(words, d.Rail+" "+milliamps(d.MA))
		}
		switch {
		case words == nil && r.HP == 0:
			continue // nothing to say of it
		case words == nil:
			words = []string{unit.None}
		}
		t.Row("", strconv.Itoa(r.Row), fmt.Sprintf("%d of %d", r.HP, r.OfHP), strings.Join(words, ", "), strings.Join(names, ", "))
	}
	return t
}

func milliamps(ma float64) string { return strconv.FormatFloat(ma, 'f', 0, 64) + " mA" }

// busCaution is what must be said to whoever has a rack open.
const busCaution = "Bus connectors: power off first, and verify the polarity of each module and board; trust what is printed there over any map."

// powerCautions are what must be said beside currents.
func (c check) powerCautions() []string {
	if len(c.Supplies) == 0 && !slices.ContainsFunc(c.Rows, func(r contract.Row) bool { return len(r.Draws) > 0 }) {
		return nil
	}
	return []string{busCaution + " Mains belong in closed, earthed cases: local codes and a licensed electrician decide. These sums are bookkeeping, not approval."}
}
