package setups

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing"
)

// mapOf reads a rig without its first line, and makes its map.
func mapOf(t *testing.T, text string) *routing.Map {
	t.Helper()
	rig, faults := profiles.Read("test.yaml", []byte("rig: Test\n"+text), nil)
	require.Empty(t, faults)
	return routing.NewMap(rig)
}

// words are cables as they would be printed.
func words(cables []Cable) (all []string) {
	for _, c := range cables {
		all = append(all, c.From.Panel+" "+c.From.Name+" > "+c.To.Panel+" "+c.To.Name)
	}
	return all
}

const wall = `
interfaces: {main: {profile: cv8-gate8}}
sequencers: {seq: {profile: seq4}}
voices: {k: {group_pitch: %s}}
banks: {K: {voices: 2, kind: k, lanes: [cutoff]}, L: {voices: 2, kind: k}, M: {voices: 1, kind: k}}
set_ups:
  studio: {from: main}
  stage: {from: seq, parts: {1: K, 2: L}%s}
`

func change(t *testing.T, group, more string) *Change {
	m := mapOf(t, fmt.Sprintf(wall, group, more))
	return Between(New(m, 0), New(m, 1))
}

// By hand: the pitches of K and L stay beside the common jacks and rest at 0 V;
// their four gates go, and each part gets a cable to the common jack and a
// multiple of one cable in and two out. C and the cutoff stay.
func TestThroughCommonJacksThatSum(t *testing.T) {
	c := change(t, "sums", "")
	require.Equal(t, []string{
		"main gate 1 > bank K K1.gate", "main gate 2 > bank K K2.gate", "main gate 3 > bank L L1.gate", "main gate 4 > bank L L2.gate",
	}, words(c.Pulls))
	require.Equal(t, []string{
		"multiple 1 out 1 > bank K K1.gate", "multiple 1 out 2 > bank K K2.gate", "seq cv 1 > bank K K.pitch",
		"multiple 2 out 1 > bank L L1.gate", "multiple 2 out 2 > bank L L2.gate", "seq cv 2 > bank L L.pitch",
		"seq gate 1 > multiple 1 in", "seq gate 2 > multiple 2 in",
	}, words(c.Plugs))
	require.Equal(t, 5+1+1, c.Stay) // five pitches, M1's gate, the cutoff
	require.Equal(t, 12, c.Moves())
	require.Len(t, c.To.Rests, 4)
	require.Equal(t, Jack{"main", "cv 1"}, c.To.Rests[0].Jack)
	require.EqualValues(t, 36, *c.To.Rests[0].Key)
	require.Empty(t, c.From.Rests)
}

// A plug in a voice's own jack would break the normal: the four pitches go too.
func TestANormalIsNotBroken(t *testing.T) {
	c := change(t, "normalled", "")
	require.Equal(t, []string{
		"main cv 1 > bank K K1.pitch", "main cv 2 > bank K K2.pitch", "main cv 3 > bank L L1.pitch", "main cv 4 > bank L L2.pitch",
		"main gate 1 > bank K K1.gate", "main gate 2 > bank K K2.gate", "main gate 3 > bank L L1.gate", "main gate 4 > bank L L2.gate",
	}, words(c.Pulls))
	require.Len(t, c.Plugs, 8)
	require.Empty(t, c.To.Rests)
	require.Empty(t, c.To.Broken)
}

// A switch is turned over once for each bank, and back.
func TestASwitchIsAMove(t *testing.T) {
	c := change(t, "switched", "")
	require.Equal(t, []Switch{{0, true}, {1, true}}, c.Switches)
	require.Equal(t, 4+8+2, c.Moves())
	require.Empty(t, c.To.Rests)
	back := Between(c.To, c.From)
	require.Equal(t, []Switch{{0, false}, {1, false}}, back.Switches)
	require.Equal(t, c.Moves(), back.Moves())
}

// Without common jacks each part has two multiples, one in and two out each.
func TestThroughMultiples(t *testing.T) {
	c := change(t, "none", "")
	require.Len(t, c.Pulls, 8)
	require.Len(t, c.Plugs, 2*2*3)
	require.Equal(t, words(c.Plugs), words(change(t, "sums", ", pitches: multiples").Plugs))
	require.Equal(t, 4, Multiples(c.From, c.To))
	// four outputs to one bank of two and one more by links: ⌈2/2⌉ + …
	tree := change(t, "none", ", through: buffered 2")
	require.Equal(t, 4, Multiples(tree.From, tree.To))
}

// With gate-ORs the voices' own gates stay, and rest low: a cable a part for
// the gate, and one for the pitch.
func TestThroughGateOrs(t *testing.T) {
	c := change(t, "sums", ", gates: or")
	require.Empty(t, c.Pulls)
	require.Equal(t, []string{
		"seq cv 1 > bank K K.pitch", "seq cv 2 > bank L L.pitch", "seq gate 1 > gate-OR K common", "seq gate 2 > gate-OR L common",
	}, words(c.Plugs))
	require.Len(t, c.To.Rests, 8)
	require.True(t, c.To.Rests[4].Gate)
	from, _ := Label(c.From, c.To)
	require.Contains(t, words(from), "main gate 2 > gate-OR K in 2")
	require.Contains(t, words(from), "gate-OR K out 2 > bank K K2.gate")
	require.Contains(t, words(from), "main gate 5 > bank M M1.gate") // no part plays C
}

// An interface whose window has no 0 V cannot rest, so its pitches are pulled:
// both sides of 0 V.
func TestWhatCannotRestIsPulled(t *testing.T) {
	for window, pulls := range map[string]int{"0 V to 5 V": 4, "-5 V to 0 V": 4, "0.1 V to 5 V": 8, "-5 V to -0.1 V": 8} {
		m := mapOf(t, strings.Replace(fmt.Sprintf(wall, "sums", ""), "cv8-gate8", "cv8-gate8, window: "+window, 1))
		c := Between(New(m, 0), New(m, 1))
		require.Len(t, c.Pulls, pulls, window)
	}
}

// One part plays two banks: a multiple to both common jacks, and one of four
// for the gates.
func TestAPartPlaysSeveralBanks(t *testing.T) {
	m := mapOf(t, strings.Replace(fmt.Sprintf(wall, "sums", ", gates: or"), "{1: K, 2: L}", "{3: [K, L]}", 1))
	c := Between(New(m, 0), New(m, 1))
	require.Equal(t, []string{
		"multiple 1 out 1 > bank K K.pitch", "multiple 1 out 2 > bank L L.pitch",
		"multiple 2 out 1 > gate-OR K common", "multiple 2 out 2 > gate-OR L common",
		"seq cv 3 > multiple 1 in", "seq gate 3 > multiple 2 in",
	}, words(c.Plugs))
}

// Wires and macros of the rig that lead to what a part takes are pulled there,
// and nowhere else.
func TestWiresGiveWay(t *testing.T) {
	m := mapOf(t, strings.Replace(fmt.Sprintf(wall, "sums", ""), "set_ups:", `macros: {vibrato: {from: CC 1 on 1, to: [K.pitch, M.pitch]}}
wiring: [{from: main.gate 8, through: passive, to: [L1.gate, M1.gate]}]
set_ups:`, 1))
	c := Between(New(m, 0), New(m, 1))
	require.Equal(t, []string{
		"main gate 1 > bank K K1.gate", "main gate 2 > bank K K2.gate", "main gate 3 > bank L L2.gate",
		"multiple 1 out 1 > bank K K.pitch", "multiple 2 out 1 > bank L L1.gate",
	}, words(c.Pulls)) // M.pitch and M1.gate stay on their multiples
	require.Len(t, c.Plugs, 8)
	to := c.To.Reaches()
	for _, in := range []routing.Input{{Bank: 0, Voice: -1, Input: "pitch"}, {Bank: 1, Voice: 2, Input: "gate"}} {
		require.Equal(t, 1, to[in].Interface, in.Name(m.Rig)) // the sequencer
	}
	for _, in := range []routing.Input{{Bank: 2, Voice: -1, Input: "pitch"}, {Bank: 2, Voice: 4, Input: "gate"}} {
		require.Equal(t, 0, to[in].Interface, in.Name(m.Rig))
	}
}

// Cables into modules may stay: of a gate-OR that the rig has for L1 only the
// way out is pulled. So may the feed of a multiple all of whose outputs go, as
// of a macro to both common jacks.
func TestStubsStay(t *testing.T) {
	m := mapOf(t, strings.Replace(fmt.Sprintf(wall, "sums", ""), "set_ups:", `macros: {vibrato: {from: CC 1 on 1, to: [K.pitch, L.pitch]}}
gear: {either: {does: gate-or}}
wiring: [{from: main.gate 7, to: either}, {from: main.gate 8, to: either}, {from: either, to: L1.gate}]
set_ups:`, 1))
	c := Between(New(m, 0), New(m, 1))
	require.Equal(t, []string{
		"main gate 1 > bank K K1.gate", "main gate 2 > bank K K2.gate", "main gate 3 > bank L L2.gate", "either out > bank L L1.gate",
		"multiple 1 out 1 > bank K K.pitch", "multiple 1 out 2 > bank L L.pitch",
	}, words(c.Pulls))
	from, _ := Label(c.From, c.To)
	require.Contains(t, words(from), "main gate 7 > either in")
	require.Contains(t, words(from), "main gate 8 > either in")

	// A multiple that leads where the sequencer's would serves on instead.
	m = mapOf(t, strings.Replace(fmt.Sprintf(wall, "sums", ""), "set_ups:", `wiring: [{from: main.gate 8, through: passive, to: [K1.gate, K2.gate]}]
set_ups:`, 1))
	c = Between(New(m, 0), New(m, 1))
	require.Equal(t, []string{"main gate 1 > bank L L1.gate", "main gate 2 > bank L L2.gate", "main gate 8 > multiple 1 in"}, words(c.Pulls))
	require.Contains(t, words(c.Plugs), "seq gate 1 > multiple 1 in")
}

// What has no jack on the map gets none in a set-up that frees one: L2 stays
// unplugged.
func TestWhatIsMissingStaysMissing(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {cv: 3, gates: 3}}
sequencers: {seq: {parts: 4}}
banks: {K: {voices: 2}, L: {voices: 2}}
set_ups: {studio: {from: main}, stage: {from: seq, parts: {1: K}}}
`)
	require.NotEmpty(t, m.Missing)
	for _, c := range words(Between(New(m, 0), New(m, 1)).Plugs) {
		require.NotContains(t, c, "L2")
	}
}

// Two interfaces: a set-up has what comes out of its own.
func TestASetUpFromInterfaces(t *testing.T) {
	m := mapOf(t, `
interfaces: {one: {profile: cv4-gate4}, two: {profile: cv4-gate4}}
banks: {K: {voices: 4}, L: {voices: 2}}
set_ups: {half: {from: one}, all: {from: [one, two]}}
`)
	c := Between(New(m, 0), New(m, 1))
	require.Empty(t, c.Pulls)
	require.Equal(t, []string{"two gate 1 > bank L L1.gate", "two cv 1 > bank L L1.pitch", "two gate 2 > bank L L2.gate", "two cv 2 > bank L L2.pitch"},
		sortedWords(c.Plugs))
	require.True(t, c.From.Plays(0))
	require.False(t, c.From.Plays(4))
	require.True(t, c.To.Plays(4))
}

func sortedWords(cables []Cable) []string {
	all := words(cables)
	slices.SortStableFunc(all, func(a, b string) int { return strings.Compare(a[strings.Index(a, ">"):], b[strings.Index(b, ">"):]) })
	return all
}

// Cables of interfaces keep the names of the map; those of a sequencer have its
// name, the jack and, behind a multiple, the number.
func TestNames(t *testing.T) {
	m := mapOf(t, fmt.Sprintf(wall, "sums", ""))
	pulls, plugs := Between(New(m, 0), New(m, 1)).Names()
	require.Equal(t, []string{"gt1", "gt2", "gt3", "gt4"}, pulls)
	require.Equal(t, []string{"seq:gt1/1", "seq:gt1/2", "seq:cv1", "seq:gt2/1", "seq:gt2/2", "seq:cv2", "seq:gt1", "seq:gt2"}, plugs)

	m = mapOf(t, fmt.Sprintf(wall, "sums", ", gates: or"))
	_, plugs = Between(New(m, 0), New(m, 1)).Names()
	require.Equal(t, []string{"seq:cv1", "seq:cv2", "seq:gt1", "seq:gt2"}, plugs)
}

// From one sequencer's set-up to another: part 1 keeps bank K by the multiple
// that it has, and gets B to it.
func TestMultiplesServeOn(t *testing.T) {
	m := mapOf(t, fmt.Sprintf(wall, "sums", "")+"  both: {from: seq, parts: {1: [K, L]}}\n")
	c := Between(New(m, 1), New(m, 2))
	require.Equal(t, []string{"seq cv 1 > bank K K.pitch", "seq cv 2 > bank L L.pitch", "seq gate 2 > multiple 2 in",
		"multiple 2 out 1 > bank L L1.gate", "multiple 2 out 2 > bank L L2.gate"}, words(c.Pulls))
	require.Equal(t, []string{
		"multiple 2 out 1 > bank K K.pitch",
		"multiple 1 out 3 > bank L L1.gate", "multiple 1 out 4 > bank L L2.gate", "multiple 2 out 2 > bank L L.pitch",
		"seq cv 1 > multiple 2 in",
	}, words(c.Plugs))
}

// Four pitches of 100 kΩ on an output of 1 kΩ that was calibrated at one:
// 1200·((1/1.04)/(1/1.01) − 1) = −34.615 cents per octave,
// and nothing by the common jack, or with the resistor inside the loop.
func TestASequencerBendsWhatItFeeds(t *testing.T) {
	rig := `
interfaces: {main: {profile: cv8-gate8}}
sequencers: {seq: {profile: seq4, output_resistance: %s}}
voices: {k: {group_pitch: sums, pitch_resistance: 100 kohm}}
banks: {K: {voices: 4, kind: k}}
set_ups: {studio: {from: main}, stage: {from: seq, parts: {1: K}, pitches: %s}}
`
	found := Findings(mapOf(t, fmt.Sprintf(rig, "1 kohm", "multiples")))
	require.Len(t, found, 1)
	require.Equal(t, routing.PitchBent, found[0].Code)
	require.InDelta(t, -34.61538, *found[0].Value, 1e-4)
	require.Equal(t, "set_ups.stage.parts.1", found[0].Where)
	require.Equal(t, 7, found[0].Pos.Line)
	require.False(t, found[0].Assumed)
	require.Empty(t, Findings(mapOf(t, fmt.Sprintf(rig, "1 kohm", "group"))))
	require.Empty(t, Findings(mapOf(t, fmt.Sprintf(rig, "0 ohm", "multiples"))))
}

// The gates of a sequencer against the threshold, and its triggers.
func TestTheGatesOfASequencer(t *testing.T) {
	rig := `
interfaces: {main: {profile: cv8-gate8}}
sequencers: {seq: {profile: seq4, output_resistance: 0 ohm, gate: %s}}
voices: {k: {group_pitch: sums, gate_threshold: 2.5 V}}
banks: {K: {voices: 4, kind: k}}
set_ups: {studio: {from: main}, stage: {from: seq, parts: {1: K}}}
`
	codes := func(gate string) (all []routing.Code) {
		for _, f := range Findings(mapOf(t, fmt.Sprintf(rig, gate))) {
			require.Contains(t, f.Where, "sequencers.seq.")
			all = append(all, f.Code)
		}
		return all
	}
	require.Empty(t, codes("3 V")) // 2.5 V and 20 %
	require.Equal(t, []routing.Code{routing.GateMargin}, codes("2.9 V"))
	require.Equal(t, []routing.Code{routing.GateTooLow}, codes("2.4 V"))
	require.Equal(t, []routing.Code{routing.GatePolarity}, codes("S-trig"))
	require.Equal(t, []routing.Code{routing.TriggerTooShort}, codes("5 V, trigger: 10 ms"))
}

// The comparison by hand on the wall with common jacks that sum. By common
// jacks and gate-ORs 4 plugs. By common jacks and multiples 4 pulls and 8 plugs.
// By multiples for the pitches too, 4 more pulls, and 6 plugs in place of 2.
func TestWaysByMoves(t *testing.T) {
	m := mapOf(t, fmt.Sprintf(wall, "sums", ""))
	ways := Ways(m, 0, 1)
	type line struct {
		pitches               profiles.PitchWay
		gates                 profiles.GateWay
		written               bool
		moves, multiples, ors int
		rests                 int
	}
	var lines []line
	for _, o := range ways {
		lines = append(lines, line{o.Pitches, o.Gates, o.Written, o.Change.Moves(), o.Multiples, o.Ors, o.Rests})
	}
	require.Equal(t, []line{
		{profiles.PitchGroup, profiles.GateOr, false, 4, 0, 2, 8},
		{profiles.PitchGroup, profiles.GateMultiples, true, 12, 2, 0, 4},
		{profiles.PitchMultiples, profiles.GateOr, false, 12, 2, 2, 4},
		{profiles.PitchMultiples, profiles.GateMultiples, false, 20, 4, 0, 0},
	}, lines)
	require.Empty(t, Ways(mapOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 1}}\nset_ups: {a: {from: main}, b: {from: main}}\n"), 0, 1))
	require.Len(t, Ways(mapOf(t, fmt.Sprintf(wall, "none", "")), 0, 1), 2)
}

// TestSetUpsThatPlayNothing: one without parts, one from an interface that drives no
// voice, and those that play some.
func TestSetUpsThatPlayNothing(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte(`rig: Idle
interfaces: {main: {profile: cv8-gate8}, other: {profile: cv8-gate8}}
sequencers: {seq: {parts: 2}}
banks: {K: {voices: 4}}
set_ups:
  studio: {from: main}
  both: {from: [main, other]}
  stage: {from: seq, parts: {1: K}}
  idle: {from: seq}
  away: {from: other}
`), nil)
	require.Empty(t, faults)
	var empty []string
	for _, f := range Findings(routing.NewMap(rig)) {
		if f.Code == routing.SetUpEmpty {
			empty = append(empty, f.Text)
		}
	}
	require.Equal(t, []string{"set-up idle plays no voice", "set-up away plays no voice"}, empty)
}

func init() { corpora.Checks("15", "100") }

// Both cables into an adder are of their own set-up: without the second interface its cable is
// pulled, and what leads on from the adder stays.
func TestBothCablesOfAnAdderMove(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv8-gate8}, box2: {profile: cv8-gate8}}
gear: {sum: {does: adder}}
banks: {K: {voices: 1}}
wiring: [{from: main.cv 1, to: sum}, {from: box2.cv 3, to: sum}, {from: sum, to: K1.pitch}]
set_ups: {both: {from: [main, box2]}, one: {from: main}}
`)
	c := Between(New(m, 0), New(m, 1))
	require.Equal(t, []string{"box2 cv 3 > sum in"}, words(c.Pulls))
	require.Empty(t, c.Plugs)
	require.Equal(t, 3, c.Stay) // main to the adder, the adder to K1, and the gate
}

// A wire behind the panels is neither pulled nor plugged: the plug of the other set-up opens it.
func TestANormalIsNoMove(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv8-gate8}}
sequencers: {seq: {parts: 1}}
banks: {K: {voices: 1}}
wiring: [{from: main.cv 1, to: K1.pitch, normal: half}, {from: main.gate 1, to: K1.gate, normal: half}]
set_ups: {studio: {from: main}, stage: {from: seq, parts: {1: K}}}
`)
	c := Between(New(m, 0), New(m, 1))
	require.Empty(t, c.Pulls)
	require.Equal(t, []string{"seq gate 1 > bank K K1.gate", "seq cv 1 > bank K K1.pitch"}, words(c.Plugs))
	c = Between(New(m, 1), New(m, 0))
	require.Len(t, c.Pulls, 2)
	require.Empty(t, c.Plugs)
	require.Empty(t, c.Silent)
}
