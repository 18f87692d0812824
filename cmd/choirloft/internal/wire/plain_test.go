package wire

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestPlain: what the net package wraps is said without its words.
func TestPlain(t *testing.T) {
	tcp := func(err error) error {
		return &net.OpError{Op: "dial", Net: "tcp", Err: os.NewSyscallError("connect", err)}
	}
	for _, c := range []struct {
		err  error
		want string
		gone bool
	}{
		{tcp(syscall.ECONNREFUSED), "nobody listens there", false},
		{tcp(syscall.ECONNRESET), "nobody is at the other end any more", true},
		{&fs.PathError{Op: "write", Path: "x", Err: syscall.EPIPE}, "nobody is at the other end any more", true},
		{tcp(syscall.EADDRINUSE), "this port is taken by another program", false},
		{tcp(syscall.EHOSTUNREACH), "there is no way to that machine", false},
		{tcp(syscall.EACCES), "this port may not be used", false},
		{&net.OpError{Op: "dial", Err: os.ErrDeadlineExceeded}, "no answer in time", false},
		{&net.OpError{Op: "dial", Err: &net.DNSError{Name: "nowhere", IsNotFound: true}}, "no machine is called nowhere", false},
		{&net.OpError{Op: "dial", Err: &net.DNSError{Name: "nowhere", IsTemporary: true}}, "the name nowhere cannot be looked up now", false},
		{&fs.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}, "no space left on device", false},
		{fmt.Errorf("of our own: %w", errors.New("as it is")), "of our own: as it is", false},
	} {
		require.Equal(t, c.want, Plain(c.err))
		require.Equal(t, c.gone, Gone(c.err), c.want)
	}
}
