package profiles

import (
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

// The expected values were computed by Python 3's hashlib.sha256, after the
// recipe in the doc comment.
func TestFingerprint(t *testing.T) {
	rig, box := "rig: Small wall\nbanks: {K: {voices: 4}}\n", "interface: Box\ncv: 12\n"
	require.Equal(t, "ZRWC8DTQ", Fingerprint([]byte(rig)))
	require.Equal(t, "7YYWED52", Fingerprint([]byte(rig), []byte(box)))
	require.Equal(t, "NXAQ1XD1", Fingerprint(nil))

	// what copying may change does not count
	windows := "\uFEFF" + strings.ReplaceAll(rig, "\n", "\r\n")
	require.Equal(t, "ZRWC8DTQ", Fingerprint([]byte(windows)))
	require.Equal(t, "7YYWED52", Fingerprint([]byte(windows), []byte(strings.ReplaceAll(box, "\n", "\r\n"))))
	require.Equal(t, "ZRWC8DTQ", mustRead(t, windows).Fingerprint())

	// everything else does, and so does where one file ends
	for _, other := range []string{rig + "# c\n", rig + "\n", strings.ToUpper(rig), rig[1:], ""} {
		require.NotEqual(t, "ZRWC8DTQ", Fingerprint([]byte(other)))
	}
	require.NotEqual(t, Fingerprint([]byte("ab"), []byte("c")), Fingerprint([]byte("a"), []byte("bc")))
	require.Regexp(t, regexp.MustCompile(`^[0-9A-HJKMNP-TV-Z]{8}$`), Fingerprint([]byte(rig)))
}

// Profile files of the user's count once each; built-in ones do not.
func TestFingerprintOfARigWithProfiles(t *testing.T) {
	const rig = "rig: R\ninterfaces: {a: {profile: box.yaml}, b: {profile: ./box.yaml}}\n" +
		"voices: {k: {profile: kinds/reed.yaml}}\nbanks: {K: {voices: 4}}\n"
	files := fstest.MapFS{
		"box.yaml":        {Data: []byte("interface: Box\ncv: 12\n")},
		"kinds/reed.yaml": {Data: []byte("voice: Reed\n")},
	}
	of := func() string {
		r, faults := Read("rig.yaml", []byte(rig), files)
		require.Empty(t, faults)
		return r.Fingerprint()
	}
	require.Equal(t, "MKD3C68C", of())
	files["kinds/reed.yaml"] = &fstest.MapFile{Data: []byte("voice: Reed\nrelease: 1 s\n")}
	require.NotEqual(t, "MKD3C68C", of())

	small := "rig: Small wall\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 4}}\n"
	require.Equal(t, Fingerprint([]byte(small)), mustRead(t, small).Fingerprint())
}
