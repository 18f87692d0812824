package routing

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// mapOf reads a rig, without its first line, and makes its map.
func mapOf(t *testing.T, text string) *Map {
	t.Helper()
	rig, faults := profiles.Read("test.yaml", []byte("rig: Test\n"+text), nil)
	require.Empty(t, faults)
	return NewMap(rig)
}

// line is a lane as it would be printed.
func (m *Map) line(l *Lane) string {
	if !l.Fits() {
		return "none"
	}
	line := m.jack(l)
	if l.Addressed {
		line += fmt.Sprintf(", port %d channel %d", l.Port+1, l.Channel+1)
	}
	return line + " " + l.Message
}

// lines are all lanes as they would be printed, by name.
func (m *Map) lines() map[string]string {
	lines := map[string]string{}
	for _, l := range m.Lanes() {
		lines[l.Name] = m.line(l)
	}
	return lines
}

// jacks lists the jacks of lanes, 0 for none.
func (m *Map) jacks(names ...string) (jacks []int) {
	for _, name := range names {
		for _, l := range m.Lanes() {
			if l.Name == name {
				jacks = append(jacks, l.Jack)
			}
		}
	}
	return jacks
}

// codes lists those of the findings.
func (m *Map) codes() (codes []Code) {
	for _, f := range m.Findings {
		codes = append(codes, f.Code)
	}
	return codes
}

// only is the one finding of that code.
func (m *Map) only(t *testing.T, code Code) Finding {
	t.Helper()
	var found []Finding
	for _, f := range m.Findings {
		if f.Code == code {
			found = append(found, f)
		}
	}
	require.Len(t, found, 1, "%s among %v", code, m.codes())
	return found[0]
}

// upTo lists the numbers from one to another.
func upTo(first, last int) (all []int) {
	for n := first; n <= last; n++ {
		all = append(all, n)
	}
	return all
}
