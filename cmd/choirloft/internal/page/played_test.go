package page

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/midi/corpora"
)

// manyOn is a desk with 64 voices and a song of so many notes.
func manyOn(t testing.TB, notes int) *Desk {
	t.Helper()
	desk := newDesk(t.TempDir(), tools())
	require.NoError(t, desk.Edit([]byte("rig: Wall\ninterfaces: {main: {profile: cv64-gate64}}\nbanks: {K: {voices: 32}, L: {voices: 32}}\n")))
	song, err := midi.Read(manyNotes(notes), midi.Options{})
	require.NoError(t, err)
	_, err = desk.Add("many.mid", "", song)
	require.NoError(t, err)
	return desk
}

// answersTo is what a handler answers about the first song on so many voices.
func answersTo(t testing.TB, handler http.Handler, path, voices string, soon bool) []byte {
	t.Helper()
	body := fmt.Sprintf(`{"song": "1", "set": [{"kind": "voices", "part": "", "value": "%s"}], "soon": %t}`, voices, soon)
	w := httptest.NewRecorder()
	handler.ServeHTTP(w, httptest.NewRequest(http.MethodPost, "http://here/api/"+path, strings.NewReader(body)))
	require.Equal(t, http.StatusOK, w.Code, w.Body.String())
	return w.Body.Bytes()
}

// What is answered soon tells what became of the notes, and that what is heard comes; whoever
// then waits for that has what he would have had at once. Whatever is remembered by then, the
// answer is the same to the byte.
func TestSoonAndRemembered(t *testing.T) {
	all := []string{"12", "13", "12"}
	if corpora.Asked() {
		all = append(all, "64", "13")
	}
	desk, later := manyOn(t, corpora.Some(3_000, 10_000)), 0
	door := Door{Hosts: []string{"here"}}
	head := func(data []byte) (h struct{ Listening string }) {
		require.NoError(t, json.Unmarshal(data[4:4+binary.LittleEndian.Uint32(data)], &h))
		return h
	}
	handler := New(desk, door)
	for _, voices := range all {
		soon := answersTo(t, handler, "picture", voices, true)
		whole := answersTo(t, handler, "picture", voices, false)
		require.Empty(t, head(whole).Listening)
		if head(soon).Listening != "" { // it took longer than a blink
			later++
			require.Equal(t, say.Listening, head(soon).Listening)
			require.NotEqual(t, soon, whole)
		} else {
			require.True(t, string(soon) == string(whole))
		}
		require.True(t, string(whole) == string(answersTo(t, handler, "picture", voices, true)), "it is known by now")
		require.True(t, string(whole) == string(answersTo(t, New(desk, door), "picture", voices, false)), "with nothing remembered, %s voices", voices)
		require.True(t, string(answersTo(t, handler, "play", voices, false)) == string(answersTo(t, New(desk, door), "play", voices, false)), voices)
	}
	require.NotZero(t, later, "nothing took longer than a blink: more notes are needed")
}

// Nobody goes on listening to what is past and waited for no more; who still waits hears it.
func TestListeningEnds(t *testing.T) {
	stopped := map[string]bool{}
	play := func(m *memory, name string) *performance {
		x := &performance{stop: func() { stopped[name] = true }, ready: make(chan struct{})}
		m.keep(occasion{set: name}, x)
		return x
	}
	m := &memory{}
	a := play(m, "a")
	ctx, cancel := context.WithCancel(t.Context())
	gone := make(chan error)
	go func() { _, err := a.wait(ctx); gone <- err }()
	for waits := 0; waits == 0; {
		a.mu.Lock()
		waits = a.waiting
		a.mu.Unlock()
	}
	play(m, "b")
	require.Empty(t, stopped, "somebody waits for a")
	cancel()
	require.ErrorIs(t, <-gone, context.Canceled)
	require.Equal(t, map[string]bool{"a": true}, stopped)
	play(m, "c")
	require.Equal(t, map[string]bool{"a": true, "b": true}, stopped, "nobody waits for b")
	require.Nil(t, m.find(occasion{set: "a"}))
	require.NotNil(t, m.find(occasion{set: "c"}))
}
