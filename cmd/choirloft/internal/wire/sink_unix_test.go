//go:build linux || darwin

package wire

import (
	"net"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// slow is a connection whose program is held up between the setting of a deadline
// and the write, so that the time has passed before anything is tried.
type slow struct {
	*net.TCPConn
	holds int
}

func (s *slow) Write(data []byte) (int, error) {
	if s.holds > 0 {
		s.holds--
		time.Sleep(patience + 10*time.Millisecond)
	}
	return s.TCPConn.Write(data)
}

// TestBusyMachine: an end that would have taken the bytes is not called one that
// does not keep up.
func TestBusyMachine(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	c, err := net.Dial("tcp", l.Addr().String())
	require.NoError(t, err)
	far, err := l.Accept()
	require.NoError(t, err)
	s := NewSink(&slow{c.(*net.TCPConn), 2}, NewBoard().Of(0))
	_, err = s.Write([]byte{0x90, 60, 100})
	require.NoError(t, err)
	got := make([]byte, 3)
	_, err = far.Read(got)
	require.NoError(t, err)
	require.Equal(t, []byte{0x90, 60, 100}, got)
}

// TestBoard: what stands is what was written whole; each channel that was ever
// spoken to gets pedals up and all notes off (CC 64, 66, 123: MIDI 1.0, table III).
func TestBoard(t *testing.T) {
	s := NewBoard().Of(127)
	require.Empty(t, s.AllOff(nil))
	s.before([]byte{0x90, 60, 100})
	require.Equal(t, []byte{0x80, 60, 64, 0xB0, 64, 0, 0xB0, 66, 0, 0xB0, 123, 0}, s.AllOff(nil), "on its way")
	s.written([]byte{0x90, 60, 100, 0xD1, 7, 0x90, 127, 1, 0x80, 60, 64, 0x90, 61})
	require.Equal(t, []byte{0x80, 127, 64, 0xB0, 64, 0, 0xB0, 66, 0, 0xB0, 123, 0, 0xB1, 64, 0, 0xB1, 66, 0, 0xB1, 123, 0}, s.AllOff(nil))
	s.before([]byte{0x80, 127, 64})
	require.Contains(t, string(s.AllOff(nil)), "\x80\x7f\x40", "not yet written")
	s.written([]byte{0x90, 127, 0})
	require.NotContains(t, string(s.AllOff(nil)), "\x80\x7f\x40")
	require.False(t, s.resting())
	s.rest()
	require.True(t, s.resting())
}
