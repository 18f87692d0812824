package cli

import (
	"cmp"
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
)

// unknownBuild stands for what a build does not know of itself: one of a test,
// or of a folder without its history.
const unknownBuild = "devel"

// version is what this build knows of itself.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		info = &debug.BuildInfo{}
	}
	return versionOf(info)
}

// versionOf says in one line, always of the same shape: the version, the commit,
// with "+changes" where files were not as in it, and the version of Go.
func versionOf(info *debug.BuildInfo) string {
	settings := map[string]string{}
	for _, s := range info.Settings {
		settings[s.Key] = s.Value
	}
	commit := settings["vcs.revision"]
	if commit != "" && settings["vcs.modified"] == "true" {
		commit += "+changes"
	}
	release := strings.Trim(info.Main.Version, "()") // "(devel)" where there is none
	goVersion := cmp.Or(info.GoVersion, runtime.Version())
	return fmt.Sprintf("%s, commit %s, %s", cmp.Or(release, unknownBuild), cmp.Or(commit, unknownBuild), strings.ReplaceAll(goVersion, " ", "_"))
}
