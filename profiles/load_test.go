package profiles

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

func TestBuiltinProfilesLoad(t *testing.T) {
	require.Equal(t, []string{
		"audio-dc8", "audio-dc16", "cv4-gate4", "cv8-gate8", "cv16-gate16", "cv24-gate24", "cv32-gate32",
		"cv48-gate48", "cv64-gate64",
	}, interfaceProfiles.names())
	for _, name := range interfaceProfiles.names() {
		i, ok := interfaceProfiles.builtin(name)
		require.True(t, ok)
		require.Equal(t, name, i.Name)
		require.Contains(t, name, map[bool]string{true: "audio", false: "cv"}[i.Outputs > 0])
	}
	require.Equal(t, []string{"seq4", "seq6"}, sequencerProfiles.names())
	for _, name := range sequencerProfiles.names() {
		s, ok := sequencerProfiles.builtin(name)
		require.True(t, ok)
		require.Equal(t, name, s.Name)
	}
	require.Equal(t, []string{"dual-saw-lowpass", "pulse-lowpass", "saw-lowpass", "struck"}, kindProfiles.names())
	for _, name := range kindProfiles.names() {
		k, ok := kindProfiles.builtin(name)
		require.True(t, ok)
		require.Equal(t, name, k.Name)
	}
	_, ok := kindProfiles.builtin("../voices/saw-lowpass")
	require.False(t, ok)
}

// A DC-coupled interface gives a CV or a gate at each of its outputs, ±5 V.
func TestAudioProfile(t *testing.T) {
	i := mustRead(t, "rig: R\nbanks: {K: {voices: 4}}\ninterfaces: {dc: {profile: audio-dc8}}\n").Interfaces[0]
	require.Equal(t, []any{0, 0, 8, Window{-5, 5}, Audio}, []any{i.CV, i.Gates, i.Outputs, i.Window, i.Link})
	require.Equal(t, 8, i.Jacks(true))
	require.Equal(t, 8, i.Jacks(false))
}

func TestProfileFiles(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) string {
		file := filepath.Join(folder, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
		return file
	}
	write("box.yaml", "interface: Box\ncv: 12\ngates: 10\nbits: 14\n")
	write("kinds/reed.yaml", "voice: Reed\nrelease: 900 ms\nhas: [pitch, gate, breath]\n")
	file := write("rig.yaml", `rig: R
middle_c: C3
interfaces: {main: {profile: ./box.yaml, gates: 11}}
voices: {reed: {profile: kinds/reed.yaml, attack: 20 ms}}
banks: {K: {voices: 4, kind: reed, lanes: [breath]}}
`)
	rig := mustLoad(t, file)
	i := rig.Interfaces[0]
	require.Equal(t, []any{"main", 12, 11, 14, 8}, []any{i.Name, i.CV, i.Gates, i.Bits, i.Connector})
	k := rig.Kinds[rig.Banks[0].Kind]
	require.Equal(t, []any{"reed", 900 * time.Millisecond, 20 * time.Millisecond, 300 * time.Millisecond},
		[]any{k.Name, k.Envelope.Release, k.Envelope.Attack, k.Envelope.Decay})

	// what the user's profile file says was given, and where
	pos, ok := rig.Given("voices.reed.release")
	require.True(t, ok)
	require.Equal(t, Pos{filepath.Join(folder, "kinds", "reed.yaml"), 2, 10}, pos)
	pos, ok = rig.Given("interfaces.main.gates")
	require.True(t, ok)
	require.Equal(t, Pos{file, 3, 49}, pos)
	_, ok = rig.Given("voices.reed.decay")
	require.False(t, ok)
}

// Links out of the folder of the rig are not followed.
func TestProfileOutsideOfTheFolder(t *testing.T) {
	outside, folder := t.TempDir(), t.TempDir()
	secret := filepath.Join(outside, "box.yaml")
	require.NoError(t, os.WriteFile(secret, []byte("interface: Box\ncv: 1\n"), 0o644))
	require.NoError(t, os.Symlink(secret, filepath.Join(folder, "box.yaml")))
	file := filepath.Join(folder, "rig.yaml")
	require.NoError(t, os.WriteFile(file, []byte("rig: R\nbanks: {K: {voices: 1}}\ninterfaces: {i: {profile: box.yaml}}\n"), 0o644))
	_, err := Load(file)
	var faults Faults
	require.ErrorAs(t, err, &faults)
	require.Len(t, faults, 1)
	require.Equal(t, Pos{file, 3, 27}, faults[0].Pos)
}

func TestLoadErrors(t *testing.T) {
	folder := t.TempDir()
	_, err := Load(filepath.Join(folder, "none.yaml"))
	require.ErrorIs(t, err, fs.ErrNotExist)
	_, err = Load(folder)
	require.Error(t, err)
	var faults Faults
	require.False(t, errors.As(err, &faults))

	file := filepath.Join(folder, "bad.yaml")
	require.NoError(t, os.WriteFile(file, []byte("rig: R\n"), 0o644))
	_, err = Load(file)
	require.ErrorAs(t, err, &faults)
	require.EqualError(t, err, file+":1:1: banks is missing\n    banks: groups of voices, such as K: {voices: 4}")
}

// 1 MiB is allowed, one byte more is not.
func TestSize(t *testing.T) {
	rig := "rig: R\nbanks: {K: {voices: 4}}\n#"
	_, faults := Read("r", []byte(rig+strings.Repeat("x", 1<<20-len(rig))), nil)
	require.Empty(t, faults)
	_, faults = Read("r", []byte(rig+strings.Repeat("x", 1<<20-len(rig)+1)), nil)
	require.EqualError(t, faults, "r:1:1: the file has more than 1048576 bytes")
}

// As deep as the grammar goes, and far deeper, is no danger.
func TestLongAndDeepFiles(t *testing.T) {
	corpora.Patient(t)
	for _, unit := range []string{"[", "{a: ", "- ", "? ", "&a ", "*a ", "!a ", "---\n", "a, ", "|\n ", "\""} {
		for _, head := range []string{"", "rig: R\nbanks: ", "[", "{"} {
			_, faults := Read("r", []byte(head+strings.Repeat(unit, 1<<18/len(unit))), nil)
			require.NotEmpty(t, faults, "%q %q", head, unit)
		}
	}
}

func TestRigWithoutFilesHasNoProfileFiles(t *testing.T) {
	faults := readOne("interfaces.i.profile", "box.yaml")
	require.EqualError(t, faults, `test.yaml:3:27: interfaces.i.profile: found "box.yaml", but a rig that is not read from a file has no profile files`)
}
