package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// program is what the licences go with.
const program = "choirloft/cmd/choirloft"

// systems are those that choirloft is built for.
var systems = []string{"linux", "darwin", "windows"}

// work is something that is linked: the standard library, a module, or a font.
type work struct {
	name    string
	notices []notice
}

// notice is a file that goes with a work.
type notice struct {
	name string // below the folder of the work
	kind string // of the licence, as SPDX names it; empty for what is none
	text string
}

// pkg is what go list says about a package.
type pkg struct {
	ImportPath, Dir string
	Standard        bool
	EmbedFiles      []string
	Module          *struct {
		Path, Version, Dir string
		Main               bool
	}
}

// linked returns what a program is linked with on any system, with and without
// the MIDI ports: the standard library first, then modules by name, then fonts.
func linked(program string) ([]work, error) {
	packages, err := packagesOf(program)
	if err != nil {
		return nil, err
	}
	root, err := golang("linux", "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	std, err := gathered("Go standard library", strings.TrimSpace(string(root)), nil)
	if err != nil {
		return nil, err
	}
	folders, dirs, fonts := map[string]string{}, map[string][]string{}, []work{}
	for _, p := range packages {
		name := p.Module.Path + " " + p.Module.Version
		folders[name] = p.Module.Dir
		dirs[name] = append(dirs[name], p.Dir)
	}
	works := []work{std}
	for _, name := range slices.Sorted(maps.Keys(folders)) {
		w, err := gathered(name, folders[name], dirs[name])
		if err != nil {
			return nil, err
		}
		works = append(works, w)
	}
	for _, p := range packages {
		for _, file := range p.EmbedFiles {
			if !fontFile(file) {
				continue
			}
			font, err := fontOf(file, works, p.Module.Path+" "+p.Module.Version)
			if err != nil {
				return nil, err
			}
			fonts = append(fonts, font)
		}
	}
	return append(works, fonts...), nil
}

// packagesOf lists the packages of other modules that a program is linked with.
func packagesOf(program string) ([]pkg, error) {
	all := map[string]pkg{}
	for _, system := range systems {
		for _, tags := range []string{"", "rtmidi"} {
			out, err := golang(system, "list", "-deps", "-json=ImportPath,Dir,Standard,EmbedFiles,Module", "-tags", tags, program)
			if err != nil {
				return nil, err
			}
			for d := json.NewDecoder(bytes.NewReader(out)); ; {
				var p pkg
				if err := d.Decode(&p); errors.Is(err, io.EOF) {
					break
				} else if err != nil {
					return nil, err
				}
				if !p.Standard && p.Module != nil && !p.Module.Main {
					all[p.ImportPath] = p
				}
			}
		}
	}
	var list []pkg
	for _, path := range slices.Sorted(maps.Keys(all)) {
		p := all[path]
		if p.Module.Dir == "" {
			return nil, fmt.Errorf("%s: the module is not in the cache, run go mod download", p.Module.Path)
		}
		list = append(list, p)
	}
	return list, nil
}

// golang runs the go command as if on a system.
func golang(system string, args ...string) ([]byte, error) {
	cmd := exec.Command("go", args...)
	cmd.Env = append(os.Environ(), "GOOS="+system, "GOARCH=amd64", "CGO_ENABLED=1")
	out, err := cmd.Output()
	var failed *exec.ExitError
	if errors.As(err, &failed) {
		return nil, fmt.Errorf("go %s: %s", strings.Join(args, " "), bytes.TrimSpace(failed.Stderr))
	}
	return out, err
}

// gathered reads the notices in the folder of a work, and in the folders on the
// way down to the packages that are linked.
func gathered(name, root string, packages []string) (work, error) {
	w := work{name: name}
	folders := map[string]bool{root: true}
	for _, dir := range packages {
		for ; len(dir) > len(root); dir = filepath.Dir(dir) {
			folders[dir] = true
		}
	}
	for _, dir := range slices.Sorted(maps.Keys(folders)) {
		if err := w.read(root, dir); err != nil {
			return w, err
		}
	}
	if !slices.ContainsFunc(w.notices, func(n notice) bool { return n.kind != "" }) {
		return w, fmt.Errorf("%s: found no licence in %s", name, root)
	}
	return w, nil
}

// read adds the notices of one folder.
func (w *work) read(root, dir string) error {
	files, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, f := range files {
		if f.IsDir() || !noticeFile(f.Name()) {
			continue
		}
		data, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			return err
		}
		name, err := filepath.Rel(root, filepath.Join(dir, f.Name()))
		if err != nil {
			return err
		}
		n := notice{name: filepath.ToSlash(name), text: tidy(string(data))}
		if n.kind = kindOf(n.text); n.kind == "" && licenceFile(f.Name()) {
			return fmt.Errorf("%s: %s is a licence of an unknown kind", w.name, n.name)
		}
		w.notices = append(w.notices, n)
	}
	return nil
}
