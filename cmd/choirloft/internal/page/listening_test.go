package page

import (
	"bytes"
	"context"
	"encoding/binary"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
)

// frames are the 24-bit samples of a sound file, from its data chunk on.
func frames(t *testing.T, file string) (list []int) {
	t.Helper()
	at := strings.Index(file, "data")
	require.Positive(t, at)
	size := int(binary.LittleEndian.Uint32([]byte(file[at+4:])))
	data := []byte(file)[at+8 : at+8+size]
	for i := 0; i+2 < len(data); i += 3 {
		list = append(list, int(int32(uint32(data[i])<<8|uint32(data[i+1])<<16|uint32(data[i+2])<<24)>>8))
	}
	return list
}

// What is asked for less what is played is what is missing, sample by sample, with one gain;
// six seconds at 48 kHz on two sides are 576 000 samples.
func TestListen(t *testing.T) {
	b := newBench(t)
	b.demo()
	sound := map[string][]int{}
	for version := range versions {
		status, answer := b.post("listen", `{"song": "1", "flags": ["--voices", "10"], "version": "`+version+`", "at_s": 26.7}`)
		require.Equal(t, 200, status, answer)
		sound[version] = frames(t, answer)
		require.Len(t, sound[version], 576_000)
	}
	most := 0
	for i := range sound["asked"] {
		if sound["asked"][i] != sound["played"][i]+sound["missing"][i] {
			require.Equal(t, sound["asked"][i], sound["played"][i]+sound["missing"][i], "sample %d", i)
		}
		most = max(most, sound["asked"][i], -sound["asked"][i])
	}
	require.Greater(t, most, 1<<23/10, "it is heard: −20 dB of full scale")
	require.Less(t, most, 1<<23/2, "and quietly: −6 dB")
	require.NotEqual(t, sound["asked"], sound["played"])

	for body, status := range map[string]int{
		`{"song": "1", "version": "loud", "at_s": 1}`:    400,
		`{"song": "1", "version": "asked", "at_s": -1}`:  400,
		`{"song": "9", "version": "asked", "at_s": 1}`:   404,
		`{"song": "1", "version": "asked", "at_s": 9e8}`: 200, // the last six seconds
	} {
		got, answer := b.post("listen", body)
		require.Equal(t, status, got, "%s: %.80s", body, answer)
	}
	status, _ := b.ask("POST", "/api/listen", `{"song": "1", "version": "asked"}`, "Sec-Fetch-Site", "cross-site")
	require.Equal(t, http.StatusForbidden, status)
}

// Whoever has gone is not worked for: neither where others come first, nor in the middle.
func TestListenToNobody(t *testing.T) {
	b := newBench(t)
	b.demo()
	s := &server{desk: b.desk, sketches: make(chan struct{}, 1)}
	ask := func(ctx context.Context) error {
		r := httptest.NewRequest(http.MethodPost, "/api/listen", strings.NewReader(`{"song": "1", "version": "asked", "at_s": 1}`))
		return s.listen(httptest.NewRecorder(), r.WithContext(ctx))
	}
	gone, stop := context.WithCancel(context.Background())
	stop()
	s.sketches <- struct{}{}
	require.ErrorIs(t, ask(gone), context.Canceled)
	<-s.sketches
	require.ErrorIs(t, ask(gone), context.Canceled, "before the gain is known")
	require.NoError(t, ask(context.Background()))
	_, err := (&waited{&bytes.Buffer{}, gone}).Write([]byte{1})
	require.ErrorIs(t, err, context.Canceled)
	require.Empty(t, s.sketches)
}

// A loss is listened to in the browser: quietly at first, one version at a time, until
// another answer comes or it is stopped.
func TestListenInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	p := open(t, b)
	p.settled()
	require.Equal(t, "25", value[string](p, `document.getElementById("volume").value`))
	pressed := func() []string { return p.texts(`#listen [aria-pressed=true]`) }
	p.do(click(`#listen [data-version=asked]`))
	p.until(`!document.getElementById("playhead").hidden && document.getElementById("listening").textContent === ""`)
	require.Equal(t, []string{"▶ As asked"}, pressed())
	p.do(click(`#listen [data-version=missing]`))
	require.Equal(t, []string{"▶ What is missing"}, pressed())
	p.do(click(`#listen [data-version=missing]`))
	require.Empty(t, pressed())
	p.until(`document.getElementById("playhead").hidden`)
	require.Empty(t, value[string](p, `document.getElementById("trouble").textContent`))
	p.quiet()
}

// BenchmarkListen makes six seconds of the demo on ten voices audible: at first, its
// replay and the gain included, and again. What to hold: 0.3 s of a processor.
func BenchmarkListen(b *testing.B) {
	data, err := os.ReadFile(top + "testdata/kiln-yard.yaml")
	require.NoError(b, err)
	desk := newDesk(b.TempDir(), tools())
	require.NoError(b, desk.Edit(data))
	data, err = os.ReadFile(top + "testdata/slow-kiln.mid")
	require.NoError(b, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(b, err)
	_, err = desk.Add("slow-kiln.mid", "", song)
	require.NoError(b, err)
	for _, c := range []struct {
		name  string
		again bool
	}{{"first", false}, {"again", true}} {
		b.Run(c.name, func(b *testing.B) {
			s := &server{desk: desk, sketches: make(chan struct{}, 1)}
			for b.Loop() {
				if !c.again {
					s.memory.keep(occasion{}, nil)
				}
				r := httptest.NewRequest(http.MethodPost, "/api/listen", strings.NewReader(`{"song": "1", "flags": ["--voices", "10"], "version": "played", "at_s": 30}`))
				if err := s.listen(httptest.NewRecorder(), r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
