package profiles

import (
	"io/fs"
	"os"
	"path/filepath"
)

// Read reads a rig from data. It returns either a rig, or every fault there
// is, in order. Faults name the file as name does. Files resolves the paths of
// profile files, relative to the rig file; nil refuses them.
func Read(name string, data []byte, files fs.FS) (*Rig, Faults) {
	r := &reader{file: name, files: files, middleC: C4, given: map[string]Pos{}}
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
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := readCapped(f)
	if err != nil {
		return nil, err
	}
	folder, err := os.OpenRoot(filepath.Dir(path)) // follows no link out of it
	if err != nil {
		return nil, err
	}
	defer folder.Close()
	rig, faults := Read(path, data, folder.FS())
	if len(faults) > 0 {
		return nil, faults
	}
	return rig, nil
}
