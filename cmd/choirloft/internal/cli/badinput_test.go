package cli

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestBadRigs: what a part or a pin asks for that cannot be is told with its
// place and the way out, by every command that reads a rig.
func TestBadRigs(t *testing.T) {
	const head = "rig: Bad\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4, out: [4]}, L: {voices: 12}}\n"
	for _, c := range []struct{ name, rest, stderr string }{
		{"reserve above the bank", "parts: {p: {banks: [K], reserve: 4}}\n",
			"4:34: parts.p.reserve: reserve is 4, and bank K has 3 in service\n    lower it to 3 at most, or give the part more banks\n"},
		{"reserves above the bank", "parts: {p: {banks: [K], reserve: 2}, q: {banks: [K], reserve: 2}}\n",
			"4:63: parts.q.reserve: with this reserve, parts p, q keep 4 voices together, and bank K has 3 in service\n" +
				"    lower a reserve, or give one of them more banks\n"},
		{"pins that overlap", "pins: {K1.pitch: main.cv 3, L1.pitch: main.cv 3}\n",
			"4:39: pins.\"L1.pitch\": main cv 3 is held by K1.pitch already\n    one output to several inputs stands under wiring\n"},
		{"a part with no bank", "parts: {p: {banks: []}}\n",
			"4:20: parts.p.banks: found no banks, want at least one\n    leave banks out to play on all of them\n"},
		{"unison wider than its bank", "parts: {p: {banks: [K], unison: {voices: 5}}}\n",
			"4:42: parts.p.unison.voices: found a unison of 5 voices, and bank K has 4\n" +
				"    write voices: 4 at most, or give the part more banks\n"},
		{"uneven past the rulers", "parts: {p: {unison: {voices: 13}}}\n",
			"4:30: parts.p.unison.voices: found 13 voices, the uneven pattern ends at 12\n" +
				"    write law: even, golden or random, or at most 12 voices\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(scratch(t, map[string]string{"rig.yaml": head + c.rest}), "rig.yaml")
			for _, args := range [][]string{{"check", path}, {"map", path}, {"replay", path, demoSong}} {
				got := run(t, "", args...)
				require.Equal(t, exitUsage, got.status)
				require.Empty(t, got.stdout)
				require.Equal(t, c.stderr, strings.Replace(got.stderr, path+":", "", 1), args[0])
			}
		})
	}
}
