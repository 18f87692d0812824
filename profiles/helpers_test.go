package profiles

import (
	"runtime/debug"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// TestMain gives the tests the memory that the program has.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// rigs is where the test rigs are.
const rigs = "../testdata/rigs"

// withValue returns a rig in which one value is written, at a path.
func withValue(at, text string) string {
	keys := strings.Split(at, ".")
	value := keys[len(keys)-1] + ": " + text + beside[at]
	switch {
	case keys[0] == "banks" && keys[len(keys)-1] != "voices":
		value += ", voices: 4"
	case keys[0] == "interfaces" && keys[len(keys)-1] != "cv":
		value += ", cv: 8"
	}
	for i := len(keys) - 2; i >= 0; i-- {
		value = keys[i] + ": {" + value + "}"
	}
	if keys[0] == "banks" {
		return "rig: Test\n" + value + "\n"
	}
	banks := "K: {voices: 4}"
	if at == "parts.p.reserve" || at == "parts.p.unison.voices" {
		banks = "K: {voices: 1024}, L: {voices: 1024}, M: {voices: 1024}, N: {voices: 1024}"
	}
	return "rig: Test\nbanks: {" + banks + "}\n" + value + "\n"
}

// beside is what a value needs beside it.
var beside = map[string]string{
	"parts.p.unison.voices": ", law: even",
	"parts.p.unison.regrow": ", when_short: elastic",
	"parts.p.reattack":      ", mode: mono last",
	"banks.K.use_spare":     ", spare: [1]",
}

// readOne returns the faults of a rig in which one value is written.
func readOne(at, text string) Faults {
	_, faults := Read("test.yaml", []byte(withValue(at, text)), nil)
	return faults
}

// mustRead reads a rig without faults.
func mustRead(t *testing.T, text string) *Rig {
	t.Helper()
	rig, faults := Read("test.yaml", []byte(text), nil)
	require.Empty(t, faults)
	return rig
}

// mustLoad loads a rig without faults.
func mustLoad(t *testing.T, file string) *Rig {
	t.Helper()
	rig, err := Load(file)
	require.NoError(t, err)
	return rig
}

func init() { corpora.Checks("25", "100") }
