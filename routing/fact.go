package routing

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles/unit"
)

// Fact is one of the names and numbers that a finding is about.
type Fact struct {
	Name string // what it is: "clip"
	// Of is what it belongs to, where a finding speaks of several alike: a part, a
	// supply. Empty else.
	Of      string
	Names   []string // names or words; of a key, which is a number too, its name
	Value   *float64 // nil where it is no number
	Unit    string   // of Value; empty for a plain count
	Assumed bool     // nobody gave or measured it
	main    bool
}

// Named is a fact of names or words.
func Named(name string, names ...string) Fact { return Fact{Name: name, Names: names} }

// Number is a fact of a number.
func Number[N ~int | ~float64](name string, value N, measure string) Fact {
	v := float64(value)
	return Fact{Name: name, Value: &v, Unit: measure}
}

// Key is the fact of a key and what it is called.
func Key(name string, key int, called string) Fact {
	f := Number(name, key, "key")
	f.Names = []string{called}
	return f
}

// Main makes it the number that the finding is about: of names, how many they are.
func (f Fact) Main() Fact { f.main = true; return f }

// Assume notes that nobody gave or measured it.
func (f Fact) Assume(assumed bool) Fact { f.Assumed = assumed; return f }

// Belongs says of which of several it is.
func (f Fact) Belongs(of string) Fact { f.Of = of; return f }

// Word is what the fact is called where it stands beside a finding.
func (f *Fact) Word() string {
	word, ok := factWords[f.Name]
	if !ok {
		word = strings.ReplaceAll(f.Name, "_", " ")
	}
	if f.Of != "" {
		word += " of " + f.Of
	}
	return word
}

// count is the number of a fact, or how many names it has.
func (f *Fact) count() float64 {
	if f.Value != nil {
		return *f.Value
	}
	return float64(len(f.Names))
}

// words renders a wording with facts; ok is false where one of them is not there.
// A wording is text with, in it,
//
//	<name…>        a fact, see [Fact.print]
//	<name!>        nothing, but the fact has to be there
//	<name?is/are>  the first word where the fact is one, else the second
//	[a|b|c]        the first of these whose facts are all there, or nothing
//	{{; |a}}       a for each thing that facts belong to, "; " between; its name is <of>
func words(wording string, facts []Fact) (text string, ok bool) {
	var b strings.Builder
	for wording != "" {
		at := strings.IndexAny(wording, "<[{")
		if at < 0 {
			b.WriteString(wording)
			break
		}
		b.WriteString(wording[:at])
		wording = wording[at:]
		part, good := wording[:1], true
		switch {
		case strings.HasPrefix(wording, "{{"):
			part = wording[:closing(wording, "{{", "}}")]
			text, good = each(part[2:len(part)-2], facts)
		case wording[0] == '[':
			part = wording[:closing(wording, "[", "]")]
			text = choose(part[1:len(part)-1], facts)
		case wording[0] == '<':
			part = wording[:closing(wording, "<", ">")]
			text, good = fact(part[1:len(part)-1], facts)
		default:
			text = part
		}
		if !good {
			return "", false
		}
		b.WriteString(text)
		wording = wording[len(part):]
	}
	return b.String(), true
}

// closing is where what a wording begins with has ended.
func closing(wording, open, shut string) int {
	for depth, i := 0, 0; i < len(wording); i++ {
		switch {
		case strings.HasPrefix(wording[i:], open):
			depth, i = depth+1, i+len(open)-1
		case strings.HasPrefix(wording[i:], shut):
			depth, i = depth-1, i+len(shut)-1
			if depth == 0 {
				return i + 1
			}
		}
	}
	panic("bug: a wording without " + shut + ": " + wording)
}

// choose renders the first of several wordings whose facts are all there.
func choose(wordings string, facts []Fact) string {
	depth, from := 0, 0
	for i, r := range wordings + "|" {
		switch {
		case strings.ContainsRune("<[{", r):
			depth++
		case strings.ContainsRune(">]}", r):
			depth--
		case r == '|' && depth == 0:
			if text, ok := words(wordings[from:i], facts); ok {
				return text
			}
			from = i + 1
		}
	}
	return ""
}

// each renders a wording for each thing that facts belong to.
func each(body string, facts []Fact) (string, bool) {
	between, body, _ := strings.Cut(body, "|")
	var owners, texts []string
	for _, f := range facts {
		if f.Of != "" && !slices.Contains(owners, f.Of) {
			owners = append(owners, f.Of)
		}
	}
	for _, of := range owners {
		own := []Fact{Named("of", of)}
		for _, f := range facts {
			if f.Of == of {
				f.Of = ""
				own = append(own, f)
			}
		}
		text, ok := words(body, own)
		if !ok {
			return "", false
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, between), len(owners) > 0
}

// fact renders what stands between < and >.
func fact(placeholder string, facts []Fact) (string, bool) {
	end := strings.IndexFunc(placeholder, func(r rune) bool { return r != '_' && (r < 'a' || r > 'z') })
	if end < 0 {
		end = len(placeholder)
	}
	name, how := placeholder[:end], placeholder[end:]
	at := slices.IndexFunc(facts, func(f Fact) bool { return f.Name == name && f.Of == "" })
	if at < 0 {
		return "", false
	}
	return facts[at].print(how), true
}

// print writes a fact. A number is written whole; after .1, +1, -1 and %3 with one
// digit after the point, with its sign, without it, and with three digits in all;
// with u in its unit; after a space with a word that it counts: 2 notes. Of names
// the first eight are written; after 5 the first five, after * all, after ; all with
// semicolons, after … all but those past eight; after a space behind a word:
// banks K, L. After # stands how many they are, after @ the name of a key.
func (f *Fact) print(how string) string {
	how, word, counted := strings.Cut(how, " ")
	one, many, chosen := strings.Cut(strings.TrimPrefix(how, "?"), "/")
	switch {
	case how == "!":
		return ""
	case chosen && f.count() == 1:
		return one
	case chosen:
		return many
	case how == "#":
		return strconv.Itoa(len(f.Names))
	case f.Value == nil || how == "@":
		return named(f.Names, how, word)
	case counted:
		return unit.Count(int(*f.Value), word)
	}
	return f.figure(how)
}

// most is how many names are written of many.
const most = 8

func named(names []string, how, word string) string {
	n := most
	switch {
	case how == "*":
		n = len(names)
	case how == ";":
		return strings.Join(names, "; ")
	case how == "…" && len(names) > most:
		return strings.Join(names[:most], ", ") + ", …"
	case how != "" && how != "@" && how != "…":
		n, _ = strconv.Atoi(how)
	}
	if word != "" {
		return unit.Named(word, names, n)
	}
	return unit.First(names, n)
}

// figure writes a number.
func (f *Fact) figure(how string) string {
	how, measured := strings.CutSuffix(how, "u")
	digits := 0
	if how != "" {
		digits, _ = strconv.Atoi(how[1:])
	}
	var text string
	switch v := *f.Value; {
	case strings.HasPrefix(how, "+"):
		text = fmt.Sprintf("%+.*f", digits, v)
	case strings.HasPrefix(how, "-"):
		text = unit.Fixed(math.Abs(v), digits)
	case strings.HasPrefix(how, "%"):
		text = fmt.Sprintf("%.*g", digits, v)
	case how == "":
		text = strconv.FormatFloat(v, 'f', -1, 64)
	default:
		text = unit.Fixed(v, digits)
	}
	if measured {
		text += " " + f.Unit
	}
	return text
}
