package cli

import (
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/require"
)

// versionShape is that of every build.
const versionShape = `^choirloft \S+, commit \S+, go\S+\n$`

func TestVersion(t *testing.T) {
	got := run(t, "", "--version")
	require.Equal(t, exitFine, got.status)
	require.Empty(t, got.stderr)
	require.Regexp(t, versionShape, got.stdout)
	require.Equal(t, exitUsage, run(t, "", "version").status, "it is a flag, no command")
	require.Equal(t, exitUsage, run(t, "", "replay", "--version").status)
	require.Contains(t, run(t, "", "--help").stdout, "--version")
}

// The fields are those of package runtime/debug, as its documentation has them.
func TestVersionOf(t *testing.T) {
	build := func(version, revision, modified string) *debug.BuildInfo {
		info := &debug.BuildInfo{GoVersion: "go1.26.0", Main: debug.Module{Path: "choirloft", Version: version}}
		for key, value := range map[string]string{"vcs.revision": revision, "vcs.modified": modified} {
			if value != "" {
				info.Settings = append(info.Settings, debug.BuildSetting{Key: key, Value: value})
			}
		}
		return info
	}
	for want, info := range map[string]*debug.BuildInfo{
		"devel, commit devel, go1.26.0":            build("(devel)", "", ""),
		"devel, commit 3f0af21, go1.26.0":          build("", "3f0af21", "false"),
		"v1.2.0, commit 3f0af21+changes, go1.26.0": build("v1.2.0", "3f0af21", "true"),
		"v1.2.0, commit devel, go1.26.0":           build("v1.2.0", "", "true"),
	} {
		require.Equal(t, want, versionOf(info))
		require.Regexp(t, versionShape, "choirloft "+want+"\n")
	}
	require.Regexp(t, versionShape, "choirloft "+versionOf(&debug.BuildInfo{})+"\n", "a build that knows nothing")
	odd := &debug.BuildInfo{GoVersion: "devel go1.27-abc Mon"}
	require.Equal(t, "devel, commit devel, devel_go1.27-abc_Mon", versionOf(odd))
}
