package say

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
)

// Term is a word of the answers and what it means.
type Term struct {
	Name  string // as it stands in a sentence
	Means string // one sentence, to follow a colon
	Unit  string // of its number; empty for a count and for words
	// Head stands above a column; where it is empty that is the name. It may have
	// verbs of fmt for what changes from table to table, such as a key.
	Head string
	// Plain is for a column whose head needs no legend.
	Plain bool
	// Key is the word for it in JSON and CSV; empty where there is none.
	Key string
}

// head is what stands above a column.
func (t *Term) head(with ...any) string {
	switch {
	case t.Head == "":
		return upper(t.Name)
	case len(with) > 0:
		return fmt.Sprintf(t.Head, with...)
	}
	return t.Head
}

// Explained is what the word means, and its unit where the meaning does not have
// that.
func (t *Term) Explained() string {
	means := strings.TrimSuffix(t.Means, ".")
	if t.Unit == "" || strings.Contains(" "+strings.ReplaceAll(means, ",", "")+" ", " "+t.Unit+" ") {
		return t.Means
	}
	return means + ", in " + t.Unit + "."
}

// upper begins a text with a capital.
func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// Terms are the words of one kind.
type Terms struct {
	Title string
	About string // what they have in common; may be empty
	Terms []Term
}

// Vocabulary is every word of the answers that needs a meaning, said once: heads
// of tables, legends and help take it from here.
func Vocabulary() []Terms {
	return []Terms{
		{"Endings", "What became of a note. Every note has exactly one.", keyed(endingTerms[:])},
		{"Causes", "Why a note was cut short or dropped.", causeTerms},
		{"Remarks about notes", "What else can be said of a note, whatever its ending.", noteTerms},
		{"States", "Of a voice in a rig.", stateTerms},
		{"Results", "Numbers of a song on some voices.", resultTerms},
		{"Voices and rules", "How a part gets its voices.", ruleTerms},
		{"Fixes", "Things to try, and what they leave.", fixTerms},
		{"Pitch", "What a voice is driven to, and how far off it may be.", pitchTerms},
		{"Jacks and cables", "What drives a voice, and through what.", jackTerms},
		{"Tables of repatch", "Ways from one set-up to another.", repatchTerms},
		{"Tables of tune", "What readings of the voices say.", tuneTerms},
		{"Levels, supplies and rows", "How loud it may get, and what the rack draws.", rackTerms},
		{"Files of sound", "Where to listen, and to what.", listenTerms},
		{"Tables of size and estimate", "Racks and estimates, side by side.", reckonTerms},
	}
}

// keyed gives endings their keys.
func keyed(endings []Term) []Term {
	terms := slices.Clone(endings)
	for e := range terms {
		terms[e].Key = contract.EndingName(study.Ending(e))
	}
	return terms
}

// term finds a word; it must be in the vocabulary, which a test holds every
// table to.
func term(name string) *Term {
	for _, kind := range Vocabulary() {
		for i := range kind.Terms {
			if kind.Terms[i].Name == name {
				return &kind.Terms[i]
			}
		}
	}
	panic("no word " + name + " in the vocabulary")
}

// Meaning is what a word of the vocabulary means; false where it is none.
func Meaning(name string) (string, bool) {
	for _, kind := range Vocabulary() {
		for i := range kind.Terms {
			if t := &kind.Terms[i]; t.Name == name {
				return t.Explained(), true
			}
		}
	}
	return "", false
}

// Glossary is what the words mean that stand in cells: endings, causes and states.
func Glossary() map[string]string {
	words := map[string]string{}
	for _, terms := range [][]Term{endingTerms[:], causeTerms, stateTerms} {
		for i := range terms {
			words[terms[i].Name] = terms[i].Explained()
		}
	}
	return words
}

// number is the column of numbers that has a term for its head, for its meaning
// what that means with its unit, and for its legend that without it where the head
// is not plain: cells or headings have their units.
func number(name string, with ...any) doc.Column { return column(doc.Number, name, with) }

// words is the same of words.
func words(name string, with ...any) doc.Column { return column(doc.Words, name, with) }

func column(as func(string) doc.Column, name string, with []any) doc.Column {
	t := term(name)
	c := as(t.head(with...))
	c.Meaning = t.Explained()
	if !t.Plain {
		c = c.Means(t.Means)
	}
	return c
}

// under puts a column under what it has in common with its neighbours, such as
// rules. A legend is then theirs.
func under(common string, c doc.Column) doc.Column {
	c.Head, c.Legend = common+": "+c.Head, ""
	return c
}

// marks is the column without a head for what a row stands for.
func marks() doc.Column { return doc.Words("") }
