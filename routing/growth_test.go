package routing

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/profiles"
)

// On eight CVs the home of the first macro is the seventh (bay.go): the seventh
// voice is on it, though the eighth is free.
func TestTheNextMacroWouldMoveAVoice(t *testing.T) {
	rig := func(banks, more string) *Map {
		return mapOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: "+banks+"}}\n"+more)
	}
	require.Empty(t, rig("6", "").Findings)
	require.Empty(t, rig("8", "").Findings) // no room
	f := rig("7", "").only(t, MacroWouldMove)
	require.Equal(t, "there is room for another macro, but it would move K7.pitch", f.Text)
	require.Equal(t, "pin it to a jack that moves nothing: main.cv 8", f.Hint)
	require.Equal(t, Note, f.Severity)

	const macro = "macros: {m: {from: CC 1 on 1, to: K.level}}\n"
	require.Equal(t, []int{8, 7}, rig("7", macro).jacks("K7.pitch", "m"))
	require.Equal(t, []int{7, 8}, rig("7", macro+"pins: {m: main.cv 8}\n").jacks("K7.pitch", "m"))
}

// Where another macro would move something, a finding says so beforehand, and
// the jack that it names moves nothing.
func TestTheNextMacroIsAnnounced(t *testing.T) {
	announced, quiet := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		d := drafts().Draw(t, "rig")
		old := NewMap(d.rig())
		d.macros++
		then := NewMap(d.rig())
		at := slices.Index(old.codes(), MacroWouldMove)
		switch {
		case len(old.Missing) > 0 || len(then.Missing) > 0:
			require.Negative(t, at)
		case at < 0:
			quiet++
			unmoved(t, old, then)
		default:
			announced++
			require.NotEqual(t, old.lines(), without(then.lines(), then.Macros[d.macros-1].Name))
			if jack, ok := strings.CutPrefix(old.Findings[at].Hint, "pin it to a jack that moves nothing: "); ok {
				d.pins = []profiles.Pin{{Macro: d.macros - 1, Jack: d.jack(jack)}}
				unmoved(t, old, NewMap(d.rig()))
			}
		}
	})
	require.Positive(t, announced)
	require.Positive(t, quiet)
}

func without(lines map[string]string, name string) map[string]string {
	delete(lines, name)
	return lines
}

// jack finds a CV by its name, such as i0.cv 8.
func (d draft) jack(name string) profiles.Jack {
	for i := range d.boxes {
		for n := 1; n <= d.boxes[i].Jacks(false); n++ {
			if fmt.Sprintf("%s.cv %d", d.boxes[i].Name, n) == name {
				return profiles.Jack{Interface: i, Number: n}
			}
		}
	}
	panic("no jack " + name)
}
