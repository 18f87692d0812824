package profiles

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
)

// What String says is what the rig file says: each word is read back. The
// words are those of the grammar in doc.go.
func TestWordsOfEnums(t *testing.T) {
	part := func(r *Rig) Part { return r.Parts[0] }
	for _, row := range []struct {
		at    string
		words []string
		get   func(*Rig) fmt.Stringer
	}{
		{"middle_c", []string{"C3", "C4"}, func(r *Rig) fmt.Stringer { return r.MiddleC }},
		{"parts.p.channel", []string{"mpe lower", "mpe upper"}, func(r *Rig) fmt.Stringer { return part(r).Zone }},
		{"parts.p.mode", []string{"poly", "mono last", "mono low", "mono high"}, func(r *Rig) fmt.Stringer { return part(r).Mode }},
		{"parts.p.reattack", []string{"none", "press", "return", "press and return"},
			func(r *Rig) fmt.Stringer { return part(r).Reattack }},
		{"parts.p.unison.law", []string{"uneven", "even", "power", "golden", "random"},
			func(r *Rig) fmt.Stringer { return part(r).Unison.Law }},
		{"parts.p.unison.detune", []string{"position", "voice"}, func(r *Rig) fmt.Stringer { return part(r).Unison.Detune }},
		{"parts.p.unison.scaling", []string{"cents", "hertz", "between"},
			func(r *Rig) fmt.Stringer { return part(r).Unison.Scaling }},
		{"parts.p.unison.when_short", []string{"blocks", "thin", "wait", "elastic"},
			func(r *Rig) fmt.Stringer { return part(r).Unison.Short }},
		{"interfaces.i.link", []string{"usb", "din", "audio"}, func(r *Rig) fmt.Stringer { return r.Interfaces[0].Link }},
		{"interfaces.i.tuning", []string{"bend", "own"}, func(r *Rig) fmt.Stringer { return r.Interfaces[0].Tuning }},
		{"voices.k.group_pitch", []string{"none", "sums", "normalled", "switched"},
			func(r *Rig) fmt.Stringer { return r.Kinds[0].GroupPitch }},
		{"banks.K.colour", []string{"brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white", "black"},
			func(r *Rig) fmt.Stringer { return r.Banks[0].Colour }},
		{"voices.k.gate_input", []string{"V-trig", "S-trig"}, func(r *Rig) fmt.Stringer { return r.Kinds[0].GateInput }},
		{"levels.shape", []string{"saw", "sine", "triangle", "square"}, func(r *Rig) fmt.Stringer { return r.Levels.Shape }},
	} {
		for _, w := range row.words {
			require.Equal(t, w, row.get(mustRead(t, withValue(row.at, w))).String(), row.at)
		}
	}
	require.Equal(t, []string{"direct", "passive", "buffered"},
		[]string{Direct.String(), Passive.String(), Buffered.String()})
	require.Equal(t, []string{"bank", "interface", "module"}, []string{FedBank.String(), FedInterface.String(), FedGear.String()})
	require.Equal(t, []string{"in", "out", "limited", "spare"}, []string{
		StateName(alloc.In), StateName(alloc.Out), StateName(alloc.Limited), StateName(alloc.Spare),
	})
	require.Equal(t, "law 9", Law(9).String())
}

func TestListens(t *testing.T) {
	for _, text := range []string{
		"16", "[1, 2]", "port 2 channel 5", "[1, port 2 channel 5, port 2 channel 6, port 128 channel 16]",
		"mpe lower", "mpe upper 7", "mpe lower 1", "[1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13, 14, 15, 16]",
	} {
		require.Equal(t, text, mustRead(t, withValue("parts.p.channel", text)).Parts[0].Listens())
	}
	require.Equal(t, "mpe lower", mustRead(t, withValue("parts.p.channel", "mpe lower 15")).Parts[0].Listens())
	require.Equal(t, "none", mustRead(t, withValue("parts.p.channel", "none")).Parts[0].Listens(), "for a part that waits for its song")
}

func TestReattack(t *testing.T) {
	for _, row := range []struct {
		text        string
		press, back bool
	}{{"none", false, false}, {"press", true, false}, {"return", false, true}, {"press and return", true, true}} {
		r := mustRead(t, "rig: R\nbanks: {K: {voices: 1}}\nparts: {p: {mode: mono low, reattack: "+row.text+"}}\n").Parts[0].Reattack
		require.Equal(t, []bool{row.press, row.back}, []bool{r.OnPress(), r.OnReturn()}, row.text)
	}
}

func TestUnisonFields(t *testing.T) {
	rig := mustRead(t, `rig: R
banks: {K: {voices: 12}}
parts:
  p: {unison: {voices: 12, law: uneven, detune: voice, scaling: between, recentre: true, when_short: elastic, regrow: true}}
`)
	require.Equal(t, Unison{
		Voices: 12, Spread: 12, Law: LawUneven, Power: 2, Detune: ByVoice, Scaling: ScalingBetween,
		Recentre: true, Pan: 0.6, Short: Elastic, Regrow: true,
	}, rig.Parts[0].Unison)
}
