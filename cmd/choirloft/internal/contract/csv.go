package contract

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"choirloft/profiles/unit"
)

// CSV writes records as RFC 4180 has it; what a terminal would obey, as in the name of a file, is escaped.
func CSV(w io.Writer, records [][]string) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	var row []string
	for _, record := range records {
		row = row[:0]
		for _, cell := range record {
			row = append(row, unit.Printable(cell))
		}
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// sizeHead names the fields of [SizeRecords].
var sizeHead = []string{"file", "voices", "pick", "steal", "tails", "damaged", "overlap_only", "lost_gate_s", "tail_cuts",
	"loudest_cut_db", "audible_loss", "fewest_damaged", "unavoidable_s", "least_audible", "above_held", "above_pedal", "above_audible", "fingerprint"}

// SizeRecords lists curves as a table with a head: a row for each number of
// voices and each ruleset, "own" for the rules of the rig's parts. The last field
// is the code of the plan.
func SizeRecords(code string, results ...*SizeResult) [][]string {
	all := [][]string{sizeHead}
	for _, r := range results {
		for i := range r.Curve {
			p := &r.Curve[i]
			all = append(all, append(p.record(r.Song.File, "own", "own", "own", &p.Own), code))
			for j := range p.Rules {
				c := &p.Rules[j]
				all = append(all, append(p.record(r.Song.File, c.Pick, c.Steal, c.Tails, &c.Cost), code))
			}
		}
	}
	return all
}

func (p *SizePoint) record(file, pick, steal, tails string, c *Cost) []string {
	loudest := ""
	if c.LoudestCutDB != nil {
		loudest = exact(*c.LoudestCutDB)
	}
	heard := ""
	if c.AudibleLoss != nil {
		heard = exact(*c.AudibleLoss)
	}
	least := ""
	if p.LeastAudible != nil {
		least = exact(*p.LeastAudible)
	}
	return []string{file, strconv.Itoa(p.Voices), pick, steal, tails, strconv.Itoa(c.Damaged), strconv.Itoa(c.OverlapOnly),
		exact(c.LostGateS), strconv.Itoa(c.TailCuts), loudest, heard, strconv.Itoa(p.FewestDamaged), exact(p.UnavoidableS), least,
		exact(p.AboveHeld), exact(p.AbovePedal), exact(p.AboveAudible)}
}

// estimateHead names the fields of [EstimateRecords].
var estimateHead = []string{"voices", "erlang_b", "poisson", "chords", "tails", "above_held", "above_pedal", "above_audible", "must_damage_played",
	"refusing_played", "refusing_standard_error", "oldest_played", "oldest_standard_error",
	"own_played", "own_standard_error", "own_lost_gate_s", "own_tail_cuts", "own_loudest_cut_db", "fingerprint"}

// EstimateRecords lists the curve as a table with a head. The last field is the
// code of the plan.
func EstimateRecords(e *Estimate) [][]string {
	all := [][]string{estimateHead}
	for i := range e.Curve {
		p := &e.Curve[i]
		row := []string{strconv.Itoa(p.Voices)}
		for _, v := range []float64{p.ErlangB, p.Poisson, p.Chords, p.Tails, p.AboveHeld, p.AbovePedal, p.AboveAudible, p.MustDamage,
			p.Refusing.Share, p.Refusing.StandardError, p.Oldest.Share, p.Oldest.StandardError, p.Own.Share, p.Own.StandardError, p.Own.LostGateS} {
			row = append(row, exact(v))
		}
		loudest := ""
		if p.Own.LoudestCutDB != nil {
			loudest = exact(*p.Own.LoudestCutDB)
		}
		all = append(all, append(row, strconv.Itoa(p.Own.TailCuts), loudest, e.Fingerprint))
	}
	return all
}

// Records lists the change as a table, a row a move or a jack to hold, with a
// head: first the rig and its fingerprint.
func (r *Repatch) Records() [][]string {
	all := [][]string{{"step", "do", "from_panel", "from", "to_panel", "to", "fingerprint", "cable"}, {"", "rig", r.Rig, r.From, "", r.To, r.Fingerprint, ""}}
	step := 0
	add := func(do, fromPanel, from, toPanel, to, cable string) {
		step++
		all = append(all, []string{strconv.Itoa(step), do, fromPanel, from, toPanel, to, "", cable})
	}
	for _, c := range r.Pulls {
		add("pull", c.FromPanel, c.From, c.ToPanel, c.To, c.Cable)
	}
	for _, s := range r.Switches {
		add("switch", "bank "+s.Bank, s.To, "", "", "")
	}
	for _, c := range r.Plugs {
		add("plug", c.FromPanel, c.From, c.ToPanel, c.To, c.Cable)
	}
	for _, x := range r.Rests {
		do := "hold 0 V"
		if x.Gate {
			do = "hold low"
		}
		add(do, x.Panel, x.Jack, "", strings.Join(x.Inputs, " "), "")
	}
	return all
}

func exact(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
