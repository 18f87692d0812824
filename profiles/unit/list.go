package unit

import (
	"strconv"
	"strings"

	"choirloft/profiles/pattern"
)

// List joins words: a, b and c.
func List(words []string) string { return joined(words, " and ") }

// Choice joins words of which one is to be had: a, b or c.
func Choice(words []string) string { return joined(words, " or ") }

func joined(words []string, last string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + last + words[n-1]
}

// most is how many names a sentence has room for.
const most = 8

// Several is like List; of more than eight words it has the first eight and how
// many more there are.
func Several(words []string) string {
	if len(words) > most {
		return First(words, most)
	}
	return List(words)
}

// First joins words with commas, the first n of them, and says how many more
// there are.
func First(words []string, n int) string {
	if len(words) <= n {
		return strings.Join(words, ", ")
	}
	return strings.Join(words[:n], ", ") + " and " + strconv.Itoa(len(words)-n) + " more"
}

// Named puts before names the word for what they are, with an s if there is
// more than one: bank K, banks K, L and 3 more. It names the first n of them.
func Named(what string, names []string, n int) string {
	if len(names) == 1 {
		return what + " " + names[0]
	}
	return what + "s " + First(names, n)
}

// places are those in lists, as a path has them.
var places = pattern.Of(`\[([0-9]+)\]`)

// Place writes a path as people count: wiring[0].from is wiring (1st).from.
func Place(path string) string {
	return strings.TrimPrefix(places().ReplaceAllStringFunc(path, func(at string) string {
		i, _ := strconv.Atoi(at[1 : len(at)-1])
		return " (" + ordinal(i+1) + ")"
	}), " ")
}

func ordinal(n int) string {
	ending := "th"
	if n/10%10 != 1 && 1 <= n%10 && n%10 <= 3 {
		ending = [...]string{"st", "nd", "rd"}[n%10-1]
	}
	return strconv.Itoa(n) + ending
}

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
