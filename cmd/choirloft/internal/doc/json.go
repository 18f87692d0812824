package doc

import "encoding/json"

// MarshalJSON writes the title, the plan and the blocks, each with its kind.
func (d *Doc) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Title  string `json:"title"`
		Plan   string `json:"plan,omitempty"`
		Blocks Blocks `json:"blocks"`
	}{d.Title, d.Plan, d.Blocks})
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
		return struct {
			Kind string `json:"kind"`
			Answer
		}{"answer", x}
	case Heading:
		return struct {
			Kind string `json:"kind"`
			Heading
		}{"heading", x}
	case Paragraph:
		return struct {
			Kind string `json:"kind"`
			Paragraph
		}{"paragraph", x}
	case List:
		return struct {
			Kind string `json:"kind"`
			List
		}{"list", x}
	case Table:
		return struct {
			Kind string `json:"kind"`
			Table
		}{"table", x}
	case Figure:
		return struct {
			Kind string `json:"kind"`
			Figure
		}{"figure", x}
	case Findings:
		return struct {
			Kind     string    `json:"kind"`
			Findings []Finding `json:"findings"`
		}{"findings", x}
	default:
		return struct {
			Kind string `json:"kind"`
			Aside
		}{"aside", b.(Aside)}
	}
}
