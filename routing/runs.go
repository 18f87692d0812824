package routing

import "strconv"

// Runs writes ascending numbers as words, those that follow each other with a
// dash: 1-4, 7 and 9-12.
func Runs(numbers []int) []string {
	var words []string
	for i := 0; i < len(numbers); {
		j := i
		for j+1 < len(numbers) && numbers[j+1] == numbers[j]+1 {
			j++
		}
		word := strconv.Itoa(numbers[i])
		if j > i {
			word += "-" + strconv.Itoa(numbers[j])
		}
		words, i = append(words, word), j+1
	}
	return words
}
