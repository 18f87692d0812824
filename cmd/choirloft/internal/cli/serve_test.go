package cli

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// served is a page that is being served.
type served struct {
	address string
	stop    func() (status int, stderr string)
}

// start serves a copy of the demo rig until the test is over.
func start(t *testing.T, args ...string) *served {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(top, "testdata", "kiln-yard.yaml"))
	require.NoError(t, err)
	rig := filepath.Join(t.TempDir(), "rig.yaml")
	require.NoError(t, os.WriteFile(rig, data, 0o666))
	song, err := filepath.Abs(filepath.Join(top, "testdata", "slow-kiln.mid"))
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	out, in := io.Pipe()
	var stderr bytes.Buffer
	done := make(chan int, 1)
	go func() {
		done <- Run(ctx, append([]string{"serve", rig, song, "--port", "0"}, args...), strings.NewReader(""), in, &stderr)
		in.Close()
	}()
	var address string
	_, err = fmt.Fscanln(out, &address)
	require.NoError(t, err, "the address comes first")
	go io.Copy(io.Discard, out)
	s := &served{address: address}
	s.stop = func() (int, string) {
		cancel()
		select {
		case status := <-done:
			done <- status
			return status, stderr.String()
		case <-time.After(10 * time.Second):
			t.Fatal("it does not end")
			return 0, ""
		}
	}
	t.Cleanup(func() { s.stop() })
	return s
}

// It answers on this machine alone, and ends in peace.
func TestServe(t *testing.T) {
	s := start(t)
	require.True(t, strings.HasPrefix(s.address, "http://127.0.0.1:"), s.address)
	answer, err := http.Get(s.address + "api/desk")
	require.NoError(t, err)
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.Contains(t, string(body), `"name": "Kiln Yard"`)
	require.Contains(t, string(body), "slow-kiln.mid")
	status, stderr := s.stop()
	require.Equal(t, exitFine, status)
	require.Equal(t, "Ctrl-C ends it.\n", stderr)
}

// Another address is taken only when it is asked for, with a warning.
func TestServeToOthersWarns(t *testing.T) {
	s := start(t, "--host", "0.0.0.0")
	_, stderr := s.stop()
	require.Contains(t, stderr, "warning: on 0.0.0.0 other machines can reach this page")
}

func TestServeRefuses(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer taken.Close()
	port := fmt.Sprint(taken.Addr().(*net.TCPAddr).Port)
	t.Chdir(top)
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{demoRig, "--port", port}, "--port " + port + ": something else is listening there"},
		{[]string{demoRig, "--port", "70000"}, "--port 70000: ports are from 0 to 65535"},
		{[]string{demoRig, "--host", "example"}, "--host example: want an address"},
		{[]string{demoSong}, "this is a MIDI song, want a rig file"},
		{[]string{"nowhere.yaml"}, "there is no such file"},
		{[]string{"testdata/rigs/bad/zones.yaml"}, "testdata/rigs/bad/zones.yaml:"},
	} {
		ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
		var stdout, stderr bytes.Buffer
		status := Run(ctx, append([]string{"serve"}, c.args...), strings.NewReader(""), &stdout, &stderr)
		cancel()
		require.Equal(t, exitUsage, status, "%v: %s", c.args, &stderr)
		require.Contains(t, stderr.String(), c.want)
		require.Empty(t, stdout.String())
	}
}
