package page

import (
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// newUntitled is a desk without a file, and the folder where it is saved.
func newUntitled(t *testing.T) (*bench, string) {
	t.Helper()
	folder := t.TempDir()
	desk, err := NewUntitled(folder, tools())
	require.NoError(t, err)
	return serveDesk(t, desk), folder
}

// look is what is on the desk.
func (b *bench) look() (v deskView) {
	b.t.Helper()
	status, answer := b.ask("GET", "/api/desk", "")
	require.Equal(b.t, 200, status, answer)
	require.NoError(b.t, json.Unmarshal([]byte(answer), &v))
	return v
}

// drop drops the demo song, and returns the answer.
func (b *bench) drop(name string) (added addedView) {
	b.t.Helper()
	data, err := os.ReadFile(top + "testdata/slow-kiln.mid")
	require.NoError(b.t, err)
	status, answer := b.post("song?name="+url.QueryEscape(name), string(data))
	require.Equal(b.t, 200, status, answer)
	require.NoError(b.t, json.Unmarshal([]byte(answer), &added))
	return added
}

// namesIn are those in a folder.
func namesIn(t *testing.T, folder string) (all []string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		all = append(all, e.Name())
	}
	return all
}

// With nothing the desk has a starter rig without a file; what needs the file says so.
func TestNothingOnTheDesk(t *testing.T) {
	b, folder := newUntitled(t)
	v := b.look()
	require.True(t, v.New)
	require.False(t, v.Saved || v.Strayed)
	require.Equal(t, "new, not saved", v.State)
	require.Equal(t, "", v.File)
	require.Equal(t, "new-rig.yaml", v.SaveAs)
	require.Equal(t, string(profiles.Starter(profiles.StarterOptions{})), v.Text)
	for path, body := range map[string]string{"save": "", "reload": "", "disk": `{}`, "settle": `{"keep": "mine", "seen": ""}`} {
		status, answer := b.post(path, body)
		require.Equal(t, 422, status, "%s: %s", path, answer)
		require.Contains(t, answer, "this rig has no file yet")
	}
	status, answer := b.post("map", `{}`)
	require.Equal(t, 200, status, answer)
	require.Contains(t, answer, "choirloft replay RIG SONG")
	require.Contains(t, answer, "Save the rig first")
	require.Empty(t, namesIn(t, folder), "nothing is written before it is saved")
}

// The first song proposes the rig that the command proposes, once, and never over what somebody did.
func TestFirstSongProposes(t *testing.T) {
	b, _ := newUntitled(t)
	added := b.drop("slow-kiln.mid")
	require.Contains(t, added.Proposes, "slow-kiln.mid: 4 channels with notes")
	data, err := os.ReadFile(top + "testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	p, err := plan.Propose(song, profiles.StarterOptions{Name: "Wall for slow-kiln"})
	require.NoError(t, err)
	v := b.look()
	require.Equal(t, string(profiles.Starter(p.Options)), v.Text)
	require.Equal(t, "wall-for-slow-kiln.yaml", v.SaveAs)
	require.Empty(t, b.drop("again.mid").Proposes, "it is not the first")
	require.Equal(t, v.Text, b.look().Text)

	b, _ = newUntitled(t)
	b.altered(`[{"do": "name", "name": "Mine"}]`)
	require.Empty(t, b.drop("slow-kiln.mid").Proposes, "somebody has changed it")
	require.Equal(t, "Mine", b.desk.played().Name)

	onFile := newBench(t)
	require.Empty(t, onFile.drop("slow-kiln.mid").Proposes, "it has a file")
}

// Mono that the first song proposed is said where the next has chords on that channel, with what takes it off; so is
// what the rig says by itself.
func TestMonoOfTheSongBefore(t *testing.T) {
	b, _ := newUntitled(t)
	b.drop("slow-kiln.mid")
	status, answer := b.post("song?name=other.mid", chord)
	require.Equal(t, 200, status, answer)
	mono := func(song string) map[string]string {
		status, answer := b.post("bench", `{"song": "`+song+`"}`)
		require.Equal(t, 200, status, answer)
		var bench struct{ Parts []struct{ Name, Mono string } }
		require.NoError(t, json.Unmarshal([]byte(answer), &bench))
		said := map[string]string{}
		for _, p := range bench.Parts {
			if p.Mono != "" {
				said[p.Name] = p.Mono
			}
		}
		return said
	}
	require.Empty(t, mono("1"), "one note at a time is what it has")
	require.Equal(t, map[string]string{"bass": "bass plays one note at a time, as proposed for slow-kiln.mid. This song sounds up to 3 at once."}, mono("2"))
	b.altered(`[{"do": "mode", "part": "bass", "mode": "mono low"}]`)
	require.Equal(t, map[string]string{"bass": "bass plays one note at a time, as the rig says. This song sounds up to 3 at once."}, mono("2"))
	b.altered(`[{"do": "mode", "part": "bass", "mode": "poly"}]`)
	require.Empty(t, mono("2"))
}

// A song of more channels than a rig has parts, 256, gets no rig: that is said apart from what is proposed.
func TestNothingToPropose(t *testing.T) {
	b, _ := newUntitled(t)
	track := []byte{}
	for port := range byte(18) {
		track = append(track, 0, 0xff, 0x21, 1, port)
		for channel := range byte(16) { // all but that of drums play a note: 18 · 15 = 270
			track = append(track, 0, 0x90|channel, 60, 64, 1, 0x80|channel, 60, 64)
		}
	}
	track = append(track, 0x60, 0xff, 0x2f, 0)
	song := append([]byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk"), byte(len(track)>>24), byte(len(track)>>16), byte(len(track)>>8), byte(len(track)))
	status, answer := b.post("song?name=wall.mid", string(append(song, track...)))
	require.Equal(t, 200, status, answer)
	var added addedView
	require.NoError(t, json.Unmarshal([]byte(answer), &added))
	require.Contains(t, added.Unproposed, "No rig is proposed for it: ")
	require.Equal(t, added.Unproposed, added.Proposes)
	require.Empty(t, added.Lines)
}

// Taken off again, and another is the first.
func TestAnotherFirstSong(t *testing.T) {
	b, _ := newUntitled(t)
	b.drop("one.mid")
	status, answer := b.post("remove", `{"song": "1"}`)
	require.Equal(t, 200, status, answer)
	require.NotEmpty(t, b.drop("two.mid").Proposes)
	require.Equal(t, "Wall for two", b.desk.played().Name)
}

// Names of songs come from anywhere: the rig's is a line of at most 80 characters.
func TestHostileSongNames(t *testing.T) {
	for name, want := range map[string]string{
		strings.Repeat("long ", 30) + ".mid": "Wall for " + strings.TrimSpace(strings.Repeat("long ", 30)[:71]),
		"../../etc/passwd.mid":               "Wall for passwd", "a: b # \"c\".mid": `Wall for a: b # "c"`, "\u202ekiln.mid": "Wall for kiln", ".mid": "Wall for", "x\ny.mid": "Wall for xy",
	} {
		b, _ := newUntitled(t)
		require.NotEmpty(t, b.drop(name).Proposes, name)
		require.Equal(t, want, b.desk.played().Name)
		require.Empty(t, b.look().Faults)
	}
}

// Save asks for a name, writes that file, and the desk has it from then on.
func TestSaveAs(t *testing.T) {
	b, folder := newUntitled(t)
	b.drop("slow-kiln.mid")
	status, answer := b.post("save", `{"name": "wall-for-slow-kiln.yaml"}`)
	require.Equal(t, 200, status, answer)
	v := b.look()
	require.False(t, v.New)
	require.True(t, v.Saved)
	require.Equal(t, "as on disk", v.State)
	require.Equal(t, "wall-for-slow-kiln.yaml", v.File)
	require.Equal(t, "wall-for-slow-kiln-2.yaml", v.SaveAs)
	written, err := os.ReadFile(filepath.Join(folder, "wall-for-slow-kiln.yaml"))
	require.NoError(t, err)
	require.Equal(t, v.Text, string(written))
	b.altered(`[{"do": "name", "name": "Slow"}]`)
	status, answer = b.post("save", "")
	require.Equal(t, 200, status, answer)
	written, err = os.ReadFile(filepath.Join(folder, "wall-for-slow-kiln.yaml"))
	require.NoError(t, err)
	require.Contains(t, string(written), "rig: Slow\n")
	require.Equal(t, []string{"wall-for-slow-kiln.yaml"}, namesIn(t, folder))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "wall-for-slow-kiln.yaml"), []byte("rig: Theirs\nbanks: {K: {voices: 1}}\n"), 0o666))
	b.desk.look()
	require.True(t, b.look().Strayed, "from now on the file is watched")
	b.altered(`[{"do": "name", "name": "Slower"}]`)
	status, answer = b.post("save", "")
	require.Equal(t, 409, status, answer)
}

// What is there stays, and another name is offered; a rig with faults is not saved.
func TestSaveAsOverNothing(t *testing.T) {
	b, folder := newUntitled(t)
	taken := filepath.Join(folder, "new-rig.yaml")
	require.NoError(t, os.WriteFile(taken, []byte("mine\n"), 0o666))
	require.NoError(t, os.Symlink("/etc/hostname", filepath.Join(folder, "link.yaml")))
	require.NoError(t, os.Symlink("nowhere", filepath.Join(folder, "dangling.yaml")))
	require.NoError(t, os.Mkdir(filepath.Join(folder, "folder.yaml"), 0o777))
	for _, name := range []string{"new-rig.yaml", "link.yaml", "dangling.yaml", "folder.yaml"} {
		status, answer := b.post("save", fmt.Sprintf(`{"name": %q}`, name))
		require.Equal(t, 409, status, "%s: %s", name, answer)
		require.Contains(t, answer, name+" exists already")
		require.Contains(t, answer, "such as new-rig-2.yaml")
	}
	kept, err := os.ReadFile(taken)
	require.NoError(t, err)
	require.Equal(t, "mine\n", string(kept))
	_, err = os.Lstat(filepath.Join(folder, "nowhere"))
	require.Error(t, err, "no link is followed")
	status, _ := b.post("rig", `{"text": "rig: ["}`)
	require.Equal(t, 200, status)
	status, answer := b.post("save", `{"name": "other.yaml"}`)
	require.Equal(t, 422, status, answer)
	require.True(t, b.look().New)
	require.Len(t, namesIn(t, folder), 4)
}

// A name is no path: nothing is written anywhere else, or under a name that a shell or a file system takes amiss.
func TestSaveAsHostileNames(t *testing.T) {
	b, folder := newUntitled(t)
	for _, name := range []string{"", ".", "..", "../up.yaml", "/tmp/up.yaml", "sub/up.yaml", `sub\up.yaml`, "-o.yaml", ".hidden.yaml", "rig.txt", ".yaml", "a\x00.yaml",
		"a\n.yaml", "C:up.yaml", "a\u202e.yaml", "~/x.yaml", "$HOME.yaml", "*.yaml", strings.Repeat("x", 300) + ".yaml", "rig.yaml/", "rig.yaml ", "é" + strings.Repeat("é", 120) + ".yaml"} {
		body, err := json.Marshal(map[string]string{"name": name})
		require.NoError(t, err)
		status, answer := b.post("save", string(body))
		require.Equal(t, 422, status, "%q: %s", name, answer)
		require.Contains(t, answer, "write new-rig.yaml")
	}
	require.Empty(t, namesIn(t, folder))
	status, answer := b.post("save", `{"name": "`+strings.Repeat("x", 1<<17)+`"}`)
	require.Equal(t, 413, status, answer)
	status, answer = b.post("save", `{"name": "Mein Räck (2).yml"}`)
	require.Equal(t, 200, status, answer)
}

// A name without an ending gets the one of a rig.
func TestSaveAsAddsTheEnding(t *testing.T) {
	b, folder := newUntitled(t)
	status, answer := b.post("save", `{"name": "my wall"}`)
	require.Equal(t, 200, status, answer)
	require.Equal(t, []string{"my wall.yaml"}, namesIn(t, folder))
}

// The rigs of the folder can be opened while nobody has touched the new one; nothing else can.
func TestOpenARigOfTheFolder(t *testing.T) {
	b, folder := newUntitled(t)
	lay := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o666))
	}
	lay("my wall.yaml", "rig: Mine\nbanks: {K: {voices: 4}}\n")
	lay("bad.yaml", "rig: Bad\nbanks: {K: {voices: none}}\n")
	lay("list.yaml", "things: [1, 2]\n")
	lay("notes.txt", "rig: Notes\n")
	lay(".hidden.yaml", "rig: Hidden\n")
	require.NoError(t, os.Symlink(filepath.Join(folder, "list.yaml"), filepath.Join(folder, "link.yaml")))
	require.Equal(t, []string{"bad.yaml", "my wall.yaml"}, b.look().Rigs)
	for name, want := range map[string]string{"bad.yaml": "banks.K.voices", "list.yaml": "want a rig file of this folder", "../my wall.yaml": "want a rig file of this folder"} {
		status, answer := b.post("open", `{"name": "`+name+`"}`)
		require.GreaterOrEqual(t, status, 400)
		require.Contains(t, answer, want)
	}
	require.Equal(t, "New rig", b.desk.played().Name)
	status, answer := b.post("open", `{"name": "my wall.yaml"}`)
	require.Equal(t, 200, status, answer)
	v := b.look()
	require.Equal(t, "my wall.yaml", v.File)
	require.Equal(t, "Mine", v.Name)
	require.True(t, v.Saved)
	require.Empty(t, v.Rigs)

	b, folder = newUntitled(t)
	lay("my wall.yaml", "rig: Mine\nbanks: {K: {voices: 4}}\n")
	b.altered(`[{"do": "name", "name": "Other"}]`)
	require.Empty(t, b.look().Rigs, "it would take the place of what somebody did")
	status, _ = b.post("open", `{"name": "my wall.yaml"}`)
	require.Equal(t, 409, status)
}

// A take is no song.
func TestTakesAreNoSongs(t *testing.T) {
	b := newBench(t)
	status, data := b.post("take", `{"short": true, "file": true}`)
	require.Equal(t, 200, status)
	status, answer := b.post("song?name=take.mid", data)
	require.Equal(t, 422, status)
	require.Contains(t, answer, "this is a take")
	require.Empty(t, b.look().Songs)
}

// A tab that has not seen what another wrote saves nothing.
func TestSaveAsOvertaken(t *testing.T) {
	b, folder := newUntitled(t)
	from := b.look().Edition
	status, answer := b.post("alter", fmt.Sprintf(`{"deeds": [{"do": "name", "name": "One"}], "tab": "a", "from": %d}`, from))
	require.Equal(t, 200, status, answer)
	status, answer = b.post("save", fmt.Sprintf(`{"name": "x.yaml", "tab": "b", "from": %d}`, from))
	require.Equal(t, 412, status, answer)
	require.Empty(t, namesIn(t, folder))
}

// A profile file beside the new rig is found; one outside of its folder is not.
func TestUntitledProfiles(t *testing.T) {
	b, folder := newUntitled(t)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "box.yaml"), []byte("interface: box\ncv: 5\ngates: 5\n"), 0o666))
	b.altered(`[{"do": "interface", "name": "main", "profile": "box.yaml"}]`)
	require.Equal(t, 5, b.desk.played().Interfaces[0].CV)
	status, answer := b.post("alter", `{"deeds": [{"do": "interface", "name": "main", "profile": "../box.yaml"}]}`)
	require.Equal(t, 422, status, answer)
}

// The page's figures for the rig that results are those of the command, which reads the saved file.
func TestSavedRigPlaysTheSame(t *testing.T) {
	b, folder := newUntitled(t)
	b.drop("slow-kiln.mid")
	b.altered(`[{"do": "part", "part": "spare"}, {"do": "channel", "part": "spare", "channel": 3}, {"do": "bank-voices", "bank": "K", "voices": 2}, {"do": "name", "name": "Kiln"}]`)
	status, answer := b.post("save", `{"name": "kiln.yaml"}`)
	require.Equal(t, 200, status, answer)
	status, answer = b.post("play", `{"song": "1"}`)
	require.Equal(t, 200, status, answer)
	var page struct {
		Replay struct {
			Fingerprint string
			Damaged     int
			Summary     string
			LostGateS   float64 `json:"lost_gate_s"`
		}
	}
	require.NoError(t, json.Unmarshal([]byte(answer), &page))
	rig, err := profiles.Load(filepath.Join(folder, "kiln.yaml"))
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	song, ok := b.desk.song("1")
	require.True(t, ok)
	played, err := p.Replay(song.MIDI)
	require.NoError(t, err)
	require.Equal(t, p.Code(), page.Replay.Fingerprint)
	require.Equal(t, played.Rig.Tally.Damaged(), page.Replay.Damaged)
	require.InDelta(t, played.Rig.Tally.Lost.Seconds(), page.Replay.LostGateS, 1e-9)
}
