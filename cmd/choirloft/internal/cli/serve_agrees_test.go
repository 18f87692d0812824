package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/page"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/routing/take/fake"
)

// asked is what the page of a rig answers. The body is JSON where it is no text.
func asked(t *testing.T, web *httptest.Server, path string, body any) (answer map[string]any) {
	t.Helper()
	data, ok := body.(string)
	if !ok {
		text, err := json.Marshal(body)
		require.NoError(t, err)
		data = string(text)
	}
	got, err := http.Post(web.URL+"/api/"+path, "application/json", bytes.NewReader([]byte(data)))
	require.NoError(t, err)
	defer got.Body.Close()
	said, err := io.ReadAll(got.Body)
	require.NoError(t, err)
	require.Equal(t, 200, got.StatusCode, string(said))
	require.NoError(t, json.Unmarshal(said, &answer))
	return answer
}

// printedJSON is what a command prints with --json.
func printedJSON(t *testing.T, args ...string) (value map[string]any) {
	t.Helper()
	got := run(t, "", append(args, "--json")...)
	require.Equal(t, exitFine, got.status, got.stderr)
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &value))
	return value
}

// TestPageAgrees: moves, failures and measurements are on the page as the command prints them, value for value, but
// for the path of a file, which a browser does not tell.
func TestPageAgrees(t *testing.T) {
	corpora.Patient(t)
	full, err := os.ReadFile(fullRig)
	require.NoError(t, err)
	dir := scratch(t, map[string]string{"rig.yaml": string(full), "readings.csv": "# through: nothing\nvoice,key,hertz\nK1,48,131.57\nK1,60,263.14\nK1,72,526.28\n"})
	rig, csv, mid, wav := filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "readings.csv"), filepath.Join(dir, "take.mid"), filepath.Join(dir, "take.wav")
	desk, err := page.NewDesk(rig, page.Tools{ReadSong: playable, Scratch: scratchFile, Write: func(context.Context, string, []byte, []byte) error { return nil }})
	require.NoError(t, err)
	web := httptest.NewUnstartedServer(nil)
	web.Config.Handler = page.New(desk, page.Door{Hosts: page.Hosts(web.Listener.Addr())})
	web.Start()
	defer web.Close()
	song, err := os.ReadFile("testdata/slow-kiln.mid")
	require.NoError(t, err)
	asked(t, web, "song?name=slow-kiln.mid", string(song))
	without := func(v map[string]any, names ...string) map[string]any {
		for _, name := range names {
			delete(v, name)
		}
		return v
	}

	for _, way := range [][2]string{{"studio", "stage"}, {"stage", "studio"}} {
		require.Equal(t, printedJSON(t, "repatch", rig, way[0], way[1]), without(asked(t, web, "repatch", map[string]string{"from": way[0], "to": way[1]}), "doc"))
	}
	demo := filepath.Join("testdata", "slow-kiln.mid")
	all, here := printedJSON(t, "repatch", rig, "--list", "--song", demo), asked(t, web, "setups", map[string]any{"song": "1"})
	require.Equal(t, without(all, "song"), without(here, "doc", "ways", "song"))
	fails, here := printedJSON(t, "map", rig, "--without", "P1"), asked(t, web, "outage", map[string]any{"voice": "P1"})
	require.Equal(t, fails, without(here, "doc"))

	tuned, here := printedJSON(t, "tune", rig, csv), asked(t, web, "readings", map[string]any{"name": "readings.csv", "text": "# through: nothing\nvoice,key,hertz\nK1,48,131.57\nK1,60,263.14\nK1,72,526.28\n"})
	require.Equal(t, tuned["summary"], here["tune"].(map[string]any)["summary"])
	require.Equal(t, tuned["corrections"], here["tune"].(map[string]any)["corrections"])
	require.NotEmpty(t, tuned["corrections"])

	require.Equal(t, exitFine, run(t, "", "write", rig, "--take", "--short", "--only", "K1-K3", "-o", mid).status)
	data, err := os.ReadFile(mid)
	require.NoError(t, err)
	played, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	sound := fake.Wav(16000, played, map[midi.Channel]float64{0: 1.5, 1: -2, 2: 0.5})
	require.NoError(t, os.WriteFile(wav, sound, 0o666))
	id := asked(t, web, "played?name=take.mid", string(data))["id"]
	asked(t, web, "recording?take="+id.(string)+"&name=take.wav", string(sound))
	took, here := printedJSON(t, "tune", rig, demo, "--take", mid, "--wav", wav), asked(t, web, "took", map[string]any{"id": id, "song": "1"})
	same := here["took"].(map[string]any)
	names := []string{"take", "recording", "rig_file", "tuning", "needs"}
	require.Equal(t, took["needs"].(map[string]any)["after"], same["needs"].(map[string]any)["after"])
	require.Equal(t, without(took, names...), without(same, names...))
}
