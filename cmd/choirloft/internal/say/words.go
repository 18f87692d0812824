package say

import (
	"strings"

	"choirloft/cmd/choirloft/internal/doc"
)

// Term is a word of the answers and what it means.
type Term struct {
	Name  string // as it stands in a sentence
	Means string // one sentence, to follow a colon
	Unit  string // of its number; empty for a count and for words
	// Head stands above a column; where it is empty that is the name.
	Head string
	// Plain is for a column whose head needs no legend.
	Plain bool
}

// head is what stands above a column.
func (t *Term) head() string {
	if t.Head != "" {
		return t.Head
	}
	return upper(t.Name)
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
		{"Endings", "What became of a note. Every note has exactly one.", endingTerms[:]},
		{"Causes", "Why a note was cut short or dropped.", causeTerms},
		{"Remarks about notes", "What else can be said of a note, whatever its ending.", noteTerms},
		{"States", "Of a voice in a rig.", stateTerms},
		{"Results", "Numbers of a song on some voices.", resultTerms},
		{"Voices and rules", "How a part gets its voices.", ruleTerms},
		{"Fixes", "Things to try, and what they leave.", fixTerms},
		{"Pitch", "What a voice is driven to, and how far off it may be.", pitchTerms},
		{"Rack and cables", "", rackTerms},
	}
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

// number is the column of numbers that has a term for its head, and for its
// legend what that means.
func number(name string) doc.Column { return column(doc.Number, name) }

// words is the same of words.
func words(name string) doc.Column { return column(doc.Words, name) }

func column(as func(string) doc.Column, name string) doc.Column {
	t := term(name)
	c := as(t.head())
	if !t.Plain {
		c = c.Means(t.Means)
	}
	return c
}
