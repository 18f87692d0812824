package profiles

import (
	"io"

	"gopkg.in/yaml.v3"
)

// MaxBytes is the most that a file of text may have, a rig or another that is
// read like one: 1 MiB.
const MaxBytes = maxBytes

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

// ReadAtMost reads at most a byte more than MaxBytes, so that what is too large
// shows.
func ReadAtMost(from io.Reader) ([]byte, error) { return readCapped(from) }
