// Package doc is a document as plain values: the answer, then what there is to
// say, in blocks. Who says something makes a [Doc] once; [Text], [Markdown],
// [HTML] and JSON lay the same blocks out, and so does paper. Nothing here
// knows what the words are about, and nothing computes a figure.
package doc

import "strings"

// Doc is what is said about one thing, the most important first.
type Doc struct {
	Title string // what it is about, such as a song on a rig
	Plan  string // the fingerprint of the plan; empty where there is none
	Blocks
}

// Blocks are the parts of a document in order. The methods leave out what is
// empty.
type Blocks []Block

// Block is one of [Answer], [Heading], [Paragraph], [List], [Table], [Figure],
// [Findings] and [Aside].
type Block interface {
	// empty tells whether there is nothing to print.
	empty() bool
}

// Tone says how good the news of an answer is.
type Tone string

// The tones. None is for an answer that is neither good nor bad.
const (
	None Tone = ""
	Good Tone = "good"
	Fair Tone = "fair"
	Bad  Tone = "bad"
)

// Answer is the sentence that answers what was asked.
type Answer struct {
	Text string `json:"text"`
	Tone Tone   `json:"tone,omitempty"`
}

// Heading is the title of what follows: the same words whatever the figures.
type Heading struct {
	Text string `json:"text"`
	// Page begins a page on paper.
	Page bool `json:"page,omitempty"`
	// Paper is of what is only on paper, such as labels to cut out.
	Paper bool `json:"paper,omitempty"`
}

// Paragraph is a sentence or a few.
type Paragraph struct {
	Text string `json:"text"`
}

// List is items below each other.
type List struct {
	Items    []Item `json:"items"`
	Numbered bool   `json:"numbered,omitempty"`
	Boxes    bool   `json:"boxes,omitempty"` // to tick, before what is below an item
}

// Item is one of a list, with what belongs to it.
type Item struct {
	Text  string   `json:"text"`
	Below []string `json:"below,omitempty"`
	// About says of each below what it is about, where that is a value beside the document, as in pull cv1.
	About []string `json:"about,omitempty"`
	// Optional says that what is below may be left: it counts as nothing to do.
	Optional bool `json:"optional,omitempty"`
}

// Table is rows in groups.
type Table struct {
	Columns []Column `json:"columns"`
	Groups  []Group  `json:"groups"`
	// Aside lets a narrow table stand in several columns beside each other.
	Aside bool `json:"-"`
}

// Column is a column of a table.
type Column struct {
	Head  string `json:"head"`
	Right bool   `json:"right,omitempty"` // numbers stand to the right
	// Width, in characters, is for text where no row may change how another is
	// printed: a longer cell pushes the rest of its own row. 0 is as wide as the
	// widest cell; a table has either in all its columns.
	Width int `json:"-"`
	// Rank says which columns are left out where the line is too short for
	// all: those with the highest, never those with 0.
	Rank int `json:"-"`
	// Least is as narrow as the column is folded before others are left out; 0
	// keeps it whole.
	Least int `json:"-"`
	// Legend explains the column, or where its head has a colon what is before
	// that. It stands below the table as long as the column does.
	Legend string `json:"legend,omitempty"`
	// Meaning says what stands in the column, for whoever points at its head.
	Meaning string `json:"meaning,omitempty"`
}

// Words is a column of words.
func Words(head string) Column { return Column{Head: head} }

// Number is a column of numbers.
func Number(head string) Column { return Column{Head: head, Right: true} }

// Wide returns the column with a fixed width.
func (c Column) Wide(width int) Column { c.Width = width; return c }

// Ranked returns the column with a rank: the highest goes first.
func (c Column) Ranked(rank int) Column { c.Rank = rank; return c }

// Folds returns the column of words that is folded, to a width at least, before
// others are left out.
func (c Column) Folds(width int) Column { c.Least = width; return c }

// Means returns the column with a legend.
func (c Column) Means(legend string) Column { c.Legend = legend; return c }

// Group is rows under a title, which may be empty.
type Group struct {
	Title string     `json:"title,omitempty"`
	Rows  [][]string `json:"rows"`
	// About says for each row what it is about, for who shows it to one who may
	// choose a row: a kind, then a name or the place in its list of values, from
	// 0, as in "voice K1" and "loss 3". Empty where no row says so.
	About []string `json:"about,omitempty"`
}

// Figure is a drawing, by the name under which whoever lays out the document
// was handed it. Where there are no drawings it is left out.
type Figure struct {
	Name string `json:"name"`
}

// Findings are what there is to say about a plan, the worst first.
type Findings []Finding

// Finding is one of them.
type Finding struct {
	Severity string `json:"severity"` // error, warning, note
	Code     string `json:"code"`
	Where    string `json:"where,omitempty"`
	Text     string `json:"text"`
	Hint     string `json:"hint,omitempty"`
	Assumed  bool   `json:"assumed,omitempty"` // rests on a number that nobody measured
	Facts    []Fact `json:"facts,omitempty"`   // the figures that it rests on
}

// Fact is a figure that a finding rests on, in words.
type Fact struct {
	Name    string `json:"name"`
	Figure  string `json:"figure"`
	Unit    string `json:"unit,omitempty"`
	Assumed bool   `json:"assumed,omitempty"` // nobody gave or measured it
}

// Figures are the facts of a finding beside each other.
func (f *Finding) Figures() string {
	texts := make([]string, len(f.Facts))
	for i, x := range f.Facts {
		texts[i] = strings.TrimSpace(x.Name + " " + x.Figure + " " + x.Unit)
		if x.Assumed {
			texts[i] += " (assumed)"
		}
	}
	return strings.Join(texts, " · ")
}

// Aside is a remark, such as what a table leaves out.
type Aside struct {
	Text string `json:"text"`
}

func (a Answer) empty() bool    { return a.Text == "" }
func (h Heading) empty() bool   { return h.Text == "" }
func (p Paragraph) empty() bool { return p.Text == "" }
func (l List) empty() bool      { return len(l.Items) == 0 }
func (t Table) empty() bool     { return len(t.Groups) == 0 }
func (f Figure) empty() bool    { return f.Name == "" }
func (f Findings) empty() bool  { return len(f) == 0 }
func (a Aside) empty() bool     { return a.Text == "" }

// Add appends blocks.
func (b *Blocks) Add(blocks ...Block) {
	for _, x := range blocks {
		if !x.empty() {
			*b = append(*b, x)
		}
	}
}

// Under appends blocks below a heading, and neither where all are empty.
func (b *Blocks) Under(heading string, blocks ...Block) { b.under(Heading{Text: heading}, blocks) }

// Page is like Under; on paper it begins a page.
func (b *Blocks) Page(heading string, blocks ...Block) {
	b.under(Heading{Text: heading, Page: true}, blocks)
}

// Paper is like Page, of what is only on paper.
func (b *Blocks) Paper(heading string, blocks ...Block) {
	b.under(Heading{Text: heading, Page: true, Paper: true}, blocks)
}

func (b *Blocks) under(heading Heading, blocks []Block) {
	before := len(*b)
	*b = append(*b, heading)
	b.Add(blocks...)
	if len(*b) == before+1 {
		*b = (*b)[:before]
	}
}

// Sentences returns a paragraph for each sentence that is not empty, as a list
// whose items hang.
func Sentences(sentences ...string) List {
	var l List
	for _, s := range sentences {
		if s != "" {
			l.Items = append(l.Items, Item{Text: s})
		}
	}
	return l
}

// Row appends a row under a title, which begins a group where it is new.
func (t *Table) Row(title string, cells ...string) {
	if n := len(t.Groups); n == 0 || t.Groups[n-1].Title != title {
		t.Groups = append(t.Groups, Group{Title: title})
	}
	last := &t.Groups[len(t.Groups)-1]
	last.Rows = append(last.Rows, cells)
}

// About says what the last row is about.
func (t *Table) About(what string) {
	last := &t.Groups[len(t.Groups)-1]
	last.About = append(last.About, make([]string, len(last.Rows)-len(last.About))...)
	last.About[len(last.Rows)-1] = what
}

// WithoutEmpty returns the table without the columns in which every row is empty,
// or has nothing but what stands for nothing.
func (t Table) WithoutEmpty(none string) Table {
	keep := make([]bool, len(t.Columns))
	for _, g := range t.Groups {
		for _, row := range g.Rows {
			for i, cell := range row {
				keep[i] = keep[i] || cell != none && cell != ""
			}
		}
	}
	return t.only(keep)
}

// names tells whether the answer names something.
func (d *Doc) names(what string) bool {
	for _, b := range d.Blocks {
		if a, ok := b.(Answer); ok {
			return strings.Contains(a.Text, what)
		}
	}
	return false
}

// OffPaper returns the document without what is only on paper.
func (d *Doc) OffPaper() *Doc {
	rest, skips := *d, false
	rest.Blocks = nil
	for _, b := range d.Blocks {
		if h, ok := b.(Heading); ok {
			skips = h.Paper
		}
		if !skips {
			rest.Blocks = append(rest.Blocks, b)
		}
	}
	return &rest
}

// Headings are the headings of a document in order.
func (d *Doc) Headings() []string {
	var all []string
	for _, b := range d.Blocks {
		if h, ok := b.(Heading); ok {
			all = append(all, h.Text)
		}
	}
	return all
}
