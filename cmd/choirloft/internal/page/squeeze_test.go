package page

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Large answers come compressed to whoever takes them so, and are then what they are else; small ones,
// streams and what is compressed already come as they are.
func TestLargeAnswersAreCompressed(t *testing.T) {
	b := newBench(t)
	b.demo()
	ask := func(method, path, body, accept string) (*http.Response, []byte) {
		r, err := http.NewRequest(method, b.web.URL+path, strings.NewReader(body))
		require.NoError(t, err)
		r.Header.Set("Accept-Encoding", accept) // said by oneself, nobody decodes
		answer, err := http.DefaultTransport.RoundTrip(r)
		require.NoError(t, err)
		defer answer.Body.Close()
		data, err := io.ReadAll(answer.Body)
		require.NoError(t, err)
		require.Equal(t, "Accept-Encoding", answer.Header.Get("Vary"))
		return answer, data
	}
	for _, c := range []struct {
		method, path, body string
		want               bool
	}{
		{"POST", "/api/play", `{"song": "1"}`, true},
		{"POST", "/api/picture", `{"song": "1"}`, true},
		{"POST", "/api/file", `{"kind": "sheet.svg"}`, true},
		{"GET", "/", "", true},
		{"GET", "/song.js", "", true},
		{"GET", "/style.css", "", true},
		{"POST", "/api/file", `{"kind": "sheet.pdf"}`, false},
		{"POST", "/api/song?name=x", "no song", false},
		{"GET", "/nowhere", "", false},
	} {
		plain, want := ask(c.method, c.path, c.body, "")
		require.Empty(t, plain.Header.Get("Content-Encoding"))
		answer, data := ask(c.method, c.path, c.body, "br, gzip")
		require.Equal(t, plain.StatusCode, answer.StatusCode)
		require.Equal(t, plain.Header.Get("Content-Type"), answer.Header.Get("Content-Type"))
		require.Equal(t, map[bool]string{true: "gzip"}[c.want], answer.Header.Get("Content-Encoding"), c.path)
		if c.want {
			require.Less(t, len(data), len(want)*6/10, c.path)
			unzip, err := gzip.NewReader(bytes.NewReader(data))
			require.NoError(t, err)
			data, err = io.ReadAll(unzip)
			require.NoError(t, err)
		}
		require.Equal(t, string(want), string(data), c.path)
	}
	status, _ := b.ask("POST", "/api/stop", "{}", "Accept-Encoding", "gzip")
	require.Equal(t, http.StatusNoContent, status)
	status, part := b.ask("GET", "/song.js", "", "Range", "bytes=0-99", "Accept-Encoding", "gzip")
	require.Equal(t, http.StatusPartialContent, status)
	require.Len(t, part, 100)
}

// What is accepted is read as RFC 9110, 12.5.3 and 12.4.2 have it.
func TestTakesGzip(t *testing.T) {
	for accepted, want := range map[string]bool{"": false, "gzip": true, "GZIP": true, "br, gzip;q=0.5": true, "gzip;q=0": false, "gzip; q=0.000, *": false,
		"*": true, "*;q=0": false, "br": false, "x-gzip": false, "deflate, gzip;q=1.0, *;q=0.5": true, "*;q=0, gzip": true} {
		require.Equal(t, want, takesGzip(accepted), accepted)
	}
}

// No answer has the token in it, so that no length tells of it.
func TestNoAnswerHoldsTheToken(t *testing.T) {
	b := newBench(t)
	handler := New(b.desk, Door{Hosts: []string{"here"}, Token: token})
	for _, path := range []string{"/", "/main.js", "/api/desk", "/nowhere"} {
		r := httptest.NewRequest("GET", "http://here/"+token+path, nil)
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		require.NotContains(t, w.Body.String(), token, path)
		require.NotContains(t, w.Header().Get("Location"), token)
	}
}
