package profiles

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

// Whatever is read gives a rig, or faults in order that lie within the file.
func FuzzRead(f *testing.F) {
	for _, pattern := range []string{rigs + "/*.yaml", rigs + "/bad/*.yaml", "../testdata/*.yaml"} {
		files, err := filepath.Glob(pattern)
		require.NoError(f, err)
		require.NotEmpty(f, files)
		for _, file := range files {
			data, err := os.ReadFile(file)
			require.NoError(f, err)
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		rig, faults := Read("r", data, fstest.MapFS{})
		if len(faults) == 0 {
			checkRig(t, rig)
			return
		}
		require.Nil(t, rig)
		lines := strings.Split(string(data), "\n")
		for _, fault := range faults {
			require.Equal(t, "r", fault.Pos.File)
			require.True(t, 1 <= fault.Pos.Line && fault.Pos.Line <= len(lines), "%v", fault)
			width := len([]rune(lines[fault.Pos.Line-1]))
			require.True(t, 1 <= fault.Pos.Column && fault.Pos.Column <= width+1, "%v of %d", fault, width)
			require.NotContains(t, fault.String(), "\n")
		}
		require.True(t, slices.IsSortedFunc(faults, func(a, b Fault) int { return a.Pos.compare(b.Pos) }))
	})
}

// checkRig holds what every rig must be like.
func checkRig(t *testing.T, rig *Rig) {
	require.NotEmpty(t, rig.Banks)
	require.NotEmpty(t, rig.Voices)
	require.NotEmpty(t, rig.Parts)
	n := 0
	for i, b := range rig.Banks {
		require.Equal(t, n, b.First)
		require.Less(t, b.Kind, len(rig.Kinds))
		require.GreaterOrEqual(t, b.Kind, 0)
		for p := 1; p <= b.Size; p++ {
			v := rig.Voices[n]
			require.Equal(t, []any{i, p, VoiceName(b.Name, p)}, []any{v.Bank, v.Position, v.Name})
			n++
		}
	}
	require.Len(t, rig.Voices, n)
	require.Len(t, rig.Fingerprint(), 8)
	for _, p := range rig.Parts {
		room := 0
		for _, b := range p.Banks {
			room += rig.InService(b)
		}
		require.LessOrEqual(t, p.Reserve, room)
		require.Equal(t, p.Zone != NoZone, p.Members > 0)
		require.NotEmpty(t, p.Banks)
		require.True(t, slices.IsSorted(p.Banks))
		require.True(t, len(p.Sources) > 0 || p.Zone != NoZone)
	}
}
