package wire

import (
	"errors"
	"io/fs"
	"net"
	"os"
	"syscall"
)

// Plain says in plain words what is wrong with an end, without its name.
func Plain(err error) string {
	var lookup *net.DNSError
	var path *fs.PathError
	var op *net.OpError
	var timeout net.Error
	switch {
	case errors.As(err, &lookup) && lookup.IsNotFound:
		return "no machine is called " + lookup.Name
	case errors.As(err, &lookup):
		return "the name " + lookup.Name + " cannot be looked up now"
	case Gone(err):
		return "nobody is at the other end any more"
	case errors.Is(err, syscall.ECONNREFUSED):
		return "nobody listens there"
	case errors.Is(err, syscall.EADDRINUSE):
		return "this port is taken by another program"
	case errors.Is(err, syscall.EHOSTUNREACH), errors.Is(err, syscall.ENETUNREACH):
		return "there is no way to that machine"
	case errors.Is(err, os.ErrDeadlineExceeded), errors.As(err, &timeout) && timeout.Timeout():
		return "no answer in time"
	case errors.As(err, &path):
		return path.Err.Error()
	case errors.As(err, &op) && errors.Is(err, fs.ErrPermission):
		return "this port may not be used"
	case errors.As(err, &op):
		return op.Err.Error()
	}
	return err.Error()
}

// Gone tells whether an error means that nobody is at the other end any more; others
// are faults of the end itself.
func Gone(err error) bool {
	return errors.Is(err, errGone) || errors.Is(err, syscall.EPIPE) || errors.Is(err, syscall.ECONNRESET) || errors.Is(err, net.ErrClosed)
}

var errGone = errors.New("nobody is at the other end any more")
