package cli

import (
	"encoding/binary"
	"io"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// ear stands at the end of an output and knows which keys and pedals are down, by
// MIDI 1.0 (from memory): a status byte 8n or 9n and two data bytes, Bn for
// controllers; running status; a status byte begins afresh, whatever was cut short
// before it. It reads with nothing of the program. All notes off (CC 123) does not
// count as a note-off: not every interface knows it.
type ear struct {
	mu     sync.Mutex
	status byte
	data   []byte
	high   map[[2]byte]bool // channel and key
	pedals map[[2]byte]bool // channel and controller
	ons    int
	ended  bool
}

func newEar() *ear { return &ear{high: map[[2]byte]bool{}, pedals: map[[2]byte]bool{}} }

func (e *ear) Write(bytes []byte) (int, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	for _, b := range bytes {
		switch {
		case b >= 0xF8:
		case b >= 0x80:
			e.status, e.data = b, e.data[:0]
		default:
			e.data = append(e.data, b)
			e.message()
		}
	}
	return len(bytes), nil
}

// message acts when a message is complete.
func (e *ear) message() {
	need := 2
	if e.status>>4 == 0xC || e.status>>4 == 0xD {
		need = 1
	}
	if len(e.data) < need {
		return
	}
	channel := e.status & 15
	switch e.status >> 4 {
	case 8:
		delete(e.high, [2]byte{channel, e.data[0]})
	case 9:
		if e.data[1] == 0 {
			delete(e.high, [2]byte{channel, e.data[0]})
			break
		}
		e.high[[2]byte{channel, e.data[0]}] = true
		e.ons++
	case 11:
		if e.data[0] == 64 || e.data[0] == 66 {
			delete(e.pedals, [2]byte{channel, e.data[0]})
			if e.data[1] >= 64 {
				e.pedals[[2]byte{channel, e.data[0]}] = true
			}
		}
	}
	e.data = e.data[:0]
}

// listen hears all of a stream.
func (e *ear) listen(from io.ReadCloser) {
	io.Copy(e, from)
	from.Close()
	e.mu.Lock()
	e.ended = true
	e.mu.Unlock()
}

// up is how many keys and pedals are down.
func (e *ear) up() int {
	e.mu.Lock()
	defer e.mu.Unlock()
	return len(e.high) + len(e.pedals)
}

func (e *ear) struck() int {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.ons
}

func (e *ear) over() bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.ended
}

func TestEar(t *testing.T) {
	e := newEar()
	e.Write([]byte{0x90, 60, 100, 62, 0xFE, 100, 0xB1, 64, 127, 0x80, 60, 0, 0x90, 64}) // the last is cut
	require.Equal(t, []int{2, 2}, []int{e.up(), e.struck()})
	e.Write([]byte{0x90, 62, 0, 0xB1, 64, 0})
	require.Zero(t, e.up())
}

// logEvents reads the channel messages of a log by the grammar of RP-001, whole
// chunks and delta times alone; it does not use the program's reader.
func logEvents(t *testing.T, data []byte) (all [][3]byte) {
	require.Equal(t, "MThd\x00\x00\x00\x06", string(data[:8]))
	require.Equal(t, "MTrk", string(data[14:18]))
	track := data[22:min(len(data), 22+int(binary.BigEndian.Uint32(data[18:])))]
	for len(track) > 0 {
		for track[0] >= 0x80 {
			track = track[1:]
		}
		status := track[1]
		switch {
		case status == 0xFF && track[2] == 0x2F:
			return all
		case status == 0xFF:
			require.Less(t, track[3], byte(0x80))
			track = track[4+int(track[3]):]
		case status>>4 == 0xC || status>>4 == 0xD:
			all = append(all, [3]byte{status, track[2]})
			track = track[3:]
		default:
			all = append(all, [3]byte{status, track[2], track[3]})
			track = track[4:]
		}
	}
	t.Error("a track without an end")
	return all
}
