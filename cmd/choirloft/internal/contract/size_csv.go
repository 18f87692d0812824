package contract

import "strconv"

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
	return []string{file, strconv.Itoa(p.Voices), pick, steal, tails, strconv.Itoa(c.Damaged), strconv.Itoa(c.OverlapOnly),
		exact(c.LostGateS), strconv.Itoa(c.TailCuts), loudest, heard, strconv.Itoa(p.FewestDamaged), exact(p.UnavoidableS), exact(p.LeastAudible),
		exact(p.AboveHeld), exact(p.AbovePedal), exact(p.AboveAudible)}
}

func exact(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
