package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/unicode"
)

// generated is where the text is that the program carries.
const generated = "../choirloft/internal/licences/licences.txt"

// What the program prints is what is linked now: it fails where a module was
// added, or has another version, and the text was not made anew.
func TestGenerated(t *testing.T) {
	corpora.Patient(t)
	file := filepath.Join(t.TempDir(), "licences.txt")
	var stderr bytes.Buffer
	require.Equal(t, 0, run([]string{"-o", file}, &stderr), stderr.String())
	got, err := os.ReadFile(file)
	require.NoError(t, err)
	want, err := os.ReadFile(generated)
	require.NoError(t, err)
	require.True(t, string(got) == string(want), "run go generate ./cmd/choirloft/internal/licences")
}

// Every module that a build for this system links stands in the list, with the
// licence that it has: as read by hand in the licence files of the modules, in
// November 2026. The list of modules is that of go version -m, which reads them
// from the finished program.
func TestComplete(t *testing.T) {
	corpora.Need(t, "build the program and ask it for its modules")
	data, err := os.ReadFile(generated)
	require.NoError(t, err)
	list, _, _ := strings.Cut(string(data), "\n\n\n====")
	kinds := map[string]string{}
	for line := range strings.Lines(list) {
		if name, kind, ok := strings.Cut(strings.TrimSpace(line), "  "); ok && strings.HasPrefix(line, "  ") {
			kinds[name] = strings.TrimSpace(kind)
		}
	}
	binary := filepath.Join(t.TempDir(), "choirloft")
	out, err := exec.Command("go", "build", "-o", binary, program).CombinedOutput()
	require.NoError(t, err, string(out))
	out, err = exec.Command("go", "version", "-m", binary).Output()
	require.NoError(t, err)
	modules := 0
	for line := range strings.Lines(string(out)) {
		if f := strings.Fields(line); len(f) >= 3 && f[0] == "dep" {
			require.Contains(t, kinds, f[1]+" "+f[2])
			modules++
		}
	}
	require.GreaterOrEqual(t, modules, 10)
	for name, kind := range map[string]string{
		"Go standard library": "BSD-3-Clause", "codeberg.org/go-pdf/fpdf": "MIT", "github.com/spf13/cobra": "Apache-2.0",
		"github.com/spf13/pflag": "BSD-3-Clause", "gopkg.in/yaml.v3": "Apache-2.0, MIT", "gonum.org/v1/gonum": "BSD-3-Clause",
		"gitlab.com/gomidi/midi/v2": "MIT", "github.com/inconshreveable/mousetrap": "Apache-2.0",
	} {
		found := ""
		for listed, k := range kinds {
			if path, _, _ := strings.Cut(listed, " v"); path == name {
				found = k
			}
		}
		require.Equal(t, kind, found, name)
	}
	requireFonts(t, binary, kinds)
}

// requireFonts looks for fonts in the finished program. A font names itself in
// UTF-16 (OpenType, "name", platforms 0 and 3): each that it has is listed.
func requireFonts(t *testing.T, binary string, kinds map[string]string) {
	t.Helper()
	program, err := os.ReadFile(binary)
	require.NoError(t, err)
	for file, name := range map[string]string{"DejaVuSansCondensed.ttf": "DejaVu Sans Condensed", "DejaVuSansCondensed-Bold.ttf": "DejaVu Sans Condensed Bold"} {
		wide, err := unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM).NewEncoder().String(name)
		require.NoError(t, err)
		require.True(t, bytes.Contains(program, []byte(wide)), name)
		require.Equal(t, "Bitstream-Vera", kinds["font "+file])
	}
	found := 0
	for version := []byte("\x00\x01\x00\x00"); ; { // of a TrueType font, and of much else
		_, rest, ok := bytes.Cut(program, version)
		if !ok {
			break
		}
		if program = rest; tables(program) {
			found++
		}
	}
	listed := 0
	for name := range kinds {
		if strings.HasPrefix(name, "font ") {
			listed++
		}
	}
	require.Equal(t, found, listed, "fonts in the program, and in the list")
}

// tables tells whether a table directory of a TrueType font follows (OpenType,
// "Table Directory"; from memory): three of its tags are in every such font.
func tables(b []byte) bool {
	head := b[:min(len(b), 12+16*40)]
	return bytes.Contains(head, []byte("cmap")) && bytes.Contains(head, []byte("glyf")) && bytes.Contains(head, []byte("loca"))
}

// What has no licence, or one that nobody knows, is refused and named.
func TestRefused(t *testing.T) {
	dir := t.TempDir()
	_, err := gathered("a.b/c v1", dir, nil)
	require.EqualError(t, err, "a.b/c v1: found no licence in "+dir)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "NOTICE"), []byte("Made by us."), 0o666))
	_, err = gathered("a.b/c v1", dir, nil)
	require.EqualError(t, err, "a.b/c v1: found no licence in "+dir, "a notice is none")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "COPYING"), []byte("Do as you like."), 0o666))
	_, err = gathered("a.b/c v1", dir, nil)
	require.EqualError(t, err, "a.b/c v1: COPYING is a licence of an unknown kind")
	_, err = fontOf("x.ttf", []work{{"a.b/c v1", []notice{{"LICENSE", "MIT", "…"}}}}, "a.b/c v1")
	require.EqualError(t, err, "a.b/c v1: found no licence for the font x.ttf")
	require.Equal(t, 2, run([]string{"x"}, io.Discard))
	require.Equal(t, 3, run([]string{"-o", filepath.Join(dir, "no", "such")}, io.Discard))
}

// A package's own licence, on the way from the module down to it, goes along too.
func TestNoticesOnTheWay(t *testing.T) {
	root := t.TempDir()
	deep := filepath.Join(root, "a", "b")
	require.NoError(t, os.MkdirAll(deep, 0o777))
	mit := "Permission is hereby granted, free of charge, to any person obtaining a copy\r\nof this software … \r\n"
	for _, file := range []string{"LICENSE", "a/licence.md", "a/b/PATENTS"} {
		require.NoError(t, os.WriteFile(filepath.Join(root, file), []byte(mit), 0o666))
	}
	w, err := gathered("m v1", root, []string{deep})
	require.NoError(t, err)
	var names []string
	for _, n := range w.notices {
		names = append(names, n.name+": "+n.kind)
		require.False(t, strings.ContainsAny(n.text, "\r"))
	}
	require.Equal(t, []string{"LICENSE: MIT", "a/licence.md: MIT", "a/b/PATENTS: MIT"}, names)
}
