package contract

import "path/filepath"

// Label is the song's file without its folders, and its title if it has one.
func (s *Song) Label() string {
	if s.Title == nil {
		return s.Base()
	}
	return *s.Title + " (" + s.Base() + ")"
}

// Base is the song's file without its folders.
func (s *Song) Base() string {
	if s.File == "-" {
		return "standard input"
	}
	return filepath.Base(s.File)
}
