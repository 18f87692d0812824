// Package stray adds up errors that are independent of each other: by how much
// something may be off that several causes move. [Sum.Likely] is what 95 of 100
// stay within, [Sum.Worst] what 999 of 1000 do.
//
// # Formulas
//
// A cause is known (a shift), within a limit a, by its deviation σ, or the rest of
// a fit: s with ν degrees of freedom. Their errors are uniform on −a…+a, normal,
// and s times Student's t.
//
//	likely   h with P(|Σ shifts + Σ errors| ≤ h) = 0.95, of the convolved distribution
//	worst    |Σ shifts| + Σ a + √(Σ (3.29 σ)² + Σ (t(0.9995, ν)·s)²)
//
// Twice the root of the summed squares would make likely exceed worst for a single
// limit. Student's t for whole ν is the finite sum of Abramowitz and Stegun, Handbook of
// Mathematical Functions, 26.7.3 and 26.7.4.
//
// # What it will not do
//
// It knows no units and no causes. All values are in one unit, such as cents.
package stray
