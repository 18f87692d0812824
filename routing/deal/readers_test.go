package deal

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	gomidi "gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/routing/plan"
)

// wall is a rig that plays any song of General MIDI.
const wall = `rig: Wall
interfaces: {main: {profile: cv24-gate24, window: 0 V to 10 V, zero_key: 0}}
banks: {K: {voices: 8}, L: {voices: 8}, M: {voices: 4}}
parts: {p: {unison: {voices: 1}}}
`

// lines are the notes of a deal in words: track, port, channel, on, off, key,
// velocity.
func lines(d *Deal) string {
	var s strings.Builder
	for i, l := range d.Passes[0].Lanes {
		for _, n := range l.Notes {
			fmt.Fprintln(&s, i+1, l.Home.Port, l.Home.Channel, n.On, n.Off, n.Key, n.Velocity)
		}
	}
	return strings.ReplaceAll(s.String(), "\r", "")
}

// byGomidi reads a file with gomidi v2.3.24 and tells its notes in the same
// words.
func byGomidi(t *testing.T, data []byte) string {
	t.Helper()
	file, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	var s strings.Builder
	for i, track := range file.Tracks {
		var now, on uint64
		var port, velocity uint8
		for _, e := range track {
			now += uint64(e.Delta)
			var channel, key, v uint8
			switch m := gomidi.Message(e.Message); {
			case e.Message.GetMetaPort(&port):
			case m.GetNoteStart(&channel, &key, &v):
				on, velocity = now, v
			case m.GetNoteEnd(&channel, &key):
				fmt.Fprintln(&s, i, midi.Port(port), midi.Channel(channel), on, now, key, velocity)
			}
		}
	}
	return s.String()
}

// mido reads files with python3-mido and prints a checksum of their notes in
// the same words, one a file; its ports and channels count from 0.
const mido = `
import sys, hashlib, mido
for path in sys.argv[1:]:
    said = []
    for i, track in enumerate(mido.MidiFile(path).tracks):
        now = on = velocity = port = 0
        for m in track:
            now += m.time
            if m.type == 'midi_port':
                port = m.port
            elif m.type == 'note_on' and m.velocity > 0:
                on, velocity = now, m.velocity
            elif m.type in ('note_off', 'note_on'):
                said.append(f'{i} {port + 1} {m.channel + 1} {on} {now} {m.note} {velocity}\n')
    print(hashlib.sha256(''.join(said).encode()).hexdigest())
`

// requireMido compares files with what they were dealt from, if python3-mido is
// installed; with CHOIRLOFT_CORPORA=1 it has to be.
func requireMido(t *testing.T, files [][]byte, notes []string) {
	t.Helper()
	python := ""
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import mido").Run() == nil {
			python = name
			break
		}
	}
	if python == "" {
		require.False(t, corpora.Asked(), "python3-mido is not installed")
		t.Log("python3-mido is not installed: compared with gomidi only")
		return
	}
	args := []string{"-c", mido}
	var want strings.Builder
	for i, data := range files {
		path := filepath.Join(t.TempDir(), fmt.Sprintf("%d.mid", i))
		require.NoError(t, os.WriteFile(path, data, 0o666))
		args = append(args, path)
		fmt.Fprintf(&want, "%x\n", sha256.Sum256([]byte(notes[i])))
	}
	got, err := exec.Command(python, args...).CombinedOutput()
	require.NoError(t, err, string(got))
	require.Equal(t, want.String(), string(got))
}

// TestOtherReaders: gomidi and python3-mido find in the demo's file what was
// dealt.
func TestOtherReaders(t *testing.T) {
	p, song := demo(t, plan.Overrides{Voices: plan.All(10)})
	d, err := New(p, song, Options{})
	require.NoError(t, err)
	data, err := d.Files(Whole)[0].Score.Bytes()
	require.NoError(t, err)
	require.Equal(t, lines(d), byGomidi(t, data))
	requireMido(t, [][]byte{data}, []string{lines(d)})
}

// TestCorpora deals the songs of two open data sets (Debian's simutrans-data
// 123.0.1-1 and openttd-openmsx 0.4.2-1) to twenty voices: the round trip holds
// for each, and other readers find the same notes.
func TestCorpora(t *testing.T) {
	var files [][]byte
	var notes []string
	for i, path := range corpora.Songs(t) {
		o := plan.Overrides{}
		if i%2 > 0 {
			o = plan.MustParse("--steal", "least-lost", "--unison", "2")
		}
		p := planOf(t, wall, o)
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		d := roundTrip(t, p, read(t, data), Options{})
		out, err := d.Files(Whole)[0].Score.Bytes()
		require.NoError(t, err)
		require.Equal(t, lines(d), byGomidi(t, out), path)
		files, notes = append(files, out), append(notes, lines(d))
	}
	requireMido(t, files, notes)
}
