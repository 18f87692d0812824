//go:build !linux && !darwin

package wire

import (
	"io"
	"io/fs"
	"net"
	"os"
)

// permitted knows of nothing wrong: this system has no FIFOs by path.
func permitted(string, fs.FileMode, bool) error { return nil }

// hungUp knows of nobody who is gone before something is written to him.
func hungUp(io.Writer) error { return nil }

// Lock locks nothing: here a file that is open cannot get another name.
func Lock(*os.File) error { return nil }

// unread is not known here.
func unread(io.Writer) int { return 0 }

// ready is not known here.
func ready(io.Writer) bool { return false }

// notice leaves it to the system.
func notice(net.Conn) {}

// Unstoppable has nothing to do: no key stops a program here.
func Unstoppable() {}

// Guard is a process that would hold the outputs; here there is none.
type Guard struct{}

// NewGuard fails with ErrNoGuard.
func NewGuard(program, name string) (*Guard, error) { return nil, ErrNoGuard }

// StandGuard fails with ErrNoGuard.
func StandGuard() error { return ErrNoGuard }

// Board is never called.
func (g *Guard) Board() *Board { return NewBoard() }

// Gone is never called.
func (g *Guard) Gone() <-chan struct{} { return nil }

// Restart is never called.
func (g *Guard) Restart() error { return ErrNoGuard }

// Hold is never called.
func (g *Guard) Hold(output int, to io.Writer) error { return ErrNoGuard }

// Drop is never called.
func (g *Guard) Drop(output int) {}

// Dismiss is never called.
func (g *Guard) Dismiss() {}
