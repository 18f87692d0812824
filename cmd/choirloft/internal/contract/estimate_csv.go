package contract

import "strconv"

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
