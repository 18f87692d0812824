package contract

import (
	"bytes"
	"encoding/json"
)

// JSON returns a report as JSON, a line a record: lists of losses, voices and
// the like have an element a line, what is outside of them a value a line.
func JSON(value any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(value); err != nil {
		return nil, err
	}
	deep := 2 // the report and its lists
	switch value.(type) {
	case *Written:
		deep = 4 // those, and the list of passes around them
	case *Songs, *SizeSongs:
		deep = 4 // those, and the list of songs around them
	}
	return breakLines(b.Bytes(), deep), nil
}

// breakLines puts every element of what is nested up to deep, counted from 1,
// on a line of its own. The data is JSON without white space outside of
// strings.
func breakLines(data []byte, deep int) []byte {
	out := make([]byte, 0, len(data)+len(data)/8)
	depth, quoted := 0, false
	newLine := func() {
		out = append(out, '\n')
		for range depth {
			out = append(out, ' ', ' ')
		}
	}
	for i := 0; i < len(data); i++ {
		c := data[i]
		switch {
		case quoted:
			out = append(out, c)
			if c == '\\' {
				i++
				out = append(out, data[i])
			}
			quoted = c != '"'
		case c == '"':
			quoted = true
			out = append(out, c)
		case c == '{' || c == '[':
			out = append(out, c)
			depth++
			if closing := data[i+1]; closing == '}' || closing == ']' {
				i, depth = i+1, depth-1
				out = append(out, closing)
			} else if depth <= deep {
				newLine()
			}
		case c == '}' || c == ']':
			depth--
			if depth < deep {
				newLine()
			}
			out = append(out, c)
		case c == ',':
			out = append(out, c)
			if depth <= deep {
				newLine()
			} else {
				out = append(out, ' ')
			}
		case c == ':':
			out = append(out, c, ' ')
		default:
			out = append(out, c)
		}
	}
	return out
}
