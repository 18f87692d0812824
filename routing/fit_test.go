package routing

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// steps lists them as text and what would be free.
func (m *Map) stepTexts() (texts []string) {
	for _, s := range m.Steps {
		texts = append(texts, s.Text)
	}
	return texts
}

// 4 pitches, 4 velocities and 2 cutoffs are 10 of 8 CVs. With a velocity a bank
// they are 4 + 2 + 2 = 8, without the two cutoffs 8.
func TestStepsDown(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv8-gate8}}
voices: {k: {inputs: [pitch, gate, velocity]}}
banks: {K: {voices: 2, kind: k, lanes: [cutoff]}, L: {voices: 2, kind: k, lanes: [cutoff]}}
`)
	f := m.only(t, LaneDoesNotFit)
	require.Equal(t, "no jack is left for L2.velocity, L.cutoff", f.Text)
	require.InDelta(t, 2, *f.Value, 0)
	require.Equal(t, "banks.L", f.Where)
	require.Equal(t, Error, f.Severity)
	require.Equal(t, 5, f.Pos.Line)
	require.Equal(t, []Step{
		{"one velocity for each bank instead of each voice", 0, 4, 0},
		{"leave out the shared CVs L.cutoff, K.cutoff", 0, 4, 0},
		{"the jacks of cv16-gate16 for main, with shared CVs on its last jacks", 6, 12, 0},
		{"one more interface of profile cv4-gate4", 2, 8, 0},
	}, m.Steps)
	require.Contains(t, f.Hint, "any of these would do: one velocity for each bank instead of each voice; leave out")
}

func TestBothSidesOfAFullInterface(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 5, lanes: [cutoff]}}\nmacros: {m: {from: CC 1 on 1, to: K.level}, n: {from: CC 2 on 1, to: K.resonance}"
	require.Empty(t, mapOf(t, rig+"}\n").Missing) // 5 + 1 + 2 = 8
	m := mapOf(t, rig+", o: {from: CC 3 on 1, to: K.velocity}}\n")
	require.Equal(t, []string{"K.cutoff"}, []string{m.Missing[0].Name}) // what comes last
	require.Equal(t, []string{
		"leave out the macro o", "leave out the shared CV K.cutoff",
		"the jacks of cv16-gate16 for main, with shared CVs on its last jacks",
		"one more interface of profile cv4-gate4",
	}, m.stepTexts())
}

// A step is offered where it would do, and only there.
func TestGatesSharedByUnisonBlocks(t *testing.T) {
	const rig = "interfaces: {main: {cv: 8, gates: 4}}\nbanks: {K: {voices: 8}}\nparts: {p: {channel: 1, unison: {voices: 2}}"
	m := mapOf(t, rig+"}\n")
	require.Contains(t, m.Steps, Step{"one gate for each unison block, by a multiple", 0, 0, 0})
	apart := mapOf(t, rig+", q: {channel: 2}}\n") // plays the same voices one by one
	require.NotContains(t, apart.stepTexts(), "one gate for each unison block, by a multiple")
	// K1 plays with L1 in one part and with M1 in the other
	mixed := mapOf(t, "interfaces: {main: {cv: 3, gates: 2}}\nbanks: {K: {voices: 1}, L: {voices: 1}, M: {voices: 1}}\n"+
		"parts: {p: {channel: 1, banks: [K, L], unison: {voices: 2}}, q: {channel: 2, banks: [K, M], unison: {voices: 2}}}\n")
	require.NotContains(t, mixed.stepTexts(), "one gate for each unison block, by a multiple")
	thin := mapOf(t, "interfaces: {main: {cv: 8, gates: 4}}\nbanks: {K: {voices: 8}}\nparts: {p: {channel: 1, unison: {voices: 2, when_short: thin}}}\n")
	require.NotContains(t, thin.stepTexts(), "one gate for each unison block, by a multiple")
	few := mapOf(t, "interfaces: {main: {cv: 8, gates: 3}}\nbanks: {K: {voices: 8}}\nparts: {p: {channel: 1, unison: {voices: 2}}}\n")
	require.NotContains(t, few.stepTexts(), "one gate for each unison block, by a multiple")
}

// Neither velocity nor cutoff alone is enough: 4 + 4 + 1 of 8 CVs.
func TestSeveralInputsForBanksTogether(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv8-gate8}}
voices: {k: {inputs: [pitch, gate, velocity, cutoff]}}
banks: {K: {voices: 4, kind: k}}
`)
	require.Equal(t, Step{"one CV for each bank instead of each voice for velocity, cutoff", 2, 4, 0}, m.Steps[0])
}

func TestNothingAloneWillDo(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 200}}\n")
	require.Equal(t, []Step{{"4 further interfaces of profile cv64-gate64", 60, 60, 0}}, m.Steps) // 4 + 4·64 − 200
	require.Equal(t, "any of these would do: 4 further interfaces of profile cv64-gate64", m.only(t, LaneDoesNotFit).Hint)
	require.Contains(t, m.only(t, LaneDoesNotFit).Text, "K5.pitch, K5.gate, K6.pitch")
	require.Contains(t, m.only(t, LaneDoesNotFit).Text, " and 384 more") // 2·196 − 8
}

// The 63 interfaces that a rig may have further have 63·128 = 8064 jacks, and of
// 2·4096 − 16 = 8176 there are none.
func TestNothingWillDo(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 1024}, L: {voices: 1024}, M: {voices: 1024}, N: {voices: 1024}}\n")
	require.Empty(t, m.Steps)
	require.Equal(t, "missing: 8176 jacks; several of these together: fewer voices, fewer inputs for each voice, fewer shared CVs, fewer macros, "+
		"more interfaces, up to 64 in a rig", m.only(t, LaneDoesNotFit).Hint)
}

// The table of sizes against the profiles themselves.
func TestBuiltinsAreThoseOfProfiles(t *testing.T) {
	var names []string
	for _, b := range builtins {
		names = append(names, b.name)
		rig, faults := profiles.Read("test.yaml", []byte("rig: R\nbanks: {K: {voices: 1}}\ninterfaces: {i: {profile: "+b.name+"}}\n"), nil)
		require.Empty(t, faults)
		f := rig.Interfaces[0]
		require.Equal(t, b, builtin{b.name, f.CV, f.Gates, f.Outputs})
	}
	var all []string
	for _, p := range profiles.InterfaceProfiles() {
		all = append(all, p.Name)
	}
	require.ElementsMatch(t, all, names)
}

// Three cutoffs by one CV: 4 pitches, 3 cutoffs and 2 macros of 8 CVs are one too
// many, with one cutoff 7.
func TestOneLaneForAllBanks(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv8-gate8}}
banks: {K: {voices: 2, lanes: [cutoff]}, L: {voices: 1, lanes: [cutoff]}, M: {voices: 1, lanes: [cutoff]}}
macros: {m: {from: CC 1 on 1, to: K.level}, n: {from: CC 2 on 1, to: L.level}}
`)
	require.Equal(t, Step{"one cutoff for all banks, by a multiple at main cv 8", 1, 4, 0}, m.Steps[0])
}

// Neither alone: 6 pitches, 6 velocities and 3 cutoffs of 10 CVs. With a velocity
// for each bank 12, with one cutoff 13, with both 10; with one velocity for
// all 10 too.
func TestTwoStepsTogether(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {cv: 10, gates: 8}}
voices: {k: {inputs: [pitch, gate, velocity]}}
banks: {K: {voices: 2, kind: k, lanes: [cutoff]}, L: {voices: 2, kind: k, lanes: [cutoff]}, M: {voices: 2, kind: k, lanes: [cutoff]}}
`)
	require.Equal(t, []Step{
		{"one velocity for all banks instead of one for each voice, by a multiple at main cv 8", 0, 2, 0},
		{"one velocity for each bank instead of each voice, and one cutoff for all banks, by a multiple at main cv 10", 0, 2, 0},
	}, m.Steps[:2])
}
