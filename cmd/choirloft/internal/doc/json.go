package doc

import (
	"encoding/json"
	"slices"

	"choirloft/profiles/unit"
)

// MarshalJSON writes the title, the plan and the blocks, each with its kind. The
// words are as every other format prints them: findings have their line, tables
// their legends, and nothing turns the direction of writing.
func (d *Doc) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Title  string `json:"title"`
		Plan   string `json:"plan,omitempty"`
		Blocks Blocks `json:"blocks"`
	}{unit.Printable(d.Title), unit.Printable(d.Plan), d.Blocks})
}

// MarshalJSON writes the blocks in order, each with its kind.
func (b Blocks) MarshalJSON() ([]byte, error) {
	kinds := make([]any, len(b))
	for i, x := range b {
		kinds[i] = withKind(x)
	}
	return json.Marshal(kinds)
}

func withKind(b Block) any {
	switch x := b.(type) {
	case Answer:
		x.Text = unit.Printable(x.Text)
		return struct {
			Kind string `json:"kind"`
			Answer
		}{"answer", x}
	case Heading:
		x.Text = unit.Printable(x.Text)
		return struct {
			Kind string `json:"kind"`
			Heading
		}{"heading", x}
	case Paragraph:
		x.Text = unit.Printable(x.Text)
		return struct {
			Kind string `json:"kind"`
			Paragraph
		}{"paragraph", x}
	case List:
		return struct {
			Kind string `json:"kind"`
			List
		}{"list", x.printable()}
	case Table:
		return struct {
			Kind string `json:"kind"`
			Table
			Legends []string `json:"legends,omitempty"`
		}{"table", x.printable(), x.Legends()}
	case Figure:
		return struct {
			Kind string `json:"kind"`
			Figure
		}{"figure", x}
	case Findings:
		return struct {
			Kind     string        `json:"kind"`
			Findings []lineFinding `json:"findings"`
		}{"findings", x.lines()}
	default:
		return struct {
			Kind string `json:"kind"`
			Aside
		}{"aside", Aside{unit.Printable(b.(Aside).Text)}}
	}
}

// printable returns the list as it is printed.
func (l List) printable() List {
	items := make([]Item, len(l.Items))
	for i, x := range l.Items {
		items[i].Text, items[i].Optional = unit.Printable(x.Text), x.Optional
		for _, line := range x.Below {
			items[i].Below = append(items[i].Below, unit.Printable(line))
		}
		for _, about := range x.About {
			items[i].About = append(items[i].About, unit.Printable(about))
		}
	}
	l.Items = items
	return l
}

// lineFinding is a finding with the line that stands for it in text.
type lineFinding struct {
	Finding
	Line string `json:"line"`
}

func (f Findings) lines() []lineFinding {
	all := make([]lineFinding, len(f))
	for i, x := range f {
		x.Where, x.Text, x.Hint = unit.Printable(x.Where), unit.Printable(x.Text), unit.Printable(x.Hint)
		x.Facts = slices.Clone(x.Facts)
		for j := range x.Facts {
			x.Facts[j].Name, x.Facts[j].Figure = unit.Printable(x.Facts[j].Name), unit.Printable(x.Facts[j].Figure)
		}
		all[i] = lineFinding{x, x.line()}
	}
	return all
}
