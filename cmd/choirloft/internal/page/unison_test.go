package page

import (
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/routing/detune"
)

// asUnison is an answer about a unison, as the page reads it.
type asUnison struct {
	Part     string
	Set, Rig contract.UnisonSetting
	Most     int
	Says     string
	Keys     []string
	Laws     []choiceView
	Top      []contract.Override
	Figures  map[string]string
	answered
}

func (b *bench) unison(body string) *asUnison {
	b.t.Helper()
	status, answer := b.post("unison", body)
	require.Equal(b.t, 200, status, answer)
	u := &asUnison{}
	require.NoError(b.t, json.Unmarshal([]byte(answer), u))
	return u
}

// A unison is shown as it would be, while the text stays as it is. Four voices over 12 cents stand at the marks of
// the Golomb ruler 0, 1, 4, 6 (its optimal one of four marks): −6, −4, +2 and +6 cents; evenly at −6, −2, +2 and +6.
func TestUnison(t *testing.T) {
	b := newBench(t)
	was := string(b.desk.text)
	u := b.unison(`{"part": "pad"}`)
	require.Equal(t, contract.UnisonSetting{Voices: 1, SpreadCents: 12, Law: "uneven"}, u.Rig)
	require.Equal(t, u.Rig, u.Set)
	require.Equal(t, "So the rig says.", u.Says)
	require.Equal(t, "pad plays one voice on a note. Set two or more to detune them.", u.Doc.Blocks[0].Text)
	require.Empty(t, u.Figures)
	require.Empty(t, u.Keys)
	require.Empty(t, u.Top)
	require.Equal(t, 20, u.Most, "five banks of four, none spare")

	u = b.unison(`{"part": "pad", "voices": 4}`)
	require.Equal(t, contract.UnisonSetting{Voices: 4, SpreadCents: 12, Law: "uneven"}, u.Set)
	require.Equal(t, "Not written yet. The rig says: 1 voice on a note.", u.Says)
	require.Equal(t, []string{"-6.0", "-4.0", "+2.0", "+6.0"}, u.rows("")[0][1:])
	require.Equal(t, []contract.Override{{Kind: "unison", Part: "pad", Value: "4"}}, u.Top)
	require.Contains(t, u.Figures["unison"], "What a held")
	require.Len(t, u.Keys, 3)

	even := b.unison(`{"part": "pad", "voices": 4, "law": "even", "width": 12}`)
	require.Equal(t, []string{"-6.0", "-2.0", "+2.0", "+6.0"}, even.rows("")[0][1:])
	require.NotEqual(t, u.Figures, even.Figures)
	require.Equal(t, "24.0", strings.TrimPrefix(b.unison(`{"part": "pad", "voices": 2, "width": 48}`).rows("")[0][2], "+"))
	narrow := b.unison(`{"part": "pad", "voices": 4, "narrow": true}`)
	require.NotEqual(t, u.Figures, narrow.Figures)

	// What is tried goes before what is written, and a unison that could not be played by the rig as it is
	// written cannot be tried: the uneven pattern ends at 12 voices, as detune.MaxUneven.
	tried := b.unison(`{"part": "pad", "set": [{"kind": "unison", "part": "", "value": "3"}]}`)
	require.Equal(t, 3, tried.Set.Voices)
	require.Empty(t, tried.Top)
	require.Equal(t, 12, detune.MaxUneven)
	golden := b.unison(`{"part": "pad", "voices": 13, "law": "golden"}`)
	require.Equal(t, 13, golden.Set.Voices)
	require.Empty(t, golden.Top)
	for body, says := range map[string]string{
		`{"part": "pad", "voices": 13}`:               "found 13 voices, the uneven pattern ends at 12",
		`{"part": "pad", "voices": 21, "law":"even"}`: "have 20",
		`{"part": "pad", "voices": 2, "width": 2401}`: "2400 cents",
		`{"part": "pad", "voices": 2, "law": "odd"}`:  "want one of uneven",
		`{"part": "choir"}`:                           "there is no part",
	} {
		status, answer := b.post("unison", body)
		require.GreaterOrEqual(t, status, 400, body)
		require.Contains(t, answer, says, body)
	}
	require.Equal(t, was, string(b.desk.text))
	require.NoError(t, b.desk.Edit([]byte("rig: [")))
	status, answer := b.post("unison", `{"voices": 2}`)
	require.Equal(t, 422, status, answer)
}

// A pattern with an exponent of its own is one to choose; the part in unison is shown first.
func TestUnisonOfTheRig(t *testing.T) {
	b := newBench(t)
	require.NoError(t, b.desk.Edit([]byte("rig: Bench\nbanks: {K: {voices: 4}}\nparts: {pad: {channel: 1}, arp: {channel: 2, unison: {voices: 3, law: power 1.5}}}\n")))
	u := b.unison(`{}`)
	require.Equal(t, "arp", u.Part)
	require.Equal(t, contract.UnisonSetting{Voices: 3, SpreadCents: 12, Law: "power 1.5"}, u.Rig)
	require.Equal(t, "power 1.5", u.Laws[len(u.Laws)-1].Name)
	require.Equal(t, detune.LawNames(), names(u.Laws[:len(u.Laws)-1]))
	require.Equal(t, "Not written yet. The rig says: 3 voices on a note, 12.0 cents apart, power 1.5.", b.unison(`{"width": 7}`).Says)
}

func names(all []choiceView) (list []string) {
	for _, c := range all {
		list = append(list, c.Name)
	}
	return list
}

// A held key sounds as it would be: six seconds and 2 ms of a fade, on two sides of 48 kHz, whose loudest sample is
// −12 dB of full scale, 10^(−12/20)·2^23 = 2 107 123. Two voices that are alike but for d cents beat: 2·cos of half their
// difference, which is nil after 1/(2·Δf). At 100 cents on the lowest key f that is 1/(2·f·(2^(100/1200) − 1)).
func TestHeld(t *testing.T) {
	b := newBench(t)
	require.NoError(t, b.desk.Edit([]byte("rig: Bench\nvoices: {plain: {attack: 1 ms, sustain: 100 %, release: 1 s, sound: {wave: sine}, drift: 0 cents}}\nbanks: {K: {voices: 4, kind: plain}}\nparts: {pad: {channel: 1, keys: 60-72}}\n")))
	status, answer := b.post("held", `{"voices": 2, "width": 100, "key": 0}`)
	require.Equal(t, 200, status, answer)
	sound := frames(t, answer)
	require.Len(t, sound, 2*(288_000+96))
	most := 0
	for _, x := range sound {
		most = max(most, x, -x)
	}
	require.InDelta(t, 2_107_123, most, 2)

	first := 440 * math.Pow(2, (60-69)/12.) * (math.Pow(2, 100/1200.) - 1) // beats a second
	power := func(from float64) (sum float64) {                            // over a twentieth of a beat
		at, n := int(from*48_000), int(48_000/first/20)
		for i := at; i < at+n; i++ {
			v := float64(sound[2*i] + sound[2*i+1])
			sum += v * v
		}
		return sum
	}
	low, high := math.Inf(1), 0.0
	for i := range 20 {
		p := power(1 + float64(i)/20/first)
		low, high = math.Min(low, p), math.Max(high, p)
	}
	require.Greater(t, high, 50*low, "they beat once in 1/%.1f s", first)

	for body, want := range map[string]string{
		`{"key": 1}`:               "plays one voice on a note",
		`{"voices": 2, "key": 3}`:  "no key 3",
		`{"voices": 2, "key": -1}`: "no key -1",
		`{"voices": 2, "flags": ["--without", "K1", "--without", "K2", "--without", "K3", "--without", "K4"]}`: "no voice of part pad is in service",
	} {
		status, answer := b.post("held", body)
		require.GreaterOrEqual(t, status, 400)
		require.Contains(t, answer, want)
	}
}

// BenchmarkHeld makes a stack audible: a plan, the gain and six seconds. What to hold: 0.3 s of a processor.
func BenchmarkHeld(b *testing.B) {
	data, err := os.ReadFile(top + "testdata/kiln-yard.yaml")
	require.NoError(b, err)
	desk := newDesk(b.TempDir(), tools())
	require.NoError(b, desk.Edit(data))
	s := &server{desk: desk, sketches: make(chan struct{}, 1)}
	for _, n := range []int{2, 4, 8, 12} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				r := httptest.NewRequest(http.MethodPost, "/api/held", strings.NewReader(fmt.Sprintf(`{"part": "pad", "voices": %d}`, n)))
				if err := s.stackSound(httptest.NewRecorder(), r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
