// Package corpora is for tests alone: real songs of two open collections, and how much a test
// takes. With CHOIRLOFT_CORPORA=1, as .ci/run sets it, the collections and the programs that
// tests ask for a second opinion are installed, and no net is too wide. Without it go test
// stays near a minute: [Some] takes few cases of a net, [Need] and [Patient] skip a test.
package corpora

import (
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Corpus is a folder of songs, as a package of Debian 12 installs it. That the note-ons in it are so
// many is checked against two outside readers by the tests of package midi.
type Corpus struct {
	Folder string
	Files  int
}

var (
	Simutrans = Corpus{"/usr/share/games/simutrans/music", 53}         // simutrans-data 123.0.1-1
	OpenMSX   = Corpus{"/usr/share/games/openttd/baseset/openmsx", 31} // openttd-openmsx 0.4.2-1
)

// Asked tells whether what is outside the repository is installed, and a test may take long.
func Asked() bool { return os.Getenv("CHOIRLOFT_CORPORA") == "1" }

// Some is how much of a net a test takes: few, and where the corpora are asked for all.
func Some[T any](few, all T) T {
	if Asked() {
		return all
	}
	return few
}

// Checks is how many cases a law is tried on that rapid draws: few, and where the corpora
// are asked for all. -rapid.checks goes before it. It is called by an init.
func Checks(few, all string) {
	if err := flag.Set("rapid.checks", Some(few, all)); err != nil {
		panic(err) // nothing here draws by rapid
	}
}

// Need skips a test unless the corpora are asked for. What it needs them for follows "to".
func Need(t testing.TB, what string) {
	t.Helper()
	if !Asked() {
		t.Skip("set CHOIRLOFT_CORPORA=1 to " + what)
	}
}

// Quick tells whether neither the corpora nor a test by its name are asked for.
func Quick() bool { return !Asked() && flag.Lookup("test.run").Value.String() == "" }

// Patient leaves a test that takes half a second of processor time, or waits for a second, to a
// run with the corpora, and to who asks for it by name.
func Patient(t testing.TB) {
	t.Helper()
	if Quick() {
		t.Skip("by its name, or with CHOIRLOFT_CORPORA=1")
	}
}

// Songs are the paths of a corpus in the order of their names. The test fails unless they are
// as many as they should be, and is skipped where the corpora are not asked for.
func (c Corpus) Songs(t testing.TB) []string {
	t.Helper()
	Need(t, "play the songs of simutrans-data and openttd-openmsx")
	var paths []string
	err := filepath.WalkDir(c.Folder, func(path string, d fs.DirEntry, err error) error {
		if ext := strings.ToLower(filepath.Ext(path)); err == nil && (ext == ".mid" || ext == ".kar") {
			paths = append(paths, path)
		}
		return err
	})
	if err != nil || len(paths) != c.Files {
		t.Fatalf("%s: found %d songs, %d are expected (%v)", c.Folder, len(paths), c.Files, err)
	}
	return paths
}

// Songs are the paths of both.
func Songs(t testing.TB) []string {
	t.Helper()
	return append(Simutrans.Songs(t), OpenMSX.Songs(t)...)
}
