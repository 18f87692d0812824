package setups

import "math"

// assign pairs rows with columns, each with one other at most, so that the sum
// of the weights of pairs is the greatest; a pair of weight below 0 counts as
// none. It returns the column of each row, −1 for none.
//
// The Hungarian method with potentials, in the form that adds a row at a time
// along a shortest augmenting path (Jonker & Volgenant 1987; from memory), on
// costs turned over, with as many columns added as there are rows so that every
// row can stay alone.
func assign(weight [][]int, columns int) []int {
	rows := len(weight)
	width := columns + rows
	cost := func(i, j int) int {
		if j >= columns {
			return 0
		}
		return -max(0, weight[i][j])
	}
	u, v := make([]int, rows+1), make([]int, width+1)
	match, way := make([]int, width+1), make([]int, width+1) // row of each column, from 1
	for i := 1; i <= rows; i++ {
		match[0] = i
		at := 0
		least := make([]int, width+1)
		for j := range least {
			least[j] = math.MaxInt
		}
		used := make([]bool, width+1)
		for match[at] != 0 {
			used[at] = true
			row, step, next := match[at], math.MaxInt, 0
			for j := 1; j <= width; j++ {
				if used[j] {
					continue
				}
				if c := cost(row-1, j-1) - u[row] - v[j]; c < least[j] {
					least[j], way[j] = c, at
				}
				if least[j] < step {
					step, next = least[j], j
				}
			}
			for j := 0; j <= width; j++ {
				if used[j] {
					u[match[j]] += step
					v[j] -= step
				} else if least[j] < math.MaxInt {
					least[j] -= step
				}
			}
			at = next
		}
		for at != 0 {
			match[at] = match[way[at]]
			at = way[at]
		}
	}
	partner := make([]int, rows)
	for i := range partner {
		partner[i] = -1
	}
	for j := 1; j <= columns; j++ {
		if i := match[j]; i > 0 && weight[i-1][j-1] >= 0 {
			partner[i-1] = j - 1
		}
	}
	return partner
}
