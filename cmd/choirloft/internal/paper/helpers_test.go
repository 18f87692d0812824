package paper

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

const demo = "../../../../testdata/kiln-yard.yaml"

// TestMain gives the tests the memory that the program has.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// sheetOf is the sheet of a rig.
func sheetOf(t testing.TB, text []byte, o plan.Overrides) *contract.Sheet {
	t.Helper()
	rig, faults := profiles.Read("rig.yaml", text, nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	return contract.NewSheet(p)
}

// demoSheet has a unison for the first part.
func demoSheet(t testing.TB) *contract.Sheet {
	text, err := os.ReadFile(demo)
	require.NoError(t, err)
	return sheetOf(t, text, plan.Overrides{Unison: plan.Only("pad", 4)})
}

// largeRig has 64 voices on two interfaces, with long names in three alphabets.
const largeRig = `
rig: Große Печь ♯1 — a long name that nobody would paint on a rack
interfaces:
  left: {profile: cv32-gate32, row: 9, hp: 40}
  the-one-on-the-right-hand-side: {profile: cv32-gate32}
voices: {k: {profile: saw-lowpass, drift: 3 cents}}
banks:
  K: {voices: 8, lanes: [cutoff], out: [2], limited: {3: 40-76}, spare: [8], row: 1, hp: 80}
  L: {voices: 8}
  Très-long-bank-nâme-that-goes-on: {voices: 8}
  Печь: {voices: 8}
  Ω-a-second-long-name: {voices: 8}
  Q: {voices: 8}
  R: {voices: 8}
  S: {voices: 8}
parts:
  pad: {channel: 1, unison: {voices: 3, spread: 14 cents, law: uneven, pan: 60 %}}
  lead-with-a-very-long-name-indeed: {channel: 2, banks: [K, L], unison: {voices: 2, spread: 3 cents}}
`

func largeSheet(t testing.TB) *contract.Sheet { return sheetOf(t, []byte(largeRig), plan.Overrides{}) }

func pagesOf(s *contract.Sheet, o Options) []*draw.Picture {
	return Pages(say.Sheet(s), Drawings(s.Map), o)
}

func pdfOf(t testing.TB, s *contract.Sheet, o Options) []byte {
	var b bytes.Buffer
	require.NoError(t, Document(&b, say.Sheet(s), Drawings(s.Map), o))
	return b.Bytes()
}

// tool runs a program of poppler on a PDF: a reading of ISO 32000 that is not
// fpdf's.
func tool(t testing.TB, file []byte, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil && !corpora.Asked() {
		t.Skip("needs poppler-utils; set CHOIRLOFT_CORPORA=1 to insist")
	}
	path := filepath.Join(t.TempDir(), "a.pdf")
	require.NoError(t, os.WriteFile(path, file, 0o666))
	for i := range args {
		args[i] = strings.Replace(args[i], "FILE", path, 1)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(t, err, "%s", out)
	return string(out)
}
