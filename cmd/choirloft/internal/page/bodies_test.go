package page

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// under serves the bench's desk with other limits.
func (b *bench) under(most limits) *bodies {
	sent := &bodies{limits: most}
	b.web.Config.Handler = serve(b.desk, Door{Hosts: Hosts(b.web.Listener.Addr())}, sent)
	return sent
}

func (b *bodies) held() int64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.taken
}

// begin sends the head of a request and the first bytes of its body.
func (b *bench) begin(path, length, body string) (net.Conn, *bufio.Reader) {
	b.t.Helper()
	at := b.web.Listener.Addr().String()
	c, err := net.Dial("tcp", at)
	require.NoError(b.t, err)
	b.t.Cleanup(func() { c.Close() })
	require.NoError(b.t, c.SetDeadline(time.Now().Add(10*time.Second)))
	_, err = fmt.Fprintf(c, "POST /api/%s HTTP/1.1\r\nHost: %s\r\n%s\r\n\r\n%s", path, at, length, body)
	require.NoError(b.t, err)
	return c, bufio.NewReader(c)
}

// said reads an answer.
func (b *bench) said(from *bufio.Reader) (int, string) {
	b.t.Helper()
	answer, err := http.ReadResponse(from, nil)
	require.NoError(b.t, err)
	defer answer.Body.Close()
	data, err := io.ReadAll(answer.Body)
	require.NoError(b.t, err)
	return answer.StatusCode, string(data)
}

// What requests carry at once has a sum; what is above it is refused in a
// sentence, and let in when there is room again. Nothing leaks.
func TestSumOfBodies(t *testing.T) {
	b := newBench(t)
	sent := b.under(limits{sum: 1 << 20, stall: 5 * time.Second, whole: 5 * time.Second})
	body := `{"flags": []}` + strings.Repeat(" ", 600<<10)
	for range 3 {
		first, answer := b.begin("map", fmt.Sprintf("Content-Length: %d", len(body)), body[:1000])
		require.Eventually(t, func() bool { return sent.held() == int64(len(body)) }, 5*time.Second, time.Millisecond)
		status, said := b.post("map", body)
		require.Equal(t, http.StatusServiceUnavailable, status)
		require.Contains(t, said, "would be more than 1 MiB at once")
		require.Contains(t, said, "in a moment")
		status, _ = b.post("map", `{"flags": []}`)
		require.Equal(t, 200, status, "what is small still has room")
		status, _ = b.ask("GET", "/api/desk", "")
		require.Equal(t, 200, status)
		_, err := io.WriteString(first, body[1000:])
		require.NoError(t, err)
		status, said = b.said(answer)
		require.Equal(t, 200, status, said)
		first.Close()
		require.Eventually(t, func() bool { return sent.held() == 0 }, 5*time.Second, time.Millisecond)
		status, said = b.post("map", body)
		require.Equal(t, 200, status, said)
	}
	// of unknown length: as much as may come
	_, answer := b.begin("map", "Transfer-Encoding: chunked", "1\r\n{\r\n0\r\n\r\n")
	status, _ := b.said(answer)
	require.Equal(t, http.StatusServiceUnavailable, status)
}

// A body that stops coming, or comes too slowly, is given up.
func TestSlowBodies(t *testing.T) {
	b := newBench(t)
	b.under(limits{sum: usual.sum, stall: 100 * time.Millisecond, whole: 400 * time.Millisecond})
	for path, length := range map[string]string{"map": "Content-Length: 100", "song": "Content-Length: 100", "rig": "Transfer-Encoding: chunked"} {
		first := "{"
		if path == "rig" {
			first = "1\r\n{\r\n"
		}
		_, answer := b.begin(path, length, first)
		began := time.Now()
		status, said := b.said(answer)
		require.Equal(t, http.StatusRequestTimeout, status, said)
		require.Contains(t, said, "want something every 100ms, and all within 400ms")
		require.Less(t, time.Since(began), 2*time.Second)
	}
	drip, answer := b.begin("map", "Content-Length: 1000", "{")
	go func() {
		for range 1000 {
			if _, err := drip.Write([]byte(" ")); err != nil {
				return
			}
			time.Sleep(20 * time.Millisecond)
		}
	}()
	status, _ := b.said(answer)
	require.Equal(t, http.StatusRequestTimeout, status, "never still, but too slow")

	// one that nobody reads holds the connection no longer
	unread, answer := b.begin("stop", "Content-Length: 100", "{")
	status, _ = b.said(answer)
	require.Equal(t, http.StatusNoContent, status)
	_, err := unread.Read(make([]byte, 1))
	require.Error(t, err)
	require.NotErrorIs(t, err, os.ErrDeadlineExceeded, "it is closed, not merely still")
}

// Once a body is there the answer may take as long as it takes.
func TestSlowAnswers(t *testing.T) {
	most := &bodies{limits: limits{sum: 100, stall: 30 * time.Millisecond, whole: 60 * time.Millisecond}}
	web := httptest.NewServer(most.hurry(most.admit(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		io.Copy(io.Discard, r.Body)
		select {
		case <-r.Context().Done():
			w.WriteHeader(http.StatusTeapot)
		case <-time.After(200 * time.Millisecond):
		}
	}))))
	defer web.Close()
	for range 2 { // over one connection
		answer, err := http.Post(web.URL, "text/plain", strings.NewReader("body"))
		require.NoError(t, err)
		answer.Body.Close()
		require.Equal(t, http.StatusOK, answer.StatusCode)
		time.Sleep(100 * time.Millisecond)
	}
}

// A rig file is read up to its limit, and is refused in the words of the other
// commands.
func TestHugeRig(t *testing.T) {
	path := filepath.Join(t.TempDir(), "rig.yaml")
	require.NoError(t, os.WriteFile(path, nil, 0o666))
	require.NoError(t, os.Truncate(path, 256<<20)) // a hole: takes no room on the disk
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := NewDesk(path, tools())
	runtime.ReadMemStats(&after)
	_, want := profiles.Load(path)
	require.EqualError(t, err, want.Error())
	require.ErrorContains(t, err, "the file has more than 1048576 bytes")
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(32<<20))
}

// Who comes by an address of this machine may name it, and nothing else.
func TestReached(t *testing.T) {
	for _, c := range []struct {
		host, local string
		want        bool
	}{
		{"192.0.2.7:4870", "192.0.2.7:4870", true}, // documentation addresses, RFC 5737 and 3849
		{"192.0.2.7", "192.0.2.7:80", true},
		{"[2001:db8::7]:4870", "[2001:db8::7]:4870", true},
		{"192.0.2.7:4870", "[::ffff:192.0.2.7]:4870", true}, // RFC 4291, 2.5.5.2
		{"[fe80::7]:4870", "[fe80::7%eth0]:4870", true},
		{"192.0.2.8:4870", "192.0.2.7:4870", false},
		{"192.0.2.7:4871", "192.0.2.7:4870", false},
		{"192.0.2.7", "192.0.2.7:4870", false},
		{"rig.example:4870", "192.0.2.7:4870", false},
		{"", "192.0.2.7:80", false},
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.Host = c.host
		at, err := net.ResolveTCPAddr("tcp", c.local)
		require.NoError(t, err)
		ctx := context.WithValue(r.Context(), http.LocalAddrContextKey, net.Addr(at))
		require.Equal(t, c.want, reached(r.WithContext(ctx)), "%s at %s", c.host, c.local)
	}
}
