//go:build unix && !linux && !darwin

package files

// room is not known on this system: what does not fit is found out in writing.
func room(string) (left int64, ok bool) { return 0, false }
