package listen

import (
	"crypto/sha256"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi/corpora"
	"choirloft/routing/plan"
)

// fused are the instructions that round a product and a sum as one: of arm64
// FMADD, FMSUB, FNMADD, FNMSUB, FMLA and FMLS, of amd64 VFMADD231SD and its like (the
// architectures' manuals, from memory).
var fused = regexp.MustCompile(`\t(FN?M(ADD|SUB)[SD]|VF?ML[AS]|FML[AS]|VFN?M(ADD|SUB)\w+)\t`)

// No product is fused with a sum where the processor could.
func TestNothingFused(t *testing.T) {
	corpora.Need(t, "build for other processors, which takes a minute")
	for _, env := range [][]string{{"GOARCH=arm64"}, {"GOARCH=amd64", "GOAMD64=v3"}} {
		cmd := exec.Command("go", "build", "-gcflags=choirloft/routing/listen=-S", "choirloft/routing/listen")
		cmd.Env = append(os.Environ(), append(env, "CGO_ENABLED=0")...)
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s", out)
		listing := string(out)
		require.Contains(t, listing, "listen.sine STEXT", "%v: nothing was listed", env)
		require.Greater(t, len(regexp.MustCompile(`\t(FMULD|V?MULSD)\t`).FindAllString(listing, -1)), 20, "%v", env)
		require.Empty(t, fused.FindAllString(listing, -1), "%v", env)
	}
}

// digest is a fingerprint of some of the demo in all versions, and of a song in which
// pitches glide and bend.
func digest(t *testing.T) string {
	sum := sha256.New()
	hash := func(s *Sketch, from, to int64) {
		take := Take{Part: everyPart, Gain: gainOf(t, s)}
		for v := Played; v <= Missing; v++ {
			take.Sections = append(take.Sections, Section{Version: v, From: from, To: to})
		}
		require.NoError(t, s.Write(sum, &take, none))
	}
	hash(demo(t, plan.Overrides{Voices: plan.All(10)}), 20*Rate, 26*Rate)
	p := planOf(t, "rig: Bench\nvoices:\n  plain: {drift: 7 cents, attack: 30 ms, decay: 200 ms, sustain: 40 %, release: 900 ms}\nbanks:\n  K: {voices: 3, kind: plain}\n"+
		"parts:\n  pad: {channel: 1, mode: mono last, glide: 80 ms, unison: {voices: 3, spread: 20 cents}}\n", noOverrides)
	s := sketchOf(t, p, songOf(t, []note{{key: 50, on: 0, off: 700}, {key: 57, on: 300, off: 900}, {key: 45, on: 1200, off: 1500}},
		event{400, []byte{0xE0, 17, 80}}, event{1300, []byte{0xE0, 99, 30}}))
	hash(s, 0, s.Frames)
	return fmt.Sprintf("%x", sum.Sum(nil))
}

// TestDigest prints the fingerprint for [TestMachinesAgree].
func TestDigest(t *testing.T) {
	corpora.Need(t, "build for other processors, which takes a minute")
	t.Log("digest", digest(t))
}

// Builds for old and for new processors write the same bytes.
func TestMachinesAgree(t *testing.T) {
	corpora.Need(t, "build for other processors, which takes a minute")
	if runtime.GOARCH != "amd64" {
		return // the other builds do not run here; TestNothingFused looks at them
	}
	binary := filepath.Join(t.TempDir(), "listen.test") // this build is v1, where the environment does not say otherwise
	build := exec.Command("go", "test", "-c", "-o", binary, "choirloft/routing/listen")
	build.Env = append(os.Environ(), "GOAMD64=v3")
	out, err := build.CombinedOutput()
	require.NoError(t, err, "%s", out)
	out, err = exec.Command(binary, "-test.run=TestDigest$", "-test.v").CombinedOutput()
	if strings.Contains(string(out), "This program can only be run on AMD64 processors") {
		t.Log("this processor is older than v3")
		return
	}
	require.NoError(t, err, "%s", out)
	require.Contains(t, string(out), "digest "+digest(t))
}
