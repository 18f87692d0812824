//go:build linux || darwin

package files

import (
	"os"

	"golang.org/x/sys/unix"
)

// room is how many bytes a folder's disk has left for this user; ok is false
// where the system does not say.
func room(folder string) (left int64, ok bool) {
	var s unix.Statfs_t
	if err := unix.Statfs(folder, &s); err != nil || s.Blocks == 0 {
		return 0, false
	}
	blocks := s.Bavail
	if os.Geteuid() == 0 {
		blocks = s.Bfree
	}
	return int64(min(blocks, 1<<62/uint64(s.Bsize)) * uint64(s.Bsize)), true
}
