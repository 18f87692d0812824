package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// loadRig reads a rig file.
func loadRig(path string) (*profiles.Rig, error) {
	file, err := openRig(path)
	if err != nil {
		return nil, err
	}
	return file.Rig, nil
}

// openRig reads a rig file and keeps its bytes.
func openRig(path string) (*profiles.File, error) {
	if err := sniffRig(path); err != nil {
		return nil, err
	}
	file, err := profiles.Open(path)
	var faults profiles.Faults
	if err != nil && !errors.As(err, &faults) {
		return nil, &fileError{path, reason(err), ""}
	}
	return file, err
}

// sniffRig says so where something else was given than a rig file.
func sniffRig(path string) error {
	if path == "-" {
		return &usageError{"a rig cannot come from standard input", "only a song can; name the rig file"}
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &fileError{path, "there is no such file", ""}
	case err != nil:
		return &fileError{path, reason(err), ""}
	case info.IsDir():
		return &fileError{path, "this is a folder, want a rig file", ""}
	case !info.Mode().IsRegular():
		return nil
	}
	if looksLikeSong(firstBytes(path)) {
		return &fileError{path, "this is a MIDI song, want a rig file", "the rig comes first, songs follow"}
	}
	return nil
}

// firstBytes returns the first bytes of a file; none if it cannot be read,
// which whoever reads it next will find out.
func firstBytes(path string) []byte {
	f, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer f.Close()
	head := make([]byte, 512)
	n, _ := io.ReadFull(f, head)
	return head[:n]
}

// looksLikeSong tells whether data begins as a MIDI file does, bare or wrapped.
func looksLikeSong(data []byte) bool {
	return bytes.HasPrefix(data, []byte("MThd")) || bytes.HasPrefix(data, []byte("RIFF"))
}

// looksLikeRig tells whether a line of data begins as the first one of a rig
// does.
func looksLikeRig(data []byte) bool {
	for line := range bytes.Lines(data[:min(len(data), 64<<10)]) {
		for _, key := range [...]string{"rig:", "banks:", "interfaces:", "parts:"} {
			if bytes.HasPrefix(line, []byte(key)) {
				return true
			}
		}
	}
	return false
}

// warn prints the findings that change what becomes of notes. The others are in
// its JSON, and check prints them.
func (a *app) warn(p *plan.Plan) {
	for _, f := range p.Findings {
		if f.Severity == routing.Note || !f.Code.BearsOnNotes() {
			continue
		}
		at := f.Where
		if !f.Pos.IsZero() {
			at = fmt.Sprintf("%s:%d:%d: %s", f.Pos.File, f.Pos.Line, f.Pos.Column, f.Where)
		}
		a.complain(fmt.Sprintf("%s: %s: %s", f.Severity, at, f.Text), f.Hint)
	}
}
