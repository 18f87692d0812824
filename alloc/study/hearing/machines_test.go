package hearing_test

import (
	"context"
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

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi/corpora"
)

// fused are the instructions that round a product and a sum as one: of arm64
// FMADD, FMSUB, FNMADD, FNMSUB, FMLA and FMLS, of amd64 VFMADD231SD and its like (the
// architectures' manuals, from memory).
var fused = regexp.MustCompile(`\t(FN?M(ADD|SUB)[SD]|VF?ML[AS]|FML[AS]|VFN?M(ADD|SUB)\w+)\t`)

// No product is fused with a sum where the processor could.
func TestNothingFused(t *testing.T) {
	corpora.Need(t, "build for other processors, which takes a while")
	for _, env := range [][]string{{"GOARCH=arm64"}, {"GOARCH=amd64", "GOAMD64=v3"}} {
		cmd := exec.Command("go", "build", "-gcflags=choirloft/alloc/study/hearing=-S", "choirloft/alloc/study/hearing")
		cmd.Env = append(os.Environ(), append(env, "CGO_ENABLED=0")...)
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s", out)
		listing := string(out)
		require.Contains(t, listing, "hearing.exp STEXT", "%v: nothing was listed", env)
		multiplies := regexp.MustCompile(`\t(FMULD|V?MULSD)\t`)
		require.Greater(t, len(multiplies.FindAllString(listing, -1)), 30, "%v", env)
		require.Empty(t, fused.FindAllString(listing, -1), "%v", env)
	}
}

// The search finds what it looks for, in lines as the compiler writes them.
func TestFusedIsFound(t *testing.T) {
	for _, line := range []string{"\tFMADDD\tF1, F2, F3, F4", "\tFNMSUBD\tF1, F2, F3, F4", "\tVFMADD231SD\tX1, X2, X3"} {
		require.Regexp(t, fused, line)
	}
	require.NotRegexp(t, fused, "\tFMULD\tF1, F2, F3")
}

// digest is a fingerprint of all that is heard of the demo, to the last bit.
func digest(t *testing.T) string {
	s := demo(t)
	c, err := hearing.NewCurve(s)
	require.NoError(t, err)
	list, err := c.To(context.Background(), 24)
	require.NoError(t, err)
	r := study.Pooled(s.Rules, 9)
	replay, err := study.Play(r, s.Performance)
	require.NoError(t, err)
	a, err := hearing.NewAsked(s.Model, r.Config.Parts, replay.Reference)
	require.NoError(t, err)
	short, err := study.Play(r.Stretched(0.7), s.Performance)
	require.NoError(t, err)
	other, err := a.Match(hearing.Run{Rules: r, Reference: short.Reference, Outcomes: short.Outcomes, Cuts: short.Cuts})
	require.NoError(t, err)
	return fmt.Sprintf("%x", sha256.Sum256(fmt.Appendf(nil, "%v %v %v %v", list, *hearing.Hear(a, hearing.Of(r, replay)), *hearing.Hear(a, other), hearing.Weights(a))))
}

// TestDigest prints the fingerprint for [TestMachinesAgree].
func TestDigest(t *testing.T) { t.Log("digest", digest(t)) }

// Builds for old and for new processors hear the same.
func TestMachinesAgree(t *testing.T) {
	corpora.Need(t, "build the tests for another processor, which takes half a minute")
	if runtime.GOARCH != "amd64" {
		return // the other builds do not run here; TestNothingFused looks at them
	}
	for _, level := range []string{"v3"} { // this build is v1, where the environment does not say otherwise
		binary := filepath.Join(t.TempDir(), "hearing.test")
		build := exec.Command("go", "test", "-c", "-o", binary, "choirloft/alloc/study/hearing")
		build.Env = append(os.Environ(), "GOAMD64="+level)
		out, err := build.CombinedOutput()
		require.NoError(t, err, "%s", out)
		out, err = exec.Command(binary, "-test.run=TestDigest$", "-test.v").CombinedOutput()
		if strings.Contains(string(out), "This program can only be run on AMD64 processors") {
			t.Logf("this processor is older than %s", level)
			continue
		}
		require.NoError(t, err, "%s", out)
		require.Contains(t, string(out), "digest "+digest(t), level)
	}
}
