package page

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/say"
)

// laid posts a question about the bench.
func (b *bench) laid(body string) (f say.BenchFace) {
	b.t.Helper()
	status, answer := b.post("bench", body)
	require.Equal(b.t, 200, status, answer)
	require.NoError(b.t, json.Unmarshal([]byte(answer), &f))
	return f
}

// The demo: cmd/demosong's tests work its figures out without the engine, ten of the pad at once and 24 notes of
// the bass below 36. The interface has 32 CVs, of which 20 pitches, 5 cutoffs and 3 macros leave 4, and
// 32 gates, of which 20 leave 12; 0 V at key 36 and an octave a volt reach 36 + 5 · 12 = 96.
func TestBench(t *testing.T) {
	b := newBench(t)
	f := b.laid(`{}`)
	require.Equal(t, "There is no song yet.", f.Sentence)
	require.Empty(t, f.Channels)
	require.Nil(t, f.Parts[0].Wanted)
	b.demo()
	f = b.laid(`{"song": "1"}`)
	require.Contains(t, f.Sentence, "none of 328 notes is cut short or dropped")
	require.Equal(t, "ch 1", f.Channels[0].Label)
	require.Equal(t, "80 notes, D3-E5 (50-76), 10 at once, no pedal", f.Channels[0].About)
	require.Equal(t, []string{"pad"}, f.Channels[0].Parts)
	require.Equal(t, "10 wanted, 19 there", f.Parts[0].Says)
	require.Equal(t, "→ pad", f.Channels[0].Heard)
	require.Equal(t, []string{"every bank", ""}, []string{f.Parts[0].On, f.Parts[0].How})
	require.Equal(t, say.BankMore{Voices: 4, Label: "Bank of 4"}, f.More)
	b.altered(`[{"do": "banks", "part": "pad", "banks": ["K", "M"]}, {"do": "mode", "part": "pad", "mode": "mono low"}, {"do": "channel", "channel": 2, "part": ""}]`)
	g := b.laid(`{"song": "1"}`)
	require.Equal(t, []string{"K M", "mono low"}, []string{g.Parts[0].On, g.Parts[0].How})
	require.Equal(t, "nobody plays it", g.Channels[1].Heard)
	require.Equal(t, "24 notes below C2 (36)", f.Parts[1].Wrong)
	require.Equal(t, "20 pitch CVs, 20 gates, 5 cutoff CVs, 3 macros: 4 CV and 12 gates stay free. 0 V to 5 V reaches C2-C7 (36-96).", f.Interfaces[0].About)
	status, _ := b.post("bench", `{"song": "7"}`)
	require.Equal(t, 404, status)
}

// Each fix that is offered mends what it stands beside: the deeds are done, and it is gone.
func TestBenchFixes(t *testing.T) {
	b := newBench(t)
	b.demo()
	b.altered(`[{"do": "banks", "part": "pad", "banks": ["K"]}, {"do": "interface", "name": "main", "profile": "cv8-gate8"}]`)
	done := map[string]int{}
	for range 10 {
		f := b.laid(`{"song": "1"}`)
		var fixes []say.FixFace
		for _, p := range f.Parts {
			require.True(t, p.Wrong == "" && !p.Short || len(p.Fixes) > 0, p.Name)
			fixes = append(fixes, p.Fixes...)
		}
		require.Equal(t, f.Interfaces[0].Wrong != "", len(f.Interfaces[0].Fixes) > 0)
		fixes = append(fixes, f.Interfaces[0].Fixes...)
		if len(fixes) == 0 {
			break
		}
		done[fixes[0].Label]++
		deeds, err := json.Marshal(fixes[0].Deeds)
		require.NoError(t, err)
		b.altered(string(deeds))
	}
	// ten of the pad at once on K1 to K4 want 6 more voices, two banks of four; 28 pitches, 7 cutoffs, as the new
	// banks have their own, and 3 macros want 38 CVs, for which 48 is the least
	require.Equal(t, map[string]int{"Add 2 banks of 4": 1, "Transpose up 1 octave": 1, "Use cv48-gate48": 1}, done)
	require.Contains(t, b.laid(`{"song": "1"}`).Parts[0].Says, "10 wanted, 12 there")
}

// A unison of two plays each note on two voices; the lead has one note at once.
func TestBenchCountsUnison(t *testing.T) {
	b := newBench(t)
	b.demo()
	f := b.laid(`{"song": "1", "set": [{"kind": "unison", "part": "lead", "value": "2"}]}`)
	require.Equal(t, "2 wanted, 19 there", f.Parts[3].Says)
}

// What a part listens to, however it is written.
func TestBenchSaysWhatPartsHear(t *testing.T) {
	for written, want := range map[string]string{
		"none": "no channel", "[1, 3]": "ch 1 and 3", "[1, 2, 3]": "ch 1-3", "mpe lower 7": "mpe lower 7", "[1, port 2 channel 5]": "ch 1, port 2 ch 5",
	} {
		b := newBench(t)
		body, err := json.Marshal(map[string]string{"text": "rig: R\nbanks: {K: {voices: 4}}\nparts: {p: {channel: " + written + "}}\n"})
		require.NoError(t, err)
		status, answer := b.post("rig", string(body))
		require.Equal(t, 200, status, answer)
		require.Equal(t, want, b.laid(`{}`).Parts[0].Listens)
	}
}

// CV ranges and keys at 0 V to choose, each with the keys that it reaches: an octave is a volt and twelve keys, so
// 5 V from key 36 end at 96, 10 V beyond the last key, 127, and −5 V at key 36 would be below key 0. What is
// chosen is so, and undone by the choice before.
func TestBenchReach(t *testing.T) {
	b := newBench(t)
	said := func(list []say.ReachFace) (all []string) {
		for _, c := range list {
			on := ""
			if c.On {
				on = "* "
			}
			all = append(all, on+c.Name+": "+c.About)
		}
		return all
	}
	box := func() say.BoxFace { return b.laid(`{}`).Interfaces[0] }
	do := func(c say.ReachFace) {
		t.Helper()
		deed, err := json.Marshal(c.Deed)
		require.NoError(t, err)
		b.altered("[" + string(deed) + "]")
	}
	was := string(b.desk.text)
	require.Equal(t, []string{"* 0 V to 5 V: reaches C2-C7 (36-96)", "0 V to 8 V: reaches C2-G9 (36-127)", "0 V to 10 V: reaches C2-G9 (36-127)", "-5 V to 5 V: reaches C-1-C7 (0-96)"}, said(box().Ranges))
	require.Equal(t, []string{"C-1 (0): reaches C-1-C4 (0-60); tune its voices to it", "C0 (12): reaches C0-C5 (12-72); tune its voices to it", "C1 (24): reaches C1-C6 (24-84); tune its voices to it",
		"* C2 (36): reaches C2-C7 (36-96)", "C3 (48): reaches C3-C8 (48-108); tune its voices to it", "C4 (60): reaches C4-C9 (60-120); tune its voices to it"}, said(box().ZeroKeys))
	do(box().ZeroKeys[2])
	require.Contains(t, box().About, "0 V to 5 V reaches C1-C6 (24-84).")
	do(box().Ranges[3])
	require.Equal(t, "* -5 V to 5 V: reaches C-1-C6 (0-84)", said(box().Ranges)[3])
	do(box().Ranges[0])
	do(box().ZeroKeys[3])
	require.Equal(t, was, string(b.desk.text))
	require.NoError(t, b.desk.Edit([]byte("rig: R\ninterfaces: {main: {cv: 4, gates: 4, window: 1 V to 6 V, zero_key: 40}}\nbanks: {K: {voices: 4}}\n")))
	require.Equal(t, "1 V to 6 V", box().Ranges[0].Name)
	require.Len(t, box().Ranges, 5)
	require.Len(t, box().ZeroKeys, 7)

	// The demo's bass goes down to F1 (29), 7 keys below the lowest: with that at 0 V all of the song fits, which ends
	// at A6 (93), 64 keys above it.
	require.NoError(t, b.desk.Edit([]byte(strings.Replace(was, "window: 0 V to 5 V", "window: 0 V to 8 V", 1))))
	b.demo()
	song := b.laid(`{"song": "1"}`).Interfaces[0].ZeroKeys
	require.Contains(t, said(song), "F1 (29): reaches F1-F9 (29-125), all of the song; tune its voices to it")
	require.Len(t, song, 7)
}
