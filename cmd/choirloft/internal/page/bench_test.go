package page

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
)

// BenchmarkPlay answers a change of a song of 10 000 notes on 64 voices, and on
// 12, which lose many: replay, lanes and JSON. What to hold: 100 ms, of which
// the browser needs its part too.
func BenchmarkPlay(b *testing.B) {
	desk := &Desk{tools: tools(), path: b.TempDir() + "/rig.yaml"}
	require.NoError(b, desk.Edit([]byte("rig: Wall\ninterfaces: {main: {profile: cv64-gate64}}\nbanks: {K: {voices: 32}, L: {voices: 32}}\n")))
	song, err := midi.Read(manyNotes(), midi.Options{})
	require.NoError(b, err)
	_, err = desk.Add("many.mid", "", song)
	require.NoError(b, err)
	handler := New(desk, Door{Hosts: []string{"here"}})
	for _, voices := range []string{"64", "12"} {
		b.Run("voices="+voices, func(b *testing.B) {
			for b.Loop() {
				r := httptest.NewRequest(http.MethodPost, "http://here/api/play", strings.NewReader(`{"song": "1", "flags": ["--voices", "`+voices+`"]}`))
				w := httptest.NewRecorder()
				handler.ServeHTTP(w, r)
				if w.Code != http.StatusOK {
					b.Fatal(w.Body.String())
				}
			}
		})
	}
}
