package profiles

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"

	"gopkg.in/yaml.v3"
)

// Read reads a rig from data. It returns either a rig, or every fault there
// is, in order. Faults name the file as name does. Files resolves the paths of
// profile files, relative to the rig file; nil refuses them.
func Read(name string, data []byte, files fs.FS) (*Rig, Faults) {
	r := &reader{file: name, files: files, middleC: C4, given: map[string]Pos{}, trial: faultsOf}
	root := r.parse(data, rigShape.what)
	if root == nil {
		return nil, r.faults.sort()
	}
	v, ok := rigShape.read(r, root, "")
	if draft, is := v.(rigDraft); is {
		// what could be read is looked up even so, to find all faults at once
		rig := r.resolve(&draft)
		if ok && len(r.faults) == 0 {
			rig.fingerprint = r.fingerprint(data)
			return &rig, nil
		}
	}
	return nil, r.faults.sort()
}

// fingerprint is that of a rig file and of the profile files it named.
func (r *reader) fingerprint(data []byte) string {
	var files [][]byte
	for _, f := range r.profiles {
		files = append(files, f.data)
	}
	return Fingerprint(data, files...)
}

// Load reads the rig file at path, and the profile files that it names from
// the folder it lies in and those below. The error is a [Faults] where the
// files could be read and are not right.
func Load(path string) (*Rig, error) {
	f, err := Open(path)
	if err != nil {
		return nil, err
	}
	return f.Rig, nil
}

// File is a rig with the bytes of the file that it was read from.
type File struct {
	Path string
	Data []byte
	Rig  *Rig
}

// Open reads a rig file as [Load] does, and keeps its bytes.
func Open(path string) (*File, error) {
	data, err := readFile(path)
	if err != nil {
		return nil, err
	}
	return From(path, data)
}

// From reads a rig as [Load] does from what was read of the file at path.
func From(path string, data []byte) (*File, error) {
	f := &File{Path: path, Data: data}
	err := f.Beside(func(files fs.FS) error {
		rig, faults := Read(path, data, files)
		if len(faults) > 0 {
			return faults
		}
		f.Rig = rig
		return nil
	})
	if err != nil {
		return nil, err
	}
	return f, nil
}

// Beside does something with the folder of the file, no link out of which is
// followed.
func (f *File) Beside(do func(files fs.FS) error) error {
	folder, err := os.OpenRoot(filepath.Dir(f.Path))
	if err != nil {
		return err
	}
	defer folder.Close()
	return do(folder.FS())
}

func readFile(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return ReadAtMost(f)
}

// Document returns the top of the only YAML document in data, which what says
// should be in it. It holds data to what a rig file is held to: size, UTF-8,
// depth, no aliases, tags or duplicate keys. It returns either a node or
// faults, in which the file is called name.
func Document(name string, data []byte, what string) (*yaml.Node, Faults) {
	r := &reader{file: name}
	root := r.parse(data, what)
	if len(r.faults) > 0 {
		return nil, r.faults.sort()
	}
	return root, nil
}

// LooksLikeRig tells whether a line of the first 64 KiB of data begins as one of a rig does.
func LooksLikeRig(data []byte) bool {
	for line := range bytes.Lines(data[:min(len(data), 64<<10)]) {
		for _, key := range [...]string{"rig:", "banks:", "interfaces:", "parts:"} {
			if bytes.HasPrefix(line, []byte(key)) {
				return true
			}
		}
	}
	return false
}
